// What the server packed, as typed arrays over the one buffer; nothing is copied.

export class Fault extends Error {}

export function unpacked(buffer) {
  const bytes = new DataView(buffer);
  if (buffer.byteLength < 8 || bytes.getUint32(0, false) !== 0x4247534d) throw new Fault("not a mesh of ours");
  const length = bytes.getUint32(4, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 8, length)));
  const base = 8 + length;
  const floats = ([begin, size]) => new Float32Array(buffer, base + begin, size);
  const whole = ([begin, size]) => new Uint32Array(buffer, base + begin, size);
  return {
    positions: floats(head.positions),
    triangles: whole(head.triangles),
    fields: new Map(head.fields.map((f) => [f.key, { ...f, values: floats(f.values) }])),
    lines: head.lines.map((l) => ({ ...l, points: floats(l.points), counts: whole(l.counts), levels: whole(l.levels) })),
    points: head.points,
    parts: head.parts,
    view: head.view,
    rim: head.rim,
  };
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
