// The sheet's colours where the picture stands, and word when they change.

const hex = (text) => {
  const value = text.trim();
  if (/^#[0-9a-f]{6}$/i.test(value)) return value;
  if (/^#[0-9a-f]{3}$/i.test(value)) return "#" + [...value.slice(1)].map((c) => c + c).join("");
  return null;
};

const light = (colour) => {
  const [r, g, b] = [1, 3, 5].map((k) => parseInt(colour.slice(k, k + 2), 16) / 255);
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};

export function inksAt(element) {
  const style = getComputedStyle(element);
  const token = (name, other) => hex(style.getPropertyValue(name)) ?? other;
  const paper = token("--paper", "#f4f7f6");
  const dark = light(paper) < 0.3;
  // maps never change with the theme; in the dark only the mould is darker
  return {
    dark,
    paper,
    ink: token("--ink", "#10191f"),
    edge: token("--edge", "#75838b"),
    mould: dark ? "#46545c" : token("--mould", "#d3dadc"),
  };
}

export function onThemeChange(call) {
  const watch = new MutationObserver(call);
  for (const element of [document.documentElement, document.body]) {
    watch.observe(element, { attributes: true, attributeFilter: ["data-theme", "class", "style"] });
  }
  // a person's choice stands in the head as a meta element
  watch.observe(document.head, { childList: true, subtree: true, attributes: true, attributeFilter: ["content"] });
  const media = matchMedia("(prefers-color-scheme: dark)");
  media.addEventListener("change", call);
  return () => {
    watch.disconnect();
    media.removeEventListener("change", call);
  };
}
