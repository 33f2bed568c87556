"""How lines on a surface are drawn on the screen: the same looks as in print, at the screen's weights."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from bagside.sheets import colour, marks, paper

PX_PER_MM_WEIGHT = 4.0
"""Weights of print on the screen: .15 .25 .4 .7 mm are .6 1 1.6 2.8 px."""
PX_PER_MM = 96.0 / 25.4
"""Sizes of marks and dashes: a screen's 96 px to the inch."""


class Look(StrEnum):
    """What a line on the surface is."""

    WARP = "warp"
    WEFT = "weft"
    CUT = "cut"
    BELOW = "below"
    NET_EDGE = "net edge"
    FEATURE = "feature"
    SEAM = "seam"
    KNIFE = "knife"
    RIM = "rim"
    SET = "set"
    TIGHT = "tight corner"
    SPLIT = "split of the mould"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """How a line is drawn.

    Parameters
    ----------
    weight
        Width [px at 96 dpi].
    dashes
        Lengths of dash and gap in turn [px]; empty is solid.
    ink
        Its colour.
    halo
        Whether paper stands around it.
    """

    weight: float
    dashes: tuple[float, ...] = ()
    ink: str = colour.INK
    halo: bool = False


def stroke_of(look: Look) -> Stroke:
    """Return how a line is drawn.

    Parameters
    ----------
    look
        What it is.
    """
    return _STROKES[look]


def _dashes(print_mm: str) -> tuple[float, ...]:
    return tuple(round(PX_PER_MM * float(part), 2) for part in print_mm.split())


_STROKES = {
    Look.WARP: Stroke(weight=0.7, ink=colour.SECOND),
    Look.WEFT: Stroke(weight=0.6, dashes=_dashes(marks.WEFT), ink=colour.SECOND),
    Look.CUT: Stroke(weight=PX_PER_MM_WEIGHT * paper.EDGE, halo=True),
    Look.BELOW: Stroke(weight=PX_PER_MM_WEIGHT * paper.THIN, dashes=_dashes(marks.BELOW)),
    Look.NET_EDGE: Stroke(weight=PX_PER_MM_WEIGHT * paper.THIN, dashes=_dashes(marks.NET_EDGE), halo=True),
    Look.FEATURE: Stroke(weight=PX_PER_MM_WEIGHT * paper.HAIR),
    Look.SEAM: Stroke(weight=PX_PER_MM_WEIGHT * paper.EDGE, halo=True),
    Look.KNIFE: Stroke(weight=PX_PER_MM_WEIGHT * paper.EDGE, dashes=_dashes(marks.KNIFE), halo=True),
    Look.RIM: Stroke(weight=PX_PER_MM_WEIGHT * paper.HAIR, ink=colour.EDGE),
    Look.TIGHT: Stroke(weight=PX_PER_MM_WEIGHT * paper.BOLD, halo=True),
    Look.SPLIT: Stroke(weight=PX_PER_MM_WEIGHT * paper.EDGE, dashes=_dashes(marks.TO_COME), halo=True),
    Look.SET: Stroke(weight=PX_PER_MM_WEIGHT * paper.BOLD, halo=True),
}
