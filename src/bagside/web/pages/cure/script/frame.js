// Where times, temperatures and degrees of cure stand on the chart.

import { clamp, duration } from "./numbers.js";

/** The chart's paper: what it shows and between what ends. */
export class Frame {
  constructor(of) {
    Object.assign(this, of); // shown, log, words, corners, segs, clock, reader, wide, tall, small, ringed, ends, hand
    this.box = {
      left: 46,
      right: this.wide - (this.small ? 30 : 40),
      top: 12,
      bottom: this.tall - (this.small ? 26 : 62),
    };
  }
  x(t) {
    return this.box.left + ((this.box.right - this.box.left) * t) / this.ends.t;
  }
  y(kelvin) {
    const { low, high } = this.ends;
    return this.box.bottom - ((this.box.bottom - this.box.top) * (kelvin - low)) / (high - low);
  }
  hill(cure) {
    return this.box.bottom - 0.62 * (this.box.bottom - this.box.top) * cure;
  }
  px(times, values, to) {
    const out = [];
    for (let k = 0; k < times.length; k++) if (values[k] !== null) out.push([this.x(times[k]), to(values[k])]);
    return out;
  }
  path(corners) {
    return this.d(corners.map(([t, c]) => [this.x(t), this.y(c)]));
  }
  d(points) {
    return points.map(([a, b], k) => `${k ? "L" : "M"}${a.toFixed(1)} ${b.toFixed(1)}`).join("");
  }
  moment(t) {
    if (!this.clock) return duration(t);
    const minutes = Math.round((this.clock.begins + t) / 60);
    return `${String(Math.floor(minutes / 60) % 24).padStart(2, "0")}:${String(minutes % 60).padStart(2, "0")}`;
  }
  spot(note) {
    const { left, right, top, bottom } = this.box;
    const y = note.cure === undefined ? this.y(note.kelvin) : this.hill(note.cure);
    return [clamp(this.x(note.t), left, right), clamp(y, top, bottom)];
  }
}
