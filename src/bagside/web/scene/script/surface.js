// The surface: bands and no gradients, relief by lightness alone, hatching where a limit is passed and on the mould's back.

import { THREE } from "nicegui-scene";
import { thinned } from "./thin.js";

const NONE = -1e30;
const FEW = 9000; // triangles that a picture needs while it is turned

const VERTEX = `
attribute float value;
varying float vValue;
varying vec3 vNormal;
varying vec3 vPlace;
void main() {
  vValue = value;
  vNormal = normalMatrix * normal;
  vec4 place = modelViewMatrix * vec4(position, 1.0);
  vPlace = place.xyz;
  gl_Position = projectionMatrix * place;
}`;

// Relief as in the printed pictures: walls turned from the light lose up to three tenths, those turned to it gain little.
const FRAGMENT = `
uniform float edges[16];
uniform vec3 inks[16];
uniform int count;
uniform float perSi;
uniform bool magnitude;
uniform bool limited;
uniform float limit;
uniform bool below;
uniform vec3 mould;
uniform vec3 ink;
uniform float ratio;
varying float vValue;
varying vec3 vNormal;
varying vec3 vPlace;

float relief(vec3 n) {
  vec3 light = normalize(vec3(-0.5, 0.6, 0.63));
  float lit = dot(n, light);
  float level = light.z;
  float up = lit > level ? (lit - level) / (1.0 - level) : 0.0;
  float down = lit < level ? (level - lit) / (1.0 + level) : 0.0;
  return 1.0 + 0.05 * up - 0.30 * sqrt(down) * (1.0 - 0.25 * (1.0 - down));
}

bool stripe(float pitch, float line) {
  return mod(gl_FragCoord.x + gl_FragCoord.y, pitch * ratio) < line * ratio;
}

void main() {
  vec3 flatNormal = normalize(cross(dFdx(vPlace), dFdy(vPlace)));
  vec3 n = length(vNormal) > 0.01 ? normalize(vNormal) : flatNormal;
  bool front = gl_FrontFacing;
  vec3 tone = mould;
  bool marked = false;
  if (!front) {
    n = -n;
    if (stripe(6.0, 1.0)) tone = mix(mould, ink, 0.55);
  } else if (count > 0 && vValue > -1e15) {
    float shown = vValue * perSi;
    if (magnitude) shown = abs(shown);
    tone = inks[0];
    for (int k = 1; k < 16; k++) {
      if (k >= count) break;
      if (shown + 1e-6 >= edges[k]) tone = inks[k];
    }
    if (limited) {
      bool past = below ? shown < limit : shown > limit;
      if (past && stripe(7.0, 1.0)) {
        float light = dot(tone, vec3(0.2126, 0.7152, 0.0722));
        tone = light > 0.35 ? mix(tone, vec3(0.063, 0.098, 0.122), 0.7) : mix(tone, vec3(1.0), 0.6);
      }
    }
  }
  gl_FragColor = vec4(min(tone * relief(n), vec3(1.0)), 1.0);
}`;

const rgb = (text) => new THREE.Vector3(...[1, 3, 5].map((k) => parseInt(text.slice(k, k + 2), 16) / 255));

export class SurfaceDrawn {
  constructor(mesh, normals) {
    this.mesh = mesh;
    this.normals = normals;
    this.uniforms = {
      edges: { value: new Float32Array(16) },
      inks: { value: Array.from({ length: 16 }, () => new THREE.Vector3()) },
      count: { value: 0 },
      perSi: { value: 1 },
      magnitude: { value: false },
      limited: { value: false },
      limit: { value: 0 },
      below: { value: false },
      mould: { value: rgb("#d3dadc") },
      ink: { value: rgb("#10191f") },
      ratio: { value: 1 },
    };
    const material = new THREE.ShaderMaterial({
      vertexShader: VERTEX,
      fragmentShader: FRAGMENT,
      uniforms: this.uniforms,
      side: THREE.DoubleSide,
      toneMapped: false,
    });
    this.all = true;
    this.object = new THREE.Mesh(this.#shared, material);
    this.object.frustumCulled = false;
  }

  // Corners are shared by triangles: a sixth of the work for the graphics.
  get #shared() {
    this.joined ??= this.#geometry(this.mesh.positions, this.normals, this.mesh.triangles);
    return this.joined;
  }

  // Each triangle has corners of its own, so that its value ends at its edge; made when a map wants it.
  get #apart() {
    this.exploded ??= this.#torn(this.mesh.triangles);
    return this.exploded;
  }

  #torn(t) {
    const [place, normal] = [new Float32Array(3 * t.length), new Float32Array(3 * t.length)];
    for (let k = 0; k < t.length; k++) {
      for (let d = 0; d < 3; d++) {
        place[3 * k + d] = this.mesh.positions[3 * t[k] + d];
        normal[3 * k + d] = this.normals[3 * t[k] + d];
      }
    }
    return this.#geometry(place, normal);
  }

  #geometry(place, normal, triangles) {
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.BufferAttribute(place, 3));
    geometry.setAttribute("normal", new THREE.BufferAttribute(normal, 3));
    geometry.setAttribute("value", new THREE.BufferAttribute(new Float32Array(place.length / 3).fill(NONE), 1));
    if (triangles) geometry.setIndex(new THREE.BufferAttribute(triangles, 1));
    return geometry;
  }

  // Fewer triangles for a hand that turns it; corners and values that are shared are not sent to the graphics again.
  #thin() {
    if (this.few === undefined) this.few = thinned(this.mesh.positions, this.mesh.triangles, FEW);
    if (!this.few) return this.#whole();
    if (this.field?.on === "triangle") {
      this.fewTorn ??= this.#torn(this.few.triangles);
      this.#valued(this.fewTorn, (k) => this.few.from[(k / 3) | 0]);
      return this.fewTorn;
    }
    if (!this.fewJoined) {
      this.fewJoined = new THREE.BufferGeometry();
      for (const [name, attribute] of Object.entries(this.#shared.attributes)) this.fewJoined.setAttribute(name, attribute);
      this.fewJoined.setIndex(new THREE.BufferAttribute(this.few.triangles, 1));
    }
    return this.fewJoined;
  }

  #whole() {
    return this.field?.on === "triangle" ? this.#apart : this.#shared;
  }

  // Whether all triangles are drawn, or as few as a picture needs while it is turned.
  wholly(on) {
    if (on === this.all) return;
    this.all = on;
    this.object.geometry = on ? this.#whole() : this.#thin();
  }

  // Write the map's values at corners; `of` is which value a corner has.
  #valued(geometry, of) {
    if (geometry.userData.field === this.field) return;
    geometry.userData.field = this.field;
    const values = geometry.attributes.value.array;
    for (let k = 0; k < values.length; k++) {
      const v = this.field.values[of(k)];
      values[k] = Number.isFinite(v) ? v : NONE;
    }
    geometry.attributes.value.needsUpdate = true;
  }

  // Colour by a field, or by none when it is undefined.
  by(field) {
    const u = this.uniforms;
    u.count.value = field ? field.edges.length : 0;
    this.field = field;
    if (field) {
      this.#valued(this.#whole(), field.on === "triangle" ? (k) => (k / 3) | 0 : (k) => k);
      field.edges.forEach((edge, k) => (u.edges.value[k] = edge));
      field.colours.forEach((colour, k) => u.inks.value[k].copy(rgb(colour)));
      u.perSi.value = field.perSi;
      u.magnitude.value = field.magnitude;
      u.limited.value = field.limit !== null;
      u.limit.value = field.limit ?? 0;
      u.below.value = field.below;
    }
    const all = this.all;
    this.all = undefined;
    this.wholly(all);
  }

  themed({ mould, ink }) {
    this.uniforms.mould.value.copy(rgb(mould));
    this.uniforms.ink.value.copy(rgb(ink));
  }

  // Dots of the picture to one of the sheet: stripes stay as wide.
  dotted(ratio) {
    this.uniforms.ratio.value = ratio;
  }

  gone() {
    for (const geometry of [this.joined, this.exploded, this.fewJoined, this.fewTorn]) geometry?.dispose();
    this.object.material.dispose();
  }
}

// The value under a place on a triangle, in the field's shown unit; null where there is none.
export function valueAt(mesh, field, hit) {
  if (!field) return null;
  const t = mesh.triangles;
  const v = field.values;
  const k = 3 * hit.triangle;
  const si =
    field.on === "triangle"
      ? v[hit.triangle]
      : hit.weights[0] * v[t[k]] + hit.weights[1] * v[t[k + 1]] + hit.weights[2] * v[t[k + 2]];
  if (!Number.isFinite(si)) return null;
  const shown = si * field.perSi;
  return field.magnitude ? Math.abs(shown) : shown;
}

export { rgb };
