// Handles on the surface: tape squares that are dragged over it, by finger, mouse or arrow keys.

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

export class Handles {
  constructor(parent, stage, dragged, words) {
    Object.assign(this, { parent, stage, dragged, words });
    this.items = new Map();
  }

  set(list) {
    const wanted = new Set(list.map((h) => h.key));
    for (const [key, item] of this.items) {
      if (!wanted.has(key)) {
        item.element.remove();
        this.items.delete(key);
      }
    }
    for (const h of list) {
      const item = this.items.get(h.key) ?? this.#made(h.key);
      if (!item.held) item.at = h.at.map(Number);
      item.label = h.label;
      item.element.lastChild.textContent = h.words ?? "";
      // the order of the keyboard follows the order of the list
      this.parent.append(item.element);
      this.#named(item);
    }
  }

  #made(key) {
    const element = document.createElement("button");
    element.type = "button";
    element.className = "bg-handle";
    element.dataset.key = key;
    element.append(document.createElement("span"));
    const item = { key, element, at: [0, 0, 0], held: false };
    element.addEventListener("pointerdown", (e) => {
      e.stopPropagation();
      element.setPointerCapture(e.pointerId);
      element.focus({ preventScroll: true });
      item.held = true;
      const box = element.getBoundingClientRect();
      item.off = [e.clientX - box.left - box.width / 2, e.clientY - box.top - box.height / 2];
      element.classList.add("bg-held");
    });
    element.addEventListener("pointermove", (e) => {
      if (!item.held) return;
      const box = this.parent.getBoundingClientRect();
      this.#to(item, e.clientX - box.left - item.off[0], e.clientY - box.top - item.off[1], false);
    });
    const drop = (e) => {
      if (!item.held) return;
      item.held = false;
      element.classList.remove("bg-held");
      if (item.hit) this.dragged(item, item.hit, true);
      item.hit = null;
      e.stopPropagation();
    };
    element.addEventListener("pointerup", drop);
    element.addEventListener("pointercancel", drop);
    element.addEventListener("keydown", (e) => {
      const way = ARROWS[e.key];
      if (!way || e.ctrlKey || e.altKey || e.metaKey) return;
      e.preventDefault();
      e.stopPropagation();
      const step = e.shiftKey ? 1 : 6;
      const at = this.stage.sight.seen(item.at);
      this.#to(item, at[0] + step * way[0], at[1] + step * way[1], true);
    });
    this.items.set(key, item);
    return item;
  }

  #to(item, x, y, done) {
    const hit = this.stage.under(x, y);
    if (!hit) return;
    item.at = hit.place;
    item.hit = hit;
    this.#named(item);
    this.stage.laid();
    this.dragged(item, hit, done);
    if (done) this.stage.say(this.stage.placeSaid(hit.place));
  }

  #named(item) {
    item.element.setAttribute("aria-label", `${item.label}: ${this.stage.placeSaid(item.at)}`);
  }

  placed(sight, hidden) {
    for (const item of this.items.values()) {
      const [x, y] = sight.seen(item.at);
      item.element.style.transform = `translate(${x.toFixed(1)}px,${y.toFixed(1)}px)`;
      item.element.classList.toggle("bg-behind", hidden(item.at));
    }
  }
}
