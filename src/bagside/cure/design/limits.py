"""The bounds as numbers for every lane: by how much each is broken, in units that can be compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.bounds import Bounds
from bagside.cure.design.seen import Seen, Watch
from bagside.cure.hold import cure_for_tg
from bagside.cure.resin import CureResin
from bagside.cure.scenario import Scenario
from bagside.quantity import shown

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SCALES = {
    "laminate": 10.0,
    "tool": 10.0,
    "overshoot": 10.0,
    "void": 10.0,
    "stiff": 10.0,
    "spread": 0.05,
    "flow": 600.0,
    "cure": 0.02,
}
"""What counts as one unit broken: 10 K, a twentieth of cure between two points, 10 min of flow, 2 % of cure."""

FAR_OFF = -3.0
"""Limits kept by more than this, in units of their scale, count as kept by this: nothing hangs on them, and a limit
that no longer applies has no distance at all."""

PATH = ("laminate", "tool", "overshoot", "void", "stiff", "spread")
"""Limits that hold at every moment; the others are asked at the end."""


NAMES = {
    "laminate": "the laminate's limit",
    "tool": "the mould's limit",
    "overshoot": "overshoot over the air",
    "void": "the void-free limit",
    "stiff": "margin of the glass transition",
    "spread": "spread of cure",
    "flow": "time to flow",
    "cure": "the degree of cure",
}
"""What people call each limit."""


def amount(limit: str, value: float) -> str:
    """Return by how much a limit is kept or broken, for people.

    Parameters
    ----------
    limit
        Its name.
    value
        In its own unit [SI].
    """
    if limit in ("spread", "cure"):
        return shown(value, "%", 1)
    return shown(value, "min", 1) if limit == "flow" else shown(value, "K", 1)


def wanted_cure(bounds: Bounds, resin: CureResin) -> float:
    """Return the degree of cure that serves both the target and the glass transition wanted.

    Parameters
    ----------
    bounds
        What is asked.
    resin
        The resin.

    Returns
    -------
    float
        Degree of cure; above 1 when the glass transition is beyond what the resin can reach.
    """
    by_tg = cure_for_tg(resin, bounds.tg) if bounds.tg is not None else 0.0
    if bounds.tg is not None and bounds.tg >= resin.tg1:
        by_tg = 1.0 + (bounds.tg - resin.tg1) / (resin.tg1 - resin.tg0)
    return max(bounds.target or 0.0, by_tg)


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitSet:
    """All limits that are asked, lane by lane.

    Parameters
    ----------
    names
        Of the limits, shape (m,).
    allowed
        What each lane may come to, shape (m, b).
    guard
        By how much earlier a limit counts as broken, in its own unit, shape (m, b).
    """

    names: tuple[str, ...]
    allowed: Floats
    guard: Floats

    @classmethod
    def of(cls, bounds: Bounds, target: float, scenarios: Sequence[Scenario], places: int) -> LimitSet:
        """Return the limits for all scenarios times places, scenario by scenario."""
        ones = np.ones(len(scenarios) * places)
        asked: dict[str, Floats] = {}
        for name, value in (
            ("laminate", bounds.hottest),
            ("tool", bounds.tool),
            ("overshoot", bounds.overshoot),
            ("stiff", bounds.stiff),
            ("spread", bounds.spread),
            ("flow", None if bounds.flow is None else bounds.flow.time),
            ("cure", target),
        ):
            if value is not None:
                asked[name] = value * ones
        void = [bounds.void_free if s.void_free is None else s.void_free for s in scenarios]
        if any(v is not None for v in void):
            asked["void"] = np.repeat([np.inf if v is None else v for v in void], places)
        names = tuple(asked)
        allowed = np.array([asked[n] for n in names])
        return cls(names=names, allowed=allowed, guard=np.zeros_like(allowed))

    @property
    def scales(self) -> Floats:
        """What counts as one unit of every limit, but of the degree of cure nothing, shape (m, b)."""
        each = np.array([[0.0 if n == "cure" else SCALES[n]] for n in self.names])
        out: Floats = each * np.ones((1, self.allowed.shape[1]))
        return out

    def measured(self, seen: Seen, watch: Watch) -> Floats:
        """Return what each lane came to, shape (m, g, b)."""
        read = {
            "laminate": seen.hottest,
            "tool": seen.tool,
            "overshoot": seen.over,
            "void": seen.wet,
            "stiff": seen.stiff,
            "spread": seen.spread,
            "cure": seen.alpha,
        }
        return np.array([watch.flowed(seen) if n == "flow" else read[n] for n in self.names])

    def broken(self, measured: Floats) -> Floats:
        """Return by how much each limit is broken, in units of its scale; negative when kept, shape (m, g, b)."""
        out = np.empty_like(measured)
        for i, name in enumerate(self.names):
            least = name in ("stiff", "flow", "cure")
            gap = self.allowed[i] - measured[i] if least else measured[i] - self.allowed[i]
            out[i] = (gap + self.guard[i]) / SCALES[name]
        return np.maximum(out, FAR_OFF)

    def path(self, broken: Floats) -> Floats:
        """Return the limits that hold at every moment, of all, shape (m, g, b)."""
        return broken[[i for i, n in enumerate(self.names) if n in PATH]]

    def ends(self, broken: Floats) -> Floats:
        """Return the limits that are asked at the end, of all, shape (m, g, b)."""
        return broken[[i for i, n in enumerate(self.names) if n not in PATH]]

    def of_lanes(self, lanes: Ints) -> LimitSet:
        """Return the limits of some lanes."""
        return LimitSet(names=self.names, allowed=self.allowed[:, lanes], guard=self.guard[:, lanes])

    def guarded(self, more: Floats) -> LimitSet:
        """Return the limits with more guard, shape (m, b)."""
        return LimitSet(names=self.names, allowed=self.allowed, guard=self.guard + more)

    def worst(self, seen: Seen, watch: Watch, gel: float) -> tuple[Ints, Floats]:
        """Return which limit each row has broken most so far and by how much, in units of its scale, shape (g,) each.

        Below zero it is kept. Flow counts once a lagging point has gelled without enough of it; the degree of cure
        never does.
        """
        broken = self.broken(self.measured(seen, watch))
        for i, name in enumerate(self.names):
            if name == "flow":
                broken[i] = np.where(seen.alpha < gel, -np.inf, broken[i])
            elif name not in PATH:
                broken[i] = -np.inf
        each = broken.max(axis=2)
        which: Ints = np.asarray(each.argmax(axis=0))
        return which, each.max(axis=0)
