"""Whether a sealed bag may be opened: how warm its core is by where it has been, against the dew point of the room.

Cold cloth takes water out of the air, and water becomes voids in a cure under vacuum alone. The core is reckoned, not
measured: a bag that is wet outside stays shut whatever is reckoned, and a thermometer in the tube knows better.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

from bagside.cure.life import Spell
from bagside.cure.thaw import Pack, core_after
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.finishing.climate import ABOVE_DEW, saturation_pressure_magnus
from bagside.ledger.bodies import Sort
from bagside.ledger.clocks.life_notes import time_words
from bagside.ledger.clocks.place_course import Course, course_of
from bagside.ledger.shop import Shop
from bagside.ledger.stock.as_stands import COLD, stays_of
from bagside.ledger.things import Cloth, Place, Stay
from bagside.planning.thawing import opening_temperature, roll_pack, stack_pack
from bagside.quantity import shown
from bagside.spec.material import Prepreg, Resin

BACK = timedelta(days=10)
"""What was longer ago no roll remembers."""
FROZEN = 255.15
"""As cold as this cloth comes that is received straight into the room [K]: the safe side."""
OFFCUT_LAYERS = 6.0
"""An offcut is folded, or lies in a bag with others: it counts as so many layers; common practice."""
FRESH = timedelta(hours=24)
"""A reading of the room's climate holds for so long; the workshop's usual air counts then."""
DRIEST = 0.01
STEP = 3600.0
SOURCE = "ISO 8502-4: 3 K above the dew point; conduction through the layers with values of common practice"


@dataclass(frozen=True, slots=True, kw_only=True)
class Thaw:
    """How far cloth in its bag has thawed.

    Parameters
    ----------
    name
        Of the cloth.
    at
        The moment [UTC].
    pack
        How it is packed, as it was reckoned.
    out_since
        When it was taken out of the cold; None while it lies there, or when it never did.
    core
        Reckoned temperature of its coldest place [K].
    room, humidity, dew_point
        Air in which it would be opened: of its place, or of the workshop's room while it lies in the cold [K].
    needed
        Temperature of the core from which on it may be opened [K].
    takes
        How long it must still lie in that room, from now or from when it is taken out [s]; zero when it may be opened,
        infinite when that air is too damp.
    opened
        When its bag was opened since it came out of the cold; None while it is sealed.
    cold
        Whether it lies in the cold now.
    """

    name: str
    at: datetime
    pack: Pack
    out_since: datetime | None
    core: float
    room: float
    humidity: float
    dew_point: float
    needed: float
    takes: float
    opened: datetime | None
    cold: bool

    @property
    def openable(self) -> bool:
        """Whether the bag may be opened now, or is open."""
        return not self.cold and (self.opened is not None or self.takes <= 0.0)

    @property
    def opens_at(self) -> datetime | None:
        """Earliest time to open it, were it taken out now; None when this air is too damp."""
        return None if math.isinf(self.takes) else self.at + timedelta(seconds=self.takes)

    @property
    def finding(self) -> Finding | None:
        """Why the bag must stay shut; None when it may be opened, or is open."""
        if self.openable:
            return None
        air = f"the room has {shown(self.room, '°C', 0)} and {shown(self.humidity, '%', 0)}"
        if self.opens_at is None:
            what = f"{air}: {shown(ABOVE_DEW, 'K', 0)} above its dew point is {shown(self.needed, '°C', 0)}"
            do = "leave the bag sealed; dry the air, or warm the room with a heater that burns nothing in it"
        elif self.cold:
            what = f"it lies in the cold; taken out now, its core is above the dew point in {time_words(self.takes)}"
            do = f"take it out sealed and write the time down; open it {time_words(self.takes)} later when it is dry"
        else:
            since = "" if self.out_since is None else f", out since {self.out_since:%d %b %H:%M} UTC"
            what = (
                f"its core is at about {shown(self.core, '°C', 0)}{since}; {air}, "
                f"dew point {shown(self.dew_point, '°C', 0)}"
            )
            do = f"leave the bag sealed for {time_words(self.takes)} more, and until it is dry outside"
        return Finding(
            severity=Severity.STOP,
            stage="stock",
            place=self.name,
            what=what,
            why="water condenses on cold cloth and becomes voids in a cure under vacuum alone",
            do=do,
            basis=Basis.COMMON,
            source=SOURCE,
        )


def thaw_of(cloth: Cloth, shop: Shop, now: datetime) -> Thaw:
    """Return how far cloth has thawed, and when its bag may be opened.

    Parameters
    ----------
    cloth
        A roll, an offcut or a kit.
    shop
        The workshop as it stands.
    now
        The moment, with its zone.

    Raises
    ------
    InputError
        When its material or its resin is not in the library.
    """
    prepreg = shop.library.prepreg.get(cloth.material)
    resin = None if prepreg is None else shop.library.resin.get(prepreg.resin)
    if prepreg is None or resin is None:
        raise InputError.one(
            f"{cloth.name}, material",
            f'"{cloth.material}"',
            "there is no prepreg of this name with its resin in this workshop; how it thaws hangs on both",
        )
    usual = shop.workshop.room.temperature
    stays = [s for s in stays_of(cloth, shop.things) if s.since <= now]
    ways = [_Way.of(s, shop, usual) for s in stays] or [_Way(None, None, usual)]
    here = ways[-1]
    seen = here.at(now)
    cold = seen < COLD
    room, humidity = (usual, shop.workshop.room.humidity) if cold else _air(stays, shop, now, seen)
    humidity = max(humidity, DRIEST)
    needed = opening_temperature(room, humidity)
    pack = pack_of(cloth, prepreg, resin)
    start, spells = _history(cloth, stays, ways, now)
    core, takes = core_after(pack, start, spells, room=room, wanted=needed)
    out = next((k for k in range(len(ways) - 1, -1, -1) if ways[k].at(stays[k].since) < COLD), None) if stays else None
    return Thaw(
        name=cloth.name,
        at=now,
        pack=pack,
        out_since=stays[out + 1].since if out is not None and out + 1 < len(stays) and not cold else None,
        core=core,
        room=room,
        humidity=humidity,
        dew_point=needed - ABOVE_DEW,
        needed=needed,
        takes=takes,
        opened=None if cold else cloth.opened,
        cold=cold,
    )


def pack_of(cloth: Cloth, prepreg: Prepreg, resin: Resin) -> Pack:
    """Return how cloth is packed: a roll by what is left on it, a kit by how many pieces lie on one another.

    Parameters
    ----------
    cloth
        Any.
    prepreg, resin
        Of it.
    """
    if cloth.sort is Sort.ROLL:
        return roll_pack(prepreg, resin, cloth.left)
    if cloth.sort is Sort.OFFCUT:
        return stack_pack(prepreg, resin, OFFCUT_LAYERS)
    areas = [p.piece.area for p in cloth.pieces]
    largest = max(areas, default=0.0)
    return stack_pack(prepreg, resin, math.ceil(sum(areas) / largest - 1e-6) if largest else OFFCUT_LAYERS)


@dataclass(frozen=True, slots=True)
class _Way:
    """One stay with what is known of its place's temperature, and what counts where nothing is [K]."""

    stay: Stay | None
    course: Course | None
    otherwise: float

    @classmethod
    def of(cls, stay: Stay, shop: Shop, usual: float) -> _Way:
        """Return a stay with its place."""
        place = shop.place(stay.place) if stay.place else None
        course = None if place is None else course_of(place, usual)
        level = stay.temperature if stay.temperature is not None else None if place is None else place.temperature
        return cls(stay, course, usual if level is None else level)

    def at(self, moment: datetime) -> float:
        """Return the temperature at a moment [K]."""
        seen = None if self.course is None else self.course.temperature(moment.timestamp())
        return self.otherwise if seen is None else seen

    def spells(self, start: datetime, end: datetime) -> list[Spell]:
        """Return the stay from one moment to another: hour by hour where a logger watched."""
        seconds = (end - start).total_seconds()
        if seconds <= 0.0:
            return []
        if self.course is None or not self.course.starts:
            return [Spell(duration=seconds, temperature=self.otherwise)]
        count = max(1, math.ceil(seconds / STEP))
        each = seconds / count
        middles = [start + timedelta(seconds=(k + 0.5) * each) for k in range(count)]
        return [Spell(duration=each, temperature=self.at(m)) for m in middles]


def _history(cloth: Cloth, stays: list[Stay], ways: list[_Way], now: datetime) -> tuple[float, list[Spell]]:
    """Return how cold it was all through at the beginning, and where it has been since."""
    if not stays:
        return FROZEN, []
    begin = max(now - BACK, stays[0].since)
    first = max(k for k, s in enumerate(stays) if s.since <= begin)
    start = ways[first].at(begin)
    received = not cloth.parent and not cloth.pieces
    if received and begin == stays[0].since:
        start = min(start, FROZEN)
    spells: list[Spell] = []
    for k in range(first, len(stays)):
        until = stays[k + 1].since if k + 1 < len(stays) else now
        spells += ways[k].spells(max(begin, stays[k].since), until)
    return start, spells


def _air(stays: list[Stay], shop: Shop, now: datetime, seen: float) -> tuple[float, float]:
    """Return temperature and humidity of the air around it: as read there last, when that was today.

    Otherwise the workshop's usual air counts: in a colder place it holds the same water, in a warmer one it may be as
    damp as usual.
    """
    place: Place | None = shop.place(stays[-1].place) if stays else None
    readings = () if place is None else place.readings
    today = [m for t, m in readings if now - FRESH <= t <= now and m.humidity is not None]
    if today:
        return today[-1].value, today[-1].humidity or DRIEST
    usual = shop.workshop.room
    water = usual.humidity * saturation_pressure_magnus(usual.temperature)
    return seen, min(1.0, max(usual.humidity, water / saturation_pressure_magnus(seen)))
