"""Where to look for a leak in this bag, and which test halves the places.

How often each place leaks, and how large such leaks are, is common practice put into numbers: a guess that is
ranked by the bag's own lengths and counts and by the size of the leak found. A shop's own record is better.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from bagside.errors import InputError, did_you_mean

SPREAD = 1.2  # of the natural logarithm of a leak's size


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakPlace:
    """A kind of place at which bags leak.

    Parameters
    ----------
    name
        What people call it.
    unit
        ``m``, ``m²`` or ``pcs``.
    often
        Leaks expected for each unit in one bag.
    usual
        Middle size of such a leak [m³/s at 1013 mbar].
    look
        Where and how to look.
    side
        ``bag``, ``mould``, ``line`` or ``port``: what a halving test tells apart.
    """

    name: str
    unit: str
    often: float
    usual: float
    look: str
    side: str


_CM3 = 1.0 / 6e7

PLACES: tuple[LeakPlace, ...] = (
    LeakPlace(
        name="pleats", unit="pcs", often=0.03, usual=20 * _CM3, side="bag",
        look="press the foot of each pleat, where tape meets tape, with a thumb and then a stick",
    ),
    LeakPlace(
        name="corners", unit="pcs", often=0.02, usual=12 * _CM3, side="bag",
        look="look for a crease that runs through the tape at each corner",
    ),
    LeakPlace(
        name="tape run", unit="m", often=0.008, usual=6 * _CM3, side="bag",
        look="roll the tape again; look for fibres, resin, release agent and backing paper left under it",
    ),
    LeakPlace(
        name="film joints", unit="m", often=0.02, usual=10 * _CM3, side="bag",
        look="press each joint between strips of film flat, from its middle outwards",
    ),
    LeakPlace(
        name="ports", unit="pcs", often=0.03, usual=15 * _CM3, side="port",
        look="turn each port to its stop; look for a torn seal or a cut in the film that runs past it",
    ),
    LeakPlace(
        name="film at edges", unit="pcs", often=0.02, usual=8 * _CM3, side="bag",
        look="feel for the hiss over bolts, dowels and sharp mould edges; pad them with breather next time",
    ),
    LeakPlace(
        name="film", unit="m²", often=0.004, usual=2 * _CM3, side="bag",
        look="look along the film against the light for pinholes and knife marks",
    ),
    LeakPlace(
        name="mould seams", unit="m", often=0.25, usual=25 * _CM3, side="mould",
        look="tape over the outside of each split-mould seam, never inside",
    ),
    LeakPlace(
        name="mould holes", unit="pcs", often=0.05, usual=20 * _CM3, side="mould",
        look="put a patch of tape over each dowel, bush and insert from outside",
    ),
    LeakPlace(
        name="mould porosity", unit="m²", often=0.03, usual=5 * _CM3, side="mould",
        look="bag the bare mould and test it; seal it when it does not hold",
    ),
    LeakPlace(
        name="thermocouple wires", unit="pcs", often=0.08, usual=10 * _CM3, side="bag",
        look="strip 25 mm of outer jacket where the wire goes through the tape: twin jackets leak along the wire",
    ),
    LeakPlace(
        name="connectors", unit="pcs", often=0.02, usual=12 * _CM3, side="line",
        look="push each coupling home; swap its seal",
    ),
    LeakPlace(
        name="hose", unit="m", often=0.003, usual=10 * _CM3, side="line",
        look="look for a hose cracked by heat at its ends",
    ),
)  # fmt: skip
"""Kinds of place at which bags leak; all common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A place in this bag, ranked.

    Parameters
    ----------
    place
        Which.
    amount
        How many or how much of it there is.
    chance
        That the leak is there.
    """

    place: LeakPlace
    amount: float
    chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Halving:
    """A test that splits the places into two groups.

    Parameters
    ----------
    name
        What to do.
    tells
        What follows from each result.
    inside
        Names of the places that would still show after it.
    minutes
        It takes.
    chance
        That the leak is among those inside.
    bits
        Information expected: one bit halves the places.
    """

    name: str
    tells: str
    inside: tuple[str, ...]
    minutes: float
    chance: float
    bits: float


_TESTS: tuple[tuple[str, str, frozenset[str], float], ...] = (
    (
        "shut the valve at the bag and read the gauge on the line",
        "line drops: connectors, hose; line holds: bag, ports or mould",
        frozenset({"line"}),
        5.0,
    ),
    (
        "lift the line off, blank the ports one by one",
        "drop stops: that port or the line; goes on: bag or mould",
        frozenset({"line", "port"}),
        10.0,
    ),
    (
        "put the mould into an envelope, or tape over its seams and holes from outside",
        "drop stops: mould; goes on: bag, ports or line",
        frozenset({"mould"}),
        25.0,
    ),
)


def suspects(amounts: Mapping[str, float], flow: float) -> tuple[Suspect, ...]:
    """Return where a leak most likely is.

    Parameters
    ----------
    amounts
        How many or how much there is of each place, by its name [pcs, m or m²].
    flow
        Of the leak, air at 1013 mbar [m³/s]; zero when it is not known.

    Returns
    -------
    tuple of Suspect
        Most likely first; chances sum to one.

    Raises
    ------
    InputError
        When a place is unknown, an amount negative, or there is none.

    Notes
    -----
    Chance ∝ amount · how often · density of that place's sizes at the size found, sizes lognormal about a usual one.
    It is the chance of one leak; a bag may have two.
    """
    known = {p.name: p for p in PLACES}
    for name, amount in amounts.items():
        if name not in known:
            raise InputError.one("leak, places", f'"{name}"', "this is not known here", did_you_mean(name, known))
        if not amount >= 0.0:
            raise InputError.one(f"leak, places, {name}", str(amount), "zero or more is wanted")
    raw = {
        name: amount * known[name].often * (_density(flow, known[name].usual) if flow > 0.0 else 1.0)
        for name, amount in amounts.items()
        if amount > 0.0
    }
    total = sum(raw.values())
    if not total > 0.0:
        raise InputError.one("leak, places", "none", "at least one place with an amount is wanted")
    found = [Suspect(place=known[n], amount=amounts[n], chance=w / total) for n, w in raw.items()]
    return tuple(sorted(found, key=lambda s: -s.chance))


def _density(flow: float, usual: float) -> float:
    # Heavy tails, so that no place is ruled out by the size of its leak alone.
    away = (math.log(flow) - math.log(usual)) / SPREAD
    return 1.0 / (1.0 + away * away / 3.0) ** 2


def halvings(ranked: tuple[Suspect, ...]) -> tuple[Halving, ...]:
    """Return the tests that split the places, the one that tells most for each minute first.

    Parameters
    ----------
    ranked
        From `suspects`.

    Notes
    -----
    A test whose result is sure beforehand tells nothing and is left out. The last test halves the bag's own edge by
    covering every other metre of tape with a strip of fresh tape.
    """
    out = []
    for name, tells, sides, minutes in _TESTS:
        inside = tuple(s.place.name for s in ranked if s.place.side in sides)
        out.append(_halving(name, tells, inside, sum(s.chance for s in ranked if s.place.side in sides), minutes))
    edge = [s for s in ranked if s.place.name in ("pleats", "corners", "tape run")]
    out.append(
        _halving(
            "press half of the tape, pleats and corners anew and read again",
            "drop slower: it was in that half; as before: the other half or elsewhere",
            tuple(s.place.name for s in edge),
            0.5 * sum(s.chance for s in edge),
            12.0,
        )
    )
    useful = [h for h in out if h.bits > 0.01]
    return tuple(sorted(useful, key=lambda h: -h.bits / h.minutes))


def _halving(name: str, tells: str, inside: tuple[str, ...], chance: float, minutes: float) -> Halving:
    p = min(max(chance, 0.0), 1.0)
    bits = 0.0 if p in (0.0, 1.0) else -p * math.log2(p) - (1.0 - p) * math.log2(1.0 - p)
    return Halving(name=name, tells=tells, inside=inside, minutes=minutes, chance=p, bits=bits)
