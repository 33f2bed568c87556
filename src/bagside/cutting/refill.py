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

from bagside.cutting.copies import Copy, Part, left_over
from bagside.cutting.offcuts import KeepRule
from bagside.cutting.piece import FlatPiece
from bagside.cutting.place import DIRECTIONS
from bagside.cutting.sheet import Sheet, SheetNest
from bagside.cutting.table import State, Table
from bagside.errors import InputError

TELL = 0.15
"""Between two calls of the watcher [s]."""
FIRST = 4.0
"""After which the first answer leaves the copies it has not come to [s]."""
MOST_TRIED = 12
"""Copies that lie nowhere and are tried again in one round."""
WARM = 0.1
"""How much worse a change may be at first and still be kept, on average, as a share of the value of a copy."""
ASTRAY = 0.4
"""Share of copies that are laid towards another corner than the others on their sheet."""
AHEAD = 0.5
"""Share of rounds in which one copy that lay nowhere comes before all others."""
OTHER_BATCH = 0.1
"""Share of rounds in which the visible pieces of a part are tried in another batch."""
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
    >>> import numpy as np
    >>> square = np.array([[0.0, 0.0], [0.1, 0.0], [0.1, 0.1], [0.0, 0.1]])
    >>> piece = FlatPiece(label="5", material="twill", loops=(square,), quantity=3)
    >>> sheet = Sheet(name="a", material="twill", outline=2.0 * square)
    >>> [n.utilisation for n in place_on([sheet], [piece]).sheets]
    [0.75]
    """
    if not (math.isfinite(seconds) and seconds >= 0.0):
        raise InputError.one("nest on sheets, time", f"{seconds} s", "a finite time, not negative")
    began = time.perf_counter()
    table = Table(tuple(sheets), tuple(pieces), fresh, rule, must, batch, up)
    return _Search(table, random.Random(seed), began).run(seconds, rounds, on_progress)


class _Search:
    def __init__(self, table: Table, chance: random.Random, began: float) -> None:
        self.table, self.chance, self.began = table, chance, began
        self.mean = table.none / max(len(table.copies), 1)

    def run(self, seconds: float, rounds: int | None, tell: Callable[[PlaceProgress], bool | None] | None) -> Placed:
        """Fill the sheets, then search until time, rounds or the watcher end it."""
        table = self.table
        self._first()
        best = now = table.state()
        done = since = 0
        last = -math.inf
        going = True
        idle = not table.grounds or not (table.parts or any(table.forms.inner.values()))  # nothing fits anywhere
        while True:
            took = time.perf_counter() - self.began
            if tell is not None and took - last >= TELL:
                last = took
                going = tell(self._progress(best, done, took)) is not False
            if not going or took >= seconds or done == rounds or idle:
                break
            share = done / rounds if rounds else took / seconds
            done += 1
            since += 1
            limit = now.money - WARM * self.mean * (1.0 - share) * math.log(1.0 - self.chance.random())
            self._round(now)
            if table.least() <= limit and table.settle() <= limit and table.sound():
                now = table.state()
                if now.money < best.money - 1e-9:
                    best, since = now, 0
            else:
                if since >= RESTART:
                    now, since = best, 0
                table.restore(now)
        took = time.perf_counter() - self.began
        if tell is not None:
            tell(self._progress(best, done, took))
        return Placed(
            sheets=tuple(table.layout(f) for f in best.fillings if f.items),
            left=left_over(table.copies, table.pieces, {k for k, s in enumerate(best.where) if s >= 0}),
            saved=table.none - best.money,
            rounds=done,
            seconds=took,
            stopped=not going,
        )

    def _first(self) -> None:
        """Lay the most valuable copies first, each on the sheet with least room that takes it."""
        table = self.table
        until = self.began + FIRST
        if not table.grounds:
            return
        for copy in sorted(table.copies, key=_worthiest):
            if time.perf_counter() > until:
                break
            table.lay(copy, table.roomy(copy, table.fullest(range(len(table.fillings)))))
        table.settle()
        table.sound()
        for part, copies in table.parts.items():
            for batch in dict.fromkeys(table.batches):
                if time.perf_counter() < until and any(table.where[k] < 0 for k in copies):
                    self._whole(part, batch)

    def _whole(self, part: Part, batch: str) -> None:
        """Lay all visible pieces of a part on sheets of one batch, when that is possible and pays."""
        table = self.table
        before = table.state()
        table.begin()
        table.take_off(table.parts[part])
        table.batch[part] = batch
        copies = sorted((table.copies[k] for k in table.parts[part]), key=_worthiest)
        laid = all(table.lay(c, table.fullest(table.of_batch(batch))) for c in copies)
        if not (laid and table.settle() < before.money and table.sound()):
            table.restore(before)

    def _round(self, now: State) -> None:
        """Change the layouts at hand."""
        chance, table = self.chance, self.table
        table.begin()
        count = min(len(table.fillings), chance.choice((1, 1, 2, 2, 3)))
        focus = chance.sample(range(len(table.fillings)), count)
        if table.parts and chance.random() < OTHER_BATCH:
            focus = self._other_batch(focus)
        for k in focus:
            items = table.fillings[k].items
            share = chance.choice((0.3, 0.5, 0.7, 1.0, 1.0))
            table.take_off([i.copy for i in items if chance.random() < share])
            if chance.random() < 0.5:
                table.towards[k] = chance.choice(DIRECTIONS)
        fallen = [k for k, s in enumerate(now.where) if s >= 0 and table.where[k] < 0]
        nowhere = [k for k, s in enumerate(now.where) if s < 0]
        if len(nowhere) > MOST_TRIED:
            nowhere = chance.sample(nowhere, MOST_TRIED)
        noise = chance.choice((0.0, 0.2, 0.5, 1.0))
        pool = [table.copies[k] for k in (*fallen, *nowhere)]
        order = sorted(pool, key=lambda c: -c.value * math.exp(noise * chance.gauss(0.0, 1.0)))
        if nowhere and chance.random() < AHEAD:
            ahead = chance.choice(nowhere)
            order.sort(key=lambda c: c.number != ahead)
        for copy in order:
            near = list(focus)
            chance.shuffle(near)
            if now.where[copy.number] >= 0:
                others = [k for k in range(len(table.fillings)) if k not in focus]
                near += chance.sample(others, min(len(others), 3))
            table.lay(copy, near, chance.choice(DIRECTIONS) if chance.random() < ASTRAY else None)

    def _other_batch(self, focus: list[int]) -> list[int]:
        """Take a part that shows off its sheets, choose its batch anew, and return the sheets to be filled."""
        chance, table = self.chance, self.table
        part = chance.choice(list(table.parts))
        table.take_off(table.parts[part])
        table.batch[part] = chance.choice([table.roll, *table.batches])
        same = table.of_batch(table.batch[part])
        return sorted({*focus, *chance.sample(same, min(len(same), 3))})

    def _progress(self, best: State, rounds: int, took: float) -> PlaceProgress:
        placed = sum(s >= 0 for s in best.where)
        saved = self.table.none - best.money
        return PlaceProgress(seconds=took, rounds=rounds, placed=placed, copies=len(best.where), saved=saved)


def _worthiest(copy: Copy) -> tuple[float, int, int]:
    return -copy.value, -max(copy.poses[0][0].form.size), copy.number
