"""Gauss–Newton with a line search: from a map without flips to one of least energy, or an honest `NotSolved`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.drape.energy import Cloth, centred, derivatives, energy, longest_step
from bagside.drape.law import ClothLaw
from bagside.drape.solvers import Solver
from bagside.errors import NotSolved

Floats = NDArray[np.float64]

NOTHING = 1e-9  # an energy no finding can see: rms strain of 0.003 %
FIRST_DAMPING = 1e-6
LEAST_DAMPING = 1e-12
MOST_DAMPING = 1e2
SHORTEST = 1e-3
ENOUGH = 1e-4  # of the decrease a straight line would give


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
        Relative decrease of the energy below which the map has settled.
    most
        At most so many steps.

    Raises
    ------
    NotSolved
        When the start has a flipped triangle, or the steps run out before the energy settles.

    Notes
    -----
    The damping falls tenfold with each accepted step: held constant, an early stop leaves the energy right and the
    shear wrong.
    """
    uv = centred(cloth, uv)
    now = energy(cloth, law, uv)
    if not np.isfinite(now):
        raise NotSolved("the map has a flipped triangle before the first step")
    damping = FIRST_DAMPING
    for step in range(1, most + 1):
        if now < NOTHING:
            return Reached(uv=uv, energy=now, steps=step - 1)
        gradient, data = derivatives(cloth, law, uv)
        mean = float(data[cloth.sparsity.diagonal].mean())
        before = now
        while True:
            move = solver.solve(data, damping * mean, -gradient).reshape(-1, 2)
            slope = 2 * float(gradient @ move.ravel())
            length = longest_step(cloth, uv, move)
            tried = energy(cloth, law, uv + length * move)
            while not tried <= now + ENOUGH * length * slope and length > SHORTEST:
                length *= 0.5
                tried = energy(cloth, law, uv + length * move)
            if tried < now:
                break
            if 0 <= -slope <= tolerance * now:  # what a full step could still gain is less than is asked
                return Reached(uv=uv, energy=now, steps=step)
            damping *= 100
            if damping > MOST_DAMPING:
                raise NotSolved(f"no step lowers the energy {now:.3g} any more, though its slope is still {-slope:.3g}")
        uv, now = uv + length * move, tried
        damping = max(damping / 10, LEAST_DAMPING) if length > 0.1 else damping * 10
        # a short step gains little without having settled: then what the whole step promised must be little as well
        if before - now < tolerance * now and (length > 0.5 or -slope < tolerance * now):
            return Reached(uv=centred(cloth, uv), energy=now, steps=step)
    if now < NOTHING:
        return Reached(uv=uv, energy=now, steps=most)
    raise NotSolved(f"the energy has not settled after {most} steps (it is {now:.3g} and still falling)")
