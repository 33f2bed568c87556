// Numbers as the sheet sets them, and small helpers; a Tongue for the browser.

export const ZERO = 273.15;
export const escaped = (s) =>
  String(s).replace(/[&<>"]/g, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[c]);
export const clamp = (v, a, b) => Math.min(Math.max(v, a), b);

let pen = null;

/** Width of a text as it is set [px]. */
export function width(text, size, bold = false) {
  pen ??= document.createElement("canvas").getContext("2d");
  pen.font = `${bold ? 700 : 400} ${size}px B612, "DejaVu Sans", sans-serif`;
  return pen.measureText(text).width;
}

/** A text in lines no wider than there is room. */
export function wrapped(text, size, most, bold = false) {
  const lines = [];
  let line = "";
  for (const word of text.split(/[ \n]+/)) {
    const longer = line ? `${line} ${word}` : word;
    if (line && width(longer, size, bold) > most) (lines.push(line), (line = word));
    else line = longer;
  }
  if (line) lines.push(line);
  return lines;
}

/** A duration as people say it. */
export function duration(seconds) {
  const minutes = Math.round(seconds / 60);
  if (minutes < 60) return `${minutes} min`;
  return minutes % 60 ? `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, "0")}` : `${minutes / 60} h`;
}

/** How a person reads temperatures: scale, zero and decimal sign. */
export class Reader {
  constructor(heat, decimal) {
    this.fahrenheit = heat === "fahrenheit";
    this.decimal = decimal;
    this.unit = this.fahrenheit ? " °F" : " °C";
    this.degree = this.fahrenheit ? 1 / 1.8 : 1; // one degree of the reader [K]
    this.zero = this.fahrenheit ? ZERO - 32 / 1.8 : ZERO; // the reader's zero [K]
  }
  shown(kelvin) {
    return (kelvin - this.zero) / this.degree;
  }
  kelvin(shown) {
    return this.zero + this.degree * shown;
  }
  number(value, digits) {
    const text = Math.abs(value).toFixed(digits);
    const signed = Number(text) === 0 ? text : (value < 0 ? "\u2212" : "") + text;
    return signed.replace(".", this.decimal);
  }
  degrees(kelvin, digits) {
    return this.number(this.shown(kelvin), digits) + this.unit;
  }
  rate(perSecond) {
    const value = (60 * perSecond) / this.degree;
    return `${this.number(value, value < 0.95 ? 2 : 1)} ${this.fahrenheit ? "°F" : "°"}/min`;
  }
}
