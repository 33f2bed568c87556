"""What the page of cutting shows: each cloth on the table with its copies, what is left, and what it comes to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting import Nest, Offcuts, SheetNest, cut_numbers
from bagside.findings import Basis
from bagside.planning.kit import MaterialKit
from bagside.planning.kit_stage import Room, kits_of, materials_of
from bagside.planning.layouts import StoredLayout
from bagside.planning.plan import BuildPlan, first_day
from bagside.planning.shaped import Shaped
from bagside.planning.stages import Stages
from bagside.records.layout_file import read_layouts
from bagside.sheets.on_table import spread
from bagside.spec.library import Library
from bagside.spec.opening import Opened

Floats = NDArray[np.float64]
FINE = 2e-4
"""By which an outline on a page may leave the true one [m]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CopyView:
    """One copy as it lies.

    Parameters
    ----------
    piece, kit
        Which.
    turn, x, y, flipped
        Where, as a layout says it [rad], [m].
    loops
        Its edges on the cloth, each shape (k, 2) [m].
    turns
        It may lie in [rad]; None for any.
    area
        [m²].
    number
        In the order of cutting.
    pinned
        Whether a person has put it there.
    """

    piece: str
    kit: str
    turn: float
    x: float
    y: float
    flipped: bool
    loops: tuple[Floats, ...]
    turns: tuple[float, ...] | None
    area: float
    number: int
    pinned: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClothView:
    """A roll or an offcut on the table.

    Parameters
    ----------
    name
        On its label.
    roll
        Whether it is a roll.
    batch
        Of it; may be empty.
    outline
        Its edge, shape (k, 2) [m].
    inner
        Holes and flaws, each shape (k, 2) [m].
    margins, selvedges
        Lines nothing is nested over; inner sides of selvedges [m].
    copies
        What lies on it.
    left
        Area [m²] and loops [m] of each offcut that is kept.
    pull
        Off the roll [m]; 0 for an offcut.
    rest
        Left on the roll after the cut [m]; None when it is still to be bought, 0 for an offcut.
    cost
        Of its cloth [money].
    life_used, life
        Out of the freezer, and how long it may be [s].
    """

    name: str
    roll: bool
    batch: str
    outline: Floats
    inner: tuple[Floats, ...]
    margins: tuple[Floats, ...]
    selvedges: tuple[Floats, ...]
    copies: tuple[CopyView, ...]
    left: tuple[tuple[float, tuple[Floats, ...]], ...]
    pull: float
    rest: float | None
    cost: float
    life_used: float
    life: float

    @property
    def width(self) -> float:
        """Across the warp [m]."""
        return float(np.ptp(self.outline[:, 1]))

    @property
    def length(self) -> float:
        """Along the warp [m]."""
        return float(np.ptp(self.outline[:, 0]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KitView:
    """What is cut from one cloth.

    Parameters
    ----------
    material
        Its name.
    cloths
        Rolls first.
    used
        Share of the cloth that becomes pieces.
    pieces_area
        [m²].
    cost, saved
        Of the cloth, and what offcuts save against the roll alone [money]; None when none was looked at, or pieces
        are pinned, for nobody knows what the roll alone would take then.
    seconds
        At the table [s].
    knife
        Way of the knife [m].
    scrap
        Neither pieces nor kept [m²].
    stored
        The layout as it is stored.
    cut_on
        The day it was cut.
    basis
        On what the life of the cloth rests.
    """

    material: str
    cloths: tuple[ClothView, ...]
    used: float
    pieces_area: float
    cost: float
    saved: float | None
    seconds: float
    knife: float
    scrap: float
    stored: StoredLayout | None
    cut_on: date | None
    basis: Basis

    @property
    def parts(self) -> tuple[str, ...]:
        """Names of the parts that copies are for, in their order."""
        return tuple(sorted({c.kit for cloth in self.cloths for c in cloth.copies}, key=lambda k: (len(k), k)))

    @property
    def pull(self) -> float:
        """Off rolls [m]."""
        return sum(c.pull for c in self.cloths)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutView:
    """What the page of cutting shows.

    Parameters
    ----------
    kits
        One for each cloth.
    currency
        Of all money.
    nest_time
        The job gives to the search [s].
    turned_over
        Whether its layouts are those of the part it mirrors; nothing is pinned here then.
    """

    kits: tuple[KitView, ...]
    currency: str
    nest_time: float
    turned_over: bool


def early(shape: Shaped, opened: Opened, stages: Stages) -> CutView | None:
    """Return what the page shows as soon as there are pieces; None before the first nest, and for a mirrored part.

    Parameters
    ----------
    shape
        The part as far as its pieces.
    opened
        The job.
    stages
        Keep what is worked out.
    """
    stored = read_layouts(opened.beside)
    if shape.twin is not None or not set(materials_of(shape.cut)) <= {k.material for k in stored}:
        return None
    room = Room(workshop=opened.workshop, library=opened.library, stock=opened.stock, today=first_day(opened.workshop))
    kits = kits_of(shape.cut, shape.job, room, stages, kept=stored)
    return CutView(
        kits=tuple(kit_view(k, opened.library) for k in kits),
        currency=opened.workshop.currency,
        nest_time=shape.job.nest_time,
        turned_over=False,
    )


def view(plan: BuildPlan, stages: Stages) -> CutView:
    """Return what the page shows.

    Parameters
    ----------
    plan
        The build.
    stages
        Keep what is worked out.
    """
    return CutView(
        kits=tuple(kit_view(k, plan.library) for k in plan.kits),
        currency=plan.workshop.currency,
        nest_time=plan.job.nest_time,
        turned_over=plan.twin is not None,
    )


def kit_view(kit: MaterialKit, library: Library) -> KitView:
    """Return one cloth with everything on it.

    Parameters
    ----------
    kit
        As planned.
    library
        Materials.
    """
    stated = library.prepreg[kit.material]
    pinned = _pinned(kit.stored)
    cloths = []
    for roll in kit.rolls:
        rest = None if roll.nest.cloth.length_available is None else max(roll.left.length - roll.take.pull, 0.0)
        cloths.append(
            _cloth(
                roll.nest,
                roll.roll.called,
                roll.offcuts,
                pinned,
                pull=roll.take.pull,
                rest=rest,
                cost=roll.take.cost or 0.0,
                life=(roll.roll.life_used, stated.out_life),
            )
        )
    for sheet in kit.sheets:
        life = (sheet.offcut.life_used, stated.out_life)
        cloths.append(_cloth(sheet.nest, sheet.offcut.name, sheet.offcuts, pinned, cost=sheet.cost, life=life))
    used_up = kit.fresh_area + sum(s.nest.sheet.area for s in kit.sheets)
    return KitView(
        material=kit.material,
        cloths=tuple(cloths),
        used=kit.utilisation,
        pieces_area=kit.pieces_area,
        cost=kit.cost,
        saved=None if kit.alone is None or not kit.sheets or pinned else kit.alone - kit.weighed,
        seconds=kit.seconds,
        knife=kit.knife_path,
        scrap=max(used_up - kit.pieces_area - kit.kept_area, 0.0),
        stored=kit.stored,
        cut_on=kit.cut_on,
        basis=stated.basis.of("out_life"),
    )


def layouts_view(
    layouts: Sequence[Nest | SheetNest], names: Sequence[str], pinned: frozenset[tuple[str, str]]
) -> tuple[ClothView, ...]:
    """Return layouts that are still being searched for: what is left over is not told yet.

    Parameters
    ----------
    layouts
        The best so far.
    names
        Of their cloths.
    pinned
        Piece and kit of each copy that stays.
    """
    return tuple(
        _cloth(n, name, None, pinned, pull=n.length if isinstance(n, Nest) else 0.0)
        for n, name in sorted(zip(layouts, names, strict=True), key=lambda pair: isinstance(pair[0], SheetNest))
    )


def _pinned(stored: StoredLayout | None) -> frozenset[tuple[str, str]]:
    if stored is None:
        return frozenset()
    return frozenset((c.piece, c.kit) for cloth in stored.cloths for c in cloth.copies if c.pinned)


def _cloth(
    nest: Nest | SheetNest,
    name: str,
    offcuts: Offcuts | None,
    pinned: frozenset[tuple[str, str]],
    *,
    pull: float = 0.0,
    rest: float | None = 0.0,
    cost: float = 0.0,
    life: tuple[float, float] = (0.0, 0.0),
) -> ClothView:
    on_table = spread(nest, pull=pull if isinstance(nest, Nest) else None, roll=name)
    numbers = cut_numbers(nest)
    copies = tuple(
        CopyView(
            piece=p.label,
            kit=nest.kit(p),
            turn=p.turn,
            x=p.x,
            y=p.y,
            flipped=p.flipped,
            loops=tuple(_fine(loop) for loop in nest.placed_loops(p)),
            turns=nest.piece(p.label).turns,
            area=nest.piece(p.label).area,
            number=numbers[p.label, p.copy],
            pinned=(p.label, nest.kit(p)) in pinned,
        )
        for p in nest.placements
    )
    return ClothView(
        name=name,
        roll=isinstance(nest, Nest),
        batch=on_table.batch,
        outline=on_table.outline,
        inner=(*on_table.holes, *on_table.flaws),
        margins=on_table.margins,
        selvedges=on_table.selvedges,
        copies=copies,
        left=() if offcuts is None else tuple((float(k.area), _loops(k)) for k in offcuts.kept),
        pull=pull,
        rest=rest,
        cost=cost,
        life_used=life[0],
        life=life[1],
    )


def _fine(loop: Floats) -> Floats:
    """Return a loop with the points a page can show."""
    kept = shapely.LinearRing(loop).simplify(FINE)
    out: Floats = np.asarray(kept.coords, dtype=np.float64)[:-1]
    return out if len(out) > 2 else loop


def _loops(shape: shapely.Polygon) -> tuple[Floats, ...]:
    return tuple(_fine(np.asarray(r.coords, dtype=np.float64)[:-1]) for r in (shape.exterior, *shape.interiors))
