"""The part at a moment of its cure, and what a person must not do then."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bagside.cure.judging.mishap import Mishap
from bagside.cure.judging.softness import softened, viscosity_of
from bagside.cure.judging.state import LoggedState, Stage
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """The part at a moment.

    Parameters
    ----------
    time
        Since the first reading [s].
    coolest, hottest
        Of all laminates [K].
    lagging, leading
        Least and most cured point.
    tg
        Glass transition at the least cured point [K].
    viscosity
        Of the thickest resin that is not gelled [Pa s]; none without a law, or when all has gelled.
    left
        Pressure left in the bag [Pa]; none when not logged.
    stage
        How far the resin is.
    """

    time: float
    coolest: float
    hottest: float
    lagging: float
    leading: float
    tg: float
    viscosity: float | None
    left: float | None
    stage: Stage


def moment(state: LoggedState, time: float, wanted: float) -> Moment:
    """Return the part at a moment of its log.

    Parameters
    ----------
    state
        What the log tells.
    time
        Since its first reading [s].
    wanted
        Degree of cure from which it counts as cured.
    """
    h = [p.history for p in state.places]
    i = max(int(np.searchsorted(h[0].time, time + 1e-6)) - 1, 0)
    low = min(float(x.alpha[i].min()) for x in h)
    high = max(float(x.alpha[i].max()) for x in h)
    resin = state.resin
    was_soft = any(bool(softened(x, resin)[: i + 1].any()) for x in h) or high >= resin.gel
    if low >= max(wanted, resin.gel):
        stage = Stage.CURED
    elif low >= resin.gel:
        stage = Stage.GELLED
    else:
        stage = Stage.SOFT if was_soft else Stage.COLD
    mus = [mu[i][np.isfinite(mu[i])] for x in h if (mu := viscosity_of(x, resin)) is not None]
    thick = [float(m.max()) for m in mus if len(m)]
    return Moment(
        time=time,
        coolest=min(float(x.laminate_temperature[i].min()) for x in h),
        hottest=max(float(x.laminate_temperature[i].max()) for x in h),
        lagging=low,
        leading=high,
        tg=float(resin.tg(low)),
        viscosity=max(thick) if thick else None,
        left=None if state.pressed is None else float(np.interp(time, state.pressed.time, state.pressed.left)),
        stage=stage,
    )


def safety_findings(what: Mishap, state: LoggedState, now: Moment) -> tuple[Finding, ...]:
    """Return what a person must heed before anything is done.

    Parameters
    ----------
    what
        What went wrong.
    state
        What the log tells.
    now
        The part now.
    """
    found = []
    air = float(state.drive.mean.values[-1])
    if max(air, now.hottest) > 323.15:
        found.append(
            _caution(
                "oven",
                f"oven and part are at {shown(max(air, now.hottest), '°C', 0)}",
                "hot metal, hot bags and hot vacuum lines burn",
                "gloves made for it and sleeves; let it cool below 50 °C before the bag is touched where that can "
                "wait; the oven's own manual and local rules come first",
            )
        )
    if what is Mishap.OVERSHOOT or now.hottest > air + 5.0:
        found.append(
            _caution(
                "leading sensor",
                f"the part is at {shown(now.hottest, '°C', 0)} in air of {shown(air, '°C', 0)}",
                "resin that heats itself can smoke and catch fire; what is in the smoke is harmful",
                "heaters off, fan on, vacuum on; do not open the door when there is smoke: leave, and call the fire "
                "brigade",
            )
        )
    if what.heat_off:
        found.append(
            _caution(
                "oven",
                "the power is gone and may come back by itself",
                "an oven that starts unattended runs its programme from wherever its controller thinks it is",
                "switch the heaters off by hand; keep the pump's valve shut so that the bag holds",
            )
        )
    if what.no_vacuum:
        found.append(
            _caution(
                "pump",
                "the vacuum is gone",
                "a pump that lost its oil or its belt is hot, and hoses under vacuum can collapse",
                "close the valve at the bag, stop the pump, look before touching; solvents stay away from the hot oven",
            )
        )
    return tuple(found)


def _caution(place: str, what: str, why: str, do: str) -> Finding:
    return Finding(severity=Severity.DECIDE, stage="safety", place=place, what=what, why=why, do=do, basis=Basis.COMMON)
