"""Sheets filled by value: an answer at once, then better ones by taking copies off and laying them again.

Each round takes copies off a few sheets, lays them and some that lie nowhere in another order, on other sheets, or
towards another corner, and keeps the change when it saves money, or costs little while the search is young (ruin and
recreate: Schrimpf et al. 2000). A sheet that costs more than the fresh cloth it saves is emptied.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from bagside.cutting.copies import Copy, Part, copies_of, layout_of, left_over
from bagside.cutting.forms import Forms, Ground
from bagside.cutting.nofit import UNIT
from bagside.cutting.offcuts import KeepRule
from bagside.cutting.piece import FlatPiece
from bagside.cutting.place import DIRECTIONS, Filling, Item
from bagside.cutting.sheet import Sheet, SheetNest
from bagside.cutting.spent import Account
from bagside.cutting.verify import verify
from bagside.errors import InputError, NotSolved

TELL = 0.15
"""Between two calls of the watcher [s]."""
FIRST = 4.0
"""After which the first answer leaves the copies it has not come to [s]."""
MOST_TRIED = 12
"""Copies that lie nowhere and are tried again in one round."""
WARM = 0.04
"""How much worse a change may be at first and still be kept, on average, as a share of the value of a copy."""
ASTRAY = 0.4
"""Share of copies that are laid towards another corner than the others on their sheet."""
RESTART = 250
"""Rounds without a better answer after which the search goes back to the best."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceProgress:
    """How far the search on the sheets has come.

    Parameters
    ----------
    seconds
        Since it began [s].
    rounds
        Done so far.
    placed, copies
        Copies on sheets in the best answer, and in all.
    saved
        Fresh cloth saved less what it uses up of the sheets [money].
    """

    seconds: float
    rounds: int
    placed: int
    copies: int
    saved: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Placed:
    """What was laid on sheets.

    Parameters
    ----------
    sheets
        Layouts, only of sheets that are cut from; each passed `verify`.
    left
        Pieces with the copies that lie on none.
    saved
        Fresh cloth saved less what it uses up of the sheets [money].
    rounds
        Of the search.
    seconds
        It took [s].
    stopped
        Whether it was stopped before its time.
    """

    sheets: tuple[SheetNest, ...]
    left: tuple[FlatPiece, ...]
    saved: float
    rounds: int
    seconds: float
    stopped: bool


def place_on(
    sheets: Sequence[Sheet],
    pieces: Sequence[FlatPiece],
    *,
    fresh: float = 1.0,
    seconds: float = 0.0,
    rounds: int | None = None,
    seed: int = 1,
    rule: KeepRule | None = None,
    must: Collection[str] = (),
    batch: str = "",
    up: str = "resin-rich",
    on_progress: Callable[[PlaceProgress], bool | None] | None = None,
) -> Placed:
    """Return the layouts on sheets that save most money, of those found in the time given.

    Parameters
    ----------
    sheets
        Different names, all of one material.
    pieces
        Different labels, of that material.
    fresh
        What fresh cloth for a square metre of pieces costs, waste included [money/m²].
    seconds
        Time for the search [s]; the first answer is made in any case.
    rounds
        Ends the search after so many; with a time long enough for them the same seed gives the same layouts.
    seed
        Of its random numbers.
    rule
        When a remainder is kept and counts back; the common one when None.
    must
        Labels of pieces that fit no roll: they come first.
    batch
        Of the roll that what is left is cut from; empty when nobody knows.
    up
        Face that is up on that roll.
    on_progress
        Called several times a second; when it returns False the search stops and the best so far is returned.

    Returns
    -------
    Placed
        Layouts and the pieces left; the copies of a piece keep the names of their kits.

    Raises
    ------
    InputError
        When the time is negative or without end.

    Examples
    --------
    >>> square = np.array([[0.0, 0.0], [0.1, 0.0], [0.1, 0.1], [0.0, 0.1]])
    >>> piece = FlatPiece(label="5", material="twill", loops=(square,), quantity=3)
    >>> sheet = Sheet(name="a", material="twill", outline=2.0 * square)
    >>> [n.utilisation for n in place_on([sheet], [piece]).sheets]
    [0.75]
    """
    if not (math.isfinite(seconds) and seconds >= 0.0):
        raise InputError.one("nest on sheets, time", f"{seconds} s", "a finite time, not negative")
    search = _Search(tuple(sheets), tuple(pieces), fresh, seed, rule, must, batch, up)
    return search.run(seconds, rounds, on_progress)


@dataclass(frozen=True, slots=True, eq=False)
class _State:
    fillings: tuple[Filling, ...]
    where: tuple[int, ...]
    batch: dict[Part, str]
    money: float


class _Search:
    def __init__(
        self,
        sheets: tuple[Sheet, ...],
        pieces: tuple[FlatPiece, ...],
        fresh: float,
        seed: int,
        rule: KeepRule | None,
        must: Collection[str],
        batch: str,
        up: str,
    ) -> None:
        self.began = time.perf_counter()
        self.pieces, self.up, self.forms = pieces, up, Forms()
        self.random = random.Random(seed)
        self.grounds = tuple(Ground.of(s) for s in sheets)
        self.accounts = tuple(Account.of(s, rule) for s in sheets)
        self.over = tuple(s.up != up for s in sheets)
        # A piece that fits no roll is worth more than all other pieces and sheets together.
        most = 1.0 + fresh * sum(p.area * p.quantity for p in pieces) + sum(a.rate * a.area for a in self.accounts)
        self.copies = copies_of(pieces, self.forms, fresh, dict.fromkeys(must, most), any(self.over))
        self.roll = batch or "\0roll"
        self.batches = tuple(s.batch or f"\0{s.name}" for s in sheets)
        self.parts: dict[Part, list[int]] = {}
        for copy in self.copies:
            if copy.part is not None:
                self.parts.setdefault(copy.part, []).append(copy.number)
        # What changes:
        self.fillings = [Filling.empty(k, g) for k, g in enumerate(self.grounds)]
        self.where = [-1] * len(self.copies)
        self.batch = dict.fromkeys(self.parts, self.roll)
        self.towards = [DIRECTIONS[0]] * len(sheets)
        self.owned: set[int] = set(range(len(sheets)))
        self.none = sum(c.value for c in self.copies)
        self.mean = self.none / max(len(self.copies), 1)

    def run(self, seconds: float, rounds: int | None, tell: Callable[[PlaceProgress], bool | None] | None) -> Placed:
        """Fill the sheets, then search until time, rounds or the watcher end it."""
        self._first()
        best = now = self._state()
        done = since = 0
        last = -math.inf
        going = True
        idle = not self.grounds or not (self.parts or any(self.forms.inner.values()))  # nothing fits anywhere
        while True:
            took = time.perf_counter() - self.began
            if tell is not None and took - last >= TELL:
                last = took
                going = tell(self._progress(best, done, took)) is not False
            if not going or took >= seconds or done == rounds or idle:
                break
            share = done / rounds if rounds else took / seconds
            done += 1
            limit = now.money - WARM * self.mean * (1.0 - share) * math.log(1.0 - self.random.random())
            self._round(now)
            if self._least() <= limit and self._settle() <= limit and self._sound():
                now = self._state()
                since += 1
                if now.money < best.money - 1e-9:
                    best, since = now, 0
            else:
                since += 1
                if since >= RESTART:
                    now, since = best, 0
                self._restore(now)
        took = time.perf_counter() - self.began
        if tell is not None:
            tell(self._progress(best, done, took))
        return Placed(
            sheets=tuple(layout_of(f, self.copies, self.pieces, self.up) for f in best.fillings if f.items),
            left=left_over(self.copies, self.pieces, {k for k, s in enumerate(best.where) if s >= 0}),
            saved=self.none - best.money,
            rounds=done,
            seconds=took,
            stopped=not going,
        )

    def _first(self) -> None:
        """Lay the most valuable copies first, each on the sheet with least room that takes it."""
        until = self.began + FIRST
        order = sorted(self.copies, key=lambda c: (-c.value, -max(c.poses[0][0].form.size), c.number))
        for copy in order:
            if time.perf_counter() > until:
                break
            self._lay(copy, sorted(range(len(self.fillings)), key=lambda k: (self.fillings[k].room, k)))
        self._settle()
        self._sound()

    def _round(self, now: _State) -> None:
        """Change the layouts at hand."""
        chance = self.random
        self.owned = set()
        focus = self._focus()
        if self.parts and chance.random() < 0.1:
            part = chance.choice(list(self.parts))
            self._take_off(self.parts[part])
            self.batch[part] = batch = chance.choice([self.roll, *self.batches])
            same = [k for k, b in enumerate(self.batches) if b == batch]
            focus = sorted({*focus, *chance.sample(same, min(len(same), 3))})
        for k in focus:
            items = self.fillings[k].items
            share = chance.choice((0.3, 0.5, 0.7, 1.0, 1.0))
            self._take_off([i.copy for i in items if chance.random() < share])
            if chance.random() < 0.5:
                self.towards[k] = chance.choice(DIRECTIONS)
        fallen = [k for k, s in enumerate(now.where) if s >= 0 and self.where[k] < 0]
        nowhere = [k for k, s in enumerate(now.where) if s < 0]
        if len(nowhere) > MOST_TRIED:
            nowhere = chance.sample(nowhere, MOST_TRIED)
        noise = chance.choice((0.0, 0.2, 0.5, 1.0))
        pool = [self.copies[k] for k in dict.fromkeys((*fallen, *nowhere))]
        for copy in sorted(pool, key=lambda c: -c.value * math.exp(noise * chance.gauss(0.0, 1.0))):
            near = list(focus)
            chance.shuffle(near)
            if self.where[copy.number] < 0 and now.where[copy.number] >= 0:
                others = [k for k in range(len(self.fillings)) if k not in focus]
                near += chance.sample(others, min(len(others), 3))
            self._lay(copy, near)

    def _focus(self) -> list[int]:
        chance = self.random
        count = min(len(self.fillings), chance.choice((1, 1, 2, 2, 3)))
        return chance.sample(range(len(self.fillings)), count)

    def _lay(self, copy: Copy, sheets: Sequence[int]) -> bool:
        for k in sheets:
            if copy.part is not None and self.batches[k] != self.batch[copy.part]:
                continue
            over = self.over[k]
            astray = bool(self.owned) and self.random.random() < ASTRAY
            towards = self.random.choice(DIRECTIONS) if astray else self.towards[k]
            found = self.fillings[k].find(self.forms, copy.poses[over], copy.stated[over], towards)
            if found is not None:
                self._own(k).add(copy.number, *found)
                self.where[copy.number] = k
                return True
        return False

    def _take_off(self, copies: Sequence[int]) -> None:
        gone = set(copies)
        for k in sorted({self.where[c] for c in copies} - {-1}):
            self._own(k).take_off(gone)
        for c in copies:
            self.where[c] = -1

    def _own(self, k: int) -> Filling:
        if k not in self.owned:
            self.owned.add(k)
            self.fillings[k] = self.fillings[k].copied()
        return self.fillings[k]

    def _least(self) -> float:
        """Return what the money of everything cannot be less than, without asking what remains of a sheet."""
        money = sum(c.value for c in self.copies if self.where[c.number] < 0)
        for account, filling in zip(self.accounts, self.fillings, strict=True):
            known = filling.cost
            money += account.rate * (account.area - filling.room) if known is None else known
        return money

    def _settle(self) -> float:
        """Leave to the roll what is not whole or does not pay, and return the money of everything."""
        for part, copies in self.parts.items():
            if self.batch[part] != self.roll and any(self.where[c] < 0 for c in copies):
                self._take_off(copies)
                self.batch[part] = self.roll
        for k, filling in enumerate(self.fillings):
            if filling.cost is None:
                filling.cost = self.accounts[k].spent([self._outline(filling, i) for i in filling.items])
                here = [self.copies[i.copy] for i in filling.items]
                whole = any(c.part is not None and self.batch[c.part] != self.roll for c in here)
                if not whole and filling.cost > sum(c.value for c in here):
                    self._take_off([c.number for c in here])
        return sum(f.cost or 0.0 for f in self.fillings) + sum(c.value for c in self.copies if self.where[c.number] < 0)

    def _outline(self, filling: Filling, item: Item) -> shapely.Polygon:
        return shapely.Polygon(filling.ground.origin + UNIT * (item.pose.form.outline + np.array(item.place)))

    def _sound(self) -> bool:
        """Empty every changed sheet whose layout fails the check, and return whether none did."""
        sound = True
        for k in sorted(self.owned):
            if not self.fillings[k].items:
                continue
            try:
                verify(layout_of(self.fillings[k], self.copies, self.pieces, self.up))
            except NotSolved:
                sound = False
                self._take_off([i.copy for i in self.fillings[k].items])
        if not sound:
            self._settle()
        return sound

    def _state(self) -> _State:
        return _State(tuple(self.fillings), tuple(self.where), dict(self.batch), self._settle())

    def _restore(self, state: _State) -> None:
        self.fillings, self.where, self.batch = list(state.fillings), list(state.where), dict(state.batch)

    def _progress(self, best: _State, rounds: int, took: float) -> PlaceProgress:
        placed = sum(s >= 0 for s in best.where)
        saved = self.none - best.money
        return PlaceProgress(seconds=took, rounds=rounds, placed=placed, copies=len(self.copies), saved=saved)
