"""Many readings of a place as few temperatures: what to hold it at, so that nothing in it would age less.

The mean kinetic temperature is the one temperature at which a reaction of one activation energy goes as far as it does
along all readings. Life of prepreg follows no single energy: a sheet's points have slopes of their own, and outside
them the safe side is taken. So a stretch of a log is replaced by the temperature against which what was colder is
forgiven with a low energy and what was warmer is charged with a high one. No sheet whose slopes lie between the two
counts less life by it than by the readings themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bagside.cure.kinetics import GAS
from bagside.errors import InputError

Floats = NDArray[np.float64]

PHARMACOPOEIA = 83_144.0
"""Heat of activation that is usual for the mean kinetic temperature of stores [J/mol]."""
LOW, HIGH = 15e3, 80e3
"""Least and greatest activation energy that lives of prepreg imply [J/mol]: the safe-side rule has 35 and 80, sheets
that guarantee twelve months in the freezer and four weeks outside 32 to 45, the most cautious below 20."""
HOUR = 3600.0
GRAIN = 0.05
"""Temperatures of hours are rounded up to a multiple of this, so that a steady freezer takes few numbers [K]."""
TOGETHER = 0.2
"""Hours in a row that differ by no more than this are one stretch, at the warmest of them [K]."""
RAMP = 1.0
"""Longest in which one hour's temperature changes into the next one's, within the colder of the two [s]."""


def mean_kinetic_temperature(
    temperatures: ArrayLike, durations: ArrayLike | None = None, energy: float = PHARMACOPOEIA
) -> float:
    """Return the mean kinetic temperature of some readings [K].

    Parameters
    ----------
    temperatures
        Shape (k,) [K].
    durations
        How long each held, shape (k,) [s]; all the same when not stated.
    energy
        Activation energy [J/mol].

    Raises
    ------
    InputError
        When there is no reading, one is not above 0 K, or a duration is negative or all are zero.

    References
    ----------
    ICH Q1A(R2), glossary, "mean kinetic temperature"; USP <1079> for the formula and the energy of 83.144 kJ/mol
    (both from memory).

    Examples
    --------
    Half the time at 20 °C and half at 30 °C, by hand: exp(−10000/T) is 1.532e-15 and 4.720e-15, their mean 3.126e-15,
    its logarithm −33.399, and 10000/33.399 = 299.41 K:

    >>> round(mean_kinetic_temperature([293.15, 303.15]) - 273.15, 2)
    26.26
    """
    t = np.asarray(temperatures, dtype=np.float64)
    w = np.ones(t.shape) if durations is None else np.asarray(durations, dtype=np.float64)
    if t.ndim != 1 or not len(t) or not (t > 0.0).all():
        raise InputError.one("temperatures", f"{t.size}", "one reading or more above 0 K is wanted")
    if w.shape != t.shape or not (w >= 0.0).all() or not w.sum() > 0.0:
        raise InputError.one("durations", f"{w.size}", "one for each reading is wanted, none negative, not all zero")
    top = float(t.max())
    mean = float(w @ np.exp(energy / GAS * (1.0 / top - 1.0 / t)) / w.sum())  # against the warmest: nothing is lost
    return 1.0 / (1.0 / top - GAS / energy * float(np.log(mean)))


def safe_temperature(
    temperatures: ArrayLike, durations: ArrayLike | None = None, *, low: float = LOW, high: float = HIGH
) -> float:
    """Return the one temperature by which no sheet counts less life than by the readings [K].

    Parameters
    ----------
    temperatures, durations
        As of `mean_kinetic_temperature`.
    low, high
        Least and greatest energy of the sheets for which it is to hold [J/mol].

    Notes
    -----
    With both energies the same it is the mean kinetic temperature. Otherwise it solves: readings below it at the low
    energy and those above it at the high one come to a mean rate of one. Of all sheets within the two energies, the one
    that has its corner just there counts most; so it holds for every other as well.

    Examples
    --------
    >>> round(safe_temperature([293.15, 303.15]) - 273.15, 2)
    28.58
    """
    mean_kinetic_temperature(temperatures, durations)  # refuses what is none
    t = np.asarray(temperatures, dtype=np.float64)
    w = np.ones(t.shape) if durations is None else np.asarray(durations, dtype=np.float64)
    return float(_solved(t, w, np.zeros(1, np.intp), low, high)[0])


def thinned(
    times: ArrayLike,
    temperatures: ArrayLike,
    gaps: Sequence[tuple[float, float]] = (),
    *,
    step: float = HOUR,
    low: float = LOW,
    high: float = HIGH,
) -> tuple[Floats, Floats]:
    """Return a log with one temperature for each hour, never kinder than its readings.

    Parameters
    ----------
    times
        Rising, shape (k,) [s].
    temperatures
        Read then, shape (k,) [K]; in between they change evenly.
    gaps
        Start and end of each time without readings, both among the times [s].
    step
        What is made one [s], from the first reading on.
    low, high
        As of `safe_temperature`.

    Returns
    -------
    tuple
        Times [s] and temperatures [K]. Hours of the same temperature run together. The readings as they were when they
        are further apart than half a step, or fewer than what would come of them.

    Raises
    ------
    InputError
        When times do not rise or there are not as many temperatures.
    """
    t, v = np.asarray(times, dtype=np.float64), np.asarray(temperatures, dtype=np.float64)
    if t.ndim != 1 or t.shape != v.shape or not len(t) or not (np.diff(t) > 0.0).all():
        raise InputError.one("times", f"{t.size}", "rising times and a temperature for each are wanted")
    if len(t) < 3 or float(np.median(np.diff(t))) > 0.5 * step:
        return t, v
    starts = np.array(sorted(a for a, _ in gaps))
    cut = np.searchsorted(t, starts, side="right")  # first reading after each gap's start
    runs = [(int(a), int(b)) for a, b in pairwise([0, *cut.tolist(), len(t)]) if b > a]
    parts = [_run(t[a:b], v[a:b], float(t[0]), step, low, high) for a, b in runs]
    found = np.concatenate([p for p, _ in parts]), np.concatenate([q for _, q in parts])
    return found if len(found[0]) < len(t) else (t, v)


def _run(t: Floats, v: Floats, zero: float, step: float, low: float, high: float) -> tuple[Floats, Floats]:
    """Return the hours of one run of readings without a gap."""
    if len(t) == 1:
        return t, v
    marks = zero + step * np.arange(np.floor((t[0] - zero) / step) + 1.0, np.ceil((t[-1] - zero) / step))
    knots = np.union1d(t, marks[(marks > t[0] + RAMP) & (marks < t[-1] - RAMP)])
    at = np.interp(knots, t, v)
    lengths = np.diff(knots)
    hour = np.searchsorted(np.concatenate([[-np.inf], marks, [np.inf]]), 0.5 * (knots[1:] + knots[:-1]))
    first = np.concatenate([[0], np.flatnonzero(np.diff(hour)) + 1])
    ends = np.append(knots[first], knots[-1])
    # both ends of each stretch with half its length: rates bend upwards, so that is not less than along it
    both, weights = np.column_stack([at[:-1], at[1:]]).ravel(), np.repeat(0.5 * lengths, 2)
    level = GRAIN * np.ceil(_solved(both, weights, 2 * first, low, high) / GRAIN - 1e-6)
    level, kept = _together(level)
    begins = ends[:-1][kept]
    out_t, out_v = [float(t[0])], [float(level[0])]
    borders = np.append(begins, ends[-1])
    for k in range(1, len(level)):
        here, ramp = float(begins[k]), min(RAMP, 0.25 * float(np.diff(borders[k - 1 : k + 2]).min()))
        warmer = level[k] > level[k - 1]
        out_t += [here - ramp, here] if warmer else [here, here + ramp]
        out_v += [float(level[k - 1]), float(level[k])]
    return np.array([*out_t, float(t[-1])]), np.array([*out_v, float(level[-1])])


def _together(level: Floats) -> tuple[Floats, list[int]]:
    """Return temperatures of stretches of hours that differ little, and the first hour of each."""
    found: list[float] = []
    first: list[int] = []
    least = 0.0
    for k, value in enumerate(level.tolist()):
        if found and max(found[-1], value) - min(least, value) <= TOGETHER + 1e-9:
            found[-1], least = max(found[-1], value), min(least, value)
        else:
            found.append(value)
            first.append(k)
            least = value
    return np.array(found), first


def _solved(t: Floats, w: Floats, first: NDArray[np.intp], low: float, high: float) -> Floats:
    """Return the safe temperature of each block of readings; a block begins at each of `first`."""
    count = np.diff(np.append(first, len(t)))
    cold, warm = np.minimum.reduceat(t, first), np.maximum.reduceat(t, first)
    total = np.add.reduceat(w, first)
    x = 1.0 / t
    for _ in range(48):  # halving a difference of 100 K so often leaves less than a float's grain
        middle = 0.5 * (cold + warm)
        away = np.repeat(1.0 / middle, count) - x
        rate = np.exp(np.where(away < 0.0, low, high) / GAS * away)
        over = np.add.reduceat(w * rate, first) > total
        cold, warm = np.where(over, middle, cold), np.where(over, warm, middle)
        if float((warm - cold).max()) < 1e-9:
            break
    return warm
