// Marks over the surface, drawn in SVG at print size: rings, crosses, letters, the arrow of the warp.

const MM = 96 / 25.4;
const SVG = "http://www.w3.org/2000/svg";
const INK = "#10191f";
const PAPER = "#f4f7f6";

export function made(name, attributes = {}) {
  const out = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) out.setAttribute(key, value);
  return out;
}

function arrow() {
  const group = made("g");
  const line = { fill: "none", "stroke-linejoin": "round" };
  group.append(
    made("path", { ...line, stroke: PAPER, "stroke-width": 6.4 }),
    made("path", { stroke: PAPER, "stroke-width": 3, fill: PAPER, "stroke-linejoin": "round" }),
    made("path", { ...line, stroke: INK, "stroke-width": 3 }),
    made("path", { fill: INK }),
  );
  return group;
}

function arrowMoved(group, [ax, ay], [bx, by]) {
  const length = Math.hypot(bx - ax, by - ay);
  const way = length > 1e-6 ? [(bx - ax) / length, (by - ay) / length] : [1, 0];
  const long = Math.min(13, 0.5 * length);
  const wide = 0.31 * long;
  const base = [bx - long * way[0], by - long * way[1]];
  const shaft = `M${ax} ${ay}L${bx - 0.8 * long * way[0]} ${by - 0.8 * long * way[1]}`;
  const head =
    `M${bx} ${by}L${base[0] - wide * way[1]} ${base[1] + wide * way[0]}` +
    `L${base[0] + wide * way[1]} ${base[1] - wide * way[0]}Z`;
  [shaft, head, shaft, head].forEach((d, k) => group.children[k].setAttribute("d", d));
}

export class Marks {
  constructor(svg) {
    this.svg = svg;
    this.layer = made("g", { "font-family": "B612, DejaVu Sans, sans-serif" });
    svg.append(this.layer);
    this.items = [];
  }

  set(points) {
    this.layer.replaceChildren();
    this.items = points.map((point) => {
      let drawn;
      if (point.to) drawn = arrow();
      else {
        drawn = made("g");
        drawn.innerHTML = `<g transform="scale(${MM})">${point.drawn}</g>`;
        const inner = drawn.firstChild;
        // paper around every stroke, so that ink reads on the darkened mould too
        const halo = inner.cloneNode(true);
        for (const part of halo.querySelectorAll("path,circle")) {
          if (part.getAttribute("stroke") && part.getAttribute("stroke") !== "none") {
            part.setAttribute("stroke", PAPER);
            part.setAttribute("stroke-width", Number(part.getAttribute("stroke-width") ?? 0) + 0.6);
            part.removeAttribute("stroke-dasharray");
          }
        }
        halo.setAttribute("aria-hidden", "true");
        drawn.prepend(halo);
      }
      this.layer.append(drawn);
      return { point, drawn };
    });
  }

  // Put every mark where its place is seen; what the surface hides is not drawn.
  placed(sight, hidden) {
    for (const { point, drawn } of this.items) {
      const at = sight.seen(point.at);
      if (point.to) {
        const to = sight.seen(point.to);
        drawn.style.display = hidden(point.at) && hidden(point.to) ? "none" : "";
        arrowMoved(drawn, at, to);
        continue;
      }
      drawn.style.display = !point.always && hidden(point.at) ? "none" : "";
      drawn.setAttribute("transform", `translate(${at[0].toFixed(1)} ${at[1].toFixed(1)})`);
    }
  }
}
