"""Cure at one temperature, for many parameter sets at once: the time to a degree of cure, and the degree after a time.

At one temperature the time to a degree of cure is the integral of dα over the rate, which is summed up panel by panel
and needs no time steps: nothing can be unstable, however suddenly vitrification stops the reaction. The degree of cure
after a time is that sum solved for its upper end.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.cure.fit.family import rate_of

Floats = NDArray[np.float64]

LAST = 1.0 - 1e-6
"""Degree of cure at which a table ends; a hold that would pass it ends there, which no Tg tells from full cure."""
_POINTS, _WEIGHTS = (np.asarray(x) for x in np.polynomial.legendre.leggauss(4))


def _edges(start: float) -> Floats:
    """Return panels that are narrow where the rate turns: near the start and near the end."""
    early = np.geomspace(start, 0.2, 10) if start < 0.15 else np.array([start])
    middle = np.linspace(early[-1], 0.9, 1 + max(2, round((0.9 - early[-1]) / 0.03)))[1:]
    late = 1.0 - np.geomspace(0.1, 1.0 - LAST, 30)[1:]
    return np.concatenate([early, middle, late])


class Isotherms:
    """Times to degrees of cure at one temperature for each lane.

    Parameters
    ----------
    theta
        Parameter sets, one for each lane, shape (lanes, 12).
    middle
        Temperature at which their rate constants are stated [K].
    temperature
        Of each lane, shape (lanes,) [K].
    start
        Degree of cure from which time counts; below 0.85.
    """

    def __init__(self, theta: Floats, middle: float, temperature: Floats, start: float) -> None:
        self.theta, self.middle, self.temperature = theta[:, None, :], middle, temperature[:, None]
        self.edges = _edges(start)
        widths = np.diff(self.edges)
        nodes = self.edges[:-1, None] + widths[:, None] * (0.5 + 0.5 * _POINTS)
        slow = 1.0 / self._rate(nodes.reshape(1, -1)).reshape(len(theta), len(widths), -1)
        panels = slow @ (0.5 * _WEIGHTS) * widths
        self.times = np.concatenate([np.zeros((len(theta), 1)), np.cumsum(panels, axis=1)], axis=1)

    def _rate(self, alpha: Floats) -> Floats:
        return rate_of(self.theta, self.middle, alpha, self.temperature)

    def _within(self, panel: NDArray[np.intp], alpha: Floats) -> Floats:
        """Return the time from a panel's lower edge to a degree of cure in it."""
        low = self.edges[panel]
        nodes = low[:, None] + (alpha - low)[:, None] * (0.5 + 0.5 * _POINTS)
        out: Floats = (1.0 / self._rate(nodes)) @ (0.5 * _WEIGHTS) * (alpha - low)
        return out

    def time_to(self, alpha: Floats) -> Floats:
        """Return the time to a degree of cure.

        Parameters
        ----------
        alpha
            Of each lane, shape (lanes,).

        Returns
        -------
        Floats
            Time since the start, shape (lanes,) [s]; negative below the start.
        """
        panel = np.clip(np.searchsorted(self.edges, alpha, side="right") - 1, 0, len(self.edges) - 2)
        lanes = np.arange(len(panel))
        out: Floats = self.times[lanes, panel] + self._within(panel, alpha)
        return out

    def alpha_at(self, time: Floats) -> Floats:
        """Return the degree of cure after a time.

        Parameters
        ----------
        time
            Since the start, shape (lanes,) [s].

        Returns
        -------
        Floats
            Degree of cure, shape (lanes,), never above `LAST`.
        """
        lanes = np.arange(len(time))
        panel = np.clip((self.times <= time[:, None]).sum(axis=1) - 1, 0, len(self.edges) - 2)
        low, high = self.edges[panel], self.edges[panel + 1]
        begin, end = self.times[lanes, panel], self.times[lanes, panel + 1]
        share = np.clip((time - begin) / (end - begin), 0.0, 1.0)
        alpha: Floats = low + share * (high - low)
        for _ in range(4):
            late = begin + self._within(panel, alpha) - time
            alpha = np.clip(alpha - late * self._rate(alpha[:, None])[:, 0], low, high)
        out: Floats = alpha
        return out
