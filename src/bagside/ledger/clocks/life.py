"""Life of cloth by its real history: where it has been since it was made, what it was cut from, what loggers saw.

Nothing here is stored. The clock of an offcut or a kit begins where its roll's stood when it was cut, so what is learnt
late about a roll, or about a freezer, counts for everything that came of it. Freezing slows a clock and never sets it
back. Where something is not known the safe side is counted, and said:

- how long cloth was out before it came here: as if it had lain in the room since it was made; as used up when that day
  is not known either (`Clock.sure` is False);
- where it was: the room;
- how warm a place was: its logs; else what was measured when the cloth was put there; else what the place is set to;
  else the room.

A thing is counted at its place's temperature from the door in to the door out. A thick roll lags behind: what it gains
on the way in it loses on the way out, and as life falls faster than evenly with warmth, the lag is never the worse.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from bagside.cure.life import LifeSheet
from bagside.errors import InputError, did_you_mean
from bagside.findings import Basis, weakest
from bagside.ledger.clocks.life_notes import life_findings
from bagside.ledger.clocks.life_now import Clock, Filled, Gap, LifeNow, Unmeasured
from bagside.ledger.clocks.place_course import Course, course_of
from bagside.ledger.shop import Shop
from bagside.ledger.stock.as_stands import DEEPEST, stays_of
from bagside.ledger.stock.cloth_events import LAID
from bagside.ledger.things import Cloth, Stay
from bagside.planning.cure_life import life_sheet, tack_sheet
from bagside.spec.material import Prepreg

__all__ = ["Clock", "Filled", "Gap", "LifeNow", "Reckoner", "Unmeasured", "life_findings", "life_of", "lives_of"]

COLD = 255.15
"""At which life left in the freezer is told [K]: −18 °C."""

IN = "measured on the way in"
SET = "as set"
ROOM = "the room's"


@dataclass(frozen=True, slots=True)
class Lain:
    """What a time in places used of each clock [s at its temperature], and what nobody measured."""

    out: float = 0.0
    tack: float = 0.0
    gaps: tuple[Gap, ...] = ()
    unmeasured: tuple[Unmeasured, ...] = ()


@dataclass(frozen=True, slots=True)
class Begun:
    """Where a clock stood when cloth came here, whether that is known, and whether the time since its making counts."""

    out: float
    tack: float
    sure: bool
    since_made: bool


@dataclass(frozen=True, slots=True)
class Way:
    """Where cloth has been since when, until when it counts, and what each place that it has left cost it."""

    since: list[datetime]
    stays: list[Stay]
    until: datetime | None
    spent: list[Lain]


@dataclass(frozen=True, slots=True)
class Trail:
    """Clocks of one received or cut piece of cloth at a moment."""

    begun: Begun
    lain: Lain
    source: str = ""

    @property
    def out(self) -> float:
        """Out-life used [s]."""
        return self.begun.out + self.lain.out

    @property
    def tack(self) -> float:
        """Tack used [s]."""
        return self.begun.tack + self.lain.tack


def life_of(name: str, shop: Shop, now: datetime) -> LifeNow:
    """Return the life of a roll, an offcut or a kit.

    Parameters
    ----------
    name
        On its label.
    shop
        The workshop as it stands.
    now
        The moment, with its zone.

    Raises
    ------
    InputError
        When there is no cloth of this name, or its material is not in the library.
    """
    return Reckoner(shop).life(name, now)


def lives_of(names: Iterable[str], shop: Shop, now: datetime) -> dict[str, LifeNow]:
    """Return the lives of several things; what they share is worked out once.

    Parameters
    ----------
    names
        On their labels.
    shop, now
        As of `life_of`.

    Raises
    ------
    InputError
        As `life_of`.
    """
    reckoner = Reckoner(shop)
    return {name: reckoner.life(name, now) for name in names}


class Reckoner:
    """Works out lives in one workshop as it stands.

    Parameters
    ----------
    shop
        It must not change meanwhile.
    """

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.room = shop.workshop.room.temperature
        self._sheets: dict[str, tuple[LifeSheet, LifeSheet | None]] = {}
        self._trails: dict[tuple[str, datetime], Trail] = {}
        self._ways: dict[str, Way] = {}
        self._courses: dict[str, tuple[Course | None, float | None]] = {}

    def life(self, name: str, now: datetime) -> LifeNow:
        """Return the life of one thing.

        Parameters
        ----------
        name, now
            As of `life_of`.

        Raises
        ------
        InputError
            As `life_of`.
        """
        cloth = self.shop.cloth(name)
        prepreg = self.prepreg(cloth)
        trails = list(self._of_pieces(cloth, now)) or [self._trail(cloth, now)]
        worst = max(trails, key=lambda t: (t.out, t.source))
        tacky = max(trails, key=lambda t: t.tack)
        out_sheet, tack = self.sheets(cloth)
        unmeasured = _merged(worst.lain.unmeasured)
        found = LifeNow(
            name=name,
            material=cloth.material,
            at=now,
            out=self._clock(out_sheet, worst.out, worst, prepreg, "out_life"),
            tack=None if tack is None else self._clock(tack, tacky.tack, tacky, prepreg, "tack_life"),
            use_by=self._use_by(cloth, prepreg),
            worst=worst.source,
            gaps=tuple(sorted(set(worst.lain.gaps), key=lambda g: (g.start - g.end, g.start))),
            unmeasured=unmeasured,
            since_made=all(t.begun.since_made for t in trails),
        )
        return replace(found, findings=life_findings(found))

    def prepreg(self, cloth: Cloth) -> Prepreg:
        """Return the material of cloth.

        Parameters
        ----------
        cloth
            Any.

        Raises
        ------
        InputError
            When the library does not have it.
        """
        found = self.shop.library.prepreg.get(cloth.material)
        if found is None:
            raise InputError.one(
                f"{cloth.name}, material",
                f'"{cloth.material}"',
                "there is no prepreg of this name in this workshop, and its life stands in its sheet",
                did_you_mean(cloth.material, self.shop.library.prepreg),
            )
        return found

    def sheets(self, cloth: Cloth) -> tuple[LifeSheet, LifeSheet | None]:
        """Return the sheets of out-life and of tack.

        Parameters
        ----------
        cloth
            Any.

        Raises
        ------
        InputError
            When its material is not in the library.
        """
        if cloth.material not in self._sheets:
            prepreg = self.prepreg(cloth)
            self._sheets[cloth.material] = life_sheet(prepreg), tack_sheet(prepreg)
        return self._sheets[cloth.material]

    def rate_here(self, cloth: Cloth, sheet: LifeSheet, now: datetime, over: float) -> float:
        """Return how fast life is used where cloth lies now.

        Parameters
        ----------
        cloth
            Any.
        sheet
            By which it is counted.
        now
            The moment.
        over
            How far back its place's log is asked [s].
        """
        stays = [s for s in stays_of(cloth, self.shop.things) if s.since <= now]
        if not stays:
            return float(sheet.rate(self.room))
        course, level = self._place(stays[-1].place)
        lately = None if course is None else course.recent(sheet, now.timestamp(), over)
        if lately is not None:
            return lately
        temperature, _ = _taken(stays[-1], level, self.room)
        return float(sheet.rate(temperature))

    def _clock(self, sheet: LifeSheet, used: float, trail: Trail, prepreg: Prepreg, field: str) -> Clock:
        whole = float(sheet.life(sheet.counted_at))
        share = used / whole
        known = not trail.lain.unmeasured and not trail.lain.gaps and trail.begun.sure
        return Clock(
            share=share,
            whole=whole,
            used=used,
            counted_at=sheet.counted_at,
            left_room=sheet.left(share, self.room),
            left_cold=sheet.left(share, COLD),
            sure=trail.begun.sure,
            basis=weakest(prepreg.basis.of(field), Basis.MEASURED if known else Basis.COMMON),
            source=prepreg.basis.source,
        )

    def _of_pieces(self, kit: Cloth, now: datetime) -> Iterator[Trail]:
        """Yield the clocks of each piece of a kit: its source's until it was cut, the kit's from then on."""
        for source, cut in sorted({(p.source, p.cut) for p in kit.pieces}):
            before = self._of_source(source, cut, kit)
            lain = self._lain(kit, max(cut, kit.born), now)
            yield Trail(before.begun, _together([before.lain, lain]), source)

    def _of_source(self, name: str, at: datetime, child: Cloth) -> Trail:
        source = self.shop.things.get(name)
        return self._trail(source, at) if isinstance(source, Cloth) else Trail(self._unknown(child, at), Lain())

    def _trail(self, cloth: Cloth, at: datetime) -> Trail:
        """Return the clocks of cloth that is no kit at a moment, from where it was received on."""
        line: list[tuple[Cloth, datetime]] = []
        found: Trail | None = None
        for _ in range(DEEPEST):
            found = self._trails.get((cloth.name, at))
            if found is not None:
                break
            line.append((cloth, at))
            if not cloth.parent:
                found = Trail(self._received(cloth), Lain())
                break
            parent = self.shop.things.get(cloth.parent)
            if not isinstance(parent, Cloth):
                found = Trail(self._unknown(cloth, cloth.born), Lain())
                break
            cloth, at = parent, cloth.born
        if found is None:
            raise InputError.one(cloth.name, "", f"it was cut from cloth that was cut from cloth, {DEEPEST} times over")
        for one, moment in reversed(line):
            found = Trail(found.begun, _together([found.lain, self._lain(one, one.born, moment)]))
            self._trails[one.name, moment] = found
        return found

    def _received(self, cloth: Cloth) -> Begun:
        """Return where the clocks stood when cloth came here."""
        out, tack = self.sheets(cloth)
        prepreg = self.prepreg(cloth)
        if cloth.life_used is None:
            return self._unknown(cloth, cloth.born)
        frozen = 0.0
        made = _made(cloth, prepreg)
        if made is not None:
            frozen = max(0.0, _days_between(made, cloth.born))
        used = cloth.life_used + frozen * float(out.rate(prepreg.storage_at))
        if tack is None:
            return Begun(used, 0.0, True, made is not None)
        before = cloth.tack_used
        if before is None:  # the same hours, at the temperature at which they were counted
            before = cloth.life_used * float(tack.rate(out.counted_at))
        return Begun(used, before + frozen * float(tack.rate(prepreg.storage_at)), True, made is not None)

    def _unknown(self, cloth: Cloth, at: datetime) -> Begun:
        """Return clocks on the safe side: in the room since it was made, or used up when nobody knows that day."""
        out, tack = self.sheets(cloth)
        made = _made(cloth, self.prepreg(cloth))

        def of(sheet: LifeSheet) -> float:
            whole = float(sheet.life(sheet.counted_at))
            if made is None:
                return whole
            return min(whole, max(0.0, _days_between(made, at)) * float(sheet.rate(self.room)))

        return Begun(of(out), 0.0 if tack is None else of(tack), False, True)

    def _lain(self, cloth: Cloth, start: datetime, end: datetime) -> Lain:
        """Return what lying about cost cloth from one moment to another."""
        way = self._way(cloth)
        end = end if way.until is None else min(end, way.until)
        last = bisect_left(way.since, end) - 1
        if last < 0:
            return Lain()
        if start > way.since[0]:  # a piece that came into its kit later
            return _together(
                [
                    self._in(cloth, stay, max(start, since), min(end, after))
                    for stay, since, after in zip(way.stays, way.since, (*way.since[1:], end), strict=True)
                ]
            )
        while len(way.spent) < last:
            k = len(way.spent)
            way.spent.append(self._in(cloth, way.stays[k], way.since[k], way.since[k + 1]))
        return _together([*way.spent[:last], self._in(cloth, way.stays[last], way.since[last], end)])

    def _way(self, cloth: Cloth) -> Way:
        """Return where cloth has been, with the room where nobody wrote it down."""
        way = self._ways.get(cloth.name)
        if way is None:
            stays = list(stays_of(cloth, self.shop.things))
            stated = cloth.life_used is not None and not cloth.parent and not cloth.pieces
            if not stated and (not stays or stays[0].since > cloth.born):
                stays.insert(0, Stay(place="", since=cloth.born))
            until = cloth.gone
            if until is not None and cloth.why == LAID:  # it is in the room, whatever was written down before
                stays = [*(s for s in stays if s.since < until), Stay(place="", since=until)]
                until = None
            way = self._ways[cloth.name] = Way([s.since for s in stays], stays, until, [])
        return way

    def _in(self, cloth: Cloth, stay: Stay, start: datetime, end: datetime) -> Lain:
        """Return what one stay cost."""
        if end <= start:
            return Lain()
        out, tack = self.sheets(cloth)
        course, level = self._place(stay.place)
        a, b = start.timestamp(), end.timestamp()
        used, tacky, known = 0.0, 0.0, 0.0
        gaps: tuple[Gap, ...] = ()
        if course is not None and course.starts:
            known = course.known(a, b)
            used = course.used(out, a, b)
            tacky = 0.0 if tack is None else course.used(tack, a, b)
            gaps = tuple(g for g in course.gaps if g.start < end and g.end > start)
        rest = b - a - known
        if rest <= 1e-3:
            return Lain(used, tacky, gaps)
        temperature, how = _taken(stay, level, self.room)
        used += rest * float(out.rate(temperature))
        tacky += 0.0 if tack is None else rest * float(tack.rate(temperature))
        return Lain(used, tacky, gaps, (Unmeasured(place=stay.place, seconds=rest, temperature=temperature, how=how),))

    def _place(self, name: str) -> tuple[Course | None, float | None]:
        """Return the course of a place, and what it is set to [K]."""
        if name not in self._courses:
            place = self.shop.place(name) if name else None
            found = (None, None) if place is None else (course_of(place, self.room), place.temperature)
            self._courses[name] = found
        return self._courses[name]

    def _use_by(self, cloth: Cloth, prepreg: Prepreg) -> date | None:
        """Return the last day the maker allows: of a kit the earliest of what its pieces came from."""
        days = [cloth.use_by or _last_day(cloth.made, prepreg)]
        for name in {p.source for p in cloth.pieces}:
            source = self.shop.things.get(name)
            if isinstance(source, Cloth):
                days.append(source.use_by or _last_day(source.made, prepreg))
        return min((d for d in days if d is not None), default=None)


def _together(parts: Sequence[Lain]) -> Lain:
    """Return several times in places as one."""
    return Lain(
        math.fsum(p.out for p in parts),
        math.fsum(p.tack for p in parts),
        tuple(g for p in parts for g in p.gaps),
        tuple(u for p in parts for u in p.unmeasured),
    )


def _taken(stay: Stay, level: float | None, room: float) -> tuple[float, str]:
    """Return the temperature of a stay that no log tells [K], and where it is from."""
    if stay.temperature is not None:
        return stay.temperature, IN
    return (level, SET) if level is not None else (room, ROOM)


def _made(cloth: Cloth, prepreg: Prepreg) -> date | None:
    """Return when cloth was made, from its last day when only that is on its label."""
    if cloth.made is not None or cloth.use_by is None or prepreg.storage is None:
        return cloth.made
    return cloth.use_by - timedelta(seconds=prepreg.storage)


def _last_day(made: date | None, prepreg: Prepreg) -> date | None:
    return None if made is None or prepreg.storage is None else made + timedelta(seconds=prepreg.storage)


def _days_between(day: date, at: datetime) -> float:
    """Return the time from the beginning of a day to a moment [s]."""
    begin = datetime(day.year, day.month, day.day, tzinfo=at.tzinfo)
    return (at - begin).total_seconds()


def _merged(times: Sequence[Unmeasured]) -> tuple[Unmeasured, ...]:
    """Return times in one place at one temperature together, the longest first."""
    total: dict[tuple[str, float, str], float] = {}
    for u in times:
        key = (u.place, u.temperature, u.how)
        total[key] = total.get(key, 0.0) + u.seconds
    merged = (Unmeasured(place=p, seconds=s, temperature=t, how=h) for (p, t, h), s in total.items())
    return tuple(sorted(merged, key=lambda u: (-u.seconds, u.place)))
