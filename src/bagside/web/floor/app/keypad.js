// Numbers by gloved thumbs: one number a screen, keys of at least 60 px, the decimal sign of the language.

import { h } from "./h.js";
import { amount, decimal, say, toSi, tongue, unitOf } from "./say.js";

const MOST = 9; // digits

// field: quantity, digits, low, high, planned, say. Calls taken(si) or left().
export function keypad({ title, field, ambient, taken, left }) {
  const quantity = field.quantity;
  const { unit, more } = unitOf(quantity, ambient);
  const digits = Math.max(field.digits + more, 0);
  const minus = quantity === "temperature" || quantity === "angle";
  let typed = "";
  const figure = h("output", { class: "figure", "aria-live": "polite" });
  const verdict = h("p", { class: "verdict", role: "status" });
  const enter = h("button", { class: "go", type: "button", "data-key": "enter", onclick: () => value() !== null && taken(value()) }, say("enter"));

  const parsed = () => (/\d/.test(typed) ? Number(typed.replace(decimal(), ".")) : null);
  function value() {
    const shown = parsed();
    return shown === null || !Number.isFinite(shown) ? null : toSi(quantity, shown, ambient);
  }
  function press(key) {
    if (key === "-" && minus) typed = typed.startsWith("-") ? typed.slice(1) : `-${typed}`;
    else if (key === "<") typed = typed.slice(0, -1);
    else if (key === "." && digits && !typed.includes(decimal())) typed += typed === "" ? `0${decimal()}` : decimal();
    else if (/^\d$/.test(key) && typed.replace(/\D/g, "").length < MOST) typed += key;
    show();
  }
  function show() {
    const below = quantity === "pressure" && tongue.gauge === "below";
    figure.replaceChildren(
      h("span", {}, (below && typed ? "\u2212" : "") + (typed.replace("-", "\u2212") || "\u2007")), unit ? h("small", {}, unit) : "",
    );
    const si = value();
    const out = si !== null && ((field.low !== null && si < field.low) || (field.high !== null && si > field.high));
    verdict.textContent = out ? say("outside") : "";
    enter.disabled = si === null;
  }
  const keys = ["1", "2", "3", "4", "5", "6", "7", "8", "9", digits ? "." : "", "0", "<"];
  const names = { ".": decimal(), "<": say("delete") };
  const pad = h("div", { class: "keys" }, keys.map((key) => key === ""
    ? h("span", {})
    : h("button", { type: "button", class: key === "<" ? "word" : "", onclick: () => press(key) }, names[key] ?? key)));
  const screen = h("section", { class: "pad", "aria-label": title },
    h("h1", { tabindex: "-1" }, title), h("p", { class: "q" }, wanted(field, ambient)),
    h("div", { class: "shown" }, minus ? h("button", { type: "button", "aria-label": say("minus"), onclick: () => press("-") }, "\u2212") : "", figure), verdict, pad,
    h("div", { class: "row" }, h("button", { type: "button", class: "back word", onclick: left }, say("leave")), enter));
  screen.addEventListener("keydown", (event) => {
    const key = event.key === "," ? "." : event.key === "Backspace" ? "<" : event.key;
    if (/^[\d.<-]$/.test(key)) { press(key); event.preventDefault(); event.stopPropagation(); }
    else if (event.key === "Enter" && event.target.tagName !== "BUTTON") { enter.click(); event.preventDefault(); event.stopPropagation(); }
    else if (event.key === "Escape") { left(); event.stopPropagation(); }
  });
  show();
  return screen;
}

export function wanted(field, ambient) {
  const said = (si) => amount(field.quantity, si, field.digits, ambient);
  const words = [];
  if (field.planned !== null) words.push(say("planned", { value: said(field.planned) }));
  if (field.low !== null && field.high !== null) words.push(say("between", { low: said(field.low), high: said(field.high) }));
  else if (field.high !== null) words.push(say("at_most", { high: said(field.high) }));
  else if (field.low !== null && field.quantity !== "count") words.push(say("at_least", { low: said(field.low) }));
  return words.join("; ");
}

export function yesNo({ title, taken, left }) {
  return h("section", { class: "pad", "aria-label": title }, h("h1", { tabindex: "-1" }, title),
    h("div", { class: "stack" },
      h("button", { type: "button", onclick: () => taken(1) }, say("yes")),
      h("button", { type: "button", onclick: () => taken(0) }, say("no"))),
    h("div", { class: "row" }, h("button", { type: "button", class: "back word", onclick: left }, say("leave"))));
}

