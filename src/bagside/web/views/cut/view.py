"""What the page of cutting shows: each cloth on the table with its copies, what is left, and what it comes to."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from bagside.cutting import Nest, Offcuts, SheetNest, cut_numbers
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
from bagside.web.views.cut.shown import ClothView, CopyView, CutView, Floats, KitView

FINE = 2e-4
"""By which an outline on a page may leave the true one [m]."""


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
