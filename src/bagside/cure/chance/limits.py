"""What a cycle must keep to, measured on many draws at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design import Bounds
from bagside.cure.face import face_heat
from bagside.cure.history import SectionHistory
from bagside.cure.resin import CureResin

Floats = NDArray[np.float64]


LIMITS = ("target", "tg", "hottest", "tool", "spread", "overshoot", "void_free", "flow", "stiff")
"""Every limit that a margin is told for."""

WORDS = {
    "target": "degree of cure at the lagging point",
    "tg": "glass transition at the lagging point",
    "hottest": "hottest point of the laminate",
    "tool": "hottest place of the tool",
    "spread": "leading against lagging degree of cure",
    "overshoot": "heat of reaction above the air",
    "void_free": "no voids of water before gel",
    "flow": "time to flow before gel",
    "stiff": "glass transition above the temperature",
}
"""The limits in words."""

SHORT = {
    "target": "cure reached",
    "tg": "Tg reached",
    "hottest": "laminate limit",
    "tool": "mould limit",
    "spread": "spread of cure",
    "overshoot": "heat over air",
    "void_free": "no voids",
    "flow": "time to flow",
    "stiff": "stays stiff",
}
"""The limits in few words, for a table."""

UNITS = {
    "target": "%",
    "tg": "K",
    "hottest": "K",
    "tool": "K",
    "spread": "%",
    "overshoot": "K",
    "void_free": "K",
    "flow": "min",
    "stiff": "K",
}
"""In which a margin is shown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """What the same cure of one section, or the worst of several, came to in many draws; each has shape (n,).

    Parameters
    ----------
    alpha
        Degree of cure at the end at the lagging point.
    tg
        Glass transition there [K].
    hottest
        Hottest point of the laminate [K].
    tool
        Hottest place of the tool [K]; minus infinity without one.
    gel
        When the last point gelled [s]; infinite where it did not.
    spread
        Largest difference of degree of cure within the laminate.
    overshoot
        Most by which the laminate was hotter than the air had been until then [K].
    wet
        Hottest a point was before it gelled [K].
    flow
        Time the lagging point was thin enough before it gelled [s]; infinite when nobody asks.
    stiff
        Least of glass transition less temperature [K].
    """

    alpha: Floats
    tg: Floats
    hottest: Floats
    tool: Floats
    gel: Floats
    spread: Floats
    overshoot: Floats
    wet: Floats
    flow: Floats
    stiff: Floats


LEAST = ("alpha", "tg", "flow", "stiff")
"""Of which the least is the worst; of all else it is the most."""


def worst_of(many: Sequence[Reached]) -> Reached:
    """Return the worst of several sections, draw by draw.

    Parameters
    ----------
    many
        One for each section.
    """
    return Reached(
        **{
            f.name: (np.min if f.name in LEAST else np.max)(np.stack([getattr(r, f.name) for r in many]), axis=0)
            for f in fields(Reached)
        }
    )


def reached(histories: Sequence[SectionHistory], resin: CureResin, viscosity: float | None = None) -> Reached:
    """Return what one section's cure came to in many draws.

    Parameters
    ----------
    histories
        Of the same section in each draw, at the same times.
    resin
        The resin.
    viscosity
        Below which it flows [Pa s]; when None the time to flow is not counted.

    Returns
    -------
    Reached
        One value for each draw.

    Notes
    -----
    Hottest laminate and tool are taken over all time steps, all else from the outputs by straight lines between them.
    """
    first = histories[0]
    react, time = first.reacting, first.time
    t = np.stack([h.temperature[:, react] for h in histories])
    a = np.stack([h.alpha for h in histories])
    air = np.maximum.accumulate(np.stack([h.air for h in histories]), axis=1)
    peak = np.stack([h.peak[react] for h in histories])
    when = np.stack([h.peak_time[react] for h in histories])
    gel, wet = _gelled(time, a, t, resin.gel)
    over = (t.max(axis=2) - air).max(axis=1)
    at_peak = np.stack([np.interp(w, time, row) for w, row in zip(when, air, strict=True)])
    end = a[:, -1].min(axis=1)
    return Reached(
        alpha=end,
        tg=resin.tg(end),
        hottest=peak.max(axis=1),
        tool=_tool(histories),
        gel=gel,
        spread=np.ptp(a, axis=2).max(axis=1),
        overshoot=np.maximum(over, (peak - at_peak).max(axis=1)),
        wet=wet,
        flow=_flow(time, a, t, resin, viscosity),
        stiff=(resin.tg(a) - t).min(axis=(1, 2)),
    )


def _tool(histories: Sequence[SectionHistory]) -> Floats:
    """Return the hottest place in or on the tool, shape (n,): where it meets the laminate, inside, and its back."""
    sections = [h.section for h in histories]
    if not len(sections[0].tool_cells):
        return np.full(len(histories), -np.inf)
    last = np.stack([h.temperature[:, -1] for h in histories])
    film, glow = (np.array([getattr(s, name) for s in sections])[:, None] for name in ("film_tool", "emissivity_tool"))
    back = face_heat(last, np.stack([h.air for h in histories]), film, sections[0].half_conductances[-1], glow).surface
    inside = np.stack([h.peak[sections[0].tool_cells] for h in histories]).max(axis=1)
    meet = np.array([h.surface_peak if h.surface_peak is not None else -np.inf for h in histories])
    out: Floats = np.maximum(np.maximum(back.max(axis=1), inside), meet)
    return out


def _gelled(time: Floats, a: Floats, t: Floats, gel: float) -> tuple[Floats, Floats]:
    """Return when the last point gels, and how hot a point was at most before it did; shapes (n,)."""
    solid = a >= gel
    before = np.where(solid, -np.inf, t).max(axis=(1, 2))
    ever = solid.any(axis=1)
    i = np.maximum(solid.argmax(axis=1), 1)[:, None, :]
    a0, a1 = (np.take_along_axis(a, j, axis=1)[:, 0, :] for j in (i - 1, i))
    t0, t1 = (np.take_along_axis(t, j, axis=1)[:, 0, :] for j in (i - 1, i))
    span = np.where(a1 > a0, a1 - a0, 1.0)
    share = np.clip((gel - a0) / span, 0.0, 1.0)
    at = i[:, 0, :]
    when = np.where(ever, time[at - 1] + share * (time[at] - time[at - 1]), np.inf).max(axis=1)
    there = np.where(ever & ~solid[:, 0, :], t0 + share * (t1 - t0), -np.inf).max(axis=1)
    return when, np.maximum(before, there)


def _flow(time: Floats, a: Floats, t: Floats, resin: CureResin, viscosity: float | None) -> Floats:
    """Return how long the lagging point was thin enough before it gelled, shape (n,)."""
    if viscosity is None or resin.viscosity is None:
        return np.full(len(a), np.inf)
    lag = np.trapezoid(a, time, axis=1).argmin(axis=1)[:, None, None]
    x, y = (np.take_along_axis(v, lag, axis=2)[:, :, 0] for v in (a, t))
    thin = np.log(viscosity) - np.minimum(np.log(resin.viscosity.at(x, y)), 700.0)
    high, low = np.maximum(thin[:, 1:], thin[:, :-1]), np.minimum(thin[:, 1:], thin[:, :-1])
    span = np.where(high > low, high - low, 1.0)
    share = np.where(low >= 0.0, 1.0, np.where(high < 0.0, 0.0, high / span))
    gain = x[:, 1:] - x[:, :-1]
    left = np.clip((resin.gel - x[:, :-1]) / np.where(gain > 0.0, gain, 1.0), 0.0, 1.0)
    liquid = np.where(x[:, 1:] < resin.gel, 1.0, np.where(x[:, :-1] >= resin.gel, 0.0, left))
    out: Floats = (np.minimum(share, liquid) * np.diff(time)).sum(axis=1)
    return out


def asked(bounds: Bounds, each_void_free: bool) -> tuple[str, ...]:
    """Return the limits there are.

    Parameters
    ----------
    bounds
        What must be kept to.
    each_void_free
        Whether each draw has its own temperature for voids.
    """
    return tuple(
        name for name in LIMITS if getattr(bounds, name) is not None or (name == "void_free" and each_void_free)
    )


def margin(name: str, bounds: Bounds, got: Reached, void_free: Floats | None) -> Floats:
    """Return by how much one limit holds in each draw; below zero where it does not.

    Parameters
    ----------
    name
        One of `asked`.
    bounds
        What must be kept to.
    got
        What was reached.
    void_free
        Each draw's own hottest temperature before gel [K]; the bound's when None.

    Returns
    -------
    Floats
        Shape (n,), in the unit of the limit [SI].
    """
    if name == "flow":
        flow = bounds.flow
        wanted = 0.0 if flow is None else flow.time
        return got.flow - wanted
    if name == "void_free":
        return (bounds.void_free or np.inf) - got.wet if void_free is None else void_free - got.wet
    have: Floats = getattr(got, "alpha" if name == "target" else name)
    bound = float(getattr(bounds, name))
    return have - bound if name in ("target", "tg", "stiff") else bound - have
