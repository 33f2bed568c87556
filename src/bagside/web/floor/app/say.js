// How the device speaks: words, numbers with the language's decimal sign, units as chosen.
// Values are SI everywhere else.

const THIN = "\u2009";
const MINUS = "\u2212";
export const tongue = { language: "en", heat: "celsius", lengths: "metric", gauge: "absolute", words: {} };

export function say(key, places = {}) {
  const text = tongue.words[key] ?? key;
  return text.replace(/\{(\w+)\}/g, (whole, name) => places[name] ?? whole);
}

// A sentence of the plan: in the language when it is known there, else English, and marked so.
export function told(sentence) {
  if (!sentence) return { text: "", lang: tongue.language };
  const own = sentence[tongue.language];
  return own === undefined ? { text: sentence.en, lang: "en" } : { text: own, lang: tongue.language };
}

export const decimal = () => (tongue.language === "de" ? "," : ".");

export function number(value, digits = 0) {
  const rounded = Number(value.toFixed(digits)) + 0;
  const [whole, rest] = Math.abs(rounded).toFixed(digits).split(".");
  const groups = whole.replace(/\B(?=(\d{3})+(?!\d))/g, THIN);
  return (rounded < 0 ? MINUS : "") + groups + (rest ? decimal() + rest : "");
}

// unit, SI of one unit, SI at zero, digits more or fewer than the form states
const QUANTITIES = {
  temperature: () => (tongue.heat === "fahrenheit" ? ["°F", 5 / 9, 273.15 - (32 * 5) / 9, 0] : ["°C", 1, 273.15, 0]),
  humidity: () => ["%", 0.01, 0, 0],
  mass: () => (tongue.lengths === "inch" ? ["oz", 0.028349523125, 0, 1] : ["g", 0.001, 0, 0]),
  thickness: () => (tongue.lengths === "inch" ? ["in", 0.0254, 0, 1] : ["mm", 0.001, 0, 0]),
  offset: () => (tongue.lengths === "inch" ? ["in", 0.0254, 0, 2] : ["mm", 0.001, 0, 0]),
  film: () => (tongue.lengths === "inch" ? ["mil", 2.54e-5, 0, 1] : ["µm", 1e-6, 0, 0]),
  pressure: () => (tongue.gauge === "below" ? ["bar", 1e5, null, 2] : ["mbar", 100, 0, 0]),
  minutes: () => ["min", 60, 0, 0],
  angle: () => ["°", Math.PI / 180, 0, 0],
  count: () => ["", 1, 0, 0],
  passed: () => ["", 1, 0, 0],
};

export function unitOf(quantity, ambient = 101325) {
  const [unit, one, zero, more] = QUANTITIES[quantity]();
  return { unit, one, zero: zero === null ? ambient : zero, more };
}

export function toSi(quantity, shown, ambient) {
  const { one, zero } = unitOf(quantity, ambient);
  if (quantity === "pressure" && tongue.gauge === "below") return zero - Math.abs(shown) * one;
  return shown * one + zero;
}

export function fromSi(quantity, si, ambient) {
  const { one, zero } = unitOf(quantity, ambient);
  return (si - zero) / one;
}

export function amount(quantity, si, digits, ambient) {
  const { unit, more } = unitOf(quantity, ambient);
  if (quantity === "passed") return say(si ? "yes" : "no");
  const text = number(fromSi(quantity, si, ambient), digits + more);
  return unit === "" ? text : unit === "°" ? text + unit : `${text} ${unit}`;
}

export function duration(seconds) {
  if (seconds < 90) return `${Math.round(seconds)} s`;
  const minutes = Math.round(seconds / 60);
  if (minutes < 60) return `${minutes} ${say("minute")}`;
  const hours = Math.floor(minutes / 60);
  const rest = minutes % 60;
  if (hours >= 48) return `${Math.floor(hours / 24)} d`;
  return rest ? `${hours} ${say("hour")} ${String(rest).padStart(2, "0")}` : `${hours} ${say("hour")}`;
}

export function countdown(milliseconds) {
  const whole = Math.max(Math.ceil(milliseconds / 1000), 0);
  const [h, m, s] = [Math.floor(whole / 3600), Math.floor((whole % 3600) / 60), whole % 60];
  const two = (n) => String(n).padStart(2, "0");
  return h ? `${h}:${two(m)}:${two(s)}` : `${m}:${two(s)}`;
}

export function clockTime(moment) {
  const at = new Date(moment);
  return `${String(at.getHours()).padStart(2, "0")}:${String(at.getMinutes()).padStart(2, "0")}`;
}
