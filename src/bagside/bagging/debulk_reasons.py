"""Why a debulk is as it is, in words, and which may be merged."""

from __future__ import annotations

import math

from bagside.bagging.debulk import Debulk
from bagside.bagging.debulk_step import SHEARED, WARM, DebulkPly, DebulkStep, warm_factor
from bagside.quantity import shown


def why(d: Debulk, since: list[DebulkPly]) -> str:
    """Return in half a sentence why a debulk is due.

    Parameters
    ----------
    d
        As the shop's rule has it, sheared cloth taken for a tight corner.
    since
        Plies since the one before.
    """
    sheared = any(p.shear >= SHEARED for p in since) and not any(p.has_tight_corner for p in since)
    return d.why.replace("through a tight corner", "sheared cloth that stands up again") if sheared else d.why


def reasons(
    d: Debulk,
    since: list[DebulkPly],
    air: tuple[float, float, float] | None,
    minutes: float,
    *,
    warm: bool,
    visible: bool,
) -> tuple[str, ...]:
    """Return every reason of a debulk, each in half a sentence.

    Parameters
    ----------
    d, since
        As for `why`.
    air
        Time air needs to leave, most permeable, middle and tightest cloth [min]; None when no way is known.
    minutes
        That it lasts.
    warm, visible
        Whether it is warm, and whether the mould side is seen.
    """
    out = []
    if d.after == 1:
        out.append("first ply: air between it and the mould has no other time to leave")
        out.append("the mould side is seen: 20 min" if visible else "the mould side is not seen: 15 min")
    else:
        out.append(f"{len(since)} plies, {shown(sum(p.thickness for p in since), 'mm', 2)}, since the last one")
    corners = [p.name for p in since if p.has_tight_corner]
    if corners:
        out.append(f"tight inside corner in {', '.join(corners)}")
    sheared = [p for p in since if p.shear >= SHEARED]
    if sheared:
        most = max(sheared, key=lambda p: p.shear)
        out.append(f"{most.name} is sheared by {shown(most.shear, '°', 0)} and springs back")
    if air is not None:
        low, middle, high = (minutes_in_words(a) for a in air)
        out.append(f"air needs {middle} to leave, {low} to {high} by how tight the cloth is")
        if minutes < air[1]:
            out.append("longer than an hour helps less than a shorter way")
    if warm:
        out.append(f"warm, so that plies slide into the corner: an hour costs {warm_factor(WARM):.0f} h of out-life")
    return tuple(out)


def minutes_in_words(value: float) -> str:
    """Return a number of minutes in words.

    Parameters
    ----------
    value
        [min]; may be infinite.
    """
    if not math.isfinite(value):
        return "for ever"
    return f"{value:.0f} min" if value >= 1.0 else "under 1 min"


def advice(steps: list[DebulkStep], count: int) -> tuple[str, ...]:
    """Return which debulks may be merged or moved, and which never.

    Parameters
    ----------
    steps
        In order.
    count
        Of plies.
    """
    out = ["never leave out the first: nothing after it reaches the air under ply 1"]
    merge = [s for s in steps if s.may_merge]
    if merge:
        out.append(
            "may be merged with the next one, even with tight cloth their air is out within 5 min: after ply "
            + ", ".join(str(s.debulk.after) for s in merge)
        )
    last = steps[-1].debulk.after
    if last > 1 and count - last == 1:
        out.append(f"the one after ply {last} may move to the cure's own bag when it is held for as long before heat")
    out.append("a night under vacuum replaces the debulk it falls on, and counts as out-life like any other night")
    return tuple(out)
