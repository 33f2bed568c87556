"""What the vacuum says against a part."""

from __future__ import annotations

from bagside.cure.judging.pressed import SHARED, Loss
from bagside.cure.judging.reason import Reason, Weight, reason
from bagside.cure.judging.state import LoggedState
from bagside.findings import Basis
from bagside.quantity import shown

RECOVERS = 1800.0
"""Time resin must still flow under vacuum, after it came back, to press bubbles out [s]: common practice, 30 min."""

BRIEF = 300.0
"""Loss in soft resin that is over sooner leaves little behind [s]; common practice, no source."""

KEEP = 333.15
"""Part temperature above which vacuum is kept while cooling [K]: common practice, 60 °C."""

LOOK = "weight and thickness at five places, a tap test, and the cut edge of the trim under a glass"


def vacuum_reasons(state: LoggedState) -> list[Reason]:
    """Return what the vacuum says against a part.

    Parameters
    ----------
    state
        What the log tells.
    """
    p = state.pressed
    if p is None:
        return []
    found = [r for loss in p.losses if (r := _lost(loss, state)) is not None]
    if p.margin is not None and p.margin < 0.0:
        found.append(
            reason(
                "voids", Weight.NOTE, p.margin, 0.0, "mbar", "soft resin",
                f"for {shown(p.margin_lost, 'min', 0)} before gel the resin was under less pressure than water in it "
                f"needs to stay dissolved, by up to {shown(-p.margin, 'mbar', 0)}",
                "below that, water boils into voids; the criterion ranks risk and is no limit",
                f"look for porosity: {LOOK}",
                Basis.PUBLISHED, "Kardos, Dudukovic & Dave 1986; for ranking risk, not a limit",
            )
        )  # fmt: skip
    elif p.margin_shared is not None and p.margin_shared < 0.0:
        found.append(
            reason(
                "voids", Weight.NOTHING, p.margin_shared, 0.0, "mbar", "soft resin",
                f"if the fibres carried {shown(SHARED, '%', 0)} of the pressure, the resin would have been "
                f"{shown(-p.margin_shared, 'mbar', 0)} short of what water in it needs to stay dissolved",
                "how much fibres carry is not known; the criterion ranks risk and is no limit",
                "look the show face over for pinholes",
                Basis.PUBLISHED, "Kardos, Dudukovic & Dave 1986; for ranking risk, not a limit",
            )
        )  # fmt: skip
    if p.released_at is not None and p.released_at > KEEP:
        found.append(
            reason(
                "vacuum", Weight.NOTE, p.released_at, KEEP, "°C", "cooling",
                f"the vacuum went with the part at {shown(p.released_at, '°C', 0)}",
                "a part not held down while it cools may lift off the mould",
                "check the shape",
            )
        )  # fmt: skip
    return found


def _lost(loss: Loss, state: LoggedState) -> Reason | None:
    if loss.soft <= 0.0:
        return None  # before resin is soft and after it has gelled vacuum is not what makes the part
    when = f"from {shown(loss.start, 'min', 0)} to {shown(loss.end, 'min', 0)}"
    what = (
        f"no vacuum {when}, up to {shown(loss.worst, 'mbar', 0)} left in the bag; {shown(loss.soft, 'min', 0)} of it "
        f"while resin was soft, at {shown(loss.alpha_lagging, '%', 0)} to {shown(loss.alpha_leading, '%', 0)} of cure"
    )
    if loss.through_gel:
        return reason(
            "vacuum", Weight.STRUCTURE, loss.soft, BRIEF, "min", "bag", what,
            "resin gelled without pressure: voids that were open then are locked in",
            f"not for structure; to know how bad it is: {LOOK}",
        )  # fmt: skip
    if not loss.back:
        return reason(
            "vacuum", Weight.SHORT, loss.soft, BRIEF, "min", "bag", what,
            "resin is still soft: what happens next decides about voids",
            "keep it cool, find the leak and pull vacuum again before it is heated",
        )  # fmt: skip
    if loss.flow_after >= RECOVERS and loss.soft <= 6.0 * RECOVERS:
        return reason(
            "vacuum", Weight.NOTE, loss.soft, BRIEF, "min", "bag", what,
            f"it came back while resin could still flow for {shown(loss.flow_after, 'min', 0)}; some voids may stay",
            f"expect pinholes; look: {LOOK}",
        )  # fmt: skip
    if loss.soft <= BRIEF:
        return reason(
            "vacuum", Weight.NOTE, loss.soft, BRIEF, "min", "bag", what,
            "it was brief; little can have grown", f"look: {LOOK}",
        )  # fmt: skip
    return reason(
        "vacuum", Weight.STRUCTURE, loss.flow_after, RECOVERS, "min", "bag", what,
        f"after it came back resin flowed for {shown(loss.flow_after, 'min', 0)} only; voids were not pressed out",
        f"not for structure; to know how bad it is: {LOOK}",
    )  # fmt: skip
