"""What a part should weigh at each stage, how a scale reads it, and how often what goes wrong."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from bagside.errors import InputError, Problem

STAGES = ("kit", "laid", "raw", "trimmed", "finished")
FILMS = "films"
"""Not a stage of the part: the backing films that were taken off, weighed together."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedPly:
    """One ply of the plan, as far as a scale can see it.

    Parameters
    ----------
    number
        From 1, in laying order.
    material
        Name.
    area
        Of all its pieces as cut [m²].
    mass
        Of that area, without films [kg].
    scatter
        Standard deviation of its areal weight, as a share of it.
    pieces
        How many.
    films
        Backing films on all its pieces together.
    film_mass
        Of all of them [kg].
    missing, film_left
        Chance beforehand that this ply is missing, that one of its films was left in; those of `Faults` when None.
    """

    number: int
    material: str
    area: float
    mass: float
    scatter: float
    pieces: int = 1
    films: int = 0
    film_mass: float = 0.0
    missing: float | None = None
    film_left: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedPlan:
    """What a part should weigh.

    Parameters
    ----------
    plies
        In laying order.
    resin
        In all plies [kg].
    means, sigmas
        Planned mass and its standard deviation at each stage, scale and films aside [kg]. A kit, weighed with its
        films, a laid and a raw part follow from the plies when they are not stated; a trimmed and a finished one do
        not.
    film_scatter
        Standard deviation of the films' mass, all alike, as a share (common practice, no source).
    others
        Further cloths that lie in the workshop, a piece of which may have got into the kit, and what they weigh
        without films [kg/m²].

    Raises
    ------
    InputError
        When there is no ply, or a number is none that a mass can have.
    """

    plies: tuple[WeighedPly, ...]
    resin: float = 0.0
    means: Mapping[str, float] = field(default_factory=dict)
    sigmas: Mapping[str, float] = field(default_factory=dict)
    film_scatter: float = 0.1
    others: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse what cannot be weighed."""
        wrong: list[Problem] = []
        if not self.plies:
            wrong.append(Problem(place="plan, plies", came="", wanted="at least one ply is wanted"))
        for ply in self.plies:
            for name, value, least in (("area", ply.area, 0.0), ("mass", ply.mass, 0.0)):
                if not least < value < np.inf:
                    place = f"ply {ply.number}, {name}"
                    wrong.append(Problem(place=place, came=f"{value:g}", wanted="more than 0 is wanted"))
            if not 0.0 <= ply.scatter < 1.0:
                place = f"ply {ply.number}, scatter"
                wrong.append(Problem(place=place, came=f"{ply.scatter:g}", wanted="0 to below 1 is wanted"))
        for material, areal in self.others.items():
            if not 0.0 < areal < np.inf:
                place = f"plan, {material}"
                wrong.append(Problem(place=place, came=f"{areal:g} kg/m²", wanted="more than 0 is wanted"))
        for stage, value in (*self.means.items(), *self.sigmas.items()):
            if stage not in (*STAGES, FILMS):
                wanted = f"one of {', '.join(STAGES)} or {FILMS} is wanted"
                wrong.append(Problem(place="plan, stage", came=f'"{stage}"', wanted=wanted))
            if not 0.0 <= value < np.inf:
                wrong.append(Problem(place=f"plan, {stage}", came=f"{value:g}", wanted="0 kg or more is wanted"))
        if wrong:
            raise InputError(wrong)

    def mean(self, stage: str) -> float | None:
        """Return the planned mass at a stage [kg]; None when the plan does not say it."""
        if stage in self.means:
            return self.means[stage]
        films = self.all_films
        if stage == FILMS:
            return films if films > 0.0 else None
        if stage not in STAGES[:3]:
            return None
        return sum(p.mass for p in self.plies) + (films if stage == "kit" else 0.0)

    @property
    def all_films(self) -> float:
        """Mass of all backing films [kg]."""
        return sum(p.film_mass for p in self.plies)


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """One reading of a scale at a stage, or of the films: mass and its standard error [kg]."""

    stage: str
    mass: float
    sigma: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Faults:
    """How often something goes wrong, and how far: our judgement of a careful small shop (common practice, no source).

    Parameters
    ----------
    common
        Share of the variance of areal weight that a whole roll has in common; the rest is each piece's own.
    missing, unlaid, extra, exchanged
        Chance for each ply: not in the kit; in the kit, but not laid; there twice; of another cloth.
    film
        Chance for each backing film to be left in.
    bare
        Chance that a kit was weighed without its films.
    resin, resin_share
        Chance that resin was lost into breather and edges; how much then, as a share of all resin: standard deviation
        of the half-normal.
    roll, roll_share
        Chance for each cloth that its roll is off its sheet; by how much then, as a share: standard deviation.
    reading, reading_share
        Chance for each weighing to be wrong (tare, a slip of the pen, tape still on it); by how much, as a share.
    trim, trim_share
        Chance that it was trimmed elsewhere than planned; by how much, as a share of what was to come off.
    coat, coat_share
        The same of what coats and inserts were to add.
    """

    common: float = 0.75
    missing: float = 0.002
    unlaid: float = 0.002
    extra: float = 0.001
    exchanged: float = 0.002
    film: float = 0.002
    bare: float = 0.03
    resin: float = 0.05
    resin_share: float = 0.1
    roll: float = 0.02
    roll_share: float = 0.08
    reading: float = 0.01
    reading_share: float = 0.1
    trim: float = 0.03
    trim_share: float = 0.4
    coat: float = 0.05
    coat_share: float = 0.6


def kept_share(plan: WeighedPlan) -> float:
    """Return the share of the raw part that is left after trimming.

    Parameters
    ----------
    plan
        What it should weigh; 1 when it does not say what is trimmed off.
    """
    raw, trimmed = plan.mean("raw"), plan.mean("trimmed")
    return 1.0 if raw is None or trimmed is None or raw <= 0.0 else min(1.0, trimmed / raw)
