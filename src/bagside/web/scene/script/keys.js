// The picture by keyboard: arrows turn it; with the cursor out they move the cursor, and Enter picks.

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

export function keyed(e, stage) {
  if (e.ctrlKey || e.metaKey || e.altKey) return false;
  const way = ARROWS[e.key];
  if (way && stage.cursor.out) stage.cursor.move(...way.map((x) => x * (e.shiftKey ? 1 : 10)));
  else if (way && e.shiftKey) stage.moved(...way.map((x) => -24 * x));
  else if (way) stage.turned(...way.map((x) => 12 * x));
  else if (e.key === "+" || e.key === "=") stage.zoomed(1.2);
  else if (e.key === "-" || e.key === "\u2212" || e.key === "_") stage.zoomed(1 / 1.2);
  else if (e.key === "Home") stage.home();
  else if (e.key === "p" || e.key === "P") stage.cursor.take(!stage.cursor.out);
  else if (e.key === "Escape" && stage.cursor.out) stage.cursor.take(false);
  else if ((e.key === "Enter" || e.key === " ") && stage.cursor.out) stage.cursor.pick();
  else return false;
  if ((way && !stage.cursor.out) || "+-=_\u2212".includes(e.key) || e.key === "Home") stage.settledSoon();
  return true;
}
