// The chart as SVG: hill, limits, band, curves, what was measured, and the segments under the axis.

import { Labels } from "./labels.js";
import { clamp, duration, escaped, width } from "./numbers.js";
import { Room } from "./room.js";

export class Painter extends Labels {
  painted() {
    const s = this.shown;
    const { left, right, top, bottom } = this.box;
    const room = new Room(left, top, right, bottom);
    const out = [
      `<defs><pattern id="no-go" patternUnits="userSpaceOnUse" width="7" height="7" patternTransform="rotate(45)"><path d="M0 0H0V7" class="hatch"/></pattern>` +
        `<clipPath id="plot"><rect x="${left}" y="${top}" width="${right - left}" height="${bottom - top}"/></clipPath></defs>`,
    ];
    const hill = this.px(s.time, s.cure, (a) => this.hill(a));
    const lead = this.px(s.time, s.leading, (k) => this.y(k));
    const lag = this.px(s.time, s.lagging, (k) => this.y(k));
    const air = this.px(s.time, s.air, (k) => this.y(k));
    const tg = this.px(s.time, s.tg, (k) => this.y(k)).filter(([, y]) => y <= bottom);
    const set = this.corners.map(([t, c]) => [this.x(t), this.y(c)]);
    const late = [hill[hill.length - 1][0], bottom];
    out.push(`<path d="${this.d(hill)}L${late.join(" ")}L${hill[0][0]} ${bottom}Z" class="hill" clip-path="url(#plot)"/>`);
    out.push(...this.axes(left, right, top, bottom));
    const edges = [];
    for (const b of s.bounds) {
      const edge = b.times.map((t, k) => [this.x(Math.min(t, this.ends.t)), clamp(this.y(b.edge[k]), top, bottom)]);
      if (b.edge.length === 2 && b.times[1] >= s.duration - 1) edge[1][0] = right;
      if (edge.every(([, y]) => y <= top + 1)) continue;
      out.push(`<path d="${this.d(edge)}L${edge[edge.length - 1][0]} ${top}L${edge[0][0]} ${top}Z" class="keep-out"/>`);
      out.push(`<path d="${this.d(edge)}" class="edge"/>`);
      room.line(edge);
      edges.push([b, edge]);
    }
    out.push(`<g clip-path="url(#plot)">`);
    out.push(`<path d="${this.d(lead)}${this.d([...lag].reverse()).replace("M", "L")}Z" class="band"/>`);
    out.push(`<path d="${this.d(hill)}" class="cure"/><path d="${this.d(air)}" class="air"/>`);
    if (tg.length > 1) out.push(`<path d="${this.d(tg)}" class="tg"/>`);
    out.push(`<path d="${this.d(lead)}" class="lead"/><path d="${this.d(lag)}" class="lag"/>`);
    out.push(`<path d="${this.d(set)}" class="set"/></g>`);
    for (const line of [hill, lead, lag, set, tg]) if (line.length > 1) room.line(line);
    room.line(air, 0.5);
    const { hand } = this;
    if (hand) room.take(hand.x - 4, hand.y - 14, hand.x + hand.w + 4, hand.y + 6);
    for (const [x, y] of set.slice(1)) room.take(x - 12, y - 12, x + 12, y + 12);
    out.push(...this.measured(room));
    if (s.gel) {
      const x = this.x(s.gel[0]);
      const y = this.hill(s.gel[1]);
      out.push(`<path d="M${x} ${y}V${bottom}" class="thin cloth"/><circle cx="${x}" cy="${y}" r="3.6" class="ring cloth"/>`);
      room.line([[x, y], [x, bottom]]);
    }
    if (this.ringed)
      for (const n of s.notes) {
        const [x, y] = this.spot(n);
        room.take(x - 12, y - 28, x + 12, y - 4);
      }
    out.push(...this.named(room, { lead, lag, air, tg, hill, set, edges }));
    out.push(...(this.ringed ? this.rings() : this.noted(room)));
    if (!this.small) out.push(...this.segments(bottom));
    return out.join("");
  }
  axes(left, right, top, bottom) {
    const { t, low, high } = this.ends;
    const out = [];
    const r = this.reader;
    const span = r.shown(high) - r.shown(low);
    const step = span > (r.fahrenheit ? 260 : 150) || this.small ? (r.fahrenheit ? 80 : 40) : r.fahrenheit ? 40 : 20;
    for (let v = step * Math.ceil(r.shown(low) / step - 1e-9); v <= r.shown(high) + 1e-9; v += step) {
      const y = this.y(r.kelvin(v));
      const last = v + step > r.shown(high) + 1e-9;
      out.push(`<path d="M${left} ${y}H${right}" class="hair"/>`);
      out.push(
        `<text x="${left - 6}" y="${y + 4}" class="tick" text-anchor="end">${r.number(v, 0)}${last ? r.unit : ""}</text>`,
      );
    }
    out.push(`<path d="M${left} ${bottom}H${right}" class="axis"/>`);
    const begins = this.clock?.begins ?? 0;
    const hours = [0.25, 0.5, 1, 2, 3, 6, 12, 24].find((h) => ((right - left) * h * 3600) / t >= (this.small ? 52 : 58)) ?? 24;
    for (let k = Math.ceil(begins / (hours * 3600) - 1e-9); k * hours * 3600 - begins <= t + 1; k++) {
      const at = k * hours * 3600 - begins;
      const x = this.x(at);
      out.push(`<path d="M${x} ${bottom}v5" class="axis"/>`);
      if (this.clock && at > 60 && x < left + 42) continue; // the moment heat comes on stands there
      const midnight = this.clock && (begins + at) % 86400 === 0;
      const words = this.clock ? (midnight ? (this.clock.days[Math.round((begins + at) / 86400)] ?? this.moment(at)) : this.moment(at)) : duration(at);
      out.push(`<text x="${x}" y="${bottom + 18}" class="tick${midnight ? " b" : ""}" text-anchor="middle">${escaped(words)}</text>`);
    }
    if (this.clock) {
      out.push(`<path d="M${left} ${bottom}v5" class="axis"/><text x="${left}" y="${bottom + 18}" class="tick" text-anchor="middle">${this.moment(0)}</text>`);
    }
    for (const a of [0.2, 0.4, 0.6, 0.8, 1]) {
      const y = this.hill(a);
      out.push(`<path d="M${right} ${y}h4" class="thin cloth"/><text x="${right + 7}" y="${y + 4}" class="tick cloth">${this.reader.number(a, 1)}</text>`);
    }
    out.push(`<text x="${right + 34}" y="${this.hill(1) - 12}" class="tick cloth" text-anchor="end">${escaped(this.words.cured)}</text>`);
    return out;
  }
  measured(room) {
    const out = [];
    for (const line of this.log?.lines ?? []) {
      let last = -99;
      const marks = [];
      const seen = [];
      for (let k = 0; k < line.time.length; k++) {
        if (line.values[k] === null) continue;
        const x = this.x(line.time[k]);
        const y = this.y(line.values[k]);
        seen.push([x, y]);
        if (x - last < 11) continue;
        last = x;
        marks.push(line.kind === "air" ? `<path d="M${(x - 3).toFixed(1)} ${y.toFixed(1)}h6" class="read"/>` : `<circle cx="${x.toFixed(1)}" cy="${y.toFixed(1)}" r="2.2" class="ring read"/>`);
      }
      out.push(`<g class="m-${escaped(line.kind)}">${marks.join("")}</g>`);
      room.line(seen, 0.5);
      line.px = seen;
    }
    const cure = this.log?.cure;
    if (cure) {
      const points = this.px(cure.time, cure.values, (a) => this.hill(a));
      out.push(`<path d="${this.d(points)}" class="from-log"/>`);
      room.line(points, 0.5);
    }
    return out;
  }
  segments(bottom) {
    const out = [];
    const y = bottom + 28;
    const c = this.corners;
    const spans = [];
    for (let k = 1; k < c.length; k++) {
      const [t0, k0] = c[k - 1];
      const [t1, k1, seg, end] = c[k];
      if (end === "rise") spans.push([t0, t1, k1 >= k0 ? this.words.rise : this.words.fall, this.reader.rate(this.segs[seg][1])]);
      else spans.push([t0, t1, `${this.words.hold} ${this.reader.degrees(k1, 0)}`, duration(t1 - t0)]);
    }
    const t = c[c.length - 1][0];
    if (this.shown.duration > t + 60) spans.push([t, this.shown.duration, this.words.cool, duration(this.shown.duration - t)]);
    let last = -99;
    for (const [a, b, head, under] of spans) {
      const [x0, x1] = [this.x(a), this.x(b)];
      for (const x of [x0, x1]) if (x - last > 1) (out.push(`<path d="M${x.toFixed(1)} ${y}v28" class="bracket"/>`), (last = x));
      const roomy = x1 - x0 - 6;
      if (Math.max(width(head, 12), width(under, 12)) <= roomy) {
        out.push(`<text x="${(x0 + x1) / 2}" y="${y + 11}" class="tick b" text-anchor="middle">${escaped(head)}</text>`);
        out.push(`<text x="${(x0 + x1) / 2}" y="${y + 26}" class="tick second" text-anchor="middle">${escaped(under)}</text>`);
      } else if (width(under, 11) <= roomy) out.push(`<text x="${(x0 + x1) / 2}" y="${y + 18}" class="tick second" text-anchor="middle">${escaped(under)}</text>`);
    }
    return out;
  }
}
