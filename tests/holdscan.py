"""Brute force beside the search: plain holds, from a few minutes to a day, that a refusal must not have missed.

One rise from the start and one hold, at every whole 5 K, as long as the lagging point takes to its target or as long as
the cycle may take; by the solver of plans on a finer mesh, against every limit, in all scenarios at once.
"""

from __future__ import annotations

import numpy as np

from bagside.cure import Programme, Segment, simulate
from bagside.cure.design.bounds import Bounds
from bagside.cure.design.controller import Controller
from bagside.cure.design.kept import checked, lacking
from bagside.cure.design.limits import SCALES, wanted_cure
from bagside.cure.design.stage import Stage

ZERO_C = 273.15
SHARES = (1.0, 0.25)
STEP = 5.0


def holds_that_keep(sections, resin, oven, bounds: Bounds, *, start, scenarios, controller=None, step=STEP):
    """Return the plain holds that keep every limit and reach the target: temperature [°C], rate [K/s], hold [s]."""
    stage = Stage.of("hold", sections, resin, oven, bounds, controller or Controller(), start, scenarios)
    wanted = min(wanted_cure(bounds, resin), 0.9999)
    lanes = tuple(s for each in stage.scenarios for s in each.of(stage.sections))
    out = []
    for at in np.arange(np.ceil((start - ZERO_C) / step + 0.5) * step, stage.pace.hottest - ZERO_C + 0.01, step):
        target = float(at) + ZERO_C
        for share in SHARES:
            rate = share * stage.pace.fastest(start, target)
            spare = bounds.longest - (target - start) / rate
            if spare < 60.0:
                continue
            day = Programme(start=start, segments=(Segment(target=target, ramp=rate, hold=spare),))
            histories = simulate(lanes, resin, oven.air(day), output_interval=120.0)
            lagging = np.array([h.alpha.min(axis=1) for h in histories]).min(axis=0)
            reached = np.flatnonzero(lagging >= wanted)
            if not len(reached):
                continue
            hold = max(float(histories[0].time[reached[0]]) - (target - start) / rate, 60.0)
            one = Programme(start=start, segments=(Segment(target=target, ramp=rate, hold=hold),))
            lack = lacking(stage, checked(stage, one))
            scale = np.array([[SCALES[n]] for n in stage.limits.names])
            if (lack / scale).max() <= 0.0:
                out.append((float(at), rate, hold))
    return out
