"""Gates of coating: a room that is warm, dry and above the dew point; a coat before that is ready for the next."""

from __future__ import annotations

from datetime import datetime, timedelta

from bagside import finishing
from bagside.findings import Basis
from bagside.ledger.bodies import Found
from bagside.ledger.gates.climates import Read, last_climate
from bagside.ledger.gates.gate import Gate
from bagside.ledger.planned import PlannedCoat
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build
from bagside.quantity import shown

READ_WITHIN = timedelta(hours=1)
"""How old the reading of the room may be when a coat goes on. Common practice, no source."""

FILL = "fill-"
"""How the steps begin in which pinholes are filled: what is filled is sanded, so it must be hard."""


def paint_room(build: Build, step: str, shop: Shop, now: datetime) -> Gate | None:
    """Return whether the room is fit for a coat; nothing when the step is none.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    shop
        For readings of rooms.
    now
        Time at which it would be coated.

    Notes
    -----
    The part counts as warm as the room unless its own temperature was read (``core temperature``) in that hour.
    """
    coat = next((c for c in build.planned.coats if c.step == step), None)
    if coat is None:
        return None
    limits = (
        f"{shown(coat.coldest, '°C', 0)} or warmer, {shown(coat.wettest, '%', 0)} or drier, the part "
        f"{shown(build.planned.dew_margin, 'K', 0)} above the dew point wanted"
    )
    why = "water condenses on what is cold and shows as haze; a cold coat stays soft"
    source = "ISO 8502-4 and ISO 12944-7, as coating guides give them; the coating's own limits"
    read = last_climate(build, shop, now, READ_WITHIN)
    if read is None:
        return Gate(
            key="paint-room", step=step, holds=None, what=f"no reading of the last hour; {limits}", why=why,
            do="read temperature and humidity where it is coated, and write them down", basis=Basis.PUBLISHED,
            source=source,
        )  # fmt: skip
    part = _part_warmth(build, now)
    climate = finishing.climate_of(read.temperature, max(read.humidity, 1e-3), part)
    fit = (
        read.temperature >= coat.coldest
        and read.humidity <= coat.wettest
        and climate.margin >= build.planned.dew_margin
    )
    whose = "the part" if part is not None else "the part as warm as the room"
    what = f"{_said(read)}, {whose} {shown(climate.margin, 'K', 1)} above the dew point; {limits}"
    return Gate(
        key="paint-room", step=step, holds=fit, what=what, why=why, basis=Basis.PUBLISHED, source=source,
        do="warm the room and let the part stand in it for 30 min, then read again",
    )  # fmt: skip


def recoat(build: Build, step: str, now: datetime) -> Gate | None:
    """Return whether the coat before is ready for what comes next; nothing when none is before.

    Parameters
    ----------
    build
        Which.
    step
        Before which: a coat, or polishing.
    now
        Time at which it would begin.

    Notes
    -----
    A coat takes the next one while it is open (from its flash to its latest recoat), or when it is hard and flatted.
    What is filled or polished must be hard.
    """
    before = _coat_before(build, step)
    if before is None:
        return None
    since = _on_since(build, before)
    why = "a coat over one that is neither open nor hard wrinkles, or peels"
    hard = f"hard after {shown(before.cure_time, 'h', 0)}"
    wet_on_wet = step in {c.step for c in build.planned.coats} and not before.step.startswith(FILL)
    open_ = f"open from {shown(before.flash, 'min', 0)} to {shown(before.recoat_latest, 'h', 1)}, "
    window = f"{before.name} is {open_ if wet_on_wet else ''}{hard}"
    source = f"as the plan had it for {before.name}"
    if since is None:
        return Gate(
            key="recoat", step=step, holds=None, what=f"{before.step} is not finished; {window}", why=why,
            do="finish it first, or write down that it is", basis=Basis.DATA_SHEET, source=source,
        )  # fmt: skip
    age = (now - since).total_seconds()
    open_now = wet_on_wet and before.flash <= age <= before.recoat_latest
    ready = open_now or age >= before.cure_time
    wait = before.flash - age if wet_on_wet and age < before.flash else before.cure_time - age
    return Gate(
        key="recoat", step=step, holds=ready, what=f"it went on {shown(age, 'h', 1)} ago; {window}", why=why,
        do=f"wait {shown(max(wait, 0.0), 'h' if wait >= 3600.0 else 'min', 1)}; flat a coat that is hard first",
        basis=Basis.DATA_SHEET, source=source,
    )  # fmt: skip


def _coat_before(build: Build, step: str) -> PlannedCoat | None:
    """Return the coat whose step comes last before a step."""
    keys = [s.key for s in build.planned.steps]
    if step not in keys:
        return None
    earlier = [c for c in build.planned.coats if c.step in keys and keys.index(c.step) < keys.index(step)]
    return max(earlier, key=lambda c: keys.index(c.step), default=None)


def _on_since(build: Build, coat: PlannedCoat) -> datetime | None:
    """Return when a coat was on: its step's start and the time at it, or its end when that was earlier."""
    done = next(s for s in build.steps if s.key == coat.step)
    if done.finished is None:
        return None
    if done.started is None:
        return done.finished
    planned = next(s for s in build.planned.steps if s.key == coat.step)
    attended = planned.attended if done.attended is None else done.attended
    return min(done.started + timedelta(seconds=attended), done.finished)


def _part_warmth(build: Build, now: datetime) -> float | None:
    read = [m for m in build.measured if m.what.found is Found.CORE and now - READ_WITHIN <= m.at <= now]
    return read[-1].what.value if read else None


def _said(read: Read) -> str:
    return f"{shown(read.temperature, '°C', 1)} and {shown(read.humidity, '%', 0)}"
