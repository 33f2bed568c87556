"""A kit on the stock of one cloth: on offcuts what saves money there, on the roll the rest.

A piece on an offcut saves money only when the roll's nest gets shorter by more than the offcut counts. What a piece
takes of the roll is first counted by how well the roll alone is used. Then the rest is really nested on the roll, and
the length it takes is filled anew like a sheet that costs nothing. Sheets that do not pay beside it are given up, and
when the roll alone is cheaper it stands.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Collection, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
import shapely

from bagside.cutting.copies import Part, not_on
from bagside.cutting.layout import Cloth, Nest
from bagside.cutting.nest import NestProgress
from bagside.cutting.offcuts import KeepRule
from bagside.cutting.piece import FlatPiece
from bagside.cutting.refill import Placed, PlaceProgress, place_on
from bagside.cutting.rolls import Rolls
from bagside.cutting.sheet import Sheet, SheetNest
from bagside.cutting.spent import spent
from bagside.cutting.stock import StockNest, StockProgress
from bagside.cutting.stock_check import check_stock, refuse_what_fits_nothing
from bagside.cutting.verify import verify_stock

USED = 0.75
"""Share of fresh cloth that is first counted on to become pieces where no roll takes them all."""
PULLED = "pulled off the roll"
"""Name of the length of roll that is pulled in any case, while it stands beside the sheets."""
WELL_USED = 0.85
"""Share of a roll that pieces may become at best, when sheets are given up for what lies beside."""
SEARCH, AGAIN = 0.3, 0.1
"""Shares of the time for the two searches on the sheets; the rest is for the roll."""
GIVEN_UP = 0.1
"""Share of the time in which sheets are given up one by one."""
MOMENT = 0.5
"""For that, when hardly any time is given [s]."""
SAME = 1e-9
"""Money that comes of adding up in another order."""


def nest_stock(
    pieces: Sequence[FlatPiece],
    sheets: Sequence[Sheet],
    cloths: Sequence[Cloth],
    *,
    prices: Sequence[float],
    cut_cost: float = 0.0,
    seconds: float,
    seed: int = 1,
    rule: KeepRule | None = None,
    up: str = "resin-rich",
    on_progress: Callable[[StockProgress], bool | None] | None = None,
) -> StockNest:
    """Return where every copy is cut so that the money is least, of what was found in the time given.

    Parameters
    ----------
    pieces
        Different labels, all of one material.
    sheets
        Offcuts of that material, of different names; those whose life has run out are left out by the caller.
    cloths
        Rolls of that material; what the sheets do not take is cut from one of them, or from several when it must be.
    prices
        Of each roll [money/m²].
    cut_cost
        Of the knife's way [money/m].
    seconds
        Time for all of it [s]; below 1 s only first answers are made.
    seed
        Of the search on the sheets.
    rule
        When what is left of a sheet is kept and counts back; the common one when None.
    up
        Face that is up on the rolls, as the pieces are drawn.
    on_progress
        Called several times a second; when it returns False the search stops and the best so far is returned.

    Returns
    -------
    StockNest
        Layouts that passed `verify_stock`.

    Raises
    ------
    InputError
        When there is nothing to cut or to cut from, names repeat, materials differ, a number is no number, or a piece
        fits no cloth; each problem is named.
    NotSolved
        When a layout of our own fails its check: a fault of this program.

    Notes
    -----
    Money is fresh cloth over its full width, selvedges included, what is used up of sheets
    (`bagside.cutting.spent.spent`) and the way of the knife. Visible pieces of one part come from one batch.
    """
    pieces, sheets = tuple(pieces), tuple(sheets)
    check_stock(pieces, sheets, cloths, prices, cut_cost, seconds)
    rolls = Rolls.of(pieces, cloths, prices)
    found = _Stock(pieces, sheets, rolls, cut_cost, seconds, seed, rule, up, on_progress).found()
    verify_stock(pieces, found)
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Plan:
    sheets: tuple[SheetNest, ...]
    rolls: tuple[Nest, ...]
    money: float


class _Stock:
    def __init__(
        self,
        pieces: tuple[FlatPiece, ...],
        sheets: tuple[Sheet, ...],
        rolls: Rolls,
        cut_cost: float,
        seconds: float,
        seed: int,
        rule: KeepRule | None,
        up: str,
        tell: Callable[[StockProgress], bool | None] | None,
    ) -> None:
        self.began = time.perf_counter()
        self.pieces, self.sheets, self.rolls = pieces, sheets, rolls
        self.cut_cost, self.seconds, self.seed, self.rule, self.up, self.tell = cut_cost, seconds, seed, rule, up, tell
        self.area = sum(p.area * p.quantity for p in pieces)
        self.copies = sum(p.quantity for p in pieces)
        self.must = frozenset(p.label for p in pieces if not any(p.label in f for f in rolls.fits))
        self.moment = 0.0  # a quick nest on the roll takes [s]
        self.stop = threading.Event()
        self.best: _Plan | None = None

    def found(self) -> StockNest:
        """Return the best plan, beside the money of the roll alone."""
        alone: _Plan | None = None
        if not self.must:
            alone = self._plan((), self.rolls.nested(self.pieces, {}))
            self.moment = self._took
            self._offer(alone)
            self._going()
        if self.sheets:
            alone = self._weighed(alone)
        elif alone is not None:
            alone = self._plan((), self.rolls.nested(self.pieces, {}, self.seconds, self._watching((), self.pieces)))
            self._offer(alone)
        else:
            refuse_what_fits_nothing([p for p in self.pieces if p.label in self.must], (), self.rolls.cloths)
        best = self.best
        assert best is not None  # whatever cannot be laid was refused
        return StockNest(
            material=self.pieces[0].material,
            sheets=best.sheets,
            rolls=best.rolls,
            money=best.money,
            money_roll_alone=None if alone is None else alone.money,
            seconds=self._took,
            stopped=self.stop.is_set(),
        )

    def _weighed(self, alone: _Plan | None) -> _Plan | None:
        """Fill the sheets while the roll alone is nested beside, then nest the rest; return the roll alone."""
        with ThreadPoolExecutor(1) as beside:
            longer: Future[tuple[Nest, ...]] | None = None
            if alone is not None and self.seconds >= 1.0:
                half = 0.5 * self.seconds
                longer = beside.submit(self.rolls.nested, self.pieces, {}, half, lambda _: not self.stop.is_set())
            try:
                plan = self._filled(alone)
            except BaseException:
                self.stop.set()
                raise
            if longer is not None:
                while not longer.done() and self._going():
                    time.sleep(0.05)
                alone = min(alone, self._plan((), longer.result()), key=_money) if alone is not None else None
                assert alone is not None
                self._offer(alone)
        left = self.seconds - self._took
        if plan.sheets and plan.rolls and left >= 1.0 and self._going():
            rest = not_on(plan.sheets, self.pieces)
            rolls = self.rolls.nested(rest, self._parts(plan.sheets), left, self._watching(plan.sheets, rest))
            self._offer(self._plan(plan.sheets, rolls))
        return alone

    def _filled(self, alone: _Plan | None) -> _Plan:
        """Return the best plan with sheets, its roll nested in a moment only."""
        fresh = self._fresh(alone)
        first = self._placed(fresh, SEARCH * self.seconds)
        plan = self._rest(first)
        self._offer(plan)
        if len(plan.rolls) == 1 and plan.sheets and self._took < 0.5 * self.seconds and self._going():
            plan = self._around_the_rest(plan, fresh)
        return self._without_idle_sheets(plan)

    def _without_idle_sheets(self, plan: _Plan) -> _Plan:
        """Give up sheets whose pieces find room beside the rest on the roll, then others one by one, where it pays."""
        until = self._took + max(MOMENT, GIVEN_UP * self.seconds) - self.moment
        several = self._beside_the_rest(plan)
        while several and self._took <= until and self._going():
            less = self._without(plan, several)
            several = several[: len(several) // 2] if less is plan else self._beside_the_rest(less)
            plan = less
        for nest in sorted(plan.sheets, key=lambda n: n.area_of_pieces):
            if self._took > until or not self._going():
                break
            if self._may_go(nest, plan):
                plan = self._without(plan, [nest])
        return plan

    def _without(self, plan: _Plan, given_up: Sequence[SheetNest]) -> _Plan:
        less = self._rest_of(tuple(n for n in plan.sheets if n not in given_up))
        if less.money >= plan.money:
            return plan
        self._offer(less)
        return less

    def _beside_the_rest(self, plan: _Plan) -> list[SheetNest]:
        """Return the dearest sheets whose pieces the roll may have room for without getting longer."""
        room = sum(WELL_USED * n.length * n.cloth.usable - n.area_of_pieces for n in plan.rolls)
        out = []
        for nest in sorted(plan.sheets, key=lambda n: -spent(n, self.rule)):
            if nest.area_of_pieces <= room and self._may_go(nest, plan):
                out.append(nest)
                room -= nest.area_of_pieces
        return out

    def _may_go(self, nest: SheetNest, plan: _Plan) -> bool:
        """Return whether all on a sheet may be cut from the roll: it fits there, and no part is split in batches."""
        if self.must & {p.label for p in nest.pieces}:
            return False
        if nest.sheet.batch and nest.sheet.batch in {n.cloth.batch for n in plan.rolls}:
            return True
        others = self._parts([n for n in plan.sheets if n is not nest])
        return not others.keys() & self._parts([nest]).keys()

    def _placed(self, fresh: float, seconds: float) -> Placed:
        chosen = [n.cloth for n in self.best.rolls] if self.best is not None else list(self.rolls.cloths)
        batches = {c.batch for c in chosen}
        batch = batches.pop() if len(batches) == 1 else ""
        placed = self._search(self.sheets, fresh, seconds, batch, lambda now: self._going(now.placed))
        left = [p for p in placed.left if p.label in self.must]
        refuse_what_fits_nothing(left, self.sheets, self.rolls.cloths)
        return placed

    def _search(
        self,
        sheets: tuple[Sheet, ...],
        fresh: float,
        seconds: float,
        batch: str,
        heard: Callable[[PlaceProgress], bool],
    ) -> Placed:
        return place_on(
            sheets,
            self.pieces,
            fresh=fresh,
            seconds=seconds,
            seed=self.seed,
            rule=self.rule,
            must=self.must,
            batch=batch,
            up=self.up,
            on_progress=heard,
        )

    def _around_the_rest(self, plan: _Plan, fresh: float) -> _Plan:
        """Fill the sheets once more, and the length of roll that is pulled in any case as one more that costs nothing.

        When that takes all, the layout on it is one on the roll; else the rest is nested there anew.
        """
        (nest,) = plan.rolls
        cloth = nest.cloth
        batch = cloth.batch or PULLED
        corners = shapely.box(cloth.margin, cloth.edge, nest.length, cloth.width - cloth.edge).exterior.coords
        pulled = Sheet(
            name=PULLED, material=cloth.material, outline=np.array(corners), gap=cloth.gap, batch=batch, up=self.up
        )
        placed = self._search((*self.sheets, pulled), fresh, AGAIN * self.seconds, batch, lambda _: self._going())
        sheets = tuple(n for n in placed.sheets if n.sheet is not pulled)
        plans = [plan]
        if not {p.label for p in placed.left} & self.must:
            plans.append(self._rest_of(sheets))
        for strip in placed.sheets:
            if strip.sheet is pulled and not placed.left:
                own = Nest(cloth=cloth, pieces=strip.pieces, placements=strip.placements)
                plans.append(self._plan(sheets, (own,)))
        best = min(plans, key=_money)
        self._offer(best)
        return best

    def _rest(self, placed: Placed) -> _Plan:
        return self._plan(placed.sheets, self.rolls.nested(placed.left, self._parts(placed.sheets)))

    def _rest_of(self, sheets: tuple[SheetNest, ...]) -> _Plan:
        return self._plan(sheets, self.rolls.nested(not_on(sheets, self.pieces), self._parts(sheets)))

    def _parts(self, sheets: Collection[SheetNest]) -> dict[Part, str]:
        """Return the batch of each part of which visible pieces lie on sheets."""
        out: dict[Part, str] = {}
        for nest in sheets:
            for p in nest.placements:
                piece = nest.piece(p.label)
                if piece.visible:
                    out[piece.job, nest.kit(p)] = nest.sheet.batch or f"\0sheet {nest.sheet.name}"
        return out

    def _plan(self, sheets: tuple[SheetNest, ...], rolls: tuple[Nest, ...]) -> _Plan:
        knife = sum(p.knife_path * p.quantity for p in self.pieces) + sum(n.cloth.width for n in rolls)
        money = sum(spent(n, self.rule) for n in sheets) + sum(self.rolls.price(n) for n in rolls)
        return _Plan(sheets, rolls, money + self.cut_cost * knife)

    def _roll_money(self, plan: _Plan) -> float:
        return sum(self.rolls.price(n) for n in plan.rolls)

    def _fresh(self, alone: _Plan | None) -> float:
        if alone is not None:
            return self._roll_money(alone) / self.area
        dearest = max([*self.rolls.prices, *(s.price for s in self.sheets)])
        return dearest / USED

    def _offer(self, plan: _Plan) -> None:
        if self.best is None or plan.money <= self.best.money + SAME:
            self.best = plan

    @property
    def _took(self) -> float:
        return time.perf_counter() - self.began

    def _watching(self, sheets: tuple[SheetNest, ...], rest: Sequence[FlatPiece]) -> Callable[[NestProgress], bool]:
        """Return a watcher that takes each better layout of the rest on the roll as it comes."""
        count = sum(p.quantity for p in rest)
        seen: list[Nest] = []
        on_sheets = self._plan(sheets, ()).money  # what they cost does not change while the roll is searched

        def watch(now: NestProgress) -> bool:
            whole = sum(p.quantity for p in now.nest.pieces) == count  # not one of several rolls
            if whole and not (seen and seen[-1] is now.nest):
                seen[:] = [now.nest]
                fresh = self.rolls.price(now.nest) + self.cut_cost * now.nest.cloth.width
                self._offer(_Plan(sheets, (now.nest,), on_sheets + fresh))
            return self._going()

        return watch

    def _going(self, on_sheets: int | None = None) -> bool:
        """Tell the watcher how far it has come and return whether to go on."""
        if self.tell is not None and not self.stop.is_set():
            best = self.best
            now = StockProgress(
                seconds=self._took,
                money=None if best is None else best.money,
                on_sheets=on_sheets or sum(len(n.placements) for n in (best.sheets if best is not None else ())),
                copies=self.copies,
                length=None if best is None else sum(n.length for n in best.rolls),
                layouts=() if best is None else (*best.sheets, *best.rolls),
            )
            if self.tell(now) is False:
                self.stop.set()
        return not self.stop.is_set()


def _money(plan: _Plan) -> float:
    return plan.money
