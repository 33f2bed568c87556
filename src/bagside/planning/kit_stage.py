"""From flat pieces to where each is cut: offcuts first where that costs less, the rest on rolls; what is left over."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from bagside import cutting
from bagside.cutting import Cloth, FlatPiece, Nest, NestProgress, Offcuts, Take
from bagside.cutting.sheet import Sheet, SheetNest
from bagside.cutting.stock import StockNest
from bagside.errors import InputError
from bagside.findings import Finding, Severity
from bagside.planning.as_cut import as_cut
from bagside.planning.patchwork_stage import PlyPatchwork, tile_pieces
from bagside.planning.piece import Piece
from bagside.planning.shelf import RollLeft, Shelf, shelf
from bagside.planning.stages import Stages
from bagside.quantity import shown
from bagside.spec.job import Job
from bagside.spec.library import Library
from bagside.spec.material import Prepreg
from bagside.spec.stock import Offcut, Stock
from bagside.spec.workshop import CuttingTable, OffcutRule, Roll, Workshop

Watch = Callable[[NestProgress], bool | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class RollKit:
    """What is cut from one roll.

    Parameters
    ----------
    left
        The roll and what is left of it.
    nest
        Where pieces lie.
    take
        Length, cost, knife path and time.
    offcuts
        What is left and worth keeping.
    """

    left: RollLeft
    nest: Nest
    take: Take
    offcuts: Offcuts

    @property
    def roll(self) -> Roll:
        """The roll."""
        return self.left.roll


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetKit:
    """What is cut from one offcut.

    Parameters
    ----------
    offcut
        As it is in stock.
    nest
        Where pieces lie.
    area
        Cloth used up: pieces and scrap [m²].
    cost
        Of that cloth at its worth, in the workshop's money.
    knife_path
        Length of all cuts [m].
    seconds
        Attended time at the table [s].
    offcuts
        What is left of it and worth keeping.
    """

    offcut: Offcut
    nest: SheetNest
    area: float
    cost: float
    knife_path: float
    seconds: float
    offcuts: Offcuts


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialKit:
    """All pieces of one cloth, for every part of the job.

    Parameters
    ----------
    material
        Its name.
    rolls
        What is cut from rolls; empty when offcuts take everything.
    sheets
        What is cut from offcuts.
    alone
        What cloth and cutting would cost from the roll alone; None when no offcut was looked at.
    weighed
        What they cost as planned, offcuts at their worth.
    findings
        Cloth that is not used, and what a person should know of the layouts.
    cut_on
        The day it was cut; None while it is planned.
    """

    material: str
    rolls: tuple[RollKit, ...]
    sheets: tuple[SheetKit, ...] = ()
    alone: float | None = None
    weighed: float = 0.0
    findings: tuple[Finding, ...] = ()
    cut_on: date | None = None

    @property
    def pull(self) -> float:
        """Length to pull off rolls [m]."""
        return sum(r.take.pull for r in self.rolls)

    @property
    def fresh_area(self) -> float:
        """Area of the cloth pulled off rolls, over their full width [m²]."""
        return sum(r.take.cloth_area for r in self.rolls)

    @property
    def pieces_area(self) -> float:
        """Area of all pieces [m²]."""
        return sum(r.take.pieces_area for r in self.rolls) + sum(s.nest.area_of_pieces for s in self.sheets)

    @property
    def utilisation(self) -> float:
        """Area of pieces over the cloth that is used up or pulled."""
        return self.pieces_area / (self.fresh_area + sum(s.area for s in self.sheets))

    @property
    def fresh_cost(self) -> float:
        """Of the cloth pulled off rolls, in the workshop's money."""
        return sum(r.take.cost or 0.0 for r in self.rolls)

    @property
    def cost(self) -> float:
        """Of all cloth, offcuts at their worth, in the workshop's money."""
        return self.fresh_cost + sum(s.cost for s in self.sheets)

    @property
    def knife_path(self) -> float:
        """Length of all cuts [m]."""
        return sum(r.take.knife_path for r in self.rolls) + sum(s.knife_path for s in self.sheets)

    @property
    def seconds(self) -> float:
        """Attended time at the table [s]."""
        return sum(r.take.seconds for r in self.rolls) + sum(s.seconds for s in self.sheets)

    @property
    def kept(self) -> int:
        """How many offcuts are left and worth keeping."""
        return sum(k.offcuts.count for k in (*self.rolls, *self.sheets))

    @property
    def kept_area(self) -> float:
        """Area of the offcuts that are kept [m²]."""
        return sum(k.offcuts.area for k in (*self.rolls, *self.sheets))

    @property
    def source(self) -> str:
        """Where it is cut from, for people: ``roll K-114, offcuts O-2, O-5``."""
        rolls = [r.roll.called for r in self.rolls if r.roll.called != self.material]
        sheets = [s.offcut.name for s in self.sheets]
        words = [f"roll{'s' if len(rolls) > 1 else ''} {', '.join(rolls)}"] if rolls else []
        words += [f"offcut{'s' if len(sheets) > 1 else ''} {', '.join(sheets)}"] if sheets else []
        return ", ".join(words)


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
    seconds
        Time for the search [s].
    watch
        Called several times a second; the search stops when it returns False.
    """
    nest = cutting.nest_roll(pieces, cloths[0], seconds=seconds, on_progress=watch)
    return StockNest(
        material=nest.material,
        sheets=(),
        rolls=(nest,),
        money=0.0,
        money_roll_alone=None,
        seconds=nest.seconds,
        stopped=nest.stopped,
    )


def cut_cost_of(workshop: Workshop) -> float:
    """Return what a metre of knife path costs in attended time [money/m].

    Parameters
    ----------
    workshop
        For the knife's speed and the rate of labour.
    """
    return workshop.labour * (1.0 + workshop.overhead) / workshop.table.knife


def kits_of(
    cut: tuple[FlatPiece, ...],
    job: Job,
    workshop: Workshop,
    library: Library,
    stages: Stages,
    only: frozenset[str] | None = None,
    *,
    stock: Stock | None = None,
    today: date | None = None,
) -> tuple[MaterialKit, ...]:
    """Return where the pieces of every cloth are cut.

    Parameters
    ----------
    cut
        Everything that is cut, from `cut_list`.
    job, workshop, library
        As stated.
    stages
        Keep the nests.
    only
        Names of the cloths to nest; all when None.
    stock
        Offcuts, and what was taken from rolls; rolls alone, as they were received, when None.
    today
        For the life of cloth.

    Raises
    ------
    InputError
        When a piece fits no cloth, or there is no cloth; names both.
    """
    whole = sum(p.area * p.quantity for p in cut)
    kits: list[MaterialKit] = []
    for material in dict.fromkeys(p.material for p in cut):
        if only is not None and material not in only:
            continue
        own = tuple(p for p in cut if p.material == material)
        share = sum(p.area * p.quantity for p in own) / whole
        seconds = max(1.0, float(round(job.nest_time * share)))
        kits.append(kit_of(own, workshop, library, stages, stock or Stock(), today or date.today(), seconds))
    return tuple(kits)


def kit_of(
    own: tuple[FlatPiece, ...],
    workshop: Workshop,
    library: Library,
    stages: Stages,
    stock: Stock,
    today: date,
    seconds: float,
    watch: Watch | None = None,
) -> MaterialKit:
    """Return where the pieces of one cloth are cut.

    Parameters
    ----------
    own
        Pieces of one material.
    workshop, library
        As stated.
    stages
        Keep the nests.
    stock
        Offcuts, and what was taken from rolls.
    today
        For the life of cloth.
    seconds
        Time for the search [s].
    watch
        As in `nested`; with it the nest is not kept.

    Raises
    ------
    InputError
        When a piece fits no cloth, or there is no cloth; names both.
    """
    material = own[0].material
    on_shelf = shelf(material, workshop, stock, library, today)
    rolls = on_shelf.rolls
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
        tuple(r.cloth for r in rolls),
        tuple(r.roll.price for r in rolls),
        cut_cost_of(workshop),
        workshop.offcuts,
        seconds,
    )
    if watch is None:
        title = f"Nesting {sum(p.quantity for p in own)} pieces of {material}"
        found = stages.run(title, nested, *arguments)
    else:
        found = nested(*arguments, watch)
    return kit_from(found, on_shelf, workshop)


def kit_from(found: StockNest, on_shelf: Shelf, workshop: Workshop) -> MaterialKit:
    """Return a kit from its layouts: what each takes, and what is left.

    Parameters
    ----------
    found
        The layouts.
    on_shelf
        The cloth they lie on.
    workshop
        For prices and the table.
    """
    table, rule = workshop.table, workshop.offcuts
    keep = cutting.KeepRule(square=rule.square, area=rule.area, strip=rule.strip)
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
                seconds=cutting.cutting_time(lain, knife=table.knife, handling=table.handling),
                offcuts=rest,
            )
        )
    return MaterialKit(
        material=found.material,
        rolls=tuple(rolls),
        sheets=tuple(sheets),
        alone=found.money_roll_alone if on_shelf.offcuts else None,
        weighed=found.money,
        findings=on_shelf.findings,
    )


def kit_findings(kits: Sequence[MaterialKit], library: Library) -> tuple[Finding, ...]:
    """Return what cutting noticed, and cloth whose life runs short."""
    found: list[Finding] = []
    for kit in kits:
        found.extend(kit.findings)
        told = library.prepreg[kit.material]
        for roll in kit.rolls:
            found.extend(cutting.nest_findings(roll.nest, roll.take.pull))
            name = f"roll {roll.roll.batch or kit.material}"
            found.extend(_short_of_life(name, roll.roll.life_used, told))
        for sheet in kit.sheets:
            found.extend(_short_of_life(f"offcut {sheet.offcut.name}", sheet.offcut.life_used, told))
    return tuple(found)


def _short_of_life(name: str, used: float, told: Prepreg) -> list[Finding]:
    share = used / told.out_life
    if share < 0.7:
        return []
    left = shown(told.out_life - used, "h", 0)
    return [
        Finding(
            severity=Severity.STOP if share >= 1.0 else Severity.DECIDE if share >= 0.9 else Severity.WATCH,
            stage="cutting",
            place=name,
            what=f"{shown(share, '%', 0)} of its out-life is used, {left} are left",
            why="tack goes first, then the resin gels sooner and flows less, and corners bridge",
            do=(
                "do not lay it on a part; use it for practice or cauls"
                if share >= 1.0
                else "lay and cure a small coupon first, and use it before any other"
            ),
            basis=told.basis.of("out_life"),
            source=told.basis.source,
        )
    ]


def roll_for(material: str, workshop: Workshop) -> Roll:
    """Return the roll to cut from: the one with least length among those in stock."""
    return min((r for r in workshop.stock if r.material == material), key=lambda r: r.length)


def materials_of(cut: Sequence[FlatPiece]) -> tuple[str, ...]:
    """Return the cloths that pieces are cut from, in the order of the plies."""
    return tuple(dict.fromkeys(p.material for p in cut))
