// From where the surface is seen: an orthographic eye that turns about the mould's own up, tilts, moves and comes nearer.

const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const mixed = (x, a, y, b) => [x * a[0] + y * b[0], x * a[1] + y * b[1], x * a[2] + y * b[2]];
const unit = (a) => {
  const length = Math.hypot(...a) || 1;
  return a.map((x) => x / length);
};

export class Sight {
  constructor() {
    this.width = 1;
    this.height = 1;
    this.margins = { top: 8, bottom: 8, left: 8, right: 8 };
    this.turn = 0;
    this.tilt = 0;
    this.scale = 1; // px per mm
    this.target = [0, 0, 0];
    this.reach = 1;
    this.touched = false; // turned, moved or brought nearer by hand
    this.near = false; // moved or brought nearer: then it is not fitted any more
  }

  // Take the axes of a new mesh; the view of the person stays when the mesh is the same thing redrawn.
  of(mesh, keep) {
    const { out, right, tilt } = mesh.view;
    this.out = unit(out);
    this.first = { right: unit(right), tilt };
    this.positions = mesh.positions;
    let [low, high] = [[Infinity, Infinity, Infinity], [-Infinity, -Infinity, -Infinity]];
    const p = mesh.positions;
    for (let k = 0; k < p.length; k++) {
      const d = k % 3;
      if (p[k] < low[d]) low[d] = p[k];
      if (p[k] > high[d]) high[d] = p[k];
    }
    this.middle = mixed(0.5, low, 0.5, high);
    this.reach = 0.5 * Math.hypot(high[0] - low[0], high[1] - low[1], high[2] - low[2]) || 1;
    if (!keep || !this.touched) this.home();
  }

  home() {
    this.turn = 0;
    this.tilt = this.first.tilt;
    this.touched = this.near = false;
    this.fit();
  }

  get axes() {
    const back0 = cross(this.out, this.first.right);
    const right = mixed(Math.cos(this.turn), this.first.right, Math.sin(this.turn), back0);
    const back = cross(this.out, right);
    const towards = mixed(Math.cos(this.tilt), this.out, -Math.sin(this.tilt), back);
    const up = mixed(Math.cos(this.tilt), back, Math.sin(this.tilt), this.out);
    return { right, up, towards };
  }

  from(direction) {
    const way = unit(direction);
    const high = Math.max(-1, Math.min(1, dot(way, this.out)));
    this.tilt = Math.acos(high);
    const flat = mixed(-1, way, high, this.out);
    if (Math.hypot(...flat) > 1e-6) {
      const back = unit(flat);
      const right = cross(back, this.out);
      this.turn = Math.atan2(dot(right, cross(this.out, this.first.right)), dot(right, this.first.right));
    }
    this.touched = true;
    this.near = false;
    this.fit();
  }

  fit() {
    if (!this.positions) return;
    const { right, up } = this.axes;
    const p = this.positions;
    let [l, r, b, t] = [Infinity, -Infinity, Infinity, -Infinity];
    for (let k = 0; k < p.length; k += 3) {
      const x = p[k] * right[0] + p[k + 1] * right[1] + p[k + 2] * right[2];
      const y = p[k] * up[0] + p[k + 1] * up[1] + p[k + 2] * up[2];
      if (x < l) l = x;
      if (x > r) r = x;
      if (y < b) b = y;
      if (y > t) t = y;
    }
    const m = this.margins;
    const wide = Math.max(this.width - m.left - m.right, 40);
    const high = Math.max(this.height - m.top - m.bottom, 40);
    this.scale = Math.min(wide / Math.max(r - l, 1e-6), high / Math.max(t - b, 1e-6));
    const x = 0.5 * (l + r) + (0.5 * (m.right - m.left)) / this.scale;
    const y = 0.5 * (b + t) + (0.5 * (m.top - m.bottom)) / this.scale;
    const z = dot(this.middle, this.axes.towards);
    const { towards } = this.axes;
    this.target = [0, 1, 2].map((d) => x * right[d] + y * up[d] + z * towards[d]);
    this.fitted = this.scale;
  }

  resized(width, height, margins) {
    const before = this.width;
    this.width = width;
    this.height = height;
    this.margins = margins;
    if (!this.near) this.fit();
    else if (before > 1) this.scale *= width / before;
  }

  // Leave so much round the surface, unless it was moved or brought nearer by hand.
  within(margins) {
    this.margins = margins;
    if (!this.near) this.fit();
  }

  turned(dx, dy) {
    this.turn -= 0.008 * dx;
    this.tilt = Math.max(0, Math.min(Math.PI, this.tilt + 0.008 * dy * -1));
    this.touched = true;
    if (!this.near) this.fit();
  }

  moved(dx, dy) {
    const { right, up } = this.axes;
    this.target = this.target.map((t, d) => t - (dx * right[d] - dy * up[d]) / this.scale);
    this.touched = this.near = true;
  }

  // Nearer or farther, so that the place under the pointer stays where it is.
  zoomed(factor, x = this.width / 2, y = this.height / 2) {
    const next = Math.max(0.3 * this.fitted, Math.min(60 * this.fitted, this.scale * factor));
    const stay = 1 - this.scale / next;
    const { right, up } = this.axes;
    const dx = ((x - this.width / 2) / this.scale) * stay;
    const dy = ((this.height / 2 - y) / this.scale) * stay;
    this.target = this.target.map((t, d) => t + dx * right[d] + dy * up[d]);
    this.scale = next;
    this.touched = this.near = true;
  }

  seen(point) {
    const { right, up, towards } = this.axes;
    const way = [0, 1, 2].map((d) => point[d] - this.target[d]);
    return [
      this.width / 2 + this.scale * dot(way, right),
      this.height / 2 - this.scale * dot(way, up),
      dot(way, towards),
    ];
  }

  ray(x, y) {
    const { right, up, towards } = this.axes;
    const far = 8 * this.reach;
    const dx = (x - this.width / 2) / this.scale;
    const dy = (this.height / 2 - y) / this.scale;
    return {
      origin: [0, 1, 2].map((d) => this.target[d] + dx * right[d] + dy * up[d] + far * towards[d]),
      way: towards.map((t) => -t),
    };
  }

  apply(camera) {
    const { up, towards } = this.axes;
    const far = 8 * this.reach;
    const [w, h] = [this.width / 2 / this.scale, this.height / 2 / this.scale];
    camera.left = -w;
    camera.right = w;
    camera.top = h;
    camera.bottom = -h;
    camera.near = 0;
    camera.far = 2 * far;
    camera.position.set(...[0, 1, 2].map((d) => this.target[d] + far * towards[d]));
    camera.up.set(...up);
    camera.lookAt(...this.target);
    camera.updateProjectionMatrix();
    camera.updateMatrixWorld();
  }
}

export { cross, dot, unit };
