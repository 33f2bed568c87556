"""Labels for cut pieces and for offcuts, on sheets of labels as shops sell them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting import Placement
from bagside.errors import InputError
from bagside.sheets import colour
from bagside.sheets import paper as draw
from bagside.sheets.label_picture import PAD, label_picture
from bagside.sheets.label_words import Label, OffcutLabel, PieceLabel
from bagside.sheets.on_table import LaidOut, part_words, piece_of
from bagside.sheets.press import SIZES, pressed
from bagside.spec.label_sheet import LabelSheet
from bagside.spec.stock import Offcut

Floats = NDArray[np.float64]
MM = 1e3
UNPRINTED = 4.5
"""Edge of the paper many printers do not reach [mm] (common practice, no source)."""


def labels_pdf(
    labels: Sequence[Label],
    sheet: LabelSheet,
    *,
    first: int = 0,
    base: str = "",
    edges: bool = False,
    title: str = "labels",
) -> bytes:
    """Return labels as a PDF for a printer that prints true to size.

    Parameters
    ----------
    labels
        In printing order, at least one.
    sheet
        The labels' geometry.
    first
        Labels of the first sheet that are already used.
    base
        Where a reader of a code is sent: ``http://workshop.local:8000``; empty for plain words in the code.
    edges
        Whether each label's edge is drawn, for plain paper that is cut up.
    title
        Of the document.

    Raises
    ------
    InputError
        When there is no label, the sheet has fewer than are used, or words or code do not fit a label.
    """
    pages = [
        draw.sheet(*SIZES[sheet.paper], parts, title=f"{title}, sheet {k}")
        for k, parts in enumerate(label_pages(labels, sheet, first=first, base=base, edges=edges), 1)
    ]
    size = SIZES[sheet.paper]
    return pressed("tiles.typ", {"title": title, "width": size[0], "height": size[1], "pages": pages})


def label_pages(
    labels: Sequence[Label], sheet: LabelSheet, *, first: int = 0, base: str = "", edges: bool = False
) -> list[list[str]]:
    """Return what stands on each sheet, as SVG fragments in millimetres.

    Parameters
    ----------
    labels
        In printing order, at least one.
    sheet
        The labels' geometry.
    first
        Labels of the first sheet that are already used.
    base
        Where a reader of a code is sent.
    edges
        Whether each label's edge is drawn.

    Raises
    ------
    InputError
        When there is no label, the sheet has fewer than are used, or words or code do not fit a label.
    """
    if not labels:
        raise InputError.one("labels", "none", "at least one is wanted")
    if not 0 <= first < sheet.count:
        wanted = f"from 0 to {sheet.count - 1}, the labels of a sheet that can be used up before it is empty"
        raise InputError.one("labels, already used on the first sheet", str(first), wanted)
    wide, high = MM * sheet.width, MM * sheet.height
    dx, dy = _inset(sheet)
    pages: list[list[str]] = [[] for _ in range((first + len(labels) - 1) // sheet.count + 1)]
    for k, label in enumerate(labels, first):
        x, y = (MM * v for v in sheet.place(k))
        inner = "".join(label_picture(label, wide - 2 * dx, high - 2 * dy, base))
        parts = [f'<g transform="translate({draw.n(dx)} {draw.n(dy)})">{inner}</g>' if dx or dy else inner]
        if edges:
            parts.append(draw.rect(0.0, 0.0, wide, high, weight=draw.HAIR, ink=colour.EDGE))
        pages[k // sheet.count].append(f'<g transform="translate({draw.n(x)} {draw.n(y)})">{"".join(parts)}</g>')
    return pages


def _inset(sheet: LabelSheet) -> tuple[float, float]:
    """Return what words keep from a label's sides and from its top and bottom because no printer reaches there [mm]."""
    wide, high = SIZES[sheet.paper]
    right = wide - MM * (sheet.left + (sheet.columns - 1) * sheet.across + sheet.width)
    bottom = high - MM * (sheet.top + (sheet.rows - 1) * sheet.down + sheet.height)
    side, end = min(MM * sheet.left, right), min(MM * sheet.top, bottom)
    return max(0.0, UNPRINTED - PAD - side), max(0.0, UNPRINTED - PAD - end)


def piece_labels(
    nest: LaidOut,
    order: Sequence[Placement] | None = None,
    *,
    plies: int = 0,
    job: str = "",
    batch: str = "",
    source: str = "",
    face: str = "",
    films: Mapping[str, int] | int | None = None,
    life_used: float | None = None,
    out_life: float | None = None,
    lay_by: str = "",
    digest: str = "",
    first: int = 1,
) -> tuple[PieceLabel, ...]:
    """Return the labels of every copy of a nest, in the order of cutting.

    Parameters
    ----------
    nest
        On a roll or an offcut.
    order
        Its placements in the order of cutting; as they come when None.
    plies
        How many plies are laid; 0 when not known.
    job
        Name of the job, for pieces that do not say their own.
    batch, source
        Of the cloth, and the roll or offcut it is: ``roll R-22``.
    face
        Which face goes where, in words.
    films
        Backing films on each copy, or by the name of the piece; None when not known.
    life_used, out_life
        Of the cloth [s].
    lay_by
        Latest moment to lay it, in words.
    digest
        Revision of the plan.
    first
        Number of the first copy in the order of cutting.
    """
    out = []
    for number, placement in enumerate(nest.placements if order is None else order, first):
        piece = piece_of(nest, placement)
        count = films.get(piece.label) if isinstance(films, Mapping) else films
        out.append(
            PieceLabel(
                piece=piece.label,
                part=part_words(nest.kit(placement)),
                loops=piece.loops,
                ply=piece.ply,
                plies=plies,
                job=piece.job or job,
                material=piece.material,
                batch=batch,
                source=source,
                face=face,
                films=count,
                life_used=life_used,
                out_life=out_life,
                lay_by=lay_by,
                digest=digest,
                number=number,
                turned_over=placement.flipped,
            )
        )
    return tuple(out)


def offcut_label(offcut: Offcut, out_life: float | None = None) -> OffcutLabel:
    """Return the label of an offcut in stock.

    Parameters
    ----------
    offcut
        As the stock states it.
    out_life
        Of its cloth [s]; None when not known.
    """
    loops = tuple(np.array(loop, dtype=np.float64) for loop in (offcut.outline, *offcut.holes))
    flaws = tuple(np.array(loop, dtype=np.float64) for loop in offcut.flaws)
    shape = shapely.Polygon(loops[0], loops[1:])
    usable = shape.difference(shapely.union_all([shapely.Polygon(f) for f in flaws])) if flaws else shape
    return OffcutLabel(
        name=offcut.name,
        loops=loops,
        flaws=flaws,
        area=float(usable.area),
        material=offcut.material,
        batch=offcut.batch,
        face=f"{offcut.up.value} face up",
        life_used=offcut.life_used,
        out_life=out_life,
        use_by=offcut.use_by,
        made=offcut.made,
        roll=offcut.roll,
    )
