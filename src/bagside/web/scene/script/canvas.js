// What draws the scene on its canvas: with smoothed edges and every dot of the screen at rest, plainer while it is turned.

import { THREE } from "nicegui-scene";

const SAMPLES = 4;
const FINEST = 2; // dots to one of the sheet: more are not seen

export class NoPicture extends Error {}

export class Canvas {
  constructor(element) {
    try {
      // smoothed edges are paid for by a picture of their own, so that a hand need not wait for them
      this.renderer = new THREE.WebGLRenderer({ canvas: element, antialias: false, alpha: true });
    } catch {
      throw new NoPicture();
    }
    this.renderer.setClearAlpha(0);
    this.gl = this.renderer.getContext();
    this.ratio = 1;
    this.dot = new Uint8Array(4);
    this.#makeSheet();
  }

  #makeSheet() {
    this.whole = new THREE.WebGLRenderTarget(1, 1, {
      samples: Math.min(SAMPLES, this.gl.getParameter(this.gl.MAX_SAMPLES)),
      minFilter: THREE.NearestFilter,
      magFilter: THREE.NearestFilter,
    });
    this.copy = new THREE.ShaderMaterial({
      uniforms: { whole: { value: this.whole.texture } },
      vertexShader: "varying vec2 at; void main() { at = uv; gl_Position = vec4(position.xy, 0.0, 1.0); }",
      fragmentShader: "uniform sampler2D whole; varying vec2 at; void main() { gl_FragColor = texture2D(whole, at); }",
      blending: THREE.NoBlending,
      depthTest: false,
      depthWrite: false,
      toneMapped: false,
    });
    this.plane = new THREE.Mesh(new THREE.PlaneGeometry(2, 2), this.copy);
    this.plane.frustumCulled = false;
    this.sheet = new THREE.Scene();
    this.sheet.add(this.plane);
    this.flat = new THREE.Camera();
  }

  // Take a size [px] and a level of fineness; true when dots are larger or smaller than before.
  as(width, height, { ratio }) {
    const wanted = Math.min(window.devicePixelRatio || 1, FINEST, ratio);
    const other = wanted !== this.ratio;
    if (other || width !== this.width || height !== this.height) {
      [this.ratio, this.width, this.height] = [wanted, width, height];
      this.renderer.setPixelRatio(wanted);
      this.renderer.setSize(width, height, false);
    }
    return other;
  }

  // Draw, and return how long it took until it stood there [ms].
  draw(scene, camera, { smooth }) {
    const began = performance.now();
    if (smooth) {
      const [w, h] = [this.gl.drawingBufferWidth, this.gl.drawingBufferHeight];
      if (this.whole.width !== w || this.whole.height !== h) this.whole.setSize(w, h);
      this.renderer.setRenderTarget(this.whole);
      this.renderer.render(scene, camera);
      this.renderer.setRenderTarget(null);
      this.renderer.render(this.sheet, this.flat);
    } else {
      this.renderer.render(scene, camera);
    }
    // the one way to know that the graphics are done is to ask them for what they drew
    this.gl.readPixels(0, 0, 1, 1, this.gl.RGBA, this.gl.UNSIGNED_BYTE, this.dot);
    return performance.now() - began;
  }

  gone() {
    this.whole.dispose();
    this.copy.dispose();
    this.plane.geometry.dispose();
    this.renderer.dispose();
    this.renderer.forceContextLoss();
  }
}
