// Notes in the picture's white, each with one leader to its place: free room near it, no leader over another; the surface
// makes a little room for them. What finds none is a numbered ring on the picture, and stands in a list under it.

import { made } from "./marks.js";

const CELL = 12;
const GAP = 14;
const WIDTHS = [260, 216, 180]; // px: a narrower note where a wide one finds no room
const SIDES = [[0, 0], [0, 190], [190, 0], [0, 230], [230, 0], [180, 180]]; // px left of the surface and right of it
const LEAST = 0.7; // of its size, to which the surface may shrink for notes
export const NARROW = 640; // px; under it notes stand in a list

const side = (a, b, c) => (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
const crossed = (a, b, c, d) => side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0;

export class Notes {
  constructor(slot, svg, stage) {
    Object.assign(this, { slot, stage });
    this.layer = made("g");
    svg.append(this.layer);
    this.items = [];
    this.watch = new MutationObserver(() => {
      this.read();
      stage.rested();
      stage.draw();
    });
    this.watch.observe(slot, { childList: true, subtree: true, characterData: true, attributes: true,
      attributeFilter: ["data-at"] });
    this.read();
  }

  read() {
    this.items = [...this.slot.children]
      .filter((element) => element.dataset.at)
      .map((element) => ({ element, at: element.dataset.at.split(",").map(Number), box: null }));
  }

  // Choose where notes stand; called when the picture has come to rest. It may be smaller after that.
  place() {
    const { sight } = this.stage;
    if (!this.stage.mesh || sight.width < 2) return;
    for (const item of this.items) item.box = null;
    if (this.items.length && sight.width >= NARROW && !this.stage.onPaper) this.#roomed();
    let listed = 0;
    for (const { element, box } of this.items) {
      element.classList.toggle("bg-placed", box !== null);
      element.style.transform = box ? `translate(${box.x}px,${box.y}px)` : "";
      if (!box) element.style.maxWidth = "";
      const no = box ? "" : String(++listed);
      if ((element.dataset.no ?? "") !== no) element.dataset.no = no;
    }
    this.slot.classList.toggle("bg-listed", listed > 0);
    this.#drawn();
    this.stage.laid();
  }

  // Try how much room the surface leaves, and how wide notes are, until all stand beside it, or as many as can.
  #roomed() {
    const { sight } = this.stage;
    const even = this.stage.margins();
    // it keeps its place for who has turned or moved it by hand, or is about to click on it
    const sides = sight.touched || this.stage.picking ? [null] : SIDES;
    let best = null;
    let whole = 0;
    for (const side of sides) {
      if (side) sight.within({ ...even, left: even.left + side[0], right: even.right + side[1] });
      whole ||= sight.scale;
      if (sight.scale < LEAST * whole) continue;
      const taken = this.#taken();
      for (const most of WIDTHS) {
        const boxes = this.#standing(most, taken);
        const count = boxes.filter(Boolean).length;
        if (!best || count > best.count) best = { count, boxes, most, margins: sight.margins };
        if (count === this.items.length) break;
      }
      if (best.count === this.items.length) break;
    }
    sight.within(best.margins);
    this.items.forEach((item, k) => {
      item.box = best.boxes[k];
      item.element.style.maxWidth = `${best.most}px`;
    });
  }

  // Where each note stands when it is at most so wide; null for one that finds no room.
  #standing(most, taken) {
    for (const { element } of this.items) {
      element.style.maxWidth = `${most}px`;
      element.classList.add("bg-placed");
    }
    const { sight } = this.stage;
    const wide = Math.ceil(sight.width / CELL);
    const high = Math.ceil(sight.height / CELL);
    const leaders = [];
    const boxes = [];
    const out = this.items.map(() => null);
    const sorted = this.items.map((item, k) => ({ ...item, k })).sort((a, b) => sight.seen(a.at)[1] - sight.seen(b.at)[1]);
    for (const item of sorted) {
      const w = item.element.offsetWidth;
      const h = item.element.offsetHeight;
      const at = sight.seen(item.at);
      let best = null;
      for (let row = 0; row * CELL + h <= sight.height; row++) {
        for (let col = 0; col * CELL + w <= sight.width; col++) {
          const [x, y] = [col * CELL, row * CELL];
          const from = end(x, y, w, h, at);
          const cost = Math.hypot(from[0] - at[0], from[1] - at[1]);
          if (best && cost >= best.cost) continue;
          if (boxes.some((b) => x < b.x + b.w + GAP && b.x < x + w + GAP && y < b.y + b.h + GAP && b.y < y + h + GAP))
            continue;
          if (filled(taken, wide, high, x - 6, y - 4, w + 12, h + 8)) continue;
          if (leaders.some(([a, b]) => crossed(a, b, from, at))) continue;
          if (boxes.some((b) => through(b, from, at))) continue;
          if (leaders.some(([a, b]) => through({ x, y, w, h }, a, b))) continue;
          best = { x, y, w, h, from, cost };
        }
      }
      if (!best) continue;
      out[item.k] = best;
      boxes.push(best);
      leaders.push([best.from, at]);
    }
    return out;
  }

  // Where the surface is seen, in cells.
  #taken() {
    const { sight, mesh } = this.stage;
    const wide = Math.ceil(sight.width / CELL);
    const high = Math.ceil(sight.height / CELL);
    const out = new Uint8Array(wide * high);
    const { right, up } = sight.axes;
    const p = mesh.positions;
    const [cx, cy] = [0, 0].map((_, d) => (d ? up : right).reduce((sum, a, k) => sum + a * sight.target[k], 0));
    const flat = new Float32Array((2 * p.length) / 3);
    for (let k = 0, v = 0; k < p.length; k += 3, v += 2) {
      flat[v] = sight.width / 2 + sight.scale * (p[k] * right[0] + p[k + 1] * right[1] + p[k + 2] * right[2] - cx);
      flat[v + 1] = sight.height / 2 - sight.scale * (p[k] * up[0] + p[k + 1] * up[1] + p[k + 2] * up[2] - cy);
    }
    const put = (x, y) => {
      const [c, r] = [Math.floor(x / CELL), Math.floor(y / CELL)];
      if (c >= 0 && r >= 0 && c < wide && r < high) out[r * wide + c] = 1;
    };
    const t = mesh.triangles;
    for (let k = 0; k < t.length; k += 3) {
      const [ax, ay, bx, by] = [flat[2 * t[k]], flat[2 * t[k] + 1], flat[2 * t[k + 1]], flat[2 * t[k + 1] + 1]];
      const [dx, dy] = [flat[2 * t[k + 2]], flat[2 * t[k + 2] + 1]];
      const span = Math.max(Math.abs(ax - bx), Math.abs(bx - dx), Math.abs(dx - ax), Math.abs(ay - by), Math.abs(by - dy),
        Math.abs(dy - ay));
      const steps = Math.min(80, Math.ceil((1.4 * span) / (0.8 * CELL)));
      for (let i = 0; i <= steps; i++) {
        for (let j = 0; j <= steps - i; j++) {
          const [u, v] = [i / (steps || 1), j / (steps || 1)];
          put(ax + u * (bx - ax) + v * (dx - ax), ay + u * (by - ay) + v * (dy - ay));
        }
      }
    }
    return out;
  }

  #drawn() {
    this.layer.replaceChildren();
    for (const item of this.items) {
      const group = made("g");
      if (item.box) {
        group.append(made("path", { class: "bg-leader-halo" }), made("path", { class: "bg-leader" }),
          made("circle", { r: 3.4, fill: "#f4f7f6" }), made("circle", { r: 2.3, fill: "#10191f" }));
      } else {
        group.append(made("circle", { r: 10.5, fill: "#f4f7f6", stroke: "#10191f", "stroke-width": 1.6 }));
        const number = made("text", { "text-anchor": "middle", dy: "0.35em", fill: "#10191f", "font-weight": 700,
          "font-size": 13, "font-family": "B612, DejaVu Sans, sans-serif" });
        number.textContent = item.element.dataset.no;
        group.append(number);
      }
      item.group = group;
      this.layer.append(group);
    }
  }

  // Leaders and rings follow while the picture turns.
  placed(sight, hidden) {
    for (const item of this.items) {
      if (!item.group) continue;
      const at = sight.seen(item.at);
      const behind = hidden(item.at);
      item.element.toggleAttribute("data-hidden", behind);
      if (!item.box) {
        item.group.setAttribute("transform", `translate(${at[0].toFixed(1)} ${at[1].toFixed(1)})`);
        item.group.setAttribute("opacity", behind ? 0.45 : 1);
        continue;
      }
      const { x, y, w, h } = item.box;
      const from = end(x, y, w, h, at);
      const [halo, line, white, dot] = item.group.children;
      const data = `M${from[0]} ${from[1]}L${at[0].toFixed(1)} ${at[1].toFixed(1)}`;
      halo.setAttribute("d", behind ? "" : data);
      line.setAttribute("d", data);
      line.setAttribute("stroke-dasharray", behind ? "4 3" : "");
      line.style.stroke = behind ? "var(--ink2,#46535b)" : "";
      for (const c of [white, dot]) {
        c.setAttribute("cx", at[0]);
        c.setAttribute("cy", at[1]);
      }
    }
  }

  gone() {
    this.watch.disconnect();
  }
}

// Where a leader leaves its note: at the first line on the side, or under or over it, whichever is nearer to the place.
function end(x, y, w, h, at) {
  if (at[0] > x + w) return [x + w + 5, Math.max(y + 9, Math.min(y + h - 9, at[1] < y ? y + 9 : y + h - 9))];
  if (at[0] < x) return [x - 5, Math.max(y + 9, Math.min(y + h - 9, at[1] < y ? y + 9 : y + h - 9))];
  return [Math.max(x + 8, Math.min(x + w - 8, at[0])), at[1] < y ? y - 4 : y + h + 4];
}

function filled(taken, wide, high, x, y, w, h) {
  const [c0, r0] = [Math.max(0, Math.floor(x / CELL)), Math.max(0, Math.floor(y / CELL))];
  const [c1, r1] = [Math.min(wide - 1, Math.floor((x + w) / CELL)), Math.min(high - 1, Math.floor((y + h) / CELL))];
  for (let r = r0; r <= r1; r++) for (let c = c0; c <= c1; c++) if (taken[r * wide + c]) return true;
  return false;
}

function through(box, a, b) {
  const { x, y, w, h } = box;
  const corners = [[x, y], [x + w, y], [x + w, y + h], [x, y + h]];
  return corners.some((c, k) => crossed(a, b, c, corners[(k + 1) % 4]));
}
