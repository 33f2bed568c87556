// A tree of boxes over the triangles, so that a ray meets few of them: hover must not cost a frame.

const LEAF = 6;

export class Tree {
  constructor(positions, triangles, leaf = LEAF) {
    this.leaf = leaf;
    this.positions = positions;
    this.triangles = triangles;
    const m = triangles.length / 3;
    this.order = new Uint32Array(m);
    const low = new Float32Array(3 * m);
    const high = new Float32Array(3 * m);
    for (let t = 0; t < m; t++) {
      this.order[t] = t;
      for (let d = 0; d < 3; d++) {
        const a = positions[3 * triangles[3 * t] + d];
        const b = positions[3 * triangles[3 * t + 1] + d];
        const c = positions[3 * triangles[3 * t + 2] + d];
        low[3 * t + d] = Math.min(a, b, c);
        high[3 * t + d] = Math.max(a, b, c);
      }
    }
    // a node: six floats of its box; the first triangle and how many, or its two children when there are none
    const most = 2 * m;
    this.boxes = new Float32Array(6 * most);
    this.first = new Uint32Array(most);
    this.count = new Uint32Array(most);
    this.size = 1;
    this.#built(low, high, m);
  }

  #built(low, high, m) {
    const order = this.order;
    const stack = [[0, 0, m]];
    while (stack.length) {
      const [node, from, to] = stack.pop();
      const at = 6 * node;
      const middle = [Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity];
      for (let d = 0; d < 3; d++) {
        this.boxes[at + d] = Infinity;
        this.boxes[at + 3 + d] = -Infinity;
      }
      for (let k = from; k < to; k++) {
        for (let d = 0; d < 3; d++) {
          const a = low[3 * order[k] + d];
          const b = high[3 * order[k] + d];
          if (a < this.boxes[at + d]) this.boxes[at + d] = a;
          if (b > this.boxes[at + 3 + d]) this.boxes[at + 3 + d] = b;
          middle[d] = Math.min(middle[d], a + b);
          middle[3 + d] = Math.max(middle[3 + d], a + b);
        }
      }
      let axis = 0;
      for (let d = 1; d < 3; d++) if (middle[3 + d] - middle[d] > middle[3 + axis] - middle[axis]) axis = d;
      if (to - from <= this.leaf || middle[3 + axis] === middle[axis]) {
        this.first[node] = from;
        this.count[node] = to - from;
        continue;
      }
      const cut = 0.5 * (middle[axis] + middle[3 + axis]);
      let i = from;
      let j = to - 1;
      while (i <= j) {
        const t = order[i];
        if (low[3 * t + axis] + high[3 * t + axis] < cut) i++;
        else {
          order[i] = order[j];
          order[j] = t;
          j--;
        }
      }
      const split = i === from || i === to ? (from + to) >> 1 : i;
      const left = this.size;
      this.size += 2;
      this.first[node] = left;
      this.count[node] = 0;
      stack.push([left, from, split], [left + 1, split, to]);
    }
  }

  // The nearest triangle that a ray meets, from either side: distance, triangle, weights of its corners; or null.
  met(origin, way, least = -Infinity) {
    const inverse = [1 / way[0], 1 / way[1], 1 / way[2]];
    let best = null;
    let nearest = Infinity;
    const stack = [0];
    while (stack.length) {
      const node = stack.pop();
      if (!this.#enters(node, origin, inverse, nearest)) continue;
      if (!this.count[node]) {
        stack.push(this.first[node], this.first[node] + 1);
        continue;
      }
      for (let k = this.first[node]; k < this.first[node] + this.count[node]; k++) {
        const hit = this.#hit(this.order[k], origin, way);
        if (hit && hit.distance < nearest && hit.distance >= least) {
          nearest = hit.distance;
          best = hit;
        }
      }
    }
    return best;
  }

  #enters(node, origin, inverse, nearest) {
    let near = -Infinity;
    let far = nearest;
    for (let d = 0; d < 3; d++) {
      const a = (this.boxes[6 * node + d] - 1e-4 - origin[d]) * inverse[d];
      const b = (this.boxes[6 * node + 3 + d] + 1e-4 - origin[d]) * inverse[d];
      near = Math.max(near, Math.min(a, b));
      far = Math.min(far, Math.max(a, b));
    }
    return near <= far;
  }

  #hit(triangle, o, w) {
    const p = this.positions;
    const a = 3 * this.triangles[3 * triangle];
    const b = 3 * this.triangles[3 * triangle + 1];
    const c = 3 * this.triangles[3 * triangle + 2];
    const ux = p[b] - p[a], uy = p[b + 1] - p[a + 1], uz = p[b + 2] - p[a + 2];
    const vx = p[c] - p[a], vy = p[c + 1] - p[a + 1], vz = p[c + 2] - p[a + 2];
    const px = w[1] * vz - w[2] * vy, py = w[2] * vx - w[0] * vz, pz = w[0] * vy - w[1] * vx;
    const det = ux * px + uy * py + uz * pz;
    if (Math.abs(det) < 1e-12) return null;
    const tx = o[0] - p[a], ty = o[1] - p[a + 1], tz = o[2] - p[a + 2];
    const u = (tx * px + ty * py + tz * pz) / det;
    if (u < -1e-6 || u > 1 + 1e-6) return null;
    const qx = ty * uz - tz * uy, qy = tz * ux - tx * uz, qz = tx * uy - ty * ux;
    const v = (w[0] * qx + w[1] * qy + w[2] * qz) / det;
    if (v < -1e-6 || u + v > 1 + 1e-6) return null;
    const distance = (vx * qx + vy * qy + vz * qz) / det;
    return { triangle, distance, weights: [1 - u - v, u, v], front: det > 0 };
  }
}
