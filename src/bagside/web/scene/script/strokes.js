// Lines on the surface, as wide on the screen as they are in print, dashed along their length, with paper around the bold.

import { THREE } from "nicegui-scene";
import { rgb } from "./surface.js";

const APART = 14; // px between yarns
const ROOM = 4; // px to the next line, under which a line of a map is left out: bands would be hidden by their own edges
const WIDE = 1e9; // more room than any line needs

const VERTEX = `
attribute vec3 from;
attribute vec3 to;
attribute vec2 along;
attribute float level;
attribute float room;
uniform vec2 screen;
uniform float weight;
uniform float lift;
uniform float step_;
uniform float scale;
varying float vAlong;
void main() {
  vec4 a = projectionMatrix * modelViewMatrix * vec4(from, 1.0);
  vec4 b = projectionMatrix * modelViewMatrix * vec4(to, 1.0);
  vec2 way = (b.xy - a.xy) * screen;
  float length_ = length(way);
  way = length_ > 1e-6 ? way / length_ : vec2(1.0, 0.0);
  vec2 side = vec2(-way.y, way.x);
  vec4 end = mix(a, b, position.x);
  vec2 cap = way * (position.x * 2.0 - 1.0) * min(0.5 * weight, 0.6);
  end.xy += (side * position.y * 0.5 * weight + cap) / screen * 2.0;
  end.z -= lift;
  if (mod(level, step_) > 0.5 || room * scale < ${ROOM.toFixed(1)}) end = vec4(2.0, 2.0, 2.0, 1.0);
  vAlong = mix(along.x, along.y, position.x);
  gl_Position = end;
}`;

const FRAGMENT = `
uniform vec3 colour;
uniform float dashes[4];
uniform float period;
uniform float scale;
varying float vAlong;
void main() {
  if (period > 0.0) {
    float s = mod(vAlong * scale, period);
    if (s > dashes[0] && (s < dashes[1] || s > dashes[2])) discard;
  }
  gl_FragColor = vec4(colour, 1.0);
}`;

// Ends of up to two dashes within a period: dash, gap, dash, gap.
function dashEnds(dashes) {
  if (!dashes.length) return [[0, 0, 0, 0], 0];
  const [a, b, c = 0, d = 0] = dashes;
  const period = a + b + c + d;
  return [[a, c ? a + b : period, c ? a + b + c : period, 0], period];
}

export class StrokesDrawn {
  constructor({ points, counts, levels, spacing, weight, dashes, ink, halo, rooms, fine = false }) {
    const [from, to, along, level, room] = [[], [], [], [], []];
    this.spacing = spacing ?? 0;
    this.fine = fine || this.spacing > 0; // left out where graphics are too slow for it
    let line = 0;
    let at = 0;
    for (const count of counts) {
      let run = 0;
      for (let k = at; k < at + count - 1; k++) {
        const a = points.subarray(3 * k, 3 * k + 3);
        const b = points.subarray(3 * k + 3, 3 * k + 6);
        const step = Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]);
        from.push(...a);
        to.push(...b);
        along.push(run, run + step);
        level.push(levels ? levels[line] : 0);
        room.push(rooms ? Math.min(rooms[k], rooms[k + 1], WIDE) : WIDE);
        run += step;
      }
      at += count;
      line++;
    }
    this.geometry = new THREE.InstancedBufferGeometry();
    this.geometry.setAttribute(
      "position",
      new THREE.BufferAttribute(new Float32Array([0, -1, 0, 1, -1, 0, 1, 1, 0, 0, 1, 0]), 3),
    );
    this.geometry.setIndex([0, 1, 2, 0, 2, 3]);
    this.geometry.setAttribute("from", new THREE.InstancedBufferAttribute(new Float32Array(from), 3));
    this.geometry.setAttribute("to", new THREE.InstancedBufferAttribute(new Float32Array(to), 3));
    this.geometry.setAttribute("along", new THREE.InstancedBufferAttribute(new Float32Array(along), 2));
    this.geometry.setAttribute("level", new THREE.InstancedBufferAttribute(new Float32Array(level), 1));
    this.geometry.setAttribute("room", new THREE.InstancedBufferAttribute(new Float32Array(room), 1));
    this.geometry.instanceCount = from.length / 3;
    this.weight = weight;
    this.ink = ink;
    this.object = new THREE.Group();
    this.passes = [];
    if (halo) this.#pass(weight + 2.4, "#f4f7f6", [], 1);
    this.#pass(weight, ink, dashes, 2);
  }

  #pass(weight, colour, dashes, order) {
    const [ends, period] = dashEnds(dashes);
    const uniforms = {
      screen: { value: new THREE.Vector2(1, 1) },
      weight: { value: weight },
      lift: { value: 0 },
      step_: { value: 1 },
      colour: { value: rgb(colour) },
      dashes: { value: ends },
      period: { value: period },
      scale: { value: 1 },
    };
    const material = new THREE.ShaderMaterial({
      vertexShader: VERTEX,
      fragmentShader: FRAGMENT,
      uniforms,
      side: THREE.DoubleSide,
      depthWrite: false,
      toneMapped: false,
    });
    const object = new THREE.Mesh(this.geometry, material);
    object.frustumCulled = false;
    object.renderOrder = order;
    this.object.add(object);
    this.passes.push({ uniforms, material, order, weight });
  }

  coloured(colour) {
    this.passes.at(-1).uniforms.colour.value.copy(rgb(colour));
  }

  // Yarns stand at least so far apart on the screen as in print; every second is left out until they do. A line is never
  // thinner than a dot, and lies higher over a surface of fewer triangles, which leaves the true one by more.
  seenFrom(sight, { yarns, whole }, ratio) {
    this.object.visible = yarns || !this.fine;
    let step = 1;
    while (this.spacing > 0 && this.spacing * sight.scale * step < APART && step < 1024) step *= 2;
    for (const { uniforms, order, weight } of this.passes) {
      uniforms.screen.value.set(sight.width, sight.height);
      uniforms.weight.value = Math.max(weight, 1 / ratio);
      uniforms.step_.value = step;
      uniforms.scale.value = sight.scale;
      // in front of the surface by four thousandths of it, as in print; the ink a little before its paper
      uniforms.lift.value = ((whole ? 0.008 : 0.024) + 0.0004 * order) / 8;
    }
  }

  gone() {
    this.geometry.dispose();
    this.passes.forEach(({ material }) => material.dispose());
  }
}
