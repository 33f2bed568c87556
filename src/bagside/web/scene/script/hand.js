// The hand on the picture: one finger or button turns, two fingers or the other button move and bring nearer, a tap picks.

const STILL = 5; // px that a tap may wander

export class Hand {
  constructor(element, call) {
    this.call = call;
    this.element = element;
    this.down = new Map();
    this.listen = [
      ["pointerdown", (e) => this.#pressed(e)],
      ["pointermove", (e) => this.#moved(e)],
      ["pointerup", (e) => this.#lifted(e, true)],
      ["pointercancel", (e) => this.#lifted(e, false)],
      ["pointerleave", () => !this.down.size && call.left()],
      ["contextmenu", (e) => e.preventDefault()],
      ["wheel", (e) => this.#wheeled(e)],
    ];
    for (const [name, handler] of this.listen) element.addEventListener(name, handler, { passive: false });
  }

  #at(e) {
    const box = this.element.getBoundingClientRect();
    return [e.clientX - box.left, e.clientY - box.top];
  }

  #pressed(e) {
    if (e.target.closest(".bg-handle")) return;
    this.element.setPointerCapture(e.pointerId);
    const at = this.#at(e);
    this.down.set(e.pointerId, { at, from: at, moves: e.button > 0 || e.shiftKey, travelled: false });
    if (this.down.size > 1) for (const finger of this.down.values()) finger.travelled = true;
  }

  #moved(e) {
    const at = this.#at(e);
    const finger = this.down.get(e.pointerId);
    if (!finger) {
      if (e.pointerType !== "touch") this.call.hovered(...at);
      return;
    }
    const before = finger.at;
    if (!finger.travelled && Math.hypot(at[0] - finger.from[0], at[1] - finger.from[1]) < STILL) return;
    finger.travelled = true;
    finger.at = at;
    if (this.down.size === 1) {
      const step = [at[0] - before[0], at[1] - before[1]];
      if (finger.moves) this.call.moved(...step);
      else this.call.turned(...step);
    } else if (this.down.size === 2) {
      const other = [...this.down.values()].find((f) => f !== finger).at;
      const was = Math.hypot(before[0] - other[0], before[1] - other[1]);
      const is = Math.hypot(at[0] - other[0], at[1] - other[1]);
      this.call.moved((at[0] - before[0]) / 2, (at[1] - before[1]) / 2);
      this.call.zoomed(is / Math.max(was, 1), (at[0] + other[0]) / 2, (at[1] + other[1]) / 2);
    }
  }

  #lifted(e, meant) {
    const finger = this.down.get(e.pointerId);
    if (!finger) return;
    this.down.delete(e.pointerId);
    if (meant && !finger.travelled && !finger.moves) this.call.tapped(...this.#at(e));
    if (!this.down.size) this.call.settled();
  }

  // The wheel scrolls the page as ever, unless the picture is in hand or there is nothing to scroll.
  #wheeled(e) {
    const page = document.scrollingElement;
    const mine =
      e.ctrlKey || e.metaKey || this.element === document.activeElement || page.scrollHeight <= innerHeight + 2;
    if (!mine) return;
    e.preventDefault();
    this.call.zoomed(Math.exp(-Math.max(-120, Math.min(120, e.deltaY)) * 0.002), ...this.#at(e));
    clearTimeout(this.after);
    this.after = setTimeout(() => this.call.settled(), 150);
  }

  gone() {
    clearTimeout(this.after);
    for (const [name, handler] of this.listen) this.element.removeEventListener(name, handler);
  }
}
