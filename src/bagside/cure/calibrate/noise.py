"""Noise that hangs together: readings made independent of each other, and how much noise there most probably is.

A reading that wanders does not count a hundred times because it was read a hundred times. What is left between model
and log is taken as noise that fades exponentially over a time of its own (Ornstein–Uhlenbeck); gaps come out right by
themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solve_triangular

from bagside.cure.calibrate.beliefs import Beliefs

Floats = NDArray[np.float64]

SIZES = np.geomspace(0.03, 30.0, 41)  # [K]
TIMES = np.geomspace(37.5, 9600.0, 9)  # [s]
SIZE_DOUBT, TIME_DOUBT = 1.0, 0.7
"""Standard deviations of the logarithms of both around what is believed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Noise:
    """What comes and goes around a reading.

    Parameters
    ----------
    size
        Standard deviation [K].
    together
        Time over which it fades to 1/e of itself [s].
    """

    size: float
    together: float

    def whitened(self, time: Floats, rows: Floats) -> Floats:
        """Return rows turned so that this noise on them would be independent and of size one.

        Parameters
        ----------
        time
            Rising, shape (k,) [s].
        rows
            One for each time, shape (k,) or (k, n).

        Returns
        -------
        Floats
            Same shape.

        Notes
        -----
        Exact for any times: r(i) less what is left of r(i − 1), over what is new since.
        """
        fade = np.exp(-np.diff(time) / self.together)
        fresh = np.sqrt(-np.expm1(-2.0 * np.diff(time) / self.together))
        out = np.array(rows, dtype=np.float64)
        shape = (-1,) + (1,) * (out.ndim - 1)
        out[1:] = (out[1:] - fade.reshape(shape) * np.asarray(rows)[:-1]) / fresh.reshape(shape)
        return out / self.size

    def covariance(self, time: Floats) -> Floats:
        """Return the covariance of this noise at some times, shape (k, k) [K²].

        Parameters
        ----------
        time
            Shape (k,) [s].
        """
        out: Floats = self.size**2 * np.exp(-np.abs(time[:, None] - time) / self.together)
        out[np.diag_indices(len(time))] *= 1.0 + 1e-9
        return out


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shared:
    """How sensors follow what comes and goes in the reading of the air that drives them all.

    Parameters
    ----------
    which
        Numbers of the sensors.
    knots
        Times at which the air may be off, straight between them, shape (q,) [s].
    responses
        Of each sensor to each, shape (k, q).
    count
        Thermocouples whose mean that air is.
    """

    which: tuple[int, ...]
    knots: Floats
    responses: tuple[Floats, ...]
    count: int


class Together:
    """Turns the rows of all sensors so that their noise would be independent and of size one.

    Parameters
    ----------
    noises
        Around each sensor; the air's is taken to be like theirs.
    times
        Of each [s].
    shared
        What sensors share of the air's; a sensor belongs to one at most.
    """

    def __init__(self, noises: Sequence[Noise], times: Sequence[Floats], shared: Sequence[Shared]) -> None:
        self.noises, self.times = noises, times
        self.groups = [(s.which, _apart(noises, times, s)) for s in shared]
        self.single = sorted(set(range(len(times))) - {c for s in shared for c in s.which})

    def whitened(self, rows: Sequence[Floats]) -> Floats:
        """Return all rows, one under the other.

        Parameters
        ----------
        rows
            Of each sensor, shape (k,) or (k, n).
        """
        out = [apart @ np.concatenate([rows[c] for c in which]) for which, apart in self.groups]
        out += [self.noises[c].whitened(self.times[c], rows[c]) for c in self.single]
        return np.concatenate(out)


def _apart(noises: Sequence[Noise], times: Sequence[Floats], s: Shared) -> Floats:
    air = Noise(
        size=float(np.median([noises[c].size for c in s.which])),
        together=float(np.median([noises[c].together for c in s.which])),
    )
    a = np.vstack(s.responses)
    covariance = a @ air.covariance(s.knots) @ a.T / s.count
    at = 0
    for c in s.which:
        k = len(times[c])
        covariance[at : at + k, at : at + k] += noises[c].covariance(times[c])
        at += k
    root = np.linalg.cholesky(covariance)
    out: Floats = solve_triangular(root, np.eye(len(root)), lower=True, check_finite=False)
    return out


@dataclass(frozen=True, slots=True, kw_only=True)
class Likeliest:
    """The most probable noise, and how well it accounts for what was read.

    Parameters
    ----------
    noise
        The noise.
    evidence
        Logarithm of the probability of the readings with it, unknowns left open.
    """

    noise: Noise
    evidence: float


def likeliest(
    time: Floats,
    rest: Floats,
    slopes: Floats,
    beliefs: Beliefs,
    *,
    response: Floats | None = None,
    knots: Floats | None = None,
    count: int = 1,
) -> Likeliest:
    """Return the noise under which what was read is most probable, unknowns of mean 0 and deviation 1 left open.

    Parameters
    ----------
    time
        Of the readings, rising, shape (k,) [s].
    rest
        Readings less what the model gives when all unknowns are at their mean, made straight, shape (k,) [K].
    slopes
        Of the model by the unknowns, shape (k, n) [K].
    beliefs
        Around which it is held.
    response, knots, count
        To the air's own noise, which is taken to be like this sensor's, as in `Shared`.

    Notes
    -----
    The unknowns are integrated out, so that noise is not taken for small because a fit has followed it (restricted
    likelihood). A grid over size and time, fine enough for what rests on it: 19 % and a factor of two.
    """
    k = len(time)
    s2 = SIZES**2
    best = Likeliest(noise=Noise(size=beliefs.noise, together=beliefs.together), evidence=-np.inf)
    for together in TIMES.tolist():
        unit = Noise(size=1.0, together=together)
        rows = np.column_stack([rest, slopes])
        if response is None or knots is None:
            both = unit.whitened(time, rows)
            own = float(np.log(-np.expm1(-2.0 * np.diff(time) / together)).sum())
        else:
            root = np.linalg.cholesky(unit.covariance(time) + response @ unit.covariance(knots) @ response.T / count)
            both = solve_triangular(root, rows, lower=True)
            own = 2.0 * float(np.log(np.diagonal(root)).sum())
        r, a = both[:, 0], both[:, 1:]
        values, vectors = np.linalg.eigh(a.T @ a)
        values = np.maximum(values, 0.0)
        b = vectors.T @ (a.T @ r)
        chi2 = float(r @ r) / s2 - ((b * b)[:, None] / (s2 * (s2 + values[:, None]))).sum(axis=0)
        logdet = k * np.log(s2) + own + np.log1p(values[:, None] / s2).sum(axis=0)
        held = (np.log(SIZES / beliefs.noise) / SIZE_DOUBT) ** 2
        held = held + (np.log(together / beliefs.together) / TIME_DOUBT) ** 2
        score = -0.5 * (chi2 + logdet + held + k * np.log(2.0 * np.pi))
        i = int(np.argmax(score))
        if score[i] > best.evidence:
            best = Likeliest(noise=Noise(size=float(SIZES[i]), together=together), evidence=float(score[i]))
    return best
