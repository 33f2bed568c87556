"""What each ply meets in an inside corner that gets tighter under it.

Every ply makes the corner tighter by its own thickness: ply k is laid on the radius that the plies before it left, and
the bag presses on what all of them leave.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bagside.errors import InputError
from bagside.mould.bridge import WIDEST_TURN, bridge_height, slide_in
from bagside.mould.radius import FILLER_RADIUS, HARD_RADIUS, CornerVerdict, needed_radius

BULK = 0.10  # thicker before it is consolidated than after; common practice for prepreg, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class PlyInCorner:
    """A corner after one more ply.

    Parameters
    ----------
    ply
        Which, counted from the mould: 1 is the first.
    onto
        Radius the ply is laid on [m]; zero when none is left.
    stack
        Thickness of all plies so far, cured [m].
    left
        Radius that remains above it [m]; zero when none does.
    pressure
        Share of the bag's pressure that reaches the mould in the corner, at most; zero when the bag does not reach in.
    verdict
        What the corner asks, this ply and those before it considered.
    bridge
        Height at which the ply spans the corner when it is not pressed in [m]; None where walls are so nearly parallel
        that they meet nowhere.
    slide
        Length that must slide in, half from each side, for it to lie down [m]; None as for the bridge.
    settle
        Length that must slide in, half from each side, while this ply and all under it consolidate together [m].
    shorter
        By how much its way through the corner is shorter than along the mould, at its middle [m].
    """

    ply: int
    onto: float
    stack: float
    left: float
    pressure: float
    verdict: CornerVerdict
    bridge: float | None
    slide: float | None
    settle: float
    shorter: float


def plies_in_corner(
    radius: float,
    turn: float,
    plies: Sequence[float],
    *,
    visible: bool,
    structural: bool,
    bag_radius: float = 0.0,
    bulk: float = BULK,
) -> tuple[PlyInCorner, ...]:
    """Return what each ply meets in an inside corner.

    Parameters
    ----------
    radius
        Of the mould's corner; zero for a crease [m].
    turn
        Of its walls, the supplement of the angle between them [rad].
    plies
        Cured thickness of each ply through the corner, the first on the mould [m].
    visible, structural
        As for `needed_radius`.
    bag_radius
        Tightest bend that film, breather and release film follow together [m].
    bulk
        By what share plies are thicker before they are consolidated.

    Returns
    -------
    tuple of PlyInCorner
        One for each ply.

    Raises
    ------
    InputError
        When a radius, thickness or bulk is negative, there is no ply, or the turn does not lie between 0 and 180°.

    Notes
    -----
    Rules of `needed_radius` and `verdict_of`, each ply taken to lie on the mould that the plies before it left: so the
    verdict never gets better with another ply. A ply spans at the radius that the rules call comfortable for a single
    ply. The pressure is that of a frictionless ring, (R − t)/R, an upper limit: plies that cannot slide carry the bag
    as a bridge.

    Offset arcs share their centre, so plies keep their length on the walls, and a ply whose middle lies z above the
    mould is z · turn shorter in the corner. A stack laid at (1 + bulk) its thickness sinks onto the mould while it
    consolidates; each ply's way grows by bulk · z · turn, which is the length called settling: cloth that cannot slide
    hangs in the corner instead and leaves resin or a void under it. Ply by ply onto consolidated plies only the newest
    one settles.
    """
    thickness = np.asarray(list(plies), dtype=np.float64)
    if len(thickness) == 0 or not (np.isfinite(thickness).all() and (thickness > 0).all()):
        raise InputError.one("plies in a corner", "no ply, or one of no thickness", "thicknesses above zero are wanted")
    if not (radius >= 0 and bag_radius >= 0 and bulk >= 0):
        raise InputError.one("corner", "a radius or a bulk below zero", "zero or more is wanted")
    if not 0 <= turn <= np.pi:
        raise InputError.one("corner", f"walls that turn by {np.degrees(turn):.0f}°", "0 to 180° is wanted")
    top = np.cumsum(thickness)
    ease = max(float(needed_radius(0.0, visible=visible, structural=structural)), bag_radius)
    out: list[PlyInCorner] = []
    worst = CornerVerdict.FOLLOWS
    for k, (ply, stack) in enumerate(zip(thickness.tolist(), top.tolist(), strict=True)):
        onto, left = max(0.0, radius - (stack - ply)), max(0.0, radius - stack)
        reaches = left > 0 and left >= bag_radius
        worst = max(
            worst, _verdict(radius, onto, stack, left, bag_radius, visible, structural), key=list(CornerVerdict).index
        )
        middle = stack - 0.5 * ply
        known = turn <= WIDEST_TURN
        out.append(
            PlyInCorner(
                ply=k + 1,
                onto=onto,
                stack=stack,
                left=left,
                pressure=left / radius if reaches else 0.0,
                verdict=worst,
                bridge=float(bridge_height(onto, turn, ease)) if known else None,
                slide=float(slide_in(onto, turn, ease)) if known else None,
                settle=bulk * middle * turn,
                shorter=min(middle, radius) * turn,
            )
        )
    return tuple(out)


def _verdict(
    radius: float, onto: float, stack: float, left: float, bag_radius: float, visible: bool, structural: bool
) -> CornerVerdict:
    """Return what the corner asks of one ply by itself."""
    if left <= 0.0:
        return CornerVerdict.CLOSED
    if onto <= FILLER_RADIUS:
        return CornerVerdict.FILLER
    if onto < HARD_RADIUS or left < bag_radius:
        return CornerVerdict.BRIDGES
    if radius < needed_radius(stack, visible=visible, structural=structural):
        return CornerVerdict.HARD
    return CornerVerdict.FOLLOWS


def largest_follower(plies: Sequence[PlyInCorner], worst: CornerVerdict) -> int:
    """Return how many plies the corner takes before it asks more than a verdict.

    Parameters
    ----------
    plies
        As `plies_in_corner` returns them.
    worst
        The hardest verdict that is accepted.

    Examples
    --------
    >>> p = plies_in_corner(0.004, 1.5708, [0.00025] * 8, visible=False, structural=False)
    >>> largest_follower(p, CornerVerdict.FOLLOWS), largest_follower(p, CornerVerdict.BRIDGES)
    (5, 8)
    """
    order = list(CornerVerdict)
    return sum(1 for p in plies if order.index(p.verdict) <= order.index(worst))


def radius_to_follow(plies: Sequence[float], *, visible: bool, structural: bool, bag_radius: float = 0.0) -> float:
    """Return the smallest radius of the mould in which every ply follows.

    Parameters
    ----------
    plies
        Cured thickness of each ply through the corner [m].
    visible, structural
        As for `needed_radius`.
    bag_radius
        Tightest bend that the bag follows [m].

    Returns
    -------
    float
        Radius [m].

    Raises
    ------
    InputError
        When there is no ply.
    """
    t = np.asarray(list(plies), dtype=np.float64)
    if len(t) == 0:
        raise InputError.one("plies in a corner", "no ply", "at least one is wanted")
    total = float(t.sum())
    rule = float(needed_radius(total, visible=visible, structural=structural))
    return max(rule, HARD_RADIUS + total - float(t[-1]), bag_radius + total)
