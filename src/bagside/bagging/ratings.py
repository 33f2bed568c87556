"""What the bag is made of, held against the cycle: hottest, and how long near it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown
from bagside.spec.material import Film

Floats = NDArray[np.float64]

SPARE = 20.0  # [K] rating over the hottest of the cycle, 20 to 30


@dataclass(frozen=True, slots=True, kw_only=True)
class Consumable:
    """One thing of the bag, as rated and as used.

    Parameters
    ----------
    name
        What people call it: film, tape, hose, sealant, release film, peel ply.
    limit
        Hottest it may be for as long as it takes [K].
    short_limit, short_time
        Hottest it may be for a short while, and for how long in all [K, s]; None when only one value is rated.
    cures
        How many cures it has seen.
    cures_allowed
        How many it may see: 1 for tape and nylon film, more for hose or a silicone bag.
    basis, source
        Of its rating.
    """

    name: str
    limit: float
    short_limit: float | None = None
    short_time: float | None = None
    cures: int = 0
    cures_allowed: int = 1
    basis: Basis = Basis.DATA_SHEET
    source: str = ""

    @property
    def worn(self) -> bool:
        """Whether it has seen all the cures it may see."""
        return self.cures >= self.cures_allowed


@dataclass(frozen=True, slots=True, kw_only=True)
class Rated:
    """A thing of the bag through a cycle.

    Parameters
    ----------
    item
        Which.
    hottest
        It gets [K].
    above
        Time above its lasting limit [s].
    spare
        To the limit that counts: lasting, or short when time above the lasting one is allowed [K].
    holds
        Whether it stands the cycle and may still be used.
    """

    item: Consumable
    hottest: float
    above: float
    spare: float
    holds: bool


def consumable_of(name: str, film: Film, cures: int = 0) -> Consumable:
    """Return a thing of the bag as its sheet states it.

    Parameters
    ----------
    name
        What people call it.
    film
        As stated.
    cures
        How many it has seen.

    Raises
    ------
    InputError
        When it cannot have seen so many.
    """
    if cures < 0:
        raise InputError.one(f"bag ratings, {name}", str(cures), "a number of cures from zero up is wanted")
    return Consumable(
        name=name,
        limit=film.limit,
        short_limit=film.short_limit,
        short_time=film.short_time,
        cures=cures,
        cures_allowed=film.cures,
        basis=film.basis.of("limit"),
        source=film.basis.source,
    )


def rated(items: Sequence[Consumable], time: Floats, hottest: Floats) -> tuple[Rated, ...]:
    """Return each thing of the bag held against a cycle.

    Parameters
    ----------
    items
        Of the bag.
    time
        Rising, shape (n,) [s].
    hottest
        Hottest of air and part at the bag, the oven's hot place, shape (n,) [K].

    Returns
    -------
    tuple of Rated
        In the order given.

    Raises
    ------
    InputError
        When the history or a rating makes no sense.

    Notes
    -----
    Between two readings the temperature is taken as straight, so a crossing of the limit counts to the second.
    """
    t, T = np.asarray(time, dtype=np.float64), np.asarray(hottest, dtype=np.float64)
    if t.ndim != 1 or len(t) < 2 or t.shape != T.shape or not (np.diff(t) > 0.0).all() or not np.isfinite(T).all():
        raise InputError.one("bag ratings", f"{t.size} times, {T.size} temperatures", "a history of both is wanted")
    out = []
    for item in items:
        pair = (item.short_limit, item.short_time)
        if (pair[0] is None) != (pair[1] is None) or (pair[0] is not None and not pair[0] > item.limit):
            raise InputError.one(
                f"bag ratings, {item.name}",
                "",
                "a short rating wants a temperature above the lasting one and its time",
            )
        top, above = float(T.max()), time_above(t, T, item.limit)
        short = item.short_limit is not None and above > 0.0
        limit = item.short_limit if short and item.short_limit is not None else item.limit
        stands = top <= limit and (not short or above <= (item.short_time or 0.0))
        out.append(Rated(item=item, hottest=top, above=above, spare=limit - top, holds=stands and not item.worn))
    return tuple(out)


def time_above(time: Floats, temperature: Floats, limit: float) -> float:
    """Return for how long a history is above a limit [s].

    Parameters
    ----------
    time, temperature
        Shape (n,) [s, K], straight between readings.
    limit
        [K].
    """
    a, b = temperature[:-1] - limit, temperature[1:] - limit
    step = np.diff(time)
    crossing = np.where(a != b, np.maximum(a, b) / np.where(a != b, np.abs(b - a), 1.0), 0.0)
    share = np.where((a > 0.0) & (b > 0.0), 1.0, np.where((a <= 0.0) & (b <= 0.0), 0.0, crossing))
    return float((share * step).sum())


def offered(items: Sequence[Consumable], time: Floats, hottest: Floats) -> tuple[Consumable, ...]:
    """Return what may be used for a cycle: it stands it, and has not seen all the cures it may see.

    Parameters
    ----------
    items, time, hottest
        As for `rated`.

    Raises
    ------
    InputError
        As `rated`.
    """
    return tuple(r.item for r in rated(items, time, hottest) if r.holds)


def rating_findings(found: Sequence[Rated]) -> tuple[Finding, ...]:
    """Return what the bag's ratings ask of people.

    Parameters
    ----------
    found
        From `rated`.
    """
    out = []
    for r in found:
        item = r.item
        if item.worn:
            out.append(
                _finding(
                    Severity.STOP,
                    item,
                    f"it has seen {item.cures} cure{'s' if item.cures != 1 else ''}, {item.cures_allowed} allowed",
                    "film gets brittle and tape loses its grip: it fails hot, when nobody looks",
                    "keep it for debulks, or take a new one",
                    Basis.COMMON,
                )
            )
            continue
        if not r.holds:
            long = item.short_time is not None and r.spare >= 0.0
            over = (
                f"it is above {shown(item.limit, '°C', 0)} for {shown(r.above, 'min', 0)}, "
                f"{shown(item.short_time or 0.0, 'min', 0)} are allowed"
                if long
                else f"it stands {shown(item.short_limit or item.limit, '°C', 0)}, the cycle reaches "
                f"{shown(r.hottest, '°C', 0)}"
            )
            out.append(
                _finding(
                    Severity.STOP,
                    item,
                    over,
                    "it melts, creeps or turns brittle, and the bag is lost in the oven",
                    "take one that stands 20 K more than the cycle, or cure cooler",
                    item.basis,
                )
            )
        elif r.spare < SPARE:
            out.append(
                _finding(
                    Severity.WATCH,
                    item,
                    f"the cycle comes within {shown(r.spare, 'K', 0)} of its {shown(r.hottest + r.spare, '°C', 0)}",
                    "the oven's spread and an overshoot use up what is left",
                    "take one with 20 to 30 K to spare, or watch the leading thermocouple closely",
                    item.basis,
                )
            )
    return tuple(out)


def _finding(severity: Severity, item: Consumable, what: str, why: str, do: str, basis: Basis) -> Finding:
    return Finding(
        severity=severity, stage="bagging", place=item.name, what=what, why=why, do=do, basis=basis,
        source=item.source or "rating at least 20 to 30 K over the cycle",
    )  # fmt: skip
