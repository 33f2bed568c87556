"""What can still be made of a roll or an offcut before it dies: its cloth nested alone with parts of the open jobs.

Parts are tried whole and in the order of the jobs: as many of the first as fit, then of the next in what is left. Each
try is a real nest, stopped as soon as it fits; more time may find room for more, never less. Whether there is time for
them is worked out by the calendar, with the workshop's hours, its people and one mould for each job, as if nothing else
were made meanwhile.
"""

from __future__ import annotations

import time as clock
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from bagside.cutting import Cloth, FlatPiece, NestProgress, Sheet, nest_roll, place_on
from bagside.errors import InputError, NotSolved
from bagside.ledger.stock.making import Made, OpenPart, made_by, whole_parts
from bagside.planning.cutting_room import together
from bagside.planning.shelf import face_up, shelf
from bagside.spec.opening import Opened
from bagside.spec.stock import Offcut, Stock
from bagside.spec.workshop import Roll

BEYOND_MONEY = 1e6
"""What fresh cloth is said to cost, so that the sheet is filled with whatever goes on it [money/m²]."""
WELL = 0.98
"""Share of the cloth that pieces may be at most before a nest is tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dying:
    """A roll or an offcut with an end.

    Parameters
    ----------
    cloth
        As planning takes it: a roll's length is what is left.
    last
        Last day on which it may go into the oven; None when none is near.
    why
        In half a sentence: ``its last day on the label``.
    left_room
        Time it may still spend in the room [s].
    clock
        Which clock gives it so little: ``out-life`` or ``tack``.
    """

    cloth: Roll | Offcut
    last: date | None
    why: str
    left_room: float
    clock: str = "out-life"

    @property
    def name(self) -> str:
        """As on its label."""
        return self.cloth.called if isinstance(self.cloth, Roll) else self.cloth.name


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsOf:
    """How many parts of a job the cloth gives.

    Parameters
    ----------
    job
        Its name.
    fit
        Whole parts whose pieces of this cloth go on it, each cut and cured in time.
    on_cloth
        Whole parts that go on it, whatever the time.
    wanted
        Parts that are still to be cut.
    out
        Time that the cloth of one is out of the freezer, from its thaw to the oven [s].
    done
        When the last of those in time goes into the oven; None when none does.
    others
        Cloths that a part needs besides.
    """

    job: str
    fit: int
    on_cloth: int
    wanted: int
    out: float
    done: datetime | None
    others: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Makeable:
    """What a dying cloth can become.

    Parameters
    ----------
    dying
        Which cloth.
    parts
        Of each open job that uses it.
    area, pieces, unused
        Of the cloth, of the pieces of those parts that are in time, and what nothing is cut from [m²].
    length, width
        Of a roll: pulled for them, and its width [m]; None of an offcut.
    value
        Of what is unused, at what it cost [money]; None without a price.
    enough_life
        Whether its time out of the freezer is enough for each part that fits.
    seconds
        The nests took [s].
    """

    dying: Dying
    parts: tuple[PartsOf, ...]
    area: float
    pieces: float
    unused: float
    length: float | None
    width: float | None
    value: float | None
    enough_life: bool
    seconds: float

    @property
    def count(self) -> int:
        """How many whole parts it gives in time."""
        return sum(p.fit for p in self.parts)


def makeable_in_turn(
    dying: Sequence[Dying],
    opened: Opened,
    parts: Sequence[OpenPart],
    cut: Mapping[tuple[str, str], int],
    now: datetime,
    *,
    seconds: float,
) -> tuple[Makeable, ...]:
    """Return what can be made of several cloths; what one gives is not made of the next of its material again.

    Parameters
    ----------
    dying
        What dies first comes first.
    opened, parts, now
        See `makeable`.
    cut
        Parts whose pieces of a cloth are cut already, by the names of the job and of the cloth.
    seconds
        For the nests on each cloth [s].
    """
    given = dict(cut)
    out = []
    for one in dying:
        material = one.cloth.material
        left = [replace(p, wanted=max(0, p.wanted - given.get((p.job, material), 0))) for p in parts]
        found = makeable(one, opened, left, now, seconds=seconds)
        out.append(found)
        for p in found.parts:
            given[p.job, material] = given.get((p.job, material), 0) + p.fit
    return tuple(out)


def makeable(dying: Dying, opened: Opened, parts: Sequence[OpenPart], now: datetime, *, seconds: float) -> Makeable:
    """Return what can be made of a cloth before it dies.

    Parameters
    ----------
    dying
        The roll or offcut.
    opened
        Any open job, for workshop and library.
    parts
        The open jobs, in the order in which they are served.
    now
        From when on work is done, by the clock on the wall.
    seconds
        For all nests together [s]; the first answer of each is made in any case.
    """
    began = clock.perf_counter()
    material = dying.cloth.material
    own = [p for p in parts if p.wanted > 0 and any(f.material == material for f in p.pieces)]
    table = _Table(dying, opened, now, seconds)
    counts = table.most(own)
    made = {p.job: made_by(p, n, opened.workshop, now, material) for p, n in counts.items() if n}
    enough = dying.left_room
    fit: dict[str, int] = {}
    for part, n in counts.items():
        course = made.get(part.job)
        fit[part.job] = 0 if course is None or course.out > enough else _in_time(course, dying.last, n)
    final = {p: fit[p.job] for p in own}
    pull = table.pull(final)
    area = table.area
    pieces = sum(n * p.area(material) for p, n in final.items())
    unused = area - (pieces if table.width is None else pull * table.width)
    price = dying.cloth.price
    return Makeable(
        dying=dying,
        parts=tuple(
            PartsOf(
                job=p.job,
                fit=fit[p.job],
                on_cloth=n,
                wanted=p.wanted,
                out=made[p.job].out if p.job in made else 0.0,
                done=made[p.job].into_oven[fit[p.job] - 1] if fit[p.job] else None,
                others=p.others(material),
            )
            for p, n in counts.items()
        ),
        area=area,
        pieces=pieces,
        unused=unused,
        length=None if table.width is None else pull,
        width=table.width,
        value=price * unused if price else None,
        enough_life=all(made[p.job].out <= enough for p, n in counts.items() if n),
        seconds=clock.perf_counter() - began,
    )


def _in_time(course: Made, last: date | None, count: int) -> int:
    """Return how many parts go into the oven by the last day."""
    if last is None:
        return count
    return sum(at.date() <= last for at in course.into_oven)


class _Table:
    """One cloth on the table, and nests on it."""

    def __init__(self, dying: Dying, opened: Opened, now: datetime, seconds: float) -> None:
        cloth, workshop = dying.cloth, opened.workshop
        roll = isinstance(cloth, Roll)
        only = replace(workshop, stock=(cloth,) if isinstance(cloth, Roll) else (), offers=())
        stock = Stock() if isinstance(cloth, Roll) else Stock(offcuts=(cloth,))
        on = shelf(cloth.material, only, stock, opened.library, now.date())
        self.end = workshop.table.end
        self.up = face_up(opened.library.prepreg[cloth.material])
        self.cloth: Cloth | None = on.rolls[0].cloth if roll and on.rolls else None
        self.sheet: Sheet | None = on.offcuts[0].sheet if not roll and on.offcuts else None
        self.material = cloth.material
        self.until = clock.perf_counter() + seconds
        self.known: dict[tuple[tuple[str, int], ...], float | None] = {}

    @property
    def width(self) -> float | None:
        """Of a roll [m]; None of an offcut, and of cloth that may not be laid."""
        return None if self.cloth is None else self.cloth.width

    @property
    def area(self) -> float:
        """Of the cloth [m²]; zero when it may not be laid."""
        if self.cloth is not None:
            return self.cloth.width * (self.cloth.length_available or 0.0)
        return 0.0 if self.sheet is None else self.sheet.area

    def most(self, parts: Sequence[OpenPart]) -> dict[OpenPart, int]:
        """Return how many whole parts of each job go on it, job after job."""
        counts = dict.fromkeys(parts, 0)
        for k, part in enumerate(parts):
            low, high = 0, part.wanted
            left = self.until - clock.perf_counter()
            tries = max(1, high.bit_length() + 1)
            each = max(left, 0.0) / (len(parts) - k) / tries
            trial = high  # everything at once first: most often it fits, or one part does not
            while low < high:
                if self._fits({**counts, part: trial}, each):
                    low = trial
                else:
                    high = trial - 1
                trial = (low + high + 1) // 2
            counts[part] = low
        return counts

    def pull(self, counts: Mapping[OpenPart, int]) -> float:
        """Return the length that so many parts take off a roll [m]; 0 of an offcut, and for no part."""
        if self.cloth is None or not any(counts.values()):
            return 0.0
        whole = self.cloth.length_available or 0.0
        length = self._laid(counts, 1.0)
        return whole if length is None else min(length + self.end, whole)

    def _fits(self, counts: Mapping[OpenPart, int], seconds: float) -> bool:
        return self._laid(counts, seconds) is not None

    def _laid(self, counts: Mapping[OpenPart, int], seconds: float) -> float | None:
        """Return the length of a nest that fits [m], or None when none was found."""
        key = tuple((p.job, n) for p, n in counts.items() if n)
        if not key:
            return 0.0
        if key not in self.known:
            pieces = self._pieces(counts)
            heavy = sum(p.area * p.quantity for p in pieces) > WELL * self.area
            self.known[key] = None if heavy else self._nested(pieces, seconds)
        return self.known[key]

    def _pieces(self, counts: Mapping[OpenPart, int]) -> tuple[FlatPiece, ...]:
        named = [
            (part.job, tuple(p for p in whole_parts(part, n) if p.material == self.material))
            for part, n in counts.items()
            if n
        ]
        return together(named)

    def _nested(self, pieces: tuple[FlatPiece, ...], seconds: float) -> float | None:
        if self.cloth is not None:
            there = (self.cloth.length_available or 0.0) - self.end

            def going(progress: NestProgress) -> bool:
                return progress.length > there

            try:
                nest = nest_roll(pieces, self.cloth, seconds=seconds, seeds=(1,), on_progress=going)
            except InputError:  # wider than the cloth
                return None
            return nest.length if nest.length <= there + 1e-9 else None
        if self.sheet is None:
            return None
        must = {p.label for p in pieces}
        try:
            placed = place_on(
                [self.sheet],
                pieces,
                fresh=BEYOND_MONEY,
                seconds=seconds,
                must=must,
                up=self.up,
                batch=self.sheet.batch,
                on_progress=lambda p: p.placed < p.copies,
            )
        except NotSolved:
            return None
        return None if placed.left else 0.0
