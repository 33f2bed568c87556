// Lines along which a map has one value, found over the triangles; and patches of one band where each triangle has its own value.

// Lines of each level over values at corners: chains of points, a closed one with its first point again at its end, and at each
// point how far the next level is there, in the unit of places. Corners without a value (not a finite number) end a line.
export function contours(positions, triangles, values, levels) {
  const n = positions.length / 3;
  return levels.map((level) => {
    const step = Math.min(...levels.map((other) => Math.abs(other - level)).filter((gap) => gap > 0));
    const rooms = new Map();
    // no line runs exactly through a corner: what is at the level counts as above it
    const above = (v) => values[v] >= level;
    const next = new Map();
    const join = (a, b) => {
      for (const [one, other] of [[a, b], [b, a]]) {
        const known = next.get(one);
        if (known) known.push(other);
        else next.set(one, [other]);
      }
    };
    for (let k = 0; k < triangles.length; k += 3) {
      const [a, b, c] = [triangles[k], triangles[k + 1], triangles[k + 2]];
      const high = above(a) + above(b) + above(c);
      if (high === 0 || high === 3 || !Number.isFinite(values[a] + values[b] + values[c])) continue;
      const ends = [];
      for (const [i, j] of [[a, b], [b, c], [c, a]]) if (above(i) !== above(j)) ends.push(i < j ? i * n + j : j * n + i);
      join(ends[0], ends[1]);
      const room = step / slope(positions, values, a, b, c);
      for (const key of ends) rooms.set(key, Math.min(room, rooms.get(key) ?? Infinity));
    }
    const place = (key) => {
      const [i, j] = [Math.floor(key / n), key % n];
      const share = (level - values[i]) / (values[j] - values[i]);
      return [0, 1, 2].map((d) => positions[3 * i + d] + share * (positions[3 * j + d] - positions[3 * i + d]));
    };
    const lines = chains(next).map((chain) => ({
      points: new Float32Array(chain.flatMap(place)),
      rooms: Float32Array.from(chain, (key) => rooms.get(key)),
    }));
    return { level, lines };
  });
}

// How steeply the value rises over a triangle.
function slope(p, values, a, b, c) {
  const [ux, uy, uz] = [0, 1, 2].map((d) => p[3 * b + d] - p[3 * a + d]);
  const [vx, vy, vz] = [0, 1, 2].map((d) => p[3 * c + d] - p[3 * a + d]);
  const [uu, uv, vv] = [ux * ux + uy * uy + uz * uz, ux * vx + uy * vy + uz * vz, vx * vx + vy * vy + vz * vz];
  const det = uu * vv - uv * uv;
  if (det < 1e-12 * uu * vv) return Infinity;
  const [du, dv] = [values[b] - values[a], values[c] - values[a]];
  return Math.sqrt(Math.max(0, (du * du * vv - 2 * du * dv * uv + dv * dv * uu) / det));
}

// Follow what hangs together: open ends first, then what is closed.
function chains(next) {
  const out = [];
  const walk = (begin) => {
    const chain = [begin];
    for (let at = begin; next.get(at).length; ) {
      const to = next.get(at).pop();
      const back = next.get(to);
      back.splice(back.indexOf(at), 1);
      chain.push((at = to));
    }
    if (chain.length > 1) out.push(chain);
  };
  for (const [key, others] of next) if (others.length % 2) walk(key);
  for (const [key, others] of next) while (others.length) walk(key);
  return out;
}

// At which values lines are drawn: where one band ends and the next begins, and at the limit; all in the shown unit.
export function levelsOf({ edges, limit, magnitude }) {
  const levels = edges.slice(1).map((value, k) => ({ value, band: k + 1, limit: value === limit }));
  if (limit !== null && !edges.includes(limit)) {
    levels.push({ value: limit, band: edges.filter((edge) => edge <= limit).length, limit: true });
  }
  // a map of sizes shows both signs alike
  return magnitude ? levels.flatMap((l) => (l.value ? [l, { ...l, value: -l.value }] : [l])) : levels;
}

export const lengthOf = (line) => {
  let sum = 0;
  for (let k = 3; k < line.length; k++) if (k % 3 === 0)
    sum += Math.hypot(line[k] - line[k - 3], line[k + 1] - line[k - 2], line[k + 2] - line[k - 1]);
  return sum;
};

// Patches of triangles of one band, which hang together by their sides; of each the triangle nearest to its middle.
export function patches(positions, triangles, bandOf) {
  const m = triangles.length / 3;
  const n = positions.length / 3;
  const root = Uint32Array.from({ length: m }, (_, k) => k);
  const top = (t) => {
    while (root[t] !== t) t = root[t] = root[root[t]];
    return t;
  };
  const across = new Map();
  for (let t = 0; t < m; t++) {
    for (let e = 0; e < 3; e++) {
      const [a, b] = [triangles[3 * t + e], triangles[3 * t + ((e + 1) % 3)]];
      const key = a < b ? a * n + b : b * n + a;
      const other = across.get(key);
      if (other === undefined) across.set(key, t);
      else if (bandOf(t) === bandOf(other)) root[top(t)] = top(other);
    }
  }
  const found = new Map();
  const middle = (t, d) => (positions[3 * triangles[3 * t] + d] + positions[3 * triangles[3 * t + 1] + d] + positions[3 * triangles[3 * t + 2] + d]) / 3;
  for (let t = 0; t < m; t++) {
    if (bandOf(t) < 0) continue;
    const key = top(t);
    if (!found.has(key)) found.set(key, { band: bandOf(t), sum: [0, 0, 0], size: 0, triangles: [] });
    const one = found.get(key);
    one.size++;
    one.triangles.push(t);
    for (let d = 0; d < 3; d++) one.sum[d] += middle(t, d);
  }
  return [...found.values()].map(({ band, sum, size, triangles: own }) => {
    let best = own[0];
    let least = Infinity;
    for (const t of own) {
      const far = [0, 1, 2].reduce((s, d) => s + (middle(t, d) - sum[d] / size) ** 2, 0);
      if (far < least) [least, best] = [far, t];
    }
    return { band, size, triangle: best, at: [0, 1, 2].map((d) => middle(best, d)) };
  });
}
