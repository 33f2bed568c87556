"""The sheet for the cutting table: what a person with a knife and card templates follows.

For every roll and offcut there is a page of what to do first, pages that show the cloth to scale with the numbers in
which it is cut, and a table with distances for a tape measure.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting import Placement
from bagside.errors import InputError
from bagside.planning.cautions import cautions_for
from bagside.sheets.cut_cards import card_rows
from bagside.sheets.cut_picture import Cutting, Window, window_picture, windows
from bagside.sheets.cut_steps import CutStep, cut_steps
from bagside.sheets.on_table import LaidOut, Spread, lines_of, spread
from bagside.sheets.press import SIZES, pressed
from bagside.spec.workshop import Ink, Paper

Floats = NDArray[np.float64]
MM = 1e3

CARE = "New blade. Cut-proof glove on the holding hand. Cut away from the hand."
CARDS = "Each is laid by two corners: a is the open square, b the filled one. The arrow is the warp."
OVER = " Draw them on the back too of a card that lies face down."
SIDES, HEAD, FOOT = 26.0, 17.0, 15.0 + 12.0 + 8.0
"""Room a page keeps beside, above and below a picture [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeftOver:
    """What is left of a cloth and kept.

    Parameters
    ----------
    name
        Its new name.
    outline
        On the axes of the nest [m].
    note
        What to do with it: ``back in the bag, flat``; may be empty.
    """

    name: str
    outline: shapely.Polygon
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClothToCut:
    """One roll or offcut to be cut.

    Parameters
    ----------
    nest
        The layout.
    order
        Its placements in the order of cutting; as they come when None.
    pull
        Length to pull off the roll [m]; the length of the nest when None.
    roll
        Its name.
    up
        Which face of a one-faced cloth is up on the roll: ``resin-rich``; an offcut's own wins. Empty for others.
    over
        Whether the cloth is turned over for that, against how it comes off the roll or what its label says.
    common
        Cuts that two pieces share, each shape (k, 2), or bits of shape (k, 2, 2) [m].
    flaws
        Places on a roll not to be used, each shape (k, 2) [m]; an offcut tells its own.
    left
        What is left and kept.
    templates
        Name of the card by the name of the piece.
    """

    nest: LaidOut
    order: tuple[Placement, ...] | None = None
    pull: float | None = None
    roll: str = ""
    up: str = ""
    over: bool = False
    common: tuple[Floats, ...] = ()
    flaws: tuple[Floats, ...] = ()
    left: tuple[LeftOver, ...] = ()
    templates: Mapping[str, str] = field(default_factory=dict)


def cutting_sheet_pdf(
    cloths: Sequence[ClothToCut],
    *,
    title: str = "cutting",
    note: str = "",
    on: Paper = Paper.A4,
    ink: Ink = Ink.COLOUR,
) -> bytes:
    """Return the sheets for the cutting table as one PDF.

    Parameters
    ----------
    cloths
        In the order in which they are cut, at least one; numbers run on from one to the next.
    title
        Job, as it stands on each page.
    note
        Date and revision, at the foot of each page.
    on, ink
        Paper and ink in the printer.

    Raises
    ------
    InputError
        When there is no cloth, an order leaves a copy out, or less is pulled than a nest is long.
    """
    if not cloths:
        raise InputError.one("cutting sheet", "no cloth", "at least one roll or offcut to cut")
    size = SIZES[on]
    told, first = [], 1
    for cloth in cloths:
        told.append(_cloth(cloth, title, size, first))
        first += len(cloth.nest.placements)
    cautions = [[c.head, c.text] for c in cautions_for(("knife", "prepreg", "dust"))]
    data = {"title": title, "note": note, "care": CARE, "width": size[0], "height": size[1], "cautions": cautions}
    return pressed("cutting_sheet.typ", {**data, "cloths": told}, ink=ink)


def _cloth(cut: ClothToCut, title: str, size: tuple[float, float], first: int) -> dict[str, object]:
    cloth = spread(cut.nest, pull=cut.pull, roll=cut.roll, flaws=cut.flaws)
    steps = cut_steps(cut.nest, cloth, cut.order, templates=cut.templates, first=first)
    left = tuple((item.name, item.outline) for item in cut.left)
    drawn = Cutting(nest=cut.nest, cloth=cloth, steps=steps, common=lines_of(cut.common), left=left)
    long, across = (float(v) for v in cloth.high - cloth.low)
    found = windows(long, across, (size[0] - SIDES, size[1] - HEAD - FOOT))
    facts = [title, cloth.material, f"batch {cloth.batch}" if cloth.batch else ""]
    facts.append(f"{len(steps)} pieces" if len(steps) > 1 else "1 piece")
    zero = "the fresh end" if cloth.roll else "its left-most point"
    return {
        "title": f"Cut {cloth.title}",
        "facts": [f for f in facts if f],
        "steps": _before(cloth, cut, len(found)),
        "left": [_left_row(item) for item in cut.left],
        "cards": list(card_rows(cut.nest.pieces, steps, size[0] - SIDES)),
        "cards-note": CARDS + (OVER if any(s.placement.flipped for s in steps) else ""),
        "windows": [_window(drawn, w, len(found)) for w in found],
        "order-note": f"Along is measured from {zero}, across from the near edge. Lay corners a and b at their "
        "distances, hold the arrow against the warp, cut, tick, and stick the label on before the next.",
        "rows": [_row(s) for s in steps],
    }


def _before(cloth: Spread, cut: ClothToCut, pages: int) -> list[str]:
    long, across = (float(v) for v in MM * (cloth.high - cloth.low))
    batch = f" and batch {cloth.batch}" if cloth.batch else ""
    face = cloth.up or cut.up  # an offcut knows how it lies
    over = ": turn it over for that" if cut.over else ""
    up = f" Its {face} face is up{over}." if cut.up else ""
    name = f" {cloth.name}" if cloth.name else ""
    out = []
    if cloth.roll:
        out.append(f"The roll says{name}, {cloth.material}{batch}. It lay in its closed bag until it was warm and dry.")
        out.append(f"The fresh end is cut square to the warp, the near edge lies along the edge of the table.{up}")
        pulled = f"{long:.0f} mm are pulled off; {across:.0f} mm is the width from edge to edge."
        out.append(f"{pulled} Measure the width; if it is less, stop: the nest does not fit.")
    else:
        out.append(f"The label says{name}, {cloth.material}{batch}; it measures {long:.0f} × {across:.0f} mm over all.")
        out.append(
            "Its warp lies along the edge of the table, the lowest point on that edge, the left-most point against a "
            f"square: from these two everything is measured.{up}"
        )
    if cloth.flaws:
        told = "A flaw is" if len(cloth.flaws) == 1 else f"{len(cloth.flaws)} flaws are"
        out.append(f"{told} hatched on the drawing and marked on the cloth: no card lies over one.")
    if len(cut.common):
        out.append("Bold lines are one cut for two pieces: cut them once, both cards in place.")
    down = sum(p.flipped for p in cut.nest.placements)
    if down:
        out.append(f"{down} {'card lies' if down == 1 else 'cards lie'} face down: the table says so in bold.")
    where = "The drawing follows" if pages == 1 else f"The drawing goes over {pages} pages"
    out.append(f"{where}; numbers are the order of cutting. Nothing is moved before its neighbours are cut.")
    return out


def _window(drawn: Cutting, window: Window, pages: int) -> dict[str, str]:
    cloth, s = drawn.cloth, window.scale
    scale = f"1 : {s:g}"
    name = cloth.title[0].upper() + cloth.title[1:]
    told = name if pages == 1 else f"{name}, {MM * window.begin:.0f} to {MM * window.end:.0f} mm"
    note = f"Drawn {scale}. Open square: corner a; filled square: corner b."
    if cloth.flaws:
        note += " Hatched: flaw, not to be used."
    if cloth.margins:
        note += " Fine dashes: margin."
    if len(drawn.common):
        note += " Bold: one cut for two."
    if drawn.left:
        note += " Long dashes: what is kept."
    return {"title": told, "svg": window_picture(drawn, window), "note": note}


def _row(step: CutStep) -> list[str]:
    numbers = [f"{MM * v:.0f}".replace("-", "−") for v in (*step.a, *step.b)]
    ply = str(step.ply) if step.ply else "–"
    return [str(step.number), ply, step.piece, step.part, step.template, *numbers, step.turn]


def _left_row(item: LeftOver) -> list[str]:
    x0, y0, x1, y1 = item.outline.bounds
    note = item.note or "back in the bag, flat, with its label"
    return [item.name, f"{MM * (x1 - x0):.0f} × {MM * (y1 - y0):.0f}", f"{item.outline.area:.3f}", note]
