"""What was measured on a part and around it, against what was planned: leak tests, thickness, pinholes, room, mould."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from bagside.ledger.bodies import Found, Measured
from bagside.ledger.planned import Planned
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build, Noted

WHOLE = ""
"""Place of a reading that is of the whole part."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """A leak test.

    Parameters
    ----------
    reading
        As it was read.
    rise
        Of pressure in the bag [Pa/s]; None when start, end or time are not known.
    limit
        Highest that was planned [Pa/s]; None without one.
    """

    reading: Noted[Measured]
    rise: float | None
    limit: float | None

    @property
    def kept(self) -> bool | None:
        """Whether it held; None when there is nothing to compare."""
        return None if self.rise is None or self.limit is None else self.rise <= self.limit


@dataclass(frozen=True, slots=True, kw_only=True)
class PointActual:
    """Thickness at a point [m]: as planned with its tolerance, None when it was not; and as measured last.

    Parameters
    ----------
    place
        Name of the point.
    planned, tolerance
        [m]; None when the point was not planned.
    thickness, sigma
        Its last reading, and its stated standard error [m]; None when it was never measured.
    readings
        How many.
    where
        Which plies lie there, in words; empty when the plan does not say.
    """

    place: str
    planned: float | None
    tolerance: float | None
    thickness: float | None
    sigma: float | None
    readings: int
    where: str = ""

    @property
    def inside(self) -> bool | None:
        """Whether it is within its tolerance; None when there is nothing to compare."""
        if self.planned is None or self.tolerance is None or self.thickness is None:
            return None
        return abs(self.thickness - self.planned) <= self.tolerance + 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Pinholes:
    """Pinholes counted last at a place: how many, where, when, by whom."""

    place: str
    count: int
    at: datetime
    who: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Climate:
    """A reading of the room: temperature [K], humidity 0 to 1.

    Parameters
    ----------
    reading
        As it was read.
    laying
        Whether it is as planned for laying; None when the humidity was not read.
    """

    reading: Noted[Measured]
    laying: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldThen:
    """The mould when the part came off it.

    Parameters
    ----------
    name, material
        Of the mould.
    pull
        Number of this pull, from 1; None while the part is on it.
    since_release
        Pull since the release agent was put on, from 1; None when that is not known.
    agent
        Of that release; empty when not known.
    hottest
        In this part's cures [K]; None when not known.
    limit
        Hottest it may see [K]; None when not known.
    stuck
        Whether the part did not come off as it should.
    """

    name: str
    material: str
    pull: int | None
    since_release: int | None
    agent: str
    hottest: float | None
    limit: float | None
    stuck: bool


def _read(build: Build, found: Found) -> list[Noted[Measured]]:
    return [m for m in build.measured if m.what.found is found]


def leaks_of(build: Build) -> tuple[Holding, ...]:
    """Return each leak test with what was planned.

    Parameters
    ----------
    build
        The part.
    """
    out = []
    for m in _read(build, Found.LEAK):
        w, rise = m.what, None
        if w.start is not None and w.end is not None and w.seconds:
            rise = (w.end - w.start) / w.seconds
        out.append(Holding(reading=m, rise=rise, limit=build.planned.leak))
    return tuple(out)


def points_of(build: Build) -> tuple[PointActual, ...]:
    """Return thickness at each planned point, then at each that was measured besides.

    Parameters
    ----------
    build
        The part.

    Notes
    -----
    The last reading of a place counts. A plan with one thickness alone is that of every place.
    """
    read: dict[str, list[Measured]] = {}
    for m in _read(build, Found.THICKNESS):
        read.setdefault(m.what.place, []).append(m.what)
    planned = {p.place: p for p in build.planned.points}
    only = build.planned.points[0] if len(planned) == 1 else None
    out = []
    bare = [n for n, p in planned.items() if n in read or not any(p.holds(place) for place in read)]
    for place in dict.fromkeys((*bare, *read)):
        zone = next((p for p in build.planned.points if p.holds(place)), only)
        want, mine = planned.get(place, zone), read.get(place, [])
        out.append(
            PointActual(
                place=place,
                planned=want.thickness if want else None,
                tolerance=want.tolerance if want else None,
                thickness=mine[-1].value if mine else None,
                sigma=mine[-1].sigma if mine else None,
                readings=len(mine),
                where=want.where if want else "",
            )
        )
    return tuple(out)


def pinholes_of(build: Build) -> tuple[Pinholes, ...]:
    """Return pinholes counted last at each place, most first.

    Parameters
    ----------
    build
        The part.
    """
    last = {m.what.place: m for m in _read(build, Found.PINHOLES)}
    out = [Pinholes(place=p, count=int(m.what.value), at=m.at, who=m.who) for p, m in last.items()]
    return tuple(sorted(out, key=lambda p: (-p.count, p.place)))


def pinhole_count(found: tuple[Pinholes, ...]) -> int | None:
    """Return how many pinholes a part has; None when nobody counted.

    Parameters
    ----------
    found
        By place.

    Notes
    -----
    A count of the whole part stands for itself; without one the places are added up.
    """
    if not found:
        return None
    whole = [p.count for p in found if p.place == WHOLE]
    return whole[0] if whole else sum(p.count for p in found)


def climate_of(build: Build) -> tuple[Climate, ...]:
    """Return each reading of the room.

    Parameters
    ----------
    build
        The part.
    """
    return tuple(Climate(reading=m, laying=_lays(m.what, build.planned)) for m in _read(build, Found.CLIMATE))


def _lays(read: Measured, planned: Planned) -> bool | None:
    if not planned.lay_coldest <= read.value <= planned.lay_hottest:
        return False
    return None if read.humidity is None else read.humidity <= planned.lay_wettest


def mould_of(build: Build, shop: Shop) -> MouldThen | None:
    """Return what the mould was when the part came off; None when the ledger does not know it.

    Parameters
    ----------
    build
        The part.
    shop
        The workshop.
    """
    name = build.pulled.what.mould if build.pulled is not None else build.mould
    mould = shop.mould(name)
    if mould is None:
        return None
    pull = mould.pulls.index(build.name) + 1 if build.name in mould.pulls else None
    release = None
    if pull is not None:
        release = next((c for c in reversed(mould.coats) if c[2] < pull), None)
    own = [c.what.hottest_tool for c in build.cures if not c.what.post]
    seen = [h for names, h, _ in mould.heats if build.name in names.split(", ")] + own
    known = [h for h in seen if h is not None]
    return MouldThen(
        name=name,
        material=mould.material,
        pull=pull,
        since_release=pull - release[2] if pull is not None and release is not None else None,
        agent=release[0] if release is not None else "",
        hottest=max(known) if known else None,
        limit=build.planned.mould_limit if build.planned.mould_limit is not None else mould.limit,
        stuck=build.pulled is not None and build.pulled.what.stuck,
    )
