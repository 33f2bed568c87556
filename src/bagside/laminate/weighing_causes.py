"""The causes that `bagside.laminate.weighing` weighs against each other: what each does to the mass at every stage.

A cause is a parcel of plies as they then are, and a shift. The scatter of the cloth comes from the plies that are
there: a ply that is missing scatters no more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.laminate.weighing_plan import FILMS, STAGES, Faults, WeighedPlan, WeighedPly, kept_share

Floats = NDArray[np.float64]

TRIM_SCATTER = 0.1
"""Of the mass that is trimmed off, as a share, when the plan states none (common practice, no source)."""
COAT_SCATTER = 0.2
"""Of the mass that coats and inserts add, as a share, when the plan states none (common practice, no source)."""
WEIGHED = {
    "kit": "mass of the kit",
    "laid": "mass as laid",
    "raw": "raw mass",
    "trimmed": "trimmed mass",
    "finished": "finished mass",
    FILMS: "mass of the films",
}
"""What each weighing is called."""
SEEN = 1e-6
"""What moves no mass by a milligram is no cause that a scale can show [kg]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One way in which the masses came about; n weighings.

    Parameters
    ----------
    key, words
        Which, in a word and in words.
    odds
        Beforehand, against nothing being wrong.
    shift
        Of the masses against the plan, (n,) [kg].
    covariance
        Of the masses about it, scales aside, (n, n) [kg²].
    along
        Shift of a size of one, (n,) [kg]; zero when the size is fixed.
    size
        Standard deviation of a size that is not fixed; 0 when it is.
    one_sided
        Whether that size cannot be negative.
    ply
        Number; 0 when it is of no ply.
    mass
        Shift where it shows first, of a size of one [kg].
    """

    key: str
    words: str
    odds: float
    shift: Floats
    covariance: Floats
    along: Floats
    size: float = 0.0
    one_sided: bool = False
    ply: int = 0
    mass: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Parcel:
    """Cloth that is weighed: as much of a ply at each weighing, (n,) [kg]."""

    masses: Floats
    material: str
    scatter: float
    pieces: int


def causes_of(plan: WeighedPlan, stages: Sequence[str], faults: Faults) -> list[Cause]:
    """Return every cause that these weighings could show, and that nothing is wrong.

    Parameters
    ----------
    plan
        What the part should weigh.
    stages
        Of each weighing, (n,).
    faults
        How often what goes wrong.
    """
    seen = {stage: seen_since(plan, stages, stage) for stage in STAGES}
    lot = [_parcel(p, seen["kit"]) for p in plan.plies]
    own = _own_scatter(plan, stages, faults.common)
    nothing = Cause(
        key="nothing",
        words="nothing is wrong",
        odds=1.0,
        shift=np.zeros(len(stages)),
        covariance=own + _scatter(lot, faults.common),
        along=np.zeros(len(stages)),
    )
    found = [
        *_of_plies(plan, stages, faults, seen, lot, own),
        *_of_films(plan, stages, faults, seen, nothing),
        *_of_unknown_size(plan, stages, faults, seen, nothing),
    ]
    return [nothing, *(c for c in found if c.odds > 0.0 and max(np.abs(c.shift + c.along)) > SEEN)]


def seen_since(plan: WeighedPlan, stages: Sequence[str], since: str) -> Floats:
    """Return how much of a mass that is there since a stage each weighing sees: after trimming only what is kept.

    Parameters
    ----------
    plan
        What the part should weigh.
    stages
        Of each weighing, (n,).
    since
        First stage at which it is there.
    """
    kept = kept_share(plan)
    share = {"kit": 1.0, "laid": 1.0, "raw": 1.0, "trimmed": kept, "finished": kept}
    first = STAGES.index(since)
    return np.array([share[s] if s != FILMS and STAGES.index(s) >= first else 0.0 for s in stages])


def _rows(stages: Sequence[str], *wanted: str) -> Floats:
    """Return one for each weighing at one of some stages, else zero."""
    return np.array([float(s in wanted) for s in stages])


def _parcel(ply: WeighedPly, seen: Floats) -> Parcel:
    return Parcel(masses=ply.mass * seen, material=ply.material, scatter=ply.scatter, pieces=max(ply.pieces, 1))


def _odds(chance: float) -> float:
    return chance / (1.0 - chance) if chance < 1.0 else 1e9


def _scatter(lot: Sequence[Parcel], common: float) -> Floats:
    """Return the covariance of the cloth: a roll's share in common, the rest each piece's own."""
    rolls: dict[str, Floats] = {}
    total = np.zeros((lot[0].masses.size,) * 2) if lot else np.zeros((0, 0))
    for parcel in lot:
        by = parcel.scatter * parcel.masses
        rolls[parcel.material] = rolls.get(parcel.material, np.zeros(by.size)) + by
        total += (1.0 - common) / parcel.pieces * np.outer(by, by)
    for by in rolls.values():
        total += common * np.outer(by, by)
    return total


def _of_plies(
    plan: WeighedPlan, stages: Sequence[str], faults: Faults, seen: dict[str, Floats], lot: list[Parcel], own: Floats
) -> list[Cause]:
    """Return plies that are missing, too many, or of another cloth."""
    in_kit, at_kit, off = "kit" in stages, _rows(stages, "kit"), _rows(stages, FILMS)
    cloths = _cloths(plan)
    planned = sum((p.masses for p in lot), np.zeros(len(stages)))
    out: list[Cause] = []

    def cause(key: str, words: str, chance: float, ply: WeighedPly, now: list[Parcel], films: Floats) -> None:
        shift = sum((p.masses for p in now), np.zeros(len(stages))) - planned + films
        most = int(np.argmax(np.abs(shift)))
        out.append(
            Cause(
                key=key,
                words=words,
                odds=_odds(chance),
                shift=shift,
                covariance=own + _scatter(now, faults.common) if now else own,
                along=np.zeros(len(stages)),
                ply=ply.number,
                mass=float(shift[most]),
            )
        )

    for k, ply in enumerate(plan.plies):
        rest = lot[:k] + lot[k + 1 :]
        films = ply.film_mass * (at_kit + off)
        missing = faults.missing + (0.0 if in_kit else faults.unlaid) if ply.missing is None else ply.missing
        unlaid = faults.unlaid if ply.missing is None else ply.missing
        where = "in the kit" if in_kit else ""
        cause("missing", f"a ply of {ply.material} is missing {where}".strip(), missing, ply, rest, -films)
        if in_kit:
            left = Parcel(masses=ply.mass * at_kit, material=ply.material, scatter=ply.scatter, pieces=ply.pieces)
            words = f"a ply of {ply.material} was in the kit, but was not laid"
            cause("unlaid", words, unlaid, ply, [*rest, left], -ply.film_mass * off)
        cause("extra", f"a ply of {ply.material} too many", faults.extra, ply, [*lot, lot[k]], films)
        others = [m for m in cloths if m != ply.material]
        for other in others:
            areal, scatter = cloths[other]
            put = Parcel(
                masses=areal * ply.area * seen["kit"], material=other, scatter=scatter, pieces=max(ply.pieces, 1)
            )
            words = f"a ply of {ply.material} is of {other} instead"
            cause("exchanged", words, faults.exchanged / len(others), ply, [*rest, put], np.zeros(len(stages)))
    return out


def _cloths(plan: WeighedPlan) -> dict[str, tuple[float, float]]:
    """Return what each cloth weighs [kg/m²] and by which share that scatters: of the part, then of the workshop."""
    scatter = max(p.scatter for p in plan.plies)
    out = {material: (areal, scatter) for material, areal in plan.others.items()}
    for material in dict.fromkeys(p.material for p in plan.plies):
        same = [p for p in plan.plies if p.material == material]
        out[material] = (sum(p.mass for p in same) / sum(p.area for p in same), same[0].scatter)
    return out


def _of_films(
    plan: WeighedPlan, stages: Sequence[str], faults: Faults, seen: dict[str, Floats], nothing: Cause
) -> list[Cause]:
    """Return backing films that were left in, and a kit that was weighed without them."""
    at_kit = plan.all_films * _rows(stages, "kit")
    known = plan.film_scatter * plan.all_films * _rows(stages, "kit", FILMS)
    off = known - plan.film_scatter * at_kit  # films that are not on the scale do not scatter there
    out = [
        Cause(
            key="bare",
            words="the kit was weighed without its films",
            odds=_odds(faults.bare),
            shift=-at_kit,
            covariance=nothing.covariance - np.outer(known, known) + np.outer(off, off),
            along=nothing.along,
            mass=-plan.all_films,
        )
    ]
    for ply in plan.plies:
        if ply.films and ply.film_mass > 0.0:
            one = ply.film_mass / ply.films
            chance = 1.0 - (1.0 - faults.film) ** ply.films if ply.film_left is None else ply.film_left
            out.append(
                Cause(
                    key="film",
                    words="a backing film was left in",
                    odds=_odds(chance),
                    shift=one * (seen["laid"] - _rows(stages, FILMS)),
                    covariance=nothing.covariance,
                    along=nothing.along,
                    ply=ply.number,
                    mass=one,
                )
            )
    return out


def _of_unknown_size(
    plan: WeighedPlan, stages: Sequence[str], faults: Faults, seen: dict[str, Floats], nothing: Cause
) -> list[Cause]:
    """Return what is more or less rather than there or not: resin, a roll, a reading, the trim, the coats."""

    def cause(key: str, words: str, chance: float, along: Floats, size: float, mass: float) -> Cause:
        return Cause(
            key=key,
            words=words,
            odds=_odds(chance) if size > 0.0 else 0.0,
            shift=nothing.shift,
            covariance=nothing.covariance,
            along=along,
            size=size,
            one_sided=key == "resin",
            mass=mass,
        )

    words = "resin was lost into breather and edges"
    out = [cause("resin", words, faults.resin, -plan.resin * seen["raw"], faults.resin_share, -plan.resin)]
    for material in dict.fromkeys(p.material for p in plan.plies):
        mass = sum(p.mass for p in plan.plies if p.material == material)
        words = f"the roll of {material} is off its sheet"
        out.append(cause("roll", words, faults.roll, mass * seen["kit"], faults.roll_share, mass))
    for k, stage in enumerate(stages):
        along = np.zeros(len(stages))
        along[k] = planned = plan.mean(stage) or 0.0
        words = f"the {WEIGHED[stage]} was read or written wrongly, or something lay on the scale"
        out.append(cause("reading", words, faults.reading, along, faults.reading_share, planned))
    raw, trimmed, finished = (plan.mean(s) for s in STAGES[2:])
    if raw is not None and trimmed is not None:
        off = max(0.0, raw - trimmed)
        words = "it was trimmed elsewhere than planned"
        out.append(cause("trim", words, faults.trim, off * np.sign(seen["trimmed"]), faults.trim_share, off))
    if trimmed is not None and finished is not None:
        on = max(0.0, finished - trimmed)
        words = "coats or inserts weigh other than planned"
        out.append(cause("coat", words, faults.coat, on * np.sign(seen["finished"]), faults.coat_share, on))
    return out


def _own_scatter(plan: WeighedPlan, stages: Sequence[str], common: float) -> Floats:
    """Return the covariance that is not the cloth's: films, resin, trim and coats, each from its stage on."""
    plies = float(_scatter([_parcel(p, np.ones(1)) for p in plan.plies], common)[0, 0])
    kept = kept_share(plan)
    raw, trimmed, finished = (plan.mean(s) for s in STAGES[2:])
    off = TRIM_SCATTER * max(0.0, raw - trimmed) if raw is not None and trimmed is not None else 0.0
    on = COAT_SCATTER * max(0.0, finished - trimmed) if trimmed is not None and finished is not None else 0.0

    def extra(stage: str, known: float, else_: float) -> float:
        return max(0.0, plan.sigmas[stage] ** 2 - known) if stage in plan.sigmas else else_

    of_raw = extra("raw", plies, 0.0)
    of_trim = extra("trimmed", kept**2 * (plies + of_raw), off**2)
    of_coat = extra("finished", kept**2 * (plies + of_raw) + of_trim, on**2)
    total = np.zeros((len(stages), len(stages)))
    films = plan.film_scatter * plan.all_films * _rows(stages, "kit", FILMS)  # the same films at both
    total += np.outer(films, films)
    for stage in ("kit", "laid"):
        here = _rows(stages, stage)  # what scatters here is gone at the next stage
        total += extra(stage, plies, 0.0) * np.outer(here, here)
    for since, variance in (("raw", of_raw), ("trimmed", of_trim), ("finished", of_coat)):
        seen = seen_since(plan, stages, since)
        along = seen if since == "raw" else np.sign(seen)
        total += variance * np.outer(along, along)
    return total
