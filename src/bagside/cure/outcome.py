"""What a cure came to: the handful of numbers a person judges it by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.history import SectionHistory
from bagside.cure.resin import CureResin
from bagside.errors import InputError

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What the cure of one section came to.

    Parameters
    ----------
    name
        Where on the part.
    hottest, hottest_time, hottest_depth
        Hottest point of the laminate [K], when [s], and how deep below the bag face of the section [m].
    air_hottest
        Hottest air at this place [K].
    overshoot
        Most by which the laminate was above the air [K], counted only while the air did not cool; negative when it
        always lagged.
    alpha_lagging, alpha_leading
        Degree of cure at the end, least and most cured point.
    tg
        Glass transition at the end at the least cured point [K].
    stiff_margin
        Least by which the glass transition was above the temperature anywhere, over the whole time [K]; what a part
        without its mould stands on.
    gel_time, gel_temperature
        When the last point gelled [s] and how hot it was [K]; none when it did not.
    gel_first
        When the first point gelled [s]; none when none did.
    viscosity, viscosity_time
        Lowest viscosity before gel at the lagging point [Pa s] and when [s]; none without a law.
    flow_time
        Time the lagging point was below ``flow_viscosity`` before it gelled [s]; none without a law.
    flow_viscosity
        Viscosity below which resin is counted as flowing [Pa s].
    spread
        Largest difference of temperature within the laminate [K].
    dwell, dwell_asked
        Time the coolest point of the laminate was within the band of the programme's hottest, and time the programme
        was there [s].
    dwell_band
        That band [K].
    tool_hottest, tool_hottest_time
        Hottest place in or on the tool [K] and when [s]; none without a tool.
    end
        Hottest point of laminate and tool at the end [K].
    beyond_law
        By how much the laminate was hotter than the rate law was fitted for [K]; zero when it was not.
    beyond_cure
        By how much it cured further than the law was fitted for; zero when it did not.
    """

    name: str
    hottest: float
    hottest_time: float
    hottest_depth: float
    air_hottest: float
    overshoot: float
    alpha_lagging: float
    alpha_leading: float
    tg: float
    stiff_margin: float
    gel_time: float | None
    gel_temperature: float | None
    gel_first: float | None
    viscosity: float | None
    viscosity_time: float | None
    flow_time: float | None
    flow_viscosity: float
    spread: float
    dwell: float
    dwell_asked: float
    dwell_band: float
    tool_hottest: float | None
    tool_hottest_time: float | None
    end: float
    beyond_law: float
    beyond_cure: float = 0.0


def outcomes(
    histories: Sequence[SectionHistory],
    resin: CureResin,
    *,
    flow_viscosity: float = 30.0,
    dwell_band: float = 5.0,
) -> tuple[Outcome, ...]:
    """Return what each section's cure came to.

    Parameters
    ----------
    histories
        From `simulate`.
    resin
        The resin they were computed with.
    flow_viscosity
        Viscosity below which resin is counted as flowing [Pa s].
    dwell_band
        How far below the programme's hottest the laminate may be for the dwell to count [K].

    Returns
    -------
    tuple of Outcome
        In the order of the histories.

    Raises
    ------
    InputError
        When a section has no laminate.

    Notes
    -----
    Peaks are taken over all time steps. The largest difference within the laminate, times and crossings are taken from
    the outputs, by straight lines between them.
    """
    return tuple(_outcome(h, resin, flow_viscosity, dwell_band) for h in histories)


def _outcome(h: SectionHistory, resin: CureResin, flow_viscosity: float, dwell_band: float) -> Outcome:
    if not len(h.reacting):
        raise InputError.one(h.name, "", "a section with a laminate is wanted")
    t, a = h.laminate_temperature, h.alpha
    cell = int(np.argmax(h.peak[h.reacting]))
    hottest, when = float(h.peak[h.reacting][cell]), float(h.peak_time[h.reacting][cell])
    tool_hottest, tool_time = _tool(h)
    coolest, lag = t.min(axis=1), h.lagging
    top = float(h.programme.max())
    gel = [crossed(h.time, a[:, i], resin.gel) for i in range(a.shape[1])]
    last = None if any(g is None for g in gel) else max(g for g in gel if g is not None)
    last_cell = gel.index(last) if last is not None else lag
    lowest, lowest_time, flow = _flow(h, resin, flow_viscosity)
    final = h.temperature[-1, h.reacting[0] :]
    return Outcome(
        name=h.name,
        hottest=hottest,
        hottest_time=when,
        hottest_depth=float(h.x[h.reacting[cell]]),
        air_hottest=float(h.air.max()),
        overshoot=_overshoot(h),
        alpha_lagging=float(a[-1].min()),
        alpha_leading=float(a[-1].max()),
        tg=float(resin.tg(a[-1].min())),
        stiff_margin=float((resin.tg(a) - t).min()),
        gel_time=last,
        gel_temperature=None if last is None else float(np.interp(last, h.time, t[:, last_cell])),
        gel_first=min((g for g in gel if g is not None), default=None),
        viscosity=lowest,
        viscosity_time=lowest_time,
        flow_time=flow,
        flow_viscosity=flow_viscosity,
        spread=float(np.ptp(t, axis=1).max()),
        dwell=time_above(h.time, coolest, top - dwell_band),
        dwell_asked=time_above(h.time, h.programme, top - 1e-6),
        dwell_band=dwell_band,
        tool_hottest=tool_hottest,
        tool_hottest_time=tool_time,
        end=float(final.max()),
        beyond_law=max(0.0, hottest - resin.kinetics.valid.hottest),
        beyond_cure=max(0.0, float(h.alpha[-1].max()) - resin.kinetics.valid.most),
    )


def _tool(h: SectionHistory) -> tuple[float | None, float | None]:
    """Return the hottest place in or on the tool and when: inside, where it meets the laminate, and its back."""
    if h.surface_peak is None or h.surface_peak_time is None:
        return None, None
    inside = h.section.tool_cells[int(np.argmax(h.peak[h.section.tool_cells]))]
    back = h.tool_face
    return max(
        (h.surface_peak, h.surface_peak_time),
        (float(h.peak[inside]), float(h.peak_time[inside])),
        (float(back.max()), float(h.time[int(np.argmax(back))])),
    )


def _overshoot(h: SectionHistory) -> float:
    """Return the most by which the laminate was above an air that was not falling."""
    heating = np.append(False, h.air[:-1] <= h.air[1:] + 1e-9)
    if not heating.any():
        heating = np.ones(len(h.time), dtype=np.bool_)
    over = float((h.laminate_temperature.max(axis=1) - h.air)[heating].max())
    peak, when = h.peak[h.reacting], h.peak_time[h.reacting]
    after = np.minimum(np.searchsorted(h.time, when), len(h.time) - 1)
    counted = heating[after]
    if not counted.any():
        return over
    return max(over, float((peak - np.interp(when, h.time, h.air))[counted].max()))


def _flow(h: SectionHistory, resin: CureResin, limit: float) -> tuple[float | None, float | None, float | None]:
    """Return the lowest viscosity before gel at the lagging point, when, and the time below a limit."""
    if resin.viscosity is None:
        return None, None, None
    t, a = h.laminate_temperature[:, h.lagging], h.alpha[:, h.lagging]
    liquid = a < resin.gel
    if not liquid.any():
        return None, None, 0.0
    mu = np.where(liquid, resin.viscosity.at(a, t), np.inf)
    i = int(np.argmin(mu))
    log = np.minimum(np.log(mu), 700.0)  # finite, so that a crossing into gel can be interpolated
    return float(mu[i]), float(h.time[i]), time_above(h.time, -log, -float(np.log(limit)))


def crossed(time: Floats, values: Floats, level: float) -> float | None:
    """Return when values first reach a level, between samples by a straight line.

    Parameters
    ----------
    time
        Rising, shape (k,) [s].
    values
        Shape (k,).
    level
        What is to be reached.

    Returns
    -------
    float or None
        Time [s]; none when it is not reached.
    """
    reached = np.flatnonzero(values >= level)
    if not len(reached):
        return None
    i = int(reached[0])
    if i == 0:
        return float(time[0])
    share = (level - values[i - 1]) / (values[i] - values[i - 1])
    return float(time[i - 1] + share * (time[i] - time[i - 1]))


def time_above(time: Floats, values: Floats, level: float) -> float:
    """Return how long values are at or above a level, between samples by straight lines.

    Parameters
    ----------
    time
        Rising, shape (k,) [s].
    values
        Shape (k,).
    level
        What they are compared with.

    Returns
    -------
    float
        Total time [s].
    """
    left, right = values[:-1] - level, values[1:] - level
    span = np.abs(left - right)
    part = np.where(span > 0.0, np.maximum(left, right) / np.where(span > 0.0, span, 1.0), 1.0)
    share = np.where(np.minimum(left, right) >= 0.0, 1.0, np.where(np.maximum(left, right) < 0.0, 0.0, part))
    return float(share @ np.diff(time))
