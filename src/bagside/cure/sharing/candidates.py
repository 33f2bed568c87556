"""Programmes that may serve several parts at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from bagside.cure.programme import Programme, Segment
from bagside.cure.sharing.load import Load, Space

BELOW = (2.0, 6.0, 10.0)
"""How far below the coolest limit of all parts a dwell is tried [K]."""

VARIED = ((1.0, 1.0), (0.5, 1.0), (2.0, 1.0), (1.0, 0.4), (2.0, 0.4), (4.0, 0.4))
"""By what dwells before the last one are tried longer or shorter, and with it ramps slower: what a thick laminate needs
to give off its heat."""


def candidates(loads: Sequence[Load], space: Space) -> tuple[Programme, ...]:
    """Return programmes to try on parts that are to share an oven.

    Parameters
    ----------
    loads
        The parts.
    space
        Their oven.

    Returns
    -------
    tuple of Programme
        Each part's own; of all parts together the slowest ramps and longest dwells at their coolest, middle and hottest
        dwell temperatures; the same kept below what every part stands. Ramps are what air and heater give with all the
        load in; dwells before the last and ramps are varied; none twice.
    """
    own = [x.programme for x in loads]
    found = list(own)
    merged = [_merged(own, pick) for pick in (min, _middle, max)]
    found += merged
    stands = min((x for load in loads for x in (load.bounds.tool, load.bounds.hottest) if x is not None), default=None)
    if stands is not None:
        found += [_capped(p, stands - below) for p in (*own, *merged) for below in BELOW]
    wet = min((load.bounds.void_free for load in loads if load.bounds.void_free is not None), default=None)
    if wet is not None:
        found += [_gelled_below(p, wet - below) for p in list(found) for below in BELOW[:2]]
    heated = sum(x.heated for x in loads)
    carried = [c for p in found if (c := _carried(p, space, heated)) is not None]
    varied = [_varied(p, dwell, ramp) for p in carried for dwell, ramp in VARIED]
    return tuple(dict.fromkeys(varied))


def _middle(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def _merged(own: Sequence[Programme], pick: Callable[[Sequence[float]], float]) -> Programme:
    """Return slowest ramps, longest dwells and picked temperatures, last segments against last."""
    length = max(len(p.segments) for p in own)
    segments = []
    for k in range(length, 0, -1):
        there = [p.segments[-k] for p in own if len(p.segments) >= k]
        segments.append(
            Segment(
                target=pick([s.target for s in there]),
                ramp=min(s.ramp for s in there),
                hold=max(s.hold for s in there),
            )
        )
    return Programme(start=own[0].start, segments=tuple(segments))


def _capped(programme: Programme, hottest: float) -> Programme:
    return replace(programme, segments=tuple(replace(s, target=min(s.target, hottest)) for s in programme.segments))


def _gelled_below(programme: Programme, hottest: float) -> Programme:
    """Return the programme with a first dwell below a temperature, as long as its first dwell or two hours."""
    first = programme.segments[0]
    if first.target <= hottest or hottest <= programme.start:
        return programme
    if len(programme.segments) > 1:
        return replace(programme, segments=(replace(first, target=hottest), *programme.segments[1:]))
    dwell = Segment(target=hottest, ramp=first.ramp, hold=max(first.hold, 7200.0))
    return replace(programme, segments=(dwell, *programme.segments))


def _carried(programme: Programme, space: Space, heated: float) -> Programme | None:
    """Return the programme with ramps that air and heater give; nothing when they cannot hold it."""
    if programme.hottest > space.oven.hottest:
        programme = _capped(programme, space.oven.hottest)
    segments, at = [], programme.start
    for s in programme.segments:
        most = space.fastest(heated, s.target) if s.target > at else space.oven.cooling
        if not most > 0.0:
            return None
        segments.append(replace(s, ramp=min(s.ramp, most)))
        at = s.target
    return replace(programme, segments=tuple(segments))


def _varied(programme: Programme, dwell: float, ramp: float) -> Programme:
    """Return the programme with other dwells before the last one and other ramps."""
    slowed = [replace(s, ramp=s.ramp * ramp) for s in programme.segments]
    return replace(
        programme, segments=(*(replace(s, hold=s.hold * dwell) for s in slowed[:-1]), replace(slowed[-1], hold=0.0))
    )
