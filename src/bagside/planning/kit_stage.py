"""From flat pieces to where each is cut: offcuts first where that costs less, the rest on rolls; what is left over."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from bagside import cutting
from bagside.cutting import Cloth, FlatPiece, Pin, Sheet, StockNest, StockProgress, nest_pinned, nest_stock
from bagside.errors import InputError
from bagside.planning.as_cut import as_cut
from bagside.planning.kit import MaterialKit, RollKit, SheetKit
from bagside.planning.kit_notes import nested_anew, pins_gone
from bagside.planning.layouts import StoredLayout, laid_down, pins_of, restored, stored
from bagside.planning.patchwork_stage import PlyPatchwork, tile_pieces
from bagside.planning.piece import Piece
from bagside.planning.shelf import Shelf, face_up, keep_rule, shelf
from bagside.planning.stages import Stages
from bagside.spec.job import Job
from bagside.spec.library import Library
from bagside.spec.stock import Stock
from bagside.spec.workshop import CuttingTable, OffcutRule, Workshop

Watch = Callable[[StockProgress], bool | None]


def flat_piece(piece: Piece, job: Job) -> FlatPiece:
    """Return a piece as it is seen from the bag side, once for each part."""
    return FlatPiece(
        label=piece.label,
        material=job.plies[piece.ply].material,
        loops=piece.pattern.loops,
        marks=(("start", (0.0, 0.0)), *piece.holes),
        quantity=job.quantity,
        kits=tuple(str(n + 1) for n in range(job.quantity)),
        seams=piece.seams,
    )


def cut_list(
    pieces: tuple[Piece, ...], patchwork: PlyPatchwork | None, job: Job, library: Library, table: CuttingTable
) -> tuple[FlatPiece, ...]:
    """Return everything that is cut of draped plies, in their order.

    Parameters
    ----------
    pieces
        Of all plies.
    patchwork
        The ply that is cut as tiles in place of its pieces; None when there is none.
    job, library
        As stated.
    table
        How cloth is cut here.
    """
    out: list[FlatPiece] = []
    for k, ply in enumerate(job.plies):
        if patchwork is not None and patchwork.ply == k:
            own = tile_pieces(patchwork, pieces, job, library)
        else:
            own = tuple(flat_piece(p, job) for p in pieces if p.ply == k)
        out.extend(as_cut(p, k, job, library.prepreg[ply.material], table) for p in own)
    return tuple(out)


def nested(
    pieces: tuple[FlatPiece, ...],
    sheets: tuple[Sheet, ...],
    cloths: tuple[Cloth, ...],
    prices: tuple[float, ...],
    cut_cost: float,
    rule: OffcutRule,
    up: str,
    seconds: float,
    watch: Watch | None = None,
) -> StockNest:
    """Return where each piece is cut; every layout is checked by `bagside.cutting.verify_stock`.

    Parameters
    ----------
    pieces
        Of one material.
    sheets, cloths
        Offcuts and rolls.
    prices
        Of each roll [money/m²].
    cut_cost
        Of the knife's way [money/m].
    rule
        Which offcuts are kept, and their worth.
    up
        Face that is up on the table.
    seconds
        Time for the search [s].
    watch
        Called several times a second; the search stops when it returns False.
    """
    keep = keep_rule(rule)
    return nest_stock(
        pieces,
        sheets,
        cloths,
        prices=prices,
        cut_cost=cut_cost,
        seconds=seconds,
        rule=keep,
        up=up,
        on_progress=watch,
    )


def nested_round(
    pieces: tuple[FlatPiece, ...],
    sheets: tuple[Sheet, ...],
    cloths: tuple[Cloth, ...],
    prices: tuple[float, ...],
    cut_cost: float,
    rule: OffcutRule,
    up: str,
    seconds: float,
    pins: tuple[Pin, ...],
    before: StockNest | None = None,
    watch: Watch | None = None,
) -> StockNest:
    """Return where each piece is cut when some stay where a person has put them.

    Parameters
    ----------
    pieces, sheets, cloths, prices, cut_cost, rule, up, seconds, watch
        As in `nested`.
    pins
        Copies that stay; at least one.
    before
        A layout of which most may stand.

    Raises
    ------
    InputError
        When the rest cannot be nested round the pins.
    """
    return nest_pinned(
        pieces,
        sheets,
        cloths,
        pins,
        prices=prices,
        cut_cost=cut_cost,
        seconds=seconds,
        rule=keep_rule(rule),
        up=up,
        before=before,
        on_progress=watch,
    )


def cut_cost_of(workshop: Workshop) -> float:
    """Return what a metre of knife path costs in attended time [money/m].

    Parameters
    ----------
    workshop
        For the knife's speed and the rate of labour.
    """
    return workshop.labour * (1.0 + workshop.overhead) / workshop.table.knife


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """What the cutting room has: its table and rolls, materials, offcuts, and the day."""

    workshop: Workshop
    library: Library
    stock: Stock
    today: date


def kits_of(
    cut: tuple[FlatPiece, ...],
    job: Job,
    room: Room,
    stages: Stages,
    only: frozenset[str] | None = None,
    *,
    kept: Sequence[StoredLayout] = (),
) -> tuple[MaterialKit, ...]:
    """Return where the pieces of every cloth are cut.

    Parameters
    ----------
    cut
        Everything that is cut, from `cut_list`.
    job
        As stated.
    room
        The cutting room.
    stages
        Keep the nests.
    only
        Names of the cloths to nest; all when None.
    kept
        Layouts stored with the job; one that can still be cut stands.

    Raises
    ------
    InputError
        When a piece fits no cloth, or there is no cloth; names both.
    """
    whole = sum(p.area * p.quantity for p in cut)
    kits: list[MaterialKit] = []
    for material in materials_of(cut):
        if only is not None and material not in only:
            continue
        own = tuple(p for p in cut if p.material == material)
        share = sum(p.area * p.quantity for p in own) / whole
        seconds = max(1.0, float(round(job.nest_time * share)))
        before = next((k for k in kept if k.material == material), None)
        kits.append(kit_of(own, room, stages, seconds, before))
    return tuple(kits)


def kit_of(
    own: tuple[FlatPiece, ...],
    room: Room,
    stages: Stages,
    seconds: float,
    before: StoredLayout | None = None,
    watch: Watch | None = None,
    anew: bool = False,
) -> MaterialKit:
    """Return where the pieces of one cloth are cut.

    Parameters
    ----------
    own
        Pieces of one material.
    room
        The cutting room.
    stages
        Keep the nests.
    seconds
        Time for the search [s].
    before
        The layout stored for them; it stands when it can still be cut. When it cannot, what a person has pinned in
        it still stays where it was put, if that goes.
    watch
        As in `nested`; with it the nest is not kept by the stages.
    anew
        Whether all that is not pinned is nested again although the layout can still be cut.

    Raises
    ------
    InputError
        When a piece fits no cloth, or there is no cloth; names both.
    """
    material, workshop = own[0].material, room.workshop
    why = ""
    found: StockNest | str = ""
    if before is not None:
        there = room.stock if before.cut_on is None else Stock(offcuts=room.stock.offcuts)
        on_shelf = shelf(material, workshop, there, room.library, room.today)
        found = restored(before, own, on_shelf)
        if isinstance(found, StockNest) and not anew:
            return replace(kit_from(found, on_shelf, workshop), cut_on=before.cut_on, stored=before)
        why = found if isinstance(found, str) else ""
    on_shelf = shelf(material, workshop, room.stock, room.library, room.today)
    if not on_shelf.rolls and not on_shelf.offcuts:
        raise InputError.one(
            f"workshop.toml, stock, {material}",
            "",
            "nothing is left of this cloth that may be used",
            "state a new roll, or correct lengths and lives",
        )
    arguments = (
        own,
        tuple(o.sheet for o in on_shelf.offcuts),
        tuple(r.cloth for r in on_shelf.rolls),
        tuple(r.roll.price for r in on_shelf.rolls),
        cut_cost_of(workshop),
        workshop.offcuts,
        face_up(room.library.prepreg[material]),
        seconds,
    )
    title = f"Nesting {sum(p.quantity for p in own)} pieces of {material}"
    pins = () if before is None else pins_of(before, on_shelf)
    fresh = None
    dropped: InputError | None = None
    if pins:
        lies = None if before is None else laid_down(before, own, on_shelf)
        start = lies if isinstance(lies, StockNest) else None
        try:
            if watch is None:
                fresh = stages.run(title, nested_round, *arguments, pins, start)
            else:
                fresh = nested_round(*arguments, pins, start, watch)
        except InputError as error:
            if anew:
                raise
            pins, dropped = (), error
    if fresh is None:
        fresh = nested(*arguments, watch=watch) if watch is not None else stages.run(title, nested, *arguments)
    kit = kit_from(fresh, on_shelf, workshop, pins)
    if before is None or anew:
        return kit
    notes = (nested_anew(material, before, why), *(() if dropped is None else (pins_gone(material, dropped),)))
    return replace(kit, findings=(*kit.findings, *notes))


def kit_from(found: StockNest, on_shelf: Shelf, workshop: Workshop, pins: Sequence[Pin] = ()) -> MaterialKit:
    """Return a kit from its layouts: what each takes, and what is left.

    Parameters
    ----------
    found
        The layouts.
    on_shelf
        The cloth they lie on.
    workshop
        For prices and the table.
    pins
        Copies that a person has put where they lie.
    """
    table, rule = workshop.table, workshop.offcuts
    keep = keep_rule(rule)
    rolls, sheets = [], []
    for nest in found.rolls:
        left = on_shelf.roll_of(nest.cloth)
        take = cutting.take(nest, end=table.end, knife=table.knife, handling=table.handling, price=left.roll.price)
        rolls.append(RollKit(left=left, nest=nest, take=take, offcuts=cutting.offcuts(nest, take.pull, keep)))
    for lain in found.sheets:
        offcut = on_shelf.offcut(lain.sheet.name).offcut
        rest = cutting.offcuts(lain, rule=keep)
        area = lain.sheet.area - rest.area
        sheets.append(
            SheetKit(
                offcut=offcut,
                nest=lain,
                area=area,
                cost=area * lain.sheet.price * lain.sheet.worth,
                knife_path=cutting.knife_path(lain),
                seconds=table.fetch + cutting.cutting_time(lain, knife=table.knife, handling=table.handling),
                offcuts=rest,
            )
        )
    return MaterialKit(
        material=found.material,
        rolls=tuple(rolls),
        sheets=tuple(sheets),
        alone=found.money_roll_alone if on_shelf.offcuts else None,
        weighed=found.money,
        stored=stored(found, on_shelf, pins=pins),
        findings=on_shelf.findings,
    )


def width_for(material: str, workshop: Workshop, library: Library) -> float:
    """Return the width of the cloth to cut from [m]: the shortest roll in stock, else an offer, else the sheet's.

    Parameters
    ----------
    material
        Name of a prepreg.
    workshop, library
        As stated.
    """
    rolls = sorted((r for r in workshop.stock if r.material == material), key=lambda r: r.length)
    stated = [r.width for r in rolls] or [o.width for o in workshop.offers if o.material == material]
    return (stated[0] if stated else None) or library.prepreg[material].width


def materials_of(cut: Sequence[FlatPiece]) -> tuple[str, ...]:
    """Return the cloths that pieces are cut from, in the order of the plies."""
    return tuple(dict.fromkeys(p.material for p in cut))
