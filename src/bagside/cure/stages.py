"""One step of all lanes: six stages on one factorised matrix."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure import rodas4
from bagside.cure.face import face_heat
from bagside.cure.kinetics import Kinetics
from bagside.cure.lanes import Lanes
from bagside.cure.step_matrix import step_matrix

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

ALPHA_WEIGHT = 200.0
"""A degree of cure wrong by 1/200 counts as much as a temperature wrong by one kelvin [K]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stages:
    """Lanes ready to be stepped.

    Parameters
    ----------
    lanes
        The lanes.
    kinetics
        The rate law of their resin.
    faces
        First cell of each lane, then last cell of each lane, shape (2 s,).
    grip
        Coupling of those cells to the air, shape (2 s,).
    radiating
        Film, half conductance and emissivity of those faces, shape (3, 2 s); none when no face radiates.
    sizes
        Cells of each lane, shape (s,).
    cured
        Lanes that have reacting cells, shape (c,).
    counts, begins
        Reacting cells of each of those, and where they begin among all reacting cells, shape (c,).
    """

    lanes: Lanes
    kinetics: Kinetics
    faces: Ints
    grip: Floats
    radiating: Floats | None
    sizes: Ints
    cured: Ints
    counts: Ints
    begins: Ints

    @classmethod
    def of(cls, lanes: Lanes, kinetics: Kinetics) -> Stages:
        """Return lanes ready to be stepped.

        Parameters
        ----------
        lanes
            The lanes.
        kinetics
            The rate law of their resin.
        """
        counts = np.bincount(lanes.lane[lanes.cells :], minlength=len(lanes.first))
        cured = np.flatnonzero(counts)
        return cls(
            lanes=lanes,
            kinetics=kinetics,
            faces=np.concatenate([lanes.first, lanes.last]),
            grip=np.concatenate([lanes.bag, lanes.tool]),
            radiating=None if lanes.radiating is None else np.concatenate(list(lanes.radiating), axis=1),
            sizes=lanes.last - lanes.first + 1,
            cured=cured,
            counts=counts[cured],
            begins=(np.cumsum(counts) - counts)[cured],
        )

    def step(self, y: Floats, h: Floats, air: Floats, rise: Floats) -> tuple[Floats, Floats, Bools]:
        """Return the state after a step, the six stages, and which lanes may be believed.

        Parameters
        ----------
        y
            State before, shape (n + r,).
        h
            Step of each lane, shape (s,) [s].
        air
            At the times of the stages, `rodas4.TIMES`, shape (6, s) [K].
        rise
            Slope of the air in time at the start, shape (s,) [K/s].

        Returns
        -------
        tuple of Floats, Floats, Bools
            State, shape (n + r,); stages, shape (6, n + r), the last of which is the error; lanes, shape (s,).

        Notes
        -----
        A lane may not be believed where its reaction doubles within the step or its numbers leave the law. It then
        stands still through the remaining stages, so that it does not spoil the others.
        """
        lanes, n = self.lanes, self.lanes.cells
        over = (1.0 / h)[lanes.lane]
        mass = lanes.mass * over
        rate, f_alpha, f_t = lanes.rate_and_slopes(y, self.kinetics)
        over *= 1.0 / rodas4.GAMMA
        believed = np.ones(len(h), dtype=np.bool_)
        fast = ~(f_alpha < over[n:])
        if fast.any():
            believed[lanes.lane[n:][fast]] = False
            fast = ~believed[lanes.lane[n:]]
            rate, f_alpha, f_t = (np.where(fast, 0.0, x) for x in (rate, f_alpha, f_t))
        air = np.concatenate([air, air], axis=1)
        by_air, by_cell = self._face_slopes(y, air[0])
        rising = h * rise
        forced = rodas4.SLOPES[:, None] * (by_air * np.concatenate([rising, rising]))
        diagonal = lanes.mass[:n] * over[:n]
        diagonal += lanes.out
        np.add.at(diagonal, self.faces, by_cell)
        matrix = step_matrix(diagonal, lanes.up[:-1], lanes.reacting, lanes.freed, over[n:], f_alpha, f_t)
        k = np.empty((6, len(y)))
        z = y
        for i in range(6):
            f = k[i]
            if i:
                z = z + k[4] if i == 5 else y + rodas4.A[i] @ k[:i]
                rate = lanes.rate(z, self.kinetics)
                if not np.isfinite(rate.sum()):
                    believed[lanes.lane[n:][~np.isfinite(rate)]] = False
                    rate = np.where(np.isfinite(rate), rate, 0.0)
            self._conduct(z, air[i], forced[i], f[:n])
            f[n:] = rate
            if i:
                before = rodas4.C[i] @ k[:i]
                before *= mass
                f += before
            matrix.solve(f, lanes.freed * rate)
        return z + k[5], k, believed if matrix.usable else np.zeros_like(believed)

    def _conduct(self, y: Floats, air: Floats, forced: Floats, heat: Floats) -> None:
        """Write the heat into every cell from its neighbours, the air and what the air's slope adds, shape (n,)."""
        t = y[: len(heat)]
        flow = t[1:] - t[:-1]
        flow *= self.lanes.up[:-1]
        heat[:-1] = flow
        heat[-1] = 0.0
        heat[1:] -= flow
        edge = t.take(self.faces)
        through = self.grip * (air - edge) if self.radiating is None else face_heat(edge, air, *self.radiating).flux
        through += forced
        np.add.at(heat, self.faces, through)  # a lane of one cell has both faces in it

    def _face_slopes(self, y: Floats, air: Floats) -> tuple[Floats, Floats]:
        """Return how the heat through the faces goes with the air, and against the outer cells, shape (2 s,)."""
        if self.radiating is None:
            return self.grip, self.grip
        face = face_heat(y.take(self.faces), air, *self.radiating)
        return face.by_air, -face.by_cell

    def error(self, k: Floats) -> Floats:
        """Return the mean error of each lane: of its temperatures, or of its degrees of cure as temperature.

        Parameters
        ----------
        k
            Error of every entry: the last stage, shape (n + r,).

        Returns
        -------
        Floats
            Root of the mean square, shape (s,) [K]; infinite where it is not a number.
        """
        n = self.lanes.cells
        square = k * k
        out: Floats = np.add.reduceat(square[:n], self.lanes.first)
        out /= self.sizes
        if len(self.cured):
            cure = np.add.reduceat(square[n:], self.begins)
            cure *= ALPHA_WEIGHT**2 / self.counts
            out[self.cured] = np.maximum(out[self.cured], cure)
        out[~np.isfinite(out)] = np.inf
        return np.sqrt(out)
