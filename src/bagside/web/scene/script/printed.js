// The picture on paper: drawn anew on white, with what stands over it as one drawing that keeps its shape at any width.

import { made } from "./marks.js";

export const ON_PAPER = { dark: false, paper: "#ffffff", ink: "#000000", edge: "#000000", mould: "#d3dadc" };

export class Printed {
  constructor(stage, canvas, over) {
    Object.assign(this, { stage, canvas, over });
    this.before = () => this.#put();
    this.after = () => this.#away();
    addEventListener("beforeprint", this.before);
    addEventListener("afterprint", this.after);
  }

  #put() {
    const { stage } = this;
    if (!stage.mesh || this.sheet) return;
    const { width, height } = stage.sight;
    stage.onPaper = true; // notes go into a list: beside the picture they would stand elsewhere on a narrower sheet
    stage.themed();
    stage.rested();
    stage.drawn();
    this.sheet = made("svg", { class: "bg-over bg-print", viewBox: `0 0 ${width} ${height}`, "aria-hidden": "true" });
    const picture = made("image", { width, height });
    // what was drawn can be taken as long as nothing else has run
    picture.setAttribute("href", this.canvas.toDataURL());
    this.sheet.append(picture, ...[...this.over.childNodes].map((node) => node.cloneNode(true)));
    stage.parts.stage.after(this.sheet);
  }

  #away() {
    if (!this.sheet) return;
    this.sheet.remove();
    this.sheet = null;
    this.stage.onPaper = false;
    this.stage.themed();
    this.stage.rested();
  }

  gone() {
    removeEventListener("beforeprint", this.before);
    removeEventListener("afterprint", this.after);
  }
}
