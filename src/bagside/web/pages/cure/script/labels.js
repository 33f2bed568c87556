// Names beside their lines, notes beside their places: in the white, with leaders that cross nothing.

import { Frame } from "./frame.js";
import { clamp, escaped, width, wrapped } from "./numbers.js";
import { crossing } from "./room.js";

export class Labels extends Frame {
  put(room, text, points, { cls = "", bold = false, size = 13, gap = 5, above = false } = {}) {
    if (!points.length) return "";
    const w = width(text, size, bold);
    let best = null;
    const n = Math.min(points.length, 40);
    for (let q = 0; q < n; q++) {
      const [x, y] = points[Math.round((q * (points.length - 1)) / Math.max(n - 1, 1))];
      for (const g of [gap, gap + 5, gap + 12])
        for (const [l, b] of above
          ? [[x, y - g], [x - w / 2, y - g]]
          : [[x + g, y - g], [x + g, y + g + 9], [x - w - g, y - g], [x - w - g, y + g + 9], [x - w / 2, y - g - 2], [x - w / 2, y + g + 11]]) {
          const cost = room.cost(l - 2, b - size + 1, l + w + 2, b + 4) + g;
          if (!best || cost < best.cost) best = { cost, l, b };
        }
    }
    room.take(best.l - 3, best.b - size, best.l + w + 3, best.b + 5);
    return `<text x="${best.l.toFixed(1)}" y="${best.b.toFixed(1)}" class="name ${cls}${bold ? " b" : ""}">${escaped(text)}</text>`;
  }
  named(room, lines) {
    const s = this.shown;
    const w = this.words;
    const part = (points, a, b) => points.slice(Math.floor(a * (points.length - 1)), Math.ceil(b * (points.length - 1)) + 1);
    const out = [];
    for (const [b, edge] of lines.edges) {
      const dense = [];
      const [p, q] = [edge[0], edge[edge.length - 1]];
      if (edge.length === 2) for (let k = 0; k <= 30; k++) dense.push([p[0] + 6 + ((q[0] - p[0] - 12) * k) / 30, p[1]]);
      else dense.push(...edge.slice(Math.floor(edge.length / 3)));
      const words = this.small ? b.short : b.says;
      out.push(this.put(room, words, dense, { cls: "on-hatch", above: edge.length === 2, size: this.small ? 12 : 13 }));
    }
    if (s.gel) {
      const x = this.x(s.gel[0]);
      const y = this.hill(s.gel[1]);
      out.push(this.put(room, `${w.gel}, ${this.moment(s.gel[0])}`, [[x, y], [x, (y + this.box.bottom) / 2], [x, this.box.bottom - 14]], { cls: "cloth" }));
    }
    if (lines.tg.length > 1) out.push(this.put(room, this.small ? "Tg" : w.tg, part(lines.tg, 0.3, 1), { cls: "cloth", bold: true }));
    if (!this.small) {
      out.push(this.put(room, s.lag, part(lines.lag, 0.03, 0.7), { cls: "heat", bold: true }));
      out.push(this.put(room, s.lead, part(lines.lead, 0.03, 0.7), { cls: "heat" }));
      out.push(this.put(room, w.air, part(lines.air, 0.7, 1), { cls: "second" }));
    }
    const dense = [];
    for (let k = 1; k < lines.set.length; k++) for (let q = 1; q < 9; q++) dense.push([0, 1].map((i) => lines.set[k - 1][i] + ((lines.set[k][i] - lines.set[k - 1][i]) * q) / 9));
    if (!this.small) out.push(this.put(room, w.programme, dense, {}));
    const end = s.cure[s.cure.length - 1];
    out.push(this.put(room, `${w.degree} ${this.reader.number(end, 2)}`, part(lines.hill, 0.55, 1), { cls: "cloth" }));
    for (const line of this.small ? [] : (this.log?.lines ?? []))
      if (line.px.length > 1) out.push(this.put(room, line.name, part(line.px, 0.1, 0.95), { cls: "second" }));
    return out;
  }
  noted(room) {
    const out = [];
    const leaders = [];
    const { left, right, top, bottom } = this.box;
    const most = Math.min(300, 0.32 * (right - left));
    this.shown.notes.forEach((n) => {
      const at = this.spot(n);
      const heads = wrapped(n.head, 13, most, true);
      const texts = n.text ? wrapped(n.text, 13, most) : [];
      const w = Math.max(...heads.map((l) => width(l, 13, true)), ...texts.map((l) => width(l, 13)));
      const h = 18 * (heads.length + texts.length);
      let best = null;
      for (let x = left + 8; x + w < right - 6; x += 16)
        for (let y = top + 6; y + h < bottom - 4; y += 14) {
          const end = [clamp(at[0], x - 4, x + w + 4), clamp(at[1], y - 2, y + h + 4)];
          const far = Math.hypot(end[0] - at[0], end[1] - at[1]);
          if (far < 14) continue;
          let cost = room.cost(x - 6, y - 4, x + w + 6, y + h + 5) + 0.35 * far;
          for (const [a, b] of leaders) if (crossing(a, b, end, at)) cost += 400;
          for (const [l, t, r, b] of room.boxes)
            for (let q = 1; q < 8; q++) {
              const [px, py] = [end[0] + ((at[0] - end[0]) * q) / 8, end[1] + ((at[1] - end[1]) * q) / 8];
              if (px > l && px < r && py > t && py < b) cost += 60;
            }
          if (!best || cost < best.cost) best = { cost, x, y, end };
        }
      if (!best) return;
      leaders.push([best.end, at]);
      room.take(best.x - 6, best.y - 4, best.x + w + 6, best.y + h + 5);
      out.push(`<path d="M${best.end.map((v) => v.toFixed(1)).join(" ")}L${at.map((v) => v.toFixed(1)).join(" ")}" class="leader"/><circle cx="${at[0].toFixed(1)}" cy="${at[1].toFixed(1)}" r="2.6" class="dot"/>`);
      [...heads.map((l) => [l, true]), ...texts.map((l) => [l, false])].forEach(([line, bold], k) =>
        out.push(`<text x="${best.x.toFixed(1)}" y="${(best.y + 13 + 18 * k).toFixed(1)}" class="name note-${escaped(n.weight)}${bold ? " b" : ""}">${escaped(line)}</text>`),
      );
    });
    return out;
  }
  rings() {
    return this.shown.notes.map((n, k) => {
      const at = this.spot(n);
      const x = clamp(at[0], this.box.left + 11, this.box.right - 11);
      const y = clamp(at[1] - 16, this.box.top + 11, this.box.bottom - 11);
      return `<circle cx="${x}" cy="${y}" r="10" class="number"/><text x="${x}" y="${y + 4}" class="tick b" text-anchor="middle">${k + 1}</text>`;
    });
  }
}
