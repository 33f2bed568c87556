"""One label as a picture: code, name, lines, and the little outline with its warp arrow.

The warp runs along the label, so that a label stuck on along its arrow says how the cloth lies.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.sheets import colour, marks
from bagside.sheets import paper as draw
from bagside.sheets.fitted import Run, fitted
from bagside.sheets.label_words import Label, OffcutLabel, code_text, headline, lines
from bagside.sheets.nest_drawing import hatched
from bagside.sheets.qr import qr_code
from bagside.sheets.typeface import ASCENT

Floats = NDArray[np.float64]

PAD = 2.2
"""White at a label's edge: printers are off by a millimetre [mm]."""
LARGEST, LEAST = 3.4, 1.45
"""Sizes of the lines [mm]."""
TALL = 45.0
"""A label so high has the warp arrow across its width too [mm]."""


def label_picture(label: Label, width: float, height: float, base: str = "") -> list[str]:
    """Return one label as SVG fragments, its upper left corner at zero.

    Parameters
    ----------
    label
        Of a piece or an offcut.
    width, height
        Of the label [mm].
    base
        Where a reader of the code is sent; empty for plain words in the code.

    Raises
    ------
    InputError
        When the words do not fit, or the code would be too fine.
    """
    foot = 8.0 if height >= TALL else 0.0
    side = min(height - 2 * PAD - foot, 0.34 * width, 27.0)
    out = [qr_code(code_text(label, base), 0.6, 0.5 * (height - foot - side), side)]
    left = 0.6 + side
    room, high = width - PAD - left, height - 2 * PAD - foot
    top = min(0.42 * high, 17.0)
    across = min(0.40 * room, 1.7 * top)
    out += _outline(label, width - PAD - across, PAD, across, top)
    name = fitted(
        [Run(words=headline(label), bold=True)],
        room - across - 2.0,
        top + 0.4,
        largest=min(top, 13.0),
        least=1.6,
        place=f"label of {headline(label)}, name",
    )
    down = 0.5 * max(0.0, top - 1.26 * name[0].size * len(name))
    out += [draw.text(left, PAD + down + s.base * 0.94, s.words, size=s.size, bold=True) for s in name]
    said = lines(label)
    flow = fitted(
        [Run(words=s.words, bold=s.bold, grow=1.18 if s.bold else 1.0) for s in said],
        room,
        high - top - 0.8,
        largest=LARGEST if height < TALL else 1.25 * LARGEST,
        least=LEAST,
        place=f"label of {headline(label)}",
    )
    for s in flow:
        ink = colour.SECOND if said[s.run].quiet else colour.INK
        y = PAD + top + 0.8 + s.base
        out.append(draw.text(left, y, s.words, size=s.size, bold=said[s.run].bold, ink=ink))
    if foot:
        y = height - PAD - 0.42 * foot
        middle = 0.5 * width
        out.append(draw.line([(PAD + 1.0, y), (middle - 8.0, y)], weight=1.0))
        out.append(marks.warp_arrow(np.array([middle + 8.0, y]), np.array([width - PAD - 1.0, y]), weight=1.0))
        out.append(draw.text(middle, y + 0.5 * ASCENT * 4.0, "warp", size=4.0, bold=True, anchor="middle"))
    return out


def _outline(label: Label, x: float, y: float, wide: float, high: float) -> list[str]:
    """Return the outline in a box, the warp to the right."""
    low, top = label.loops[0].min(axis=0), label.loops[0].max(axis=0)
    size = top - low
    scale = float(min(wide / size[0], high / size[1]))
    corner = np.array([x + wide - scale * size[0], y + 0.5 * (high - scale * size[1])])

    def on_label(points: Floats) -> Floats:
        p = np.asarray(points, dtype=np.float64)
        out: Floats = corner + scale * np.column_stack([p[:, 0] - low[0], top[1] - p[:, 1]])
        return out

    loops = [on_label(loop) for loop in label.loops]
    out = [draw.stroked("".join(draw.path(loop, closed=True) for loop in loops), weight=draw.THIN)]
    if isinstance(label, OffcutLabel):
        for flaw in label.flaws:
            shape = on_label(flaw)
            out.append(draw.line(shape, weight=draw.HAIR, closed=True))
            out += [draw.line(h, weight=draw.HAIR) for h in hatched(shape, 0.9)]
    outline = shapely.Polygon(loops[0], loops[1:])
    reach = shapely.maximum_inscribed_circle(outline, tolerance=0.02)
    middle = outline.centroid if outline.contains(outline.centroid) else shapely.Point(reach.coords[0])
    if outline.boundary.distance(middle) < 0.7 * reach.length:
        middle = shapely.Point(reach.coords[0])
    room = float(outline.boundary.distance(middle))
    half, weight = max(1.8, min(0.8 * room, 6.0)), 0.8
    cx, cy = float(middle.x), float(middle.y)
    if room < 1.6:  # too slim to hold it: the arrow stands under it
        cx, cy, half, weight = x + wide - 5.0, float(loops[0][:, 1].max()) + 2.2, 5.0, 0.6
    ends = np.array([cx - half, cy]), np.array([cx + half, cy])
    return [*out, marks.warp_arrow(*ends, weight=min(weight, 0.2 * half), halo=room >= 1.6)]
