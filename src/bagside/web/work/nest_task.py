"""The task that nests one cloth of a job anew, pinned copies where they are, and shows how it grows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from bagside.cutting import Cloth, FlatPiece, Nest, Placement, SheetNest, StockProgress, laid, length_to_pull, offcuts
from bagside.errors import InputError
from bagside.planning.kit_stage import Room, kit_of, materials_of
from bagside.planning.layouts import StoredCopy, StoredLayout
from bagside.planning.plan import first_day
from bagside.planning.shaped import Shaped
from bagside.planning.shaping import shaped_from
from bagside.planning.shelf import Shelf, keep_rule, shelf
from bagside.planning.stages import Stages
from bagside.records.kept_plan import STORE
from bagside.records.layout_file import layouts_text, read_layouts, write_layouts
from bagside.records.with_stock import opened_job
from bagside.spec.opening import Opened
from bagside.spec.workshop import Workshop
from bagside.web.views.cut.shown import ClothView, KitView
from bagside.web.views.cut.view import kit_view, layouts_view
from bagside.web.work.child import Teller

TELL = 0.5
"""Between two pictures [s]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Grown:
    """How far a nest has come.

    Parameters
    ----------
    material
        Of the cloth.
    seconds
        Searched for so far.
    used
        Share of the cloth that becomes pieces; None while nothing is whole yet.
    pull
        Off rolls in the best so far [m]; None while it is not known.
    cloths
        The best so far; None when it is as it was told last.
    """

    material: str
    seconds: float
    used: float | None
    pull: float | None
    cloths: tuple[ClothView, ...] | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Nested:
    """A cloth nested anew.

    Parameters
    ----------
    kit
        As the page shows it.
    before, after
        What the file of layouts said before, and says now; the first is empty when there was none.
    """

    kit: KitView
    before: str
    after: str


def nest_cloth(tell: Teller, job: Path, layout: StoredLayout, seconds: float) -> Nested:
    """Nest one cloth of a job anew and store the layout.

    Parameters
    ----------
    tell
        Takes `Grown`.
    job
        Its file.
    layout
        As it lies, with what is pinned where it shall lie.
    seconds
        For the search [s].

    Raises
    ------
    InputError
        When the job is not as it was, or the rest cannot be laid round what is pinned.
    """
    opened = opened_job(job, None)
    stages = Stages(store=opened.folder / STORE)
    shape = shaped_from(opened, stages, job.name)
    own = tuple(p for p in shape.cut if p.material == layout.material)
    if not own:
        raise InputError.one("nest", layout.material, "nothing is cut of this cloth any more")
    room = Room(workshop=opened.workshop, library=opened.library, stock=opened.stock, today=first_day(opened.workshop))
    on_shelf = shelf(layout.material, room.workshop, room.stock, room.library, room.today)
    layout = within(layout, own, on_shelf)
    pinned = frozenset((c.piece, c.kit) for cloth in layout.cloths for c in cloth.copies if c.pinned)
    watch = _Watch(tell, layout.material, pinned, on_shelf, room.workshop)
    kit = kit_of(own, room, stages, seconds, layout, watch, anew=True)
    stored = read_layouts(opened.beside)
    before = layouts_text(stored) if stored else ""
    assert kit.stored is not None
    others = [k for k in stored if k.material != layout.material]
    order = {k.material: n for n, k in enumerate(stored)}
    all_of_them = sorted([*others, kit.stored], key=lambda k: order.get(k.material, len(order)))
    write_layouts(opened.beside, all_of_them)
    return Nested(kit=kit_view(kit, opened.library), before=before, after=layouts_text(all_of_them))


def nest_missing(
    tell: Teller, opened: Opened, shape: Shaped, stages: Stages, stored: tuple[StoredLayout, ...]
) -> tuple[StoredLayout, ...]:
    """Nest the cloths of a job that have no layout yet, and store them; a page sees them grow.

    Parameters
    ----------
    tell
        Takes `Grown`.
    opened, shape
        The job, and its pieces.
    stages
        Keep what is worked out.
    stored
        Layouts there are.

    Returns
    -------
    tuple
        Those stored now; as before when a cloth cannot be nested, for planning says why.

    Raises
    ------
    Stopped
        When it was stopped; then nothing is stored.
    """
    if shape.twin is not None or not shape.cut:
        return stored
    room = Room(workshop=opened.workshop, library=opened.library, stock=opened.stock, today=first_day(opened.workshop))
    whole = sum(p.area * p.quantity for p in shape.cut)
    kept = {k.material: k for k in stored}
    out = []
    for material in materials_of(shape.cut):
        if material not in kept:
            own = tuple(p for p in shape.cut if p.material == material)
            seconds = max(1.0, round(shape.job.nest_time * sum(p.area * p.quantity for p in own) / whole))
            on_shelf = shelf(material, room.workshop, room.stock, room.library, room.today)
            watch = _Watch(tell, material, frozenset(), on_shelf, room.workshop)
            try:
                kit = kit_of(own, room, stages, seconds, None, watch)
            except InputError:
                return stored
            tell.go_on()
            assert kit.stored is not None
            kept[material] = kit.stored
        out.append(kept[material])
    if tuple(out) != stored:
        write_layouts(opened.beside, out)
    return tuple(out)


class _Watch:
    """Tells twice a second, and hears whether to stop."""

    def __init__(
        self, tell: Teller, material: str, pinned: frozenset[tuple[str, str]], on_shelf: Shelf, workshop: Workshop
    ) -> None:
        self.tell, self.material, self.shelf, self.workshop = tell, material, on_shelf, workshop
        self.pinned = pinned
        self.rests: dict[int, tuple[SheetNest, float]] = {}
        self.told = -1.0
        self.seen: tuple[Nest | SheetNest, ...] = ()

    def __call__(self, now: StockProgress) -> bool:
        """Say how far it has come and return whether to go on."""
        new = bool(now.layouts) and now.layouts != self.seen
        if now.seconds - self.told >= TELL and (new or now.seconds - self.told >= 1.0):
            self.told = now.seconds
            names = [self._name(n) for n in now.layouts]
            self.tell(
                Grown(
                    material=self.material,
                    seconds=now.seconds,
                    used=self._used(now.layouts),
                    pull=now.length,
                    cloths=layouts_view(now.layouts, names, self.pinned) if new else None,
                )
            )
            self.seen = now.layouts
        return not self.tell.stopping

    def _name(self, nest: Nest | SheetNest) -> str:
        return nest.sheet.name if isinstance(nest, SheetNest) else self.shelf.roll_of(nest.cloth).roll.called

    def _used(self, layouts: tuple[Nest | SheetNest, ...]) -> float | None:
        """Return the share of the cloth that becomes pieces, as `MaterialKit.utilisation` counts it."""
        if not layouts:
            return None
        cloth = 0.0
        for n in layouts:
            if isinstance(n, Nest):
                cloth += length_to_pull(n, self.workshop.table.end) * n.cloth.width
            else:
                cloth += n.sheet.area - self._rest(n)
        return sum(n.area_of_pieces for n in layouts) / cloth

    def _rest(self, nest: SheetNest) -> float:
        """Return what of a sheet is kept [m²]; a layout is asked for once."""
        kept = self.rests.get(id(nest))
        if kept is None or kept[0] is not nest:
            kept = self.rests[id(nest)] = (nest, offcuts(nest, rule=keep_rule(self.workshop.offcuts)).area)
        return kept[1]


def within(layout: StoredLayout, own: Sequence[FlatPiece], on_shelf: Shelf) -> StoredLayout:
    """Return a layout whose pinned copies lie within the margins of their roll: a hand may put one a little over.

    Parameters
    ----------
    layout
        As it was put.
    own
        Pieces of its material.
    on_shelf
        The cloth there is.
    """
    by_label = {p.label: p for p in own}
    rolls = {left.roll.called: left.cloth for left in on_shelf.rolls}

    def moved(copy: StoredCopy, cloth: Cloth) -> StoredCopy:
        if not copy.pinned or copy.piece not in by_label:
            return copy
        place = Placement(label=copy.piece, copy=1, turn=copy.turn, x=copy.x, y=copy.y, flipped=copy.flipped)
        loop = laid(by_label[copy.piece], place)[0]
        (x0, y0), (_, y1) = loop.min(axis=0), loop.max(axis=0)
        dx = max(cloth.margin - float(x0), 0.0)
        dy = max(cloth.edge - float(y0), 0.0) or min(cloth.width - cloth.edge - float(y1), 0.0)
        return replace(copy, x=copy.x + dx, y=copy.y + dy)

    cloths = tuple(
        replace(c, copies=tuple(moved(k, rolls[c.roll]) for k in c.copies)) if c.roll in rolls else c
        for c in layout.cloths
    )
    return replace(layout, cloths=cloths)
