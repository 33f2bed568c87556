"""Least squares on readings whose noise hangs together, unknowns held by what was believed before."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from bagside.cure.calibrate.beliefs import Beliefs
from bagside.cure.calibrate.noise import Likeliest, Noise, Shared, Together, likeliest
from bagside.errors import NotSolved

Floats = NDArray[np.float64]
Model = Callable[[Floats], tuple[list[Floats], list[Floats]]]
"""Takes unknowns (n,), returns what each sensor would read [K] and its slopes by the unknowns, one pair a sensor."""

ROUNDS = 3
"""Most times that the noise is found anew; two or three are usual."""

FEWEST = 4.0
"""Least number of independent readings that a noise is held to be known from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknown:
    """One number to be found.

    Parameters
    ----------
    name
        Of it.
    mean, sd
        What is believed before.
    """

    name: str
    mean: float
    sd: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """The most probable unknowns, and what stays open about them.

    Parameters
    ----------
    names
        Of the unknowns.
    x
        Unknowns, shape (n,).
    covariance
        What stays open, shape (n, n).
    beliefs
        Deviation believed before, shape (n,).
    fitted
        What each sensor would read [K].
    noises
        Around each.
    evidence
        Logarithm of the probability of all that was read.
    """

    names: tuple[str, ...]
    x: Floats
    covariance: Floats
    beliefs: Floats
    fitted: tuple[Floats, ...]
    noises: tuple[Noise, ...]
    evidence: float

    def of(self, name: str) -> tuple[float, float]:
        """Return an unknown's value and deviation.

        Parameters
        ----------
        name
            Of it.
        """
        i = self.names.index(name)
        return float(self.x[i]), float(np.sqrt(self.covariance[i, i]))

    def block(self, *names: str) -> Floats:
        """Return the covariance of some unknowns.

        Parameters
        ----------
        names
            Of them.
        """
        i = [self.names.index(name) for name in names]
        return self.covariance[np.ix_(i, i)]


def least(
    model: Model,
    unknowns: Sequence[Unknown],
    times: Sequence[Floats],
    readings: Sequence[Floats],
    beliefs: Beliefs,
    *,
    shared: Callable[[Floats], Sequence[Shared]] | None = None,
    most: int = 30,
) -> Fit:
    """Return the most probable unknowns.

    Parameters
    ----------
    model
        What each sensor would read.
    unknowns
        What is believed of them.
    times, readings
        Of each sensor [s, K].
    beliefs
        What is believed of noise.
    shared
        Takes unknowns, returns what sensors share of the air's own noise; nothing when None.
    most
        Evaluations after which to give up.

    Raises
    ------
    NotSolved
        When it does not come to rest.
    """
    mean, sd = np.array([u.mean for u in unknowns]), np.array([u.sd for u in unknowns])
    z = np.zeros(len(sd))
    noises = [Noise(size=beliefs.noise, together=beliefs.together) for _ in times]
    known: dict[bytes, tuple[list[Floats], list[Floats]]] = {}

    def at(z: Floats) -> tuple[list[Floats], list[Floats]]:
        key = z.tobytes()
        if key not in known:
            known[key] = model(mean + sd * z)
        return known[key]

    evidence, common = 0.0, () if shared is None else tuple(shared(mean))
    for _ in range(ROUNDS):
        apart = Together(noises, times, common)

        def rest(z: Floats, apart: Together = apart) -> Floats:
            left = [y - f for y, f in zip(readings, at(z)[0], strict=True)]
            return np.concatenate([apart.whitened(left), z])

        def slopes(z: Floats, apart: Together = apart) -> Floats:
            return np.vstack([apart.whitened([-j * sd for j in at(z)[1]]), np.eye(len(z))])

        found = least_squares(rest, z, jac=slopes, method="trf", xtol=1e-3, ftol=1e-4, gtol=1e-6, max_nfev=most)
        if found.status <= 0:
            raise NotSolved(
                f"the fit to the log did not come to rest in {most} rounds; its sum of squares is "
                f"{2.0 * found.cost:.0f} for {sum(len(t) for t in times)} readings"
            )
        z = found.x
        common = () if shared is None else tuple(shared(mean + sd * z))
        told = _noises(times, readings, at(z), z, sd, common, beliefs)
        evidence = sum(one.evidence for one in told)
        before, noises = noises, [one.noise for one in told]
        if noises == before:
            break
    values = at(z)[0]
    rows = slopes(z, Together([_widened(n, t) for n, t in zip(noises, times, strict=True)], times, common))
    covariance = np.linalg.inv(rows.T @ rows)
    left: Floats = np.asarray(covariance * np.outer(sd, sd), dtype=np.float64)
    return Fit(
        names=tuple(u.name for u in unknowns),
        x=mean + sd * z,
        covariance=left,
        beliefs=sd,
        fitted=tuple(values),
        noises=tuple(noises),
        evidence=evidence,
    )


def _widened(noise: Noise, time: Floats) -> Noise:
    """Return a noise as large as it has to be taken, being known from few readings that are independent.

    A record of length T has T/2τ of them; a normal size found from ν of them makes what rests on it a Student's t, of
    variance ν/(ν − 2).
    """
    free = max(float(time[-1] - time[0]) / (2.0 * noise.together), FEWEST)
    return Noise(size=noise.size * float(np.sqrt(free / (free - 2.0))), together=noise.together)


def _noises(
    times: Sequence[Floats],
    readings: Sequence[Floats],
    at: tuple[list[Floats], list[Floats]],
    z: Floats,
    sd: Floats,
    common: Sequence[Shared],
    beliefs: Beliefs,
) -> list[Likeliest]:
    of = {c: (s, s.responses[i]) for s in common for i, c in enumerate(s.which)}
    out = []
    for c, (t, y, f, j) in enumerate(zip(times, readings, *at, strict=True)):
        s, response = of.get(c, (None, None))
        out.append(
            likeliest(
                t,
                y - f + (j * sd) @ z,
                j * sd,
                beliefs,
                response=response,
                knots=None if s is None else s.knots,
                count=1 if s is None else s.count,
            )
        )
    return out
