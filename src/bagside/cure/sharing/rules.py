"""What keeps parts out of one oven before any heat is computed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bagside.cure.sharing.load import PUMPED, STANDARD, Load, Space
from bagside.cure.sharing.placing import placed
from bagside.quantity import shown


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """Why parts cannot share an oven.

    Parameters
    ----------
    what, why, do
        As in a finding.
    parts
        Whom it concerns.
    """

    what: str
    why: str
    do: str
    parts: tuple[str, ...]


def clashes(loads: Sequence[Load], space: Space) -> tuple[Clash, ...]:
    """Return what keeps parts from sharing one run, whatever the cycle.

    Parameters
    ----------
    loads
        That are to share.
    space
        What the oven has room for.

    Returns
    -------
    tuple of Clash
        Empty when nothing does.

    Notes
    -----
    What is not stated is not checked. All rules are common practice.
    """
    return tuple(c for c in (_wet(loads), _room(loads, space), _lines(loads, space), _leaks(loads, space),
                             _sensors(loads, space)) if c is not None)  # fmt: skip


def _names(loads: Sequence[Load]) -> tuple[str, ...]:
    return tuple(x.name for x in loads)


def _wet(loads: Sequence[Load]) -> Clash | None:
    wet = [x for x in loads if x.wet]
    if not wet or len(wet) == len(loads):
        return None
    return Clash(
        what=f"{', '.join(_names(wet))} would bring fresh paint or adhesive into a cure of prepreg",
        why="its solvent gets under bags and into resin, and its vapour can catch fire near a heater",
        do="let it dry by the coating's data sheet first, or give it an oven run of its own",
        parts=_names(loads),
    )


def _room(loads: Sequence[Load], space: Space) -> Clash | None:
    sizes = [x.footprint for x in loads if x.footprint is not None]
    if space.shelves is None or not sizes or placed(sizes, space.shelves, space.gap) is not None:
        return None
    return Clash(
        what=f"they do not fit on {'the shelf' if len(space.shelves) == 1 else f'{len(space.shelves)} shelves'} with "
        f"{shown(space.gap, 'mm', 0)} of air around each",
        why="moulds that touch, or stand before the air's return, stay cold",
        do="take one out, or put in another shelf",
        parts=_names(loads),
    )


def _lines(loads: Sequence[Load], space: Space) -> Clash | None:
    lines = sum(x.lines for x in loads)
    if space.ports is None or lines <= space.ports:
        return None
    return Clash(
        what=f"they need {lines} vacuum lines and {space.ports} lead into the oven",
        why="each bag wants a line of its own with a valve, so that one that bursts does not take the others",
        do="take one out, or fit another port",
        parts=_names(loads),
    )


def _leaks(loads: Sequence[Load], space: Space) -> Clash | None:
    leaks = sum(x.leak or 0.0 for x in loads)
    if space.pump is None or leaks <= space.pump * PUMPED / STANDARD:
        return None
    return Clash(
        what=f"their leaks add up to {60e6 * leaks:.0f} cm³/min; at {shown(PUMPED, 'mbar', 0)} the pump takes "
        f"{60e6 * space.pump * PUMPED / STANDARD:.0f} cm³/min",
        why="then no bag on this pump is well pulled down",
        do="seal the leakiest bag, or put in a second pump",
        parts=_names(loads),
    )


def _sensors(loads: Sequence[Load], space: Space) -> Clash | None:
    if space.thermocouples is None or len(loads) <= space.thermocouples:
        return None
    return Clash(
        what=f"they need {len(loads)} thermocouples and {space.thermocouples} can be read",
        why="a dwell starts at the slowest mould, so each needs one",
        do="take one out, or add a logger",
        parts=_names(loads),
    )
