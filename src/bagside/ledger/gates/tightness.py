"""Whether a bag or a bare mould held vacuum, as one drop test tells it: by the plan's rule, with size and weather.

A drop alone can flatter. With a receiver or a catch pot on the line the same leak shows less, so a test of a much
larger volume than the plan's is reckoned back to the plan's. What must be reached is judged against the ambient
pressure of the test.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside.bagging import CRITERIA
from bagside.bagging import leak as leaks
from bagside.bagging.leak import Gauge, Reading, flow_words
from bagside.findings import Basis
from bagside.ledger.bodies import Measured
from bagside.ledger.planned import Planned
from bagside.quantity import shown

STEP = 100.0
"""Last digit of a gauge on the bag where nothing else is stated [Pa]: 1 mbar."""

ROUGH = 2.0
"""How many times the plan's volume a bag may hold: it comes from its area and may be off by half, twice over."""

RULE = "cosmetic oven cure"
"""Criterion of a plan that names none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drop:
    """What one drop test says.

    Parameters
    ----------
    holds
        Whether it meets the rule; None when the test was too short to tell, or readings are missing.
    what
        The fact with its number and limit.
    do
        What to do when it does not hold.
    basis, source
        Of the rule.
    """

    holds: bool | None
    what: str
    do: str
    basis: Basis
    source: str


def judged_drop(plan: Planned, test: Measured) -> Drop:
    """Return what a drop test says by the plan's rule.

    Parameters
    ----------
    plan
        For the rule, the free volume it was reckoned with, and the ambient pressure of the plan.
    test
        A measured leak, with its start, end and time.

    Notes
    -----
    A test in which the gauge's steps could turn the verdict is too short to tell. Steps are those that the spread of
    the rise stands for, where it was written down, else 1 mbar.

    The volume of a plan is rough. One more than twice as large holds something else besides the bag, or the plan is
    wrong: such a test passes when its leak would pass in the plan's volume, too; otherwise it does not tell.
    """
    rule = next((c for c in CRITERIA if c.name == (plan.leak_rule or RULE)), None)
    if rule is None or test.start is None or test.end is None or not test.seconds:
        return _by_rate(plan, test)
    ambient = test.ambient if test.ambient is not None else plan.ambient
    volume = test.volume or plan.leak_volume
    if not (volume > 0.0 and 0.0 < test.start < ambient and test.end >= 0.0):
        return _by_rate(plan, test)
    # Two readings in steps s spread their rise by s √(2/12).
    step = test.sigma * test.seconds * math.sqrt(6.0) if test.sigma else STEP
    readings = tuple(
        Reading(time=t, shows=min(p, ambient), gauge=Gauge.ABSOLUTE, step=step, ambient=ambient)
        for t, p in ((0.0, test.start), (test.seconds, test.end))
    )
    found = leaks.leak_test(readings, leaks.stated_volume(volume))
    judged = found.of(rule.name)
    size = f", a leak of {flow_words(found.flow)} in {shown(volume, 'L')}" if found.told else ""
    told = f"it loses {shown(max(judged.drop, 0.0), 'mbar', 1)} in {rule.time / 60.0:.0f} min"
    allowed = f"{shown(judged.allowed, 'mbar', 0)} allowed"
    what = f"{told} ({allowed}{size}); {shown(test.start, 'mbar', 0)} reached at {shown(ambient, 'mbar', 0)}"
    do, holds = "look at pleats, ports and corners first, then seal and test again", judged.passed
    larger = volume / plan.leak_volume if plan.leak_volume > 0.0 else 1.0
    if not judged.deep:
        deepest = rule.deepest if rule.deepest is not None else ambient - rule.least_vacuum(ambient)
        what += f", {shown(deepest, 'mbar', 0)} or less is wanted"
        do = "pump longer, then find what leaks or why the pump does not reach it"
    elif judged.tight is None:
        do = f"shut it off for {max(judged.needed, test.seconds) / 60.0:.0f} min or longer; this test cannot tell"
    elif holds and larger > ROUGH and judged.drop * larger > judged.allowed:
        holds = None
        what += (
            f"; in the {shown(plan.leak_volume, 'L')} of the plan the same leak shows "
            f"{shown(judged.drop * larger, 'mbar', 0)}"
        )
        do = "shut receiver and catch pot off and test again; pass it by name when the bag alone holds so much"
    return Drop(holds=holds, what=what, do=do, basis=rule.basis, source=f"{rule.name}: {rule.source}")


def _by_rate(plan: Planned, test: Measured) -> Drop:
    """Return what a test says of which only the rise is known, or whose rule is not known any more."""
    rise = test.value
    if test.start is not None and test.end is not None and test.seconds:
        rise = (test.end - test.start) / test.seconds
    if plan.leak is None:
        return Drop(
            holds=None, what=f"it rises by {shown(60.0 * rise, 'mbar', 2)} in 1 min; the plan has no limit for that",
            do="decide by the drop, and pass the gate with the reason", basis=Basis.COMMON, source="",
        )  # fmt: skip
    return Drop(
        holds=rise <= plan.leak,
        what=f"it rises by {shown(60.0 * rise, 'mbar', 2)} in 1 min, {shown(60.0 * plan.leak, 'mbar', 2)} allowed",
        do="look at pleats, ports and corners first, then seal and test again",
        basis=Basis.COMMON,
        source=plan.leak_rule,
    )
