// What the server packed, as typed arrays; see coded.py for how numbers are written.

export class Fault extends Error {}

export async function unpacked(buffer) {
  const bytes = new DataView(buffer);
  if (buffer.byteLength < 8 || bytes.getUint32(0, false) !== 0x4247534d) throw new Fault("not a mesh of ours");
  const length = bytes.getUint32(4, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 8, length)));
  const data = await inflated(buffer.slice(8 + length));
  const places = (at) => wholes(data, at, 3, Float32Array, head.step);
  const whole = (at) => wholes(data, at, 1, Uint32Array, 1);
  return {
    positions: places(head.positions),
    triangles: whole(head.triangles),
    fields: new Map(head.fields.map((f) => [f.key, { ...f, values: valuesOf(data, f.values) }])),
    lines: head.lines.map((l) => ({ ...l, points: places(l.points), counts: whole(l.counts), levels: whole(l.levels) })),
    points: head.points,
    parts: head.parts,
    view: head.view,
    rim: head.rim,
  };
}

async function inflated(stream) {
  const out = new Blob([stream]).stream().pipeThrough(new DecompressionStream("deflate"));
  return new Uint8Array(await new Response(out).arrayBuffer());
}

// The bytes of a number stand apart: the lowest of all numbers first, then the next.
const number = (data, begin, size, k) =>
  (data[begin + k] | (data[begin + size + k] << 8) | (data[begin + 2 * size + k] << 16) | (data[begin + 3 * size + k] << 24)) >>> 0;

// Whole numbers, each told as the change from the one before in its column.
function wholes(data, [begin, size], columns, Kind, step) {
  const out = new Kind(size);
  const rows = size / columns;
  for (let c = 0; c < columns; c++) {
    let sum = 0;
    for (let r = 0; r < rows; r++) {
      const told = number(data, begin, size, c * rows + r);
      sum += told % 2 ? -(told + 1) / 2 : told / 2;
      out[columns * r + c] = step * sum;
    }
  }
  return out;
}

function valuesOf(data, { at: [begin, size], low, step }) {
  const out = new Float32Array(size);
  for (let k = 0; k < size; k++) {
    const told = number(data, begin, size, k);
    out[k] = told ? low + step * (told - 1) : NaN;
  }
  return out;
}

export async function fetched(address, signal) {
  const answer = await fetch(address, { signal, credentials: "same-origin" });
  if (!answer.ok) throw new Fault(`${answer.status}`);
  return unpacked(await answer.arrayBuffer());
}

// Edges that only one triangle has: the rim of the surface, as pairs of points one after the other.
export function rimOf(positions, triangles) {
  const seen = new Map();
  const n = positions.length / 3;
  for (let k = 0; k < triangles.length; k += 3) {
    for (let e = 0; e < 3; e++) {
      const a = triangles[k + e];
      const b = triangles[k + ((e + 1) % 3)];
      const key = a < b ? a * n + b : b * n + a;
      if (seen.has(key)) seen.set(key, -1);
      else seen.set(key, k + e);
    }
  }
  const out = [];
  for (const at of seen.values()) {
    if (at < 0) continue;
    const base = at - (at % 3);
    for (const v of [triangles[at], triangles[base + ((at - base + 1) % 3)]]) {
      out.push(positions[3 * v], positions[3 * v + 1], positions[3 * v + 2]);
    }
  }
  return { points: new Float32Array(out), counts: new Uint32Array(out.length / 6).fill(2) };
}

// Normals at vertices, weighed by area.
export function normalsOf(positions, triangles) {
  const out = new Float32Array(positions.length);
  for (let k = 0; k < triangles.length; k += 3) {
    const [a, b, c] = [3 * triangles[k], 3 * triangles[k + 1], 3 * triangles[k + 2]];
    const ux = positions[b] - positions[a], uy = positions[b + 1] - positions[a + 1], uz = positions[b + 2] - positions[a + 2];
    const vx = positions[c] - positions[a], vy = positions[c + 1] - positions[a + 1], vz = positions[c + 2] - positions[a + 2];
    const nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx;
    for (const v of [a, b, c]) {
      out[v] += nx;
      out[v + 1] += ny;
      out[v + 2] += nz;
    }
  }
  for (let k = 0; k < out.length; k += 3) {
    const length = Math.hypot(out[k], out[k + 1], out[k + 2]) || 1;
    out[k] /= length;
    out[k + 1] /= length;
    out[k + 2] /= length;
  }
  return out;
}
