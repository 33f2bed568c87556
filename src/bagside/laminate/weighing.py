"""What it means when a part does not weigh what it should: named causes, each with its chance.

A part is weighed as a kit with its films, laid, raw, trimmed and finished, and so are the films that came off. One
mass says little; together they say from when on something is off. What can be off is a list of candidates, one fault at
a time: a ply missing or too many, a ply of the other cloth, a backing film left in, resin lost, a roll off its sheet, a
wrong reading, an edge or a coat that is not as planned, or nothing. Bayes' rule weighs them: how often it happens
(`Faults`, our judgement) times how well it explains every weighing at once, given scales, the scatter of the cloth and
of the trim.

It refuses to be surer than the scale: candidates that weigh the same share their chance. Two faults at once are not
among the candidates; `Masses.fits` says when none of them explains what was weighed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from bagside.errors import InputError, Problem
from bagside.laminate.weighing_causes import Cause, causes_of
from bagside.laminate.weighing_plan import FILMS, STAGES, Faults, WeighedPlan, Weighing

Floats = NDArray[np.float64]
FINEST = 1e-6
"""A scale that is better cannot be reckoned with beside cloth that scatters by grams [kg]."""
SHOWS = 2.0
"""Sigmas from which on a fault can be told from nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One weighing against the plan: planned and measured mass, sigma of their difference [kg], and their ratio."""

    stage: str
    planned: float
    measured: float
    sigma: float
    z: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One cause that may explain the weighings.

    Parameters
    ----------
    key
        ``nothing``, ``missing``, ``unlaid``, ``extra``, ``exchanged``, ``film``, ``bare``, ``resin``, ``roll``,
        ``reading``, ``trim`` or ``coat``.
    what
        In words.
    chance, prior
        With the weighings, and before them.
    plies
        Which it may be, likeliest first; empty when it is of no ply.
    mass
        It adds where it shows, most probably [kg]; negative when it takes away.
    """

    key: str
    what: str
    chance: float
    prior: float
    plies: tuple[int, ...] = ()
    mass: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Masses:
    """What the weighings say together.

    Parameters
    ----------
    rows
        Each against the plan.
    candidates
        Likeliest first; their chances add up to one.
    fits
        Chance of a deviation at least as large under the candidate that explains them best: when it is below
        0.001, none of them does.
    unseen
        Faults of a fixed size that these weighings could not show: moved masses are under two sigmas. Each with the
        mass that it moves where it shows, and its plies.
    """

    rows: tuple[Row, ...]
    candidates: tuple[Candidate, ...]
    fits: float
    unseen: tuple[Candidate, ...] = ()

    @property
    def best(self) -> Candidate:
        """Likeliest candidate."""
        return self.candidates[0]

    @property
    def alike(self) -> tuple[Candidate, ...]:
        """Likeliest candidates that together hold nine tenths: when it is more than one, the scale cannot tell."""
        out: list[Candidate] = []
        for candidate in self.candidates:
            out.append(candidate)
            if sum(c.chance for c in out) >= 0.9:
                break
        return tuple(out)

    @property
    def wrong(self) -> float:
        """Chance that something is wrong."""
        return 1.0 - sum(c.chance for c in self.candidates if c.key == "nothing")


def masses_read(plan: WeighedPlan, weighings: Sequence[Weighing], faults: Faults | None = None) -> Masses:
    """Return what weighings of one part mean.

    Parameters
    ----------
    plan
        What it should weigh.
    weighings
        At least one, of stages that the plan knows a mass for.
    faults
        How often what goes wrong; the usual when None.

    Returns
    -------
    Masses
        Candidates with their chances.

    Raises
    ------
    InputError
        When there is no weighing, a stage is not known or not planned, or a scale's error is under 1 mg.

    Notes
    -----
    With deviations r from the plan, covariance C of a part without fault (scatter of the cloth, trim, coats, scales)
    and a fault that moves the masses by d: the likelihood is N(r; d, C), with the scatter of a ply that is not there
    taken out of C. A fault of unknown size a has its integral over a in closed form: for a normal with standard
    deviation s, N(r; 0, C + s² d dᵀ); for a half-normal, twice that times Φ(μ/τ), τ⁻² = s⁻² + dᵀC⁻¹d and
    μ = τ² dᵀC⁻¹r. Chances before are those of exactly one fault or none among independent ones: odds p/(1 − p) to 1.

    Examples
    --------
    >>> plies = tuple(
    ...     WeighedPly(number=k, material="twill", area=1.0, mass=0.35, scatter=0.01, films=2, film_mass=0.1)
    ...     for k in (1, 2, 3)
    ... )
    >>> read = masses_read(WeighedPlan(plies=plies), [Weighing(stage="kit", mass=0.9, sigma=0.001)])
    >>> read.best.key
    'missing'
    """
    faults = Faults() if faults is None else faults
    _refuse(plan, weighings)
    stages = [w.stage for w in weighings]
    planned = np.array([plan.mean(s) or 0.0 for s in stages])
    deviation = np.array([w.mass for w in weighings]) - planned
    scale = np.diag([w.sigma**2 for w in weighings])
    base = causes_of(plan, stages, faults)
    nothing = next(c for c in base if c.key == "nothing")
    whole = nothing.covariance + scale
    sigma = np.sqrt(np.diag(whole))
    logs, fits, sizes = zip(*(_likelihood(deviation, c, scale) for c in base), strict=True)
    odds = np.array([c.odds for c in base])
    weights = np.log(odds) + np.array(logs)
    chances = np.exp(weights - weights.max())
    chances /= chances.sum()
    return Masses(
        rows=tuple(
            Row(stage=w.stage, planned=float(p), measured=w.mass, sigma=float(s), z=float(d / s))
            for w, p, s, d in zip(weighings, planned, sigma, deviation, strict=True)
        ),
        candidates=_grouped(base, chances, odds / odds.sum(), np.array(sizes)),
        fits=float(max(f for f, c in zip(fits, chances, strict=True) if c >= 0.01)),
        unseen=_unseen(base, chances, odds / odds.sum(), whole),
    )


def _unseen(causes: Sequence[Cause], chances: Floats, priors: Floats, whole: Floats) -> tuple[Candidate, ...]:
    """Return the faults of a fixed size that move the masses by less than two sigmas."""
    hidden = [
        k
        for k, c in enumerate(causes)
        if c.key != "nothing" and c.size == 0.0 and float(c.shift @ np.linalg.solve(whole, c.shift)) < SHOWS**2
    ]
    sizes = np.ones(len(hidden))
    return _grouped([causes[k] for k in hidden], chances[hidden], priors[hidden], sizes)


def _refuse(plan: WeighedPlan, weighings: Sequence[Weighing]) -> None:
    wrong = [] if weighings else [Problem(place="weighings", came="", wanted="at least one is wanted")]
    for weighing in weighings:
        place = f"weighing, {weighing.stage}"
        if weighing.stage not in (*STAGES, FILMS):
            wanted = f"one of {', '.join(STAGES)} or {FILMS} is wanted"
            wrong.append(Problem(place="weighing, stage", came=f'"{weighing.stage}"', wanted=wanted))
        elif plan.mean(weighing.stage) is None:
            wrong.append(Problem(place=place, came="", wanted="the plan states no mass for this stage"))
        if not FINEST <= weighing.sigma < np.inf:
            wanted = "1 mg or more is wanted: half a digit of the scale at least"
            wrong.append(Problem(place=f"{place}, error of the scale", came=f"{weighing.sigma:g}", wanted=wanted))
        if not 0.0 <= weighing.mass < np.inf:
            wrong.append(Problem(place=f"{place}, mass", came=f"{weighing.mass:g}", wanted="0 kg or more is wanted"))
    if wrong:
        raise InputError(wrong)


def _likelihood(deviation: Floats, cause: Cause, scale: Floats) -> tuple[float, float, float]:
    """Return the logarithm of the likelihood, the chance of so large a deviation, and the cause's likeliest size."""
    covariance = cause.covariance + scale
    rest = deviation - cause.shift
    if cause.size == 0.0:
        return (*_normal(rest, covariance), 1.0)
    along = np.linalg.solve(covariance, cause.along)
    precision = cause.size**-2 + float(cause.along @ along)
    middle = float(along @ rest) / precision
    log, fits = _normal(rest, covariance + cause.size**2 * np.outer(cause.along, cause.along))
    if not cause.one_sided:
        return log, fits, middle
    ratio = middle * np.sqrt(precision)
    tail = float(special.log_ndtr(ratio))
    size = middle + float(np.exp(-0.5 * ratio**2 - tail) / np.sqrt(2.0 * np.pi)) / np.sqrt(precision)
    return log + float(np.log(2.0)) + tail, fits, max(size, 0.0)


def _normal(rest: Floats, covariance: Floats) -> tuple[float, float]:
    """Return the logarithm of the normal density, and the chance of so large a distance."""
    factor = np.linalg.cholesky(covariance)
    distance = float(np.sum(np.linalg.solve(factor, rest) ** 2))
    log = -0.5 * (distance + rest.size * np.log(2.0 * np.pi)) - float(np.sum(np.log(np.diag(factor))))
    return log, float(special.chdtrc(rest.size, distance))


def _grouped(causes: Sequence[Cause], chances: Floats, priors: Floats, sizes: Floats) -> tuple[Candidate, ...]:
    """Return candidates: plies that a fault is the same of are one, named together."""
    groups: dict[tuple[str, str], list[int]] = {}
    for k, cause in enumerate(causes):
        groups.setdefault((cause.key, cause.words), []).append(k)
    out = []
    for (key, words), members in groups.items():
        chance = float(sum(chances[k] for k in members))
        top = sorted(members, key=lambda k: (-chances[k], causes[k].ply))
        named = tuple(causes[k].ply for k in top if causes[k].ply and chances[k] >= 0.5 * chances[top[0]])
        first = causes[top[0]]
        mass = first.mass * (sizes[top[0]] if first.size else 1.0)
        out.append(
            Candidate(
                key=key,
                what=words + _which(named, len(members)),
                chance=chance,
                prior=float(sum(priors[k] for k in members)),
                plies=named,
                mass=float(mass),
            )
        )
    return tuple(sorted(out, key=lambda c: -c.chance))


def _which(plies: tuple[int, ...], among: int) -> str:
    """Return which plies it may be, in brackets."""
    if not plies:
        return ""
    if len(plies) == among and among > 3:
        return " (any of them)"
    if len(plies) > 6:
        return f" (ply {', '.join(str(p) for p in sorted(plies)[:5])} or another)"
    names = [str(p) for p in sorted(plies)]
    return f" (ply {names[0]})" if len(names) == 1 else f" (ply {', '.join(names[:-1])} or {names[-1]})"
