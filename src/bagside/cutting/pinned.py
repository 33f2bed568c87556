"""A nest round copies that a person has put somewhere: these stay, the rest is laid anew.

On a sheet a pinned copy is one more place that is not to be used. On a roll the rest is first filled into the length
that the pinned copies reach, then laid behind them; the layout before, with what was pinned moved, is tried too, for
most of it may stand. Then everything that is free is pushed together and changed a little at a time, as in any nest.
"""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from bagside.cutting.copies import not_on, of_kits
from bagside.cutting.layout import Cloth, Nest, laid
from bagside.cutting.nest import nest_roll
from bagside.cutting.offcuts import KeepRule
from bagside.cutting.piece import FlatPiece
from bagside.cutting.pins import Copies, Pin, check_pins, copies_on, laid_out
from bagside.cutting.refill import PlaceProgress, place_on
from bagside.cutting.sheet import Sheet, SheetNest, kit_names
from bagside.cutting.spent import spent
from bagside.cutting.squeeze import Lay, Squeezer
from bagside.cutting.stir import stirred
from bagside.cutting.stock import StockNest, StockProgress
from bagside.cutting.stock_check import check_stock, refuse_what_fits_nothing
from bagside.cutting.stock_nest import nest_stock
from bagside.cutting.verify import verify, verify_stock
from bagside.errors import InputError, NotSolved

Watch = Callable[[StockProgress], bool | None]
FILL = "length of the roll"
ON_SHEETS, ON_LENGTH = 0.25, 0.3
"""Shares of the time for filling sheets, and lengths of the roll."""
SHORTER = 0.5
"""Where between the least and the best length the next one is tried."""
TRIES = 6
ASIDE = 2e-6
"""By which a pinned copy is widened beyond the gap, so that rounding never brings another too near [m]."""


def nest_pinned(
    pieces: Sequence[FlatPiece],
    sheets: Sequence[Sheet],
    cloths: Sequence[Cloth],
    pins: Sequence[Pin],
    *,
    prices: Sequence[float],
    cut_cost: float = 0.0,
    seconds: float,
    seed: int = 1,
    rule: KeepRule | None = None,
    up: str = "resin-rich",
    before: StockNest | None = None,
    on_progress: Watch | None = None,
) -> StockNest:
    """Return where every copy is cut when some stay where they were put.

    Parameters
    ----------
    pieces, sheets, cloths, prices, cut_cost, seconds, seed, rule, up, on_progress
        As `bagside.cutting.nest_stock` takes them.
    pins
        At least one; on sheets, and on at most one of the rolls.
    before
        A layout to begin with; most of it may stand.

    Returns
    -------
    StockNest
        Layouts that passed `verify_stock`, each pinned copy where it was put.

    Raises
    ------
    InputError
        When a pin is of no copy there is, on no cloth there is, out of its margins, turned as its cloth does not
        allow, or too near another; when the rest cannot be laid round the pins.
    """
    pieces, sheets = tuple(pieces), tuple(sheets)
    check_stock(pieces, sheets, cloths, prices, cut_cost, seconds)
    check_pins(pieces, sheets, cloths, pins, up)
    work = _Pinned(pieces, sheets, tuple(cloths), tuple(pins), tuple(prices), cut_cost, seconds, seed, rule, up)
    work.tell, work.before = on_progress, before
    found = work.found()
    try:
        verify_stock(pieces, found)
    except NotSolved as fault:
        wanted = f"the rest cannot be laid round it: {fault}"
        raise InputError.one("pinned pieces", f"{len(pins)} pinned", wanted, "take a pin off, or move it") from fault
    return found


@dataclass(slots=True)
class _Pinned:
    pieces: tuple[FlatPiece, ...]
    sheets: tuple[Sheet, ...]
    cloths: tuple[Cloth, ...]
    pins: tuple[Pin, ...]
    prices: tuple[float, ...]
    cut_cost: float
    seconds: float
    seed: int
    rule: KeepRule | None
    up: str
    tell: Watch | None = None
    before: StockNest | None = None
    began: float = 0.0
    told: float = -math.inf
    stopped: bool = False
    best: tuple[SheetNest | Nest, ...] = ()

    @property
    def by_label(self) -> dict[str, FlatPiece]:
        """Pieces by their labels."""
        return {p.label: p for p in self.pieces}

    @property
    def took(self) -> float:
        """Time since it began [s]."""
        return time.perf_counter() - self.began

    def found(self) -> StockNest:
        """Return the best plan."""
        self.began = time.perf_counter()
        free = self._free()
        on_roll = [p for p in self.pins if not p.sheet]
        if on_roll:
            self._on_the_roll(on_roll, free)
        else:
            self._on_sheets_only(free)
        return StockNest(
            material=self.pieces[0].material,
            sheets=tuple(n for n in self.best if isinstance(n, SheetNest)),
            rolls=tuple(n for n in self.best if isinstance(n, Nest)),
            money=self._money(self.best),
            money_roll_alone=None if self.before is None else self.before.money_roll_alone,
            seconds=self.took,
            stopped=self.stopped,
        )

    def _free(self) -> tuple[FlatPiece, ...]:
        """Return the pieces with the copies that are not pinned."""
        pinned = Counter((p.label, p.kit) for p in self.pins)
        out = []
        for piece in self.pieces:
            kits = []
            for kit in kit_names(piece):
                if pinned[piece.label, kit]:
                    pinned[piece.label, kit] -= 1
                else:
                    kits.append(kit)
            if kits:
                out.append(of_kits(piece, kits))
        return tuple(out)

    def _holed(self) -> tuple[Sheet, ...]:
        """Return the sheets, pinned copies taken out of them."""
        out = []
        for sheet in self.sheets:
            own = [p for p in self.pins if p.sheet == sheet.name]
            flaws = tuple(f for p in own for f in self._kept_off(p, sheet.gap - sheet.margin))
            out.append(replace(sheet, flaws=(*sheet.flaws, *flaws)) if own else sheet)
        return tuple(out)

    def _kept_off(self, pin: Pin, gap: float) -> list[np.ndarray]:
        """Return where nothing may lie for a pin."""
        outline = shapely.Polygon(laid(self.by_label[pin.label], pin.place)[0])
        grown = outline.buffer(1.002 * gap + ASIDE if gap >= 0 else gap + ASIDE, quad_segs=16)
        parts = getattr(grown, "geoms", [grown])
        return [np.asarray(p.exterior.coords)[:-1] for p in parts if p.area > 0.0]

    def _with_pins(self, nests: Sequence[SheetNest]) -> tuple[SheetNest, ...]:
        """Return layouts on sheets with the pinned copies, on the sheets as they are."""
        out = []
        for sheet in self.sheets:
            own = tuple((p.label, p.kit, p.place) for p in self.pins if p.sheet == sheet.name)
            rest = tuple(c for n in nests if n.sheet.name == sheet.name for c in copies_on(n))
            if own or rest:
                layout = laid_out(sheet, (*own, *rest), self.by_label, self.up)
                assert isinstance(layout, SheetNest)
                out.append(layout)
        return tuple(out)

    def _on_sheets_only(self, free: tuple[FlatPiece, ...]) -> None:
        """Nest the rest as always, on sheets with less room."""
        if not free:
            self._offer(self._with_pins(()))
            return

        def heard(now: StockProgress) -> bool:
            if now.layouts:
                self._offer(self._whole(now.layouts))
            return self._going()

        found = nest_stock(
            free,
            self._holed(),
            self.cloths,
            prices=self.prices,
            cut_cost=self.cut_cost,
            seconds=self.seconds,
            seed=self.seed,
            rule=self.rule,
            up=self.up,
            on_progress=heard,
        )
        self.best = ()  # what a pin leaves of a sheet counts otherwise than a flaw does: the last answer is the one
        self._offer(self._whole(found.layouts))

    def _whole(self, layouts: Sequence[SheetNest | Nest]) -> tuple[SheetNest | Nest, ...]:
        sheets = self._with_pins([n for n in layouts if isinstance(n, SheetNest)])
        return (*sheets, *(n for n in layouts if isinstance(n, Nest)))

    def _on_the_roll(self, pins: Sequence[Pin], free: tuple[FlatPiece, ...]) -> None:
        cloth = self.cloths[pins[0].roll]
        held: Copies = tuple((p.label, p.kit, p.place) for p in pins)
        placed = self._sheets_filled(free, cloth)
        sheets = self._with_pins(placed)
        rest = not_on(placed, free)
        for copies in self._firsts(cloth, held, rest, sheets):
            self._take(cloth, sheets, copies, pushed=True, held=len(held))
            if not self._going():
                return
        if not self.best:
            refuse_what_fits_nothing(rest, (), [cloth])
        if rest and self.seconds >= 1.0:
            self._lengths(cloth, held, rest, sheets, ON_LENGTH * self.seconds + self.took)
            self._stir(cloth, sheets, len(held))

    def _sheets_filled(self, free: tuple[FlatPiece, ...], cloth: Cloth) -> tuple[SheetNest, ...]:
        """Return what of the rest pays on sheets; as before when there is a layout and the sheets are untouched."""
        if not free or not self.sheets:
            return ()
        if self.before is not None and not any(p.sheet for p in self.pins):
            kept = self._as_before(free)
            if kept is not None:
                return kept
        price = self.prices[next(k for k, c in enumerate(self.cloths) if c is cloth)]
        return place_on(
            self._holed(),
            free,
            fresh=price / 0.75,
            seconds=ON_SHEETS * self.seconds,
            seed=self.seed,
            rule=self.rule,
            batch=cloth.batch,
            up=self.up,
            on_progress=lambda _: self._going(),
        ).sheets

    def _as_before(self, free: tuple[FlatPiece, ...]) -> tuple[SheetNest, ...] | None:
        assert self.before is not None
        there = Counter((p.label, kit) for p in free for kit in kit_names(p))
        out = []
        for nest in self.before.sheets:
            copies = tuple(c for c in copies_on(nest) if there[c[0], c[1]] > 0)
            sheet = next((s for s in self.sheets if s.name == nest.sheet.name), None)
            if sheet is None:
                return None
            if copies:
                layout = laid_out(sheet, copies, self.by_label, self.up)
                assert isinstance(layout, SheetNest)
                out.append(layout)
        return tuple(out)

    def _firsts(
        self, cloth: Cloth, held: Copies, rest: tuple[FlatPiece, ...], sheets: tuple[SheetNest, ...]
    ) -> list[Copies]:
        """Return first layouts on the roll: the one before with the pins moved, and one that always goes."""
        out: list[Copies] = []
        wanted = Counter((p.label, kit) for p in rest for kit in kit_names(p))
        if self.before is not None:
            for nest in self.before.rolls:
                stays = tuple(c for c in copies_on(nest) if wanted[c[0], c[1]] > 0)
                if Counter((c[0], c[1]) for c in stays) == wanted:
                    out.append((*held, *stays))
        out.append(self._behind(cloth, held, rest))
        return out

    def _behind(self, cloth: Cloth, held: Copies, rest: tuple[FlatPiece, ...]) -> Copies:
        """Fill the length that the pins reach, and lay what is left behind it."""
        reach = self._reach(held)
        filled = self._filled(cloth, held, rest, reach, 0.0)
        left = not_on(filled, rest)
        here = tuple(c for n in filled for c in copies_on(n))
        if not left:
            return (*held, *here)
        behind = nest_roll(left, cloth, seconds=0.0)
        on = reach + cloth.gap - cloth.margin + ASIDE
        moved = tuple((label, kit, replace(p, x=p.x + max(on, 0.0))) for label, kit, p in copies_on(behind))
        return (*held, *here, *moved)

    def _filled(
        self, cloth: Cloth, held: Copies, rest: tuple[FlatPiece, ...], length: float, seconds: float
    ) -> tuple[SheetNest, ...]:
        if not rest or length <= cloth.margin:
            return ()
        corners = shapely.box(cloth.margin, cloth.edge, length, cloth.width - cloth.edge).exterior.coords
        pins = [Pin(label=label, kit=kit, turn=p.turn, x=p.x, y=p.y, flipped=p.flipped) for label, kit, p in held]
        strip = Sheet(
            name=FILL,
            material=cloth.material,
            outline=np.array(corners),
            flaws=tuple(f for p in pins for f in self._kept_off(p, cloth.gap)),
            gap=cloth.gap,
            batch=cloth.batch,
            up=self.up,
        )
        going: Callable[[PlaceProgress], bool] = lambda _: self._going()  # noqa: E731
        return place_on(
            [strip], rest, seconds=seconds, seed=self.seed, batch=cloth.batch, up=self.up, on_progress=going
        ).sheets

    def _lengths(
        self, cloth: Cloth, held: Copies, rest: tuple[FlatPiece, ...], sheets: tuple[SheetNest, ...], until: float
    ) -> None:
        """Try to fill shorter lengths whole, each for a share of the time."""
        area = sum(p.area * p.quantity for p in rest) + sum(self.by_label[label].area for label, _, _ in held)
        least = max(self._reach(held), cloth.margin + area / cloth.usable)
        each = max((until - self.took) / TRIES, 0.3)
        while self.took < until and self._going():
            best = self._length()
            length = best - SHORTER * (best - least)
            if best - length < 0.002 * best:
                return
            filled = self._filled(cloth, held, rest, length, min(each, until - self.took))
            if not_on(filled, rest):
                least = length
                continue
            self._take(cloth, sheets, (*held, *(c for n in filled for c in copies_on(n))), held=len(held))

    def _stir(self, cloth: Cloth, sheets: tuple[SheetNest, ...], held: int) -> None:
        """Change what is free a little at a time for the rest of the time."""
        nest = next(n for n in self.best if isinstance(n, Nest) and n.cloth is cloth)
        copies = copies_on(nest)
        squeezer, lay = self._squeezer(cloth, copies, held)
        for start in squeezer.squeezed(lay):
            lay = start or lay
            self._lay(cloth, sheets, squeezer, copies, start)
            if self.took > self.seconds or not self._going():
                return
        if not math.isfinite(lay.length):
            return
        for better in stirred(squeezer, lay, np.random.default_rng(self.seed)):
            self._lay(cloth, sheets, squeezer, copies, better)
            if self.took > self.seconds or not self._going():
                return

    def _squeezer(self, cloth: Cloth, copies: Copies, held: int) -> tuple[Squeezer, Lay]:
        squeezer = Squeezer(tuple(self.by_label[label] for label in dict.fromkeys(c[0] for c in copies)), cloth)
        squeezer.held = held
        return squeezer, squeezer.lay(tuple(p for _, _, p in copies))

    def _take(
        self, cloth: Cloth, sheets: tuple[SheetNest, ...], copies: Copies, *, held: int, pushed: bool = False
    ) -> None:
        """Take a layout on the roll when it can be cut; else, or to make it shorter, push it together first."""
        whole = self._checked(cloth, copies)
        if whole is not None:
            self._offer((*sheets, whole))
        if pushed or whole is None:
            squeezer, lay = self._squeezer(cloth, copies, held)
            for now in squeezer.squeezed(lay):
                self._lay(cloth, sheets, squeezer, copies, now)
                if not self._going():
                    return

    def _lay(
        self, cloth: Cloth, sheets: tuple[SheetNest, ...], squeezer: Squeezer, copies: Copies, lay: Lay | None
    ) -> None:
        if lay is None or (self.best and lay.length >= 1e3 * self._length()):
            return
        free = zip(copies[squeezer.held :], squeezer.placements(lay)[squeezer.held :], strict=True)
        moved = tuple((label, kit, place) for (label, kit, _), place in free)
        whole = self._checked(cloth, (*copies[: squeezer.held], *moved))
        if whole is not None:
            self._offer((*sheets, whole))

    def _checked(self, cloth: Cloth, copies: Copies) -> Nest | None:
        layout = laid_out(cloth, copies, self.by_label, self.up)
        assert isinstance(layout, Nest)
        try:
            verify(layout)
        except NotSolved:
            return None
        return layout

    def _reach(self, copies: Copies) -> float:
        return max(float(laid(self.by_label[label], place)[0][:, 0].max()) for label, _, place in copies)

    def _length(self) -> float:
        return sum(n.length for n in self.best if isinstance(n, Nest)) if self.best else math.inf

    def _money(self, layouts: Sequence[SheetNest | Nest]) -> float:
        rolls = [n for n in layouts if isinstance(n, Nest)]
        knife = sum(p.knife_path * p.quantity for p in self.pieces) + sum(n.cloth.width for n in rolls)
        price = {id(c): p for c, p in zip(self.cloths, self.prices, strict=True)}
        fresh = sum(price[id(n.cloth)] * n.length * n.cloth.width for n in rolls)
        return sum(spent(n, self.rule) for n in layouts if isinstance(n, SheetNest)) + fresh + self.cut_cost * knife

    def _offer(self, layouts: tuple[SheetNest | Nest, ...]) -> None:
        if not self.best or self._money(layouts) < self._money(self.best):
            self.best = layouts

    def _going(self) -> bool:
        if self.tell is None or self.stopped or self.took - self.told < 0.1:
            return not self.stopped
        self.told = self.took
        now = StockProgress(
            seconds=self.took,
            money=self._money(self.best) if self.best else None,
            on_sheets=sum(len(n.placements) for n in self.best if isinstance(n, SheetNest)),
            copies=sum(p.quantity for p in self.pieces),
            length=self._length() if self.best else None,
            layouts=self.best,
        )
        self.stopped = self.tell(now) is False
        return not self.stopped
