"""The stacks of a part's zones side by side, thickness to scale: where it is thick, and of what.

Each column is one zone, its plies from the mould up, as thick as they are cured; cloths are told apart by greys. How
wide a column is says nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bagside.sheets import colour, marks, paper
from bagside.sheets.grounds import on_cloth, on_tape
from bagside.sheets.typeface import NOTE

WIDE, GAP, TALL, GROUND, HEAD = 24.0, 5.0, 46.0, 3.0, 6.0  # [mm]
LEAST = 3.0  # [mm] of a ply that has room for its words


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer of a zone.

    Parameters
    ----------
    words
        In it: number and angle.
    thickness
        Cured [m].
    kit
        Which of the cloths it is, from 0.
    """

    words: str
    thickness: float
    kit: int


def zone_stacks(
    zones: Sequence[tuple[str, Sequence[Layer]]],
    *,
    hand: int = -1,
    wide: float = 184.0,
    title: str = "stacks of the zones",
) -> str:
    """Return the stacks side by side, in rows where there are many.

    Parameters
    ----------
    zones
        Name over each column, and its layers, the first on the mould.
    hand
        Index of the one in hand; its name stands on tape.
    wide
        Of the paper [mm].
    title
        What it is called for people who do not see it.

    Raises
    ------
    ValueError
        When there is no zone, or a layer has no thickness.
    """
    if not zones or any(layer.thickness <= 0.0 for _, layers in zones for layer in layers):
        raise ValueError("stacks need a zone, and layers that are thick")
    per_row = max(int((wide + GAP) // (WIDE + GAP)), 1)
    most = max(sum(layer.thickness for layer in layers) for _, layers in zones)
    scale = TALL / most
    row_tall = HEAD + TALL + GROUND + 4.0
    rows = -(-len(zones) // per_row)
    out = [marks.hatch("zone-ground")]
    for k, (name, layers) in enumerate(zones):
        x, top = (WIDE + GAP) * (k % per_row), row_tall * (k // per_row)
        base = top + HEAD + TALL
        head = paper.text(x + 1.2, top + 3.6, name, size=NOTE, bold=True)
        tape = paper.rect(x, top, WIDE, 5.0, weight=paper.THIN, fill=colour.TAPE)
        out.append(on_tape([tape, head]) if k == hand else head)
        floor = np.array([[x, base], [x + WIDE, base], [x + WIDE, base + GROUND], [x, base + GROUND]])
        out.append(paper.line(floor, weight=0, fill=colour.MOULD, closed=True))
        out.append(paper.line(floor, weight=0, fill="url(#zone-ground)", closed=True))
        cloth: list[str] = []
        y = base
        for layer in layers:
            high = scale * layer.thickness
            y -= high
            shade = colour.KITS[layer.kit % len(colour.KITS)]
            cloth.append(paper.rect(x, y, WIDE, high, weight=paper.THIN, fill=shade))
            if high >= LEAST:
                cloth.append(paper.text(x + 1.2, y + 0.5 * high + 0.36 * NOTE, layer.words, size=NOTE))
        out.append(on_cloth(cloth))
    return paper.sheet(min(wide, per_row * (WIDE + GAP) - GAP), row_tall * rows, out, title=title)
