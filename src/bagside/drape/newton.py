"""Gauss–Newton with a line search: from a map without flips to one of least energy, or an honest `NotSolved`."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.drape.energy import Cloth, centred, costs, derivatives, energy_at, longest_step, slopes_of
from bagside.drape.law import ClothLaw
from bagside.drape.refuse import millimetres
from bagside.drape.solvers import Solver
from bagside.errors import NotSolved

Floats = NDArray[np.float64]

NOTHING = 1e-9  # an energy no finding can see: rms strain of 0.003 %
FIRST_DAMPING = 1e-6
LEAST_DAMPING = 1e-12
MOST_DAMPING = 1e2
SHORTEST = 1e-3
ENOUGH = 1e-4  # of the decrease a straight line would give
SURE = 10.0  # times what may be left to gain: a step that promises more is no sign of having settled


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reached:
    """Where the steps ended.

    Parameters
    ----------
    uv
        The map, shape (n, 2) [m].
    energy
        Its energy.
    steps
        Steps taken.
    """

    uv: Floats
    energy: float
    steps: int


def descended(cloth: Cloth, law: ClothLaw, uv: Floats, solver: Solver, tolerance: float, most: int) -> Reached:
    """Return the map of least energy near a map without flips.

    Parameters
    ----------
    cloth, law
        Surface and cloth.
    uv
        Where to start, shape (n, 2) [m].
    solver
        Solves the system of a step.
    tolerance
        Share of the energy that may be left to gain when the map counts as settled.
    most
        At most so many steps.

    Raises
    ------
    NotSolved
        When the start has a flipped triangle, or the steps run out before the energy settles.

    Notes
    -----
    What is left to gain is judged by how fast the gains shrink from step to step, and only once a whole step promises
    little. The damping falls tenfold with each accepted step: held constant, an early stop leaves the energy right and
    the shear wrong.
    """
    uv = centred(cloth, uv)
    slopes = slopes_of(cloth, uv)
    now = energy_at(cloth, law, slopes)
    if not np.isfinite(now):
        raise NotSolved(f"the map has a flipped triangle before the first step, {_worst(cloth, law, slopes)}")
    damping, before = FIRST_DAMPING, math.inf
    for step in range(1, most + 1):
        if now < NOTHING:
            return Reached(uv=centred(cloth, uv), energy=now, steps=step - 1)
        gradient, data = derivatives(cloth, law, slopes)
        mean = float(data[cloth.sparsity.diagonal].mean())
        while True:
            move = solver.solve(data, damping * mean, -gradient).reshape(-1, 2)
            promise = -2 * float(np.einsum("i,i->", gradient, move.ravel()))
            change = slopes_of(cloth, move)
            length = longest_step(slopes, change)
            tried = energy_at(cloth, law, slopes + length * change)
            while not tried <= now - ENOUGH * length * promise and length > SHORTEST:
                length *= 0.5
                tried = energy_at(cloth, law, slopes + length * change)
            if tried < now:
                break
            if 0 <= promise <= tolerance * now:  # what a full step could still gain is less than is asked
                return Reached(uv=uv, energy=now, steps=step)
            damping *= 100
            if damping > MOST_DAMPING:
                raise NotSolved(
                    f"no step lowers the energy {now:.3g} any more, though one promised {promise:.3g}, "
                    + _worst(cloth, law, slopes)
                )
        uv = uv + length * move
        slopes = slopes_of(cloth, uv)
        damping = max(damping / 10, LEAST_DAMPING) if length > 0.1 else damping * 10
        gain, earlier = now - tried, before - now
        before, now = now, tried
        if _left(gain, earlier) < tolerance * now and promise < SURE * tolerance * now:
            return Reached(uv=centred(cloth, uv), energy=now, steps=step)
    if now < NOTHING:
        return Reached(uv=uv, energy=now, steps=most)
    raise NotSolved(
        f"the energy has not settled after {most} steps (it is {now:.3g} and still falling), "
        + _worst(cloth, law, slopes)
    )


def _worst(cloth: Cloth, law: ClothLaw, slopes: Floats) -> str:
    """Return in words where the cloth resists most."""
    return f"worst round {millimetres(cloth.frames.middle[int(np.argmax(costs(law, slopes)))])}"


def _left(gain: float, earlier: float) -> float:
    """Return what is left to gain if the gains go on shrinking as from the one before to the last."""
    shrink = gain / earlier if earlier > 0 else 1.0
    return gain * shrink / (1 - shrink) if shrink < 1 else math.inf
