"""One law for several DSC curves at once, by rate and by degree of cure.

Readings of one curve are not independent: what is off is the baseline and the sample's mass, not the noise. Each curve
therefore counts as `COUNTS` readings of its rate and as many of its degree of cure, however many it has, and the doubt
is scaled by how far the curves are really off.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.fit.course import along
from bagside.cure.fit.dsc_curve import DscKind, Reacted
from bagside.cure.fit.family import E_GAP, LN_K, LN_M, LN_N, LN_R, NAMES, NO_GLASS, OFFSET, E, rate_of
from bagside.cure.fit.isoconversional import Isoconversional, isoconversional
from bagside.cure.fit.least import Least, least
from bagside.cure.fit.prior import Prior, middle_of
from bagside.cure.kinetics import GAS
from bagside.errors import InputError

Floats = NDArray[np.float64]

POINTS, COUNTS = 40, 8.0
"""Readings at which a curve is compared, and as how many independent ones they count."""
RATE_OFF, ALPHA_OFF = 0.04, 0.02
"""How far a rate, over its peak, and a degree of cure are usually off. Common practice."""
WIDE = {LN_K: 3.0, E: 25e3, LN_M: 0.5, LN_N: 0.5, LN_R: 2.0}
"""Deviations of the parameters before the curves are seen."""
GAP = 15e3
"""The same of the difference of two activation energies [J/mol]."""
SUREST = 1.0
"""However well the curves are met, the doubt is at least this share of the usual: baselines are off all together."""
HEAT_OFF = 0.03
"""Share by which a heat of reaction is off at least. Common practice."""
CLEARLY = 6.0
"""A second activation energy must score better by this."""
TOLERANCE = 1e-5
"""Error of a step, in degree of cure: far below what is compared."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant:
    """A law that was tried.

    Parameters
    ----------
    two
        Whether it has two activation energies.
    glass
        Whether it vitrifies.
    score
        Lower is better: what is off and how many parameters it took (Schwarz's criterion).
    rate_off, alpha_off
        How far rates, over their peaks, and degrees of cure are off in the mean square.
    """

    two: bool
    glass: bool
    score: float
    rate_off: float
    alpha_off: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DscFit:
    """What DSC curves tell.

    Parameters
    ----------
    curves
        Without their baselines.
    heat, heat_off
        Heat of reaction and its deviation [J/kg resin].
    prior
        What is known now: the law and its doubt, to which rows of a sheet may be added.
    chosen, tried
        The law that was taken, and all that were tried.
    check
        Activation energies without a law.
    widened
        By what the doubt was multiplied because the curves are off by more, or less, than is usual.
    """

    curves: tuple[Reacted, ...]
    heat: float
    heat_off: float
    prior: Prior
    chosen: Variant
    tried: tuple[Variant, ...]
    check: Isoconversional
    widened: float

    @property
    def heats(self) -> tuple[float, float]:
        """Coldest and hottest temperature at which something reacted [K]."""
        ends = []
        for c in self.curves:
            share = c.given / c.total
            ends += [float(np.interp(x, np.maximum.accumulate(share), c.temperature)) for x in (0.05, 0.95)]
        return min(ends), max(ends)


def heat_of(curves: Sequence[Reacted], stated: float | None, place: str) -> tuple[float, float]:
    """Return the heat of reaction and its deviation: of the ramps, or as stated [J/kg resin].

    Parameters
    ----------
    curves
        One or more.
    stated
        Of the sheet; None when it states none.
    place
        The sheet, for messages.

    Raises
    ------
    InputError
        When there is neither a ramp nor a stated heat.
    """
    totals = [c.total for c in curves if c.kind is DscKind.RAMP]
    if totals:
        mean = float(np.mean(totals))
        spread = float(np.std(totals, ddof=1) / np.sqrt(len(totals))) if len(totals) > 1 else 0.0
        return mean, float(np.hypot(spread, HEAT_OFF * mean))
    if stated is None:
        raise InputError.one(
            f"{place}, dsc",
            "isothermal curves alone",
            "they do not tell the whole heat of reaction, since they may end short of full cure",
            "add a ramp of a fresh sample, or state heat",
        )
    return stated, HEAT_OFF * stated


def dsc_fitted(
    curves: Sequence[Reacted], before: Prior, start: float, heat: tuple[float, float], *, glass: bool
) -> DscFit:
    """Return the law of the family that fits curves best.

    Parameters
    ----------
    curves
        One or more.
    before
        What is known without them; its glass transition, gel and out-life stay in the result.
    start
        Degree of cure when fresh.
    heat
        Heat of reaction and its deviation [J/kg resin].
    glass
        Whether the glass transition is known, so that the law may vitrify; the law without is tried for comparison.

    Raises
    ------
    NotSolved
        When no fit comes to rest.
    """
    held = [_held(c, start, heat[0]) for c in curves]
    check = isoconversional(curves, heat[0])
    guess = _guess(held, check, before)
    tried: list[tuple[Variant, Prior, Least]] = []
    for two, vitrifies in _laws(glass, len(curves) > 1):
        prior = _before(before, guess, held, two=two, glass=vitrifies)

        def residuals(z: Floats, who: NDArray[np.intp], prior: Prior = prior) -> Floats:
            return _residuals(prior, held, start, z)

        found = least(residuals, np.zeros((1, prior.root.shape[1])))
        tried.append((_variant(found, held, two, vitrifies), prior, found))
        if not two and vitrifies == glass:
            guess = prior.theta(found.z)[0]
    chosen, prior, found = _best([t for t in tried if t[0].glass == glass])
    slopes = found.slopes[0]
    spread = np.linalg.inv(slopes.T @ slopes + np.eye(slopes.shape[1]))
    freedom = max(2.0, 2.0 * COUNTS * len(curves) - 6.0)
    widened = max(float(np.sqrt((found.residuals[0] ** 2).sum() / freedom)), SUREST)
    kinetic = np.abs(prior.root[[LN_K, E, LN_M, LN_N, LN_R, E_GAP]]).max(axis=0) > 0.0
    scale = np.where(kinetic, widened, 1.0)
    root = prior.root @ (scale[:, None] * np.linalg.cholesky(spread))
    return DscFit(
        curves=tuple(curves),
        heat=heat[0],
        heat_off=heat[1],
        prior=Prior(mean=prior.theta(found.z)[0], root=root, middle=prior.middle),
        chosen=chosen,
        tried=tuple(t[0] for t in tried),
        check=check,
        widened=widened,
    )


def _laws(glass: bool, several: bool) -> Iterator[tuple[bool, bool]]:
    """Yield which laws are tried: with two activation energies, with vitrification."""
    yield False, glass
    if glass:
        yield False, False
    if several:
        yield True, glass


def _best(tried: list[tuple[Variant, Prior, Least]]) -> tuple[Variant, Prior, Least]:
    """Return the simplest law that will do: a second activation energy only where one misses the curves clearly."""
    one = next(t for t in tried if not t[0].two)
    two = next((t for t in tried if t[0].two), one)
    misses = one[0].rate_off > 0.5 * RATE_OFF or one[0].alpha_off > 0.5 * ALPHA_OFF
    return two if misses and two[0].score < one[0].score - CLEARLY else one


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Held:
    """A curve at the readings where it is compared."""

    curve: Reacted
    time: Floats
    temperature: Floats
    rate: Floats
    alpha: Floats
    peak: float


def _held(curve: Reacted, start: float, heat: float) -> _Held:
    whole = curve.total if curve.kind is DscKind.RAMP else heat
    alpha = (1.0 - start) * np.maximum.accumulate(curve.given) / whole
    rate = (1.0 - start) * curve.heat / whole
    wide = max(1, len(rate) // 120)
    smooth = np.convolve(np.pad(rate, wide, mode="edge"), np.ones(2 * wide + 1) / (2 * wide + 1), mode="valid")
    levels = np.linspace(0.01, 0.985, POINTS) * alpha[-1]
    at = np.unique(np.clip(np.searchsorted(alpha, levels), 0, len(alpha) - 1))
    return _Held(
        curve=curve,
        time=curve.time[at],
        temperature=curve.temperature[at],
        rate=smooth[at],
        alpha=alpha[at],
        peak=float(smooth.max()),
    )


def _residuals(prior: Prior, held: Sequence[_Held], start: float, z: Floats) -> Floats:
    theta = prior.theta(z)
    lanes, count = len(theta), len(held)
    each = np.repeat(theta, count, axis=0)
    times = np.tile(np.array([h.curve.times for h in held]), (lanes, 1))
    heats = np.tile(np.array([h.curve.temperatures for h in held]), (lanes, 1))
    course = along(each, prior.middle, times, heats, start, TOLERANCE)
    rows = []
    for lane in range(lanes):
        parts = []
        for k, h in enumerate(held):
            i = lane * count + k
            alpha = course.at(i, np.append(h.time, h.curve.time[0]))
            rate = rate_of(each[i], prior.middle, alpha[:-1], h.temperature)
            weight = np.sqrt(COUNTS / len(h.time))
            parts += [
                weight * (rate - h.rate) / (RATE_OFF * h.peak),
                weight * (alpha[:-1] - alpha[-1] - h.alpha) / ALPHA_OFF,
            ]
        rows.append(np.concatenate(parts))
    return np.array(rows)


def _guess(held: Sequence[_Held], check: Isoconversional, before: Prior) -> Floats:
    """Return parameters to start from: the activation energy without a law, the rate constant to match."""
    guess = before.mean.copy()
    told = check.by_rate[np.isfinite(check.by_rate)]
    guess[E] = float(np.clip(np.median(told), 40e3, 120e3)) if len(told) else guess[E]
    middle = _middle(held)
    plain = guess.copy()
    plain[[LN_K, OFFSET]] = 0.0, NO_GLASS
    late = []
    for h in held:
        inside = (h.alpha > 0.1) & (h.alpha < 0.7) & (h.rate > 0.0)
        model = rate_of(plain, middle, h.alpha[inside], h.temperature[inside])
        late.append(np.median(np.log(h.rate[inside] / model)))
    guess[LN_K] = float(np.mean(late))
    return guess


def _middle(held: Sequence[_Held]) -> float:
    return middle_of([float(np.interp(0.4, h.alpha / h.alpha[-1], h.temperature)) for h in held])


def _before(before: Prior, guess: Floats, held: Sequence[_Held], *, two: bool, glass: bool) -> Prior:
    """Return a wide prior around a guess for the kinetics, and what was known for the rest."""
    mean, sd = before.mean.copy(), before.sd
    for at, wide in WIDE.items():
        mean[at], sd[at] = guess[at], wide
    mean[E_GAP], sd[E_GAP] = 0.0, GAP if two else 0.0
    if not glass:
        mean[OFFSET], sd[OFFSET] = NO_GLASS, 0.0
    free = np.flatnonzero(sd > 0.0)
    root = np.zeros((len(NAMES), len(free)))
    root[free, np.arange(len(free))] = sd[free]
    return Prior(mean=mean, root=root, middle=_middle(held))


def _variant(found: Least, held: Sequence[_Held], two: bool, glass: bool) -> Variant:
    r = found.residuals[0]
    rate, alpha, at = [], [], 0
    for h in held:
        n = len(h.time)
        back = np.sqrt(n / COUNTS)
        rate.append(r[at : at + n] * back * RATE_OFF)
        alpha.append(r[at + n : at + 2 * n] * back * ALPHA_OFF)
        at += 2 * n
    count = 2.0 * COUNTS * len(held)
    parameters = 5 + two + glass
    return Variant(
        two=two,
        glass=glass,
        score=float(count * np.log(float((r * r).sum()) / count) + parameters * np.log(count)),
        rate_off=float(np.sqrt(np.mean(np.concatenate(rate) ** 2))),
        alpha_off=float(np.sqrt(np.mean(np.concatenate(alpha) ** 2))),
    )


def effective_energy(theta: Floats, middle: float, alpha: Floats, temperature: float) -> Floats:
    """Return the activation energy that a law shows at each degree of cure, as curves without a law would tell it.

    Parameters
    ----------
    theta
        Parameters of the law, shape (12,).
    middle
        Temperature at which its rate constant is stated [K].
    alpha
        Degrees of cure, shape (k,).
    temperature
        Where it is read [K].

    Returns
    -------
    Floats
        Shape (k,) [J/mol].
    """
    low, high = temperature - 5.0, temperature + 5.0
    up = np.log(rate_of(theta, middle, alpha, high)) - np.log(rate_of(theta, middle, alpha, low))
    out: Floats = up * GAS / (1.0 / low - 1.0 / high)
    return out
