// Elements from code. Nothing that a person typed is ever read as markup: texts are text nodes.
// Drawings are the one exception; they come from the server that serves the page.

import { decimal, say, tongue } from "./say.js";

export function h(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "class") element.className = value;
    else if (value === true) element.setAttribute(name, "");
    else element.setAttribute(name, value);
  }
  element.append(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false && c !== ""));
  return element;
}

export function spoken(tag, sentence, attributes = {}) {
  return h(tag, { ...attributes, lang: sentence.lang === document.documentElement.lang ? null : sentence.lang }, sentence.text);
}

const WORDS = [ // what stands in drawings, by its English form
  [/^warp$/, "drawn_warp"], [/^plies in order, mould at the bottom$/, "drawn_order"], [/^flat, mm, (?<scale>.+)$/, "drawn_flat"],
  [/^cut (?<n>\d+) for each part$/, "drawn_cut"], [/^thickness drawn ×(?<n>\d+)$/, "drawn_thick"],
  [/^thickness drawn ×(?<n>\d+), depth ×(?<d>[\d.]+)$/, "drawn_thick_depth"], [/^the mould alone$/, "drawn_alone"],
];

function inTongue(root) {
  if (tongue.language === "en") return;
  for (const text of root.querySelectorAll("text")) {
    for (const [form, key] of WORDS) {
      const found = form.exec(text.textContent);
      if (found) { text.textContent = say(key, found.groups ?? {}); break; }
    }
    for (const node of text.childNodes) {
      if (node.nodeType === Node.TEXT_NODE) node.data = node.data.replace(/(\d)\.(?=\d)/g, `$1${decimal()}`);
    }
  }
}

const drawn = new Map(); // a drawing is read once: a screen is put together anew at every tick

export function drawing(svg, words) {
  const key = tongue.language + svg;
  if (!drawn.has(key)) {
    if (drawn.size > 12) drawn.clear();
    drawn.set(key, read(svg, words));
  }
  return drawn.get(key);
}

function read(svg, words) {
  const holder = h("div", { class: "drawn" });
  const parsed = new DOMParser().parseFromString(`<div xmlns="http://www.w3.org/1999/xhtml">${svg}</div>`, "text/html");
  const root = parsed.querySelector("svg");
  if (root === null) return holder;
  for (const bad of root.querySelectorAll("script, foreignObject")) bad.remove();
  inTongue(root);
  if (words) root.setAttribute("aria-label", words);
  holder.append(document.importNode(root, true));
  return holder;
}

const SVG = "http://www.w3.org/2000/svg";

export function arrowLeft() {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", "0 0 30 24");
  svg.setAttribute("aria-hidden", "true");
  svg.setAttribute("class", "arrow");
  const path = document.createElementNS(SVG, "path");
  path.setAttribute("d", "M29 12H3M12 2L2 12L12 22");
  svg.append(path);
  return svg;
}

export function mark(ticked) {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", "0 0 20 20");
  svg.setAttribute("aria-hidden", "true");
  svg.setAttribute("class", "mark");
  const path = document.createElementNS(SVG, "path");
  path.setAttribute("d", ticked ? "M2 11L8 17L18 3" : "M3 3H17V17H3Z");
  svg.append(path);
  return svg;
}
