// Fewer triangles over the same corners, for while the picture is turned: corners that stand close together are drawn as one.

const TRIES = 4;

// Returns corners of the triangles that are left and which one each was, or null where there are few enough already.
export function thinned(positions, triangles, most) {
  if (triangles.length <= 3 * most) return null;
  const piece = pieces(positions.length / 3, triangles);
  // about one corner and a half to a square of the grid, as a surface seldom lies along it, and two triangles a corner
  let size = Math.sqrt((3 * areaOf(positions, triangles)) / most);
  let found;
  for (let k = 0; k < TRIES; k++) {
    found = joined(triangles, standIns(positions, piece, size));
    if (found.from.length <= 1.15 * most) break;
    size *= Math.sqrt(found.from.length / most) * 1.02;
  }
  return found;
}

// Which connected piece a corner belongs to: pieces that lie on one another are never joined.
function pieces(n, triangles) {
  const root = Uint32Array.from({ length: n }, (_, k) => k);
  const top = (v) => {
    while (root[v] !== v) v = root[v] = root[root[v]];
    return v;
  };
  for (let k = 0; k < triangles.length; k += 3) {
    const a = top(triangles[k]);
    root[top(triangles[k + 1])] = a;
    root[top(triangles[k + 2])] = a;
  }
  for (let v = 0; v < n; v++) root[v] = top(v);
  return root;
}

function areaOf(p, t) {
  let sum = 0;
  for (let k = 0; k < t.length; k += 3) {
    const [a, b, c] = [3 * t[k], 3 * t[k + 1], 3 * t[k + 2]];
    const ux = p[b] - p[a], uy = p[b + 1] - p[a + 1], uz = p[b + 2] - p[a + 2];
    const vx = p[c] - p[a], vy = p[c + 1] - p[a + 1], vz = p[c + 2] - p[a + 2];
    sum += 0.5 * Math.hypot(uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx);
  }
  return sum;
}

// The corner that stands for each: of those in its box of the grid the one nearest to their middle.
function standIns(p, piece, size) {
  const n = p.length / 3;
  const boxes = new Map();
  const box = new Uint32Array(n);
  const sums = [];
  for (let v = 0; v < n; v++) {
    const key = `${piece[v]} ${Math.floor(p[3 * v] / size)} ${Math.floor(p[3 * v + 1] / size)} ${Math.floor(p[3 * v + 2] / size)}`;
    let at = boxes.get(key);
    if (at === undefined) {
      boxes.set(key, (at = boxes.size));
      sums.push(0, 0, 0, 0);
    }
    box[v] = at;
    for (let d = 0; d < 3; d++) sums[4 * at + d] += p[3 * v + d];
    sums[4 * at + 3]++;
  }
  const best = new Float64Array(boxes.size).fill(Infinity);
  const who = new Uint32Array(boxes.size);
  for (let v = 0; v < n; v++) {
    const at = box[v];
    let far = 0;
    for (let d = 0; d < 3; d++) far += (p[3 * v + d] - sums[4 * at + d] / sums[4 * at + 3]) ** 2;
    if (far < best[at]) [best[at], who[at]] = [far, v];
  }
  return box.map((at) => who[at]);
}

// What is left of the triangles when each corner is drawn where its stand-in is.
function joined(triangles, standIn) {
  const left = [];
  const from = [];
  for (let k = 0; k < triangles.length; k += 3) {
    const [a, b, c] = [standIn[triangles[k]], standIn[triangles[k + 1]], standIn[triangles[k + 2]]];
    if (a === b || b === c || c === a) continue;
    left.push(a, b, c);
    from.push(k / 3);
  }
  return { triangles: new Uint32Array(left), from: new Uint32Array(from) };
}
