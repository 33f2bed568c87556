"""The causes of pinholes: how common each is, how sharply it sets in, where it shows, what to do next time.

All of it is common practice put into numbers, written down so that it can be argued with: a shop's own record of
causes found is better. Weights of places are how the defects of one cause spread; they are scaled to sum to one.
"""

from __future__ import annotations

from dataclasses import dataclass

from bagside.spec.pinhole_file import Seen

OTHER = "something not listed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """A cause of pinholes.

    Parameters
    ----------
    name
        As margins name it.
    common
        How often it is the culprit among parts with pinholes, relative to the others.
    sharp
        How sharply it sets in: the hazard is 1 / (1 + margin^sharp).
    shows
        Weight of each place; places not named get `ELSEWHERE`.
    next_time
        What to do about it.
    """

    name: str
    common: float
    sharp: float
    shows: dict[Seen, float]
    next_time: str


ELSEWHERE = 0.02  # weight of a place where a cause hardly ever shows
_S = Seen

CAUSES: tuple[Cause, ...] = (
    Cause(
        name="air under the first ply", common=3.0, sharp=3.0,
        shows={_S.CROSSINGS: 0.50, _S.CENTRE: 0.30, _S.PATCH: 0.06, _S.INSIDE: 0.06},
        next_time="debulk the first ply on its own for 20 to 30 min at full vacuum, its edges open",
    ),
    Cause(
        name="air between plies", common=2.0, sharp=3.0,
        shows={_S.WITHIN: 0.45, _S.CENTRE: 0.25, _S.CROSSINGS: 0.10, _S.BAG: 0.10, _S.JOINT: 0.06},
        next_time="debulk every 2 to 5 plies, strips of glass from the ply's edge into the breather, a longer hold",
    ),
    Cause(
        name="water in the prepreg", common=2.0, sharp=4.0,
        shows={_S.WITHIN: 0.35, _S.CROSSINGS: 0.30, _S.BAG: 0.12, _S.CENTRE: 0.12, _S.EDGE: 0.04},
        next_time="let it gel cooler, keep the room under 50 % humidity, hold it under vacuum overnight",
    ),
    Cause(
        name="opened cold", common=0.8, sharp=2.0,
        shows={_S.PATCH: 0.30, _S.WITHIN: 0.25, _S.CROSSINGS: 0.25, _S.JOINT: 0.05},
        next_time="leave it sealed until its core is 3 K above the dew point: a roll overnight",
    ),
    Cause(
        name="weak vacuum", common=1.0, sharp=3.0,
        shows={_S.CROSSINGS: 0.30, _S.WITHIN: 0.30, _S.BAG: 0.15, _S.CENTRE: 0.10, _S.EDGE: 0.08},
        next_time="20 to 30 mbar absolute on a gauge at the bag; service the pump, shorten the hose",
    ),
    Cause(
        name="leak", common=1.5, sharp=2.0,
        shows={_S.EDGE: 0.40, _S.PATCH: 0.20, _S.BAG: 0.16, _S.WITHIN: 0.12, _S.CROSSINGS: 0.10},
        next_time="drop test before heating, and again at 60 °C; find the leak first",
    ),
    Cause(
        name="pump stopped", common=0.8, sharp=3.0,
        shows={_S.CROSSINGS: 0.28, _S.WITHIN: 0.28, _S.BAG: 0.18, _S.CENTRE: 0.10, _S.EDGE: 0.10},
        next_time="pump on until the resin has gelled; a receiver and non-return valve for power cuts",
    ),
    Cause(
        name="resin too thick", common=1.2, sharp=3.0,
        shows={_S.CROSSINGS: 0.40, _S.WITHIN: 0.25, _S.CENTRE: 0.12, _S.EDGE: 0.08, _S.PATCH: 0.04},
        next_time="more time between softening and gel: a dwell at 70 to 80 °C, or a slower ramp; fresher cloth",
    ),
    Cause(
        name="old prepreg", common=0.7, sharp=4.0,
        shows={_S.INSIDE: 0.30, _S.CROSSINGS: 0.25, _S.WITHIN: 0.20, _S.JOINT: 0.12},
        next_time="keep the hours of each roll and kit; a coupon before a show part from cloth over 90 %",
    ),
    Cause(
        name="starved of resin", common=0.9, sharp=20.0,
        shows={_S.CROSSINGS: 0.40, _S.EDGE: 0.20, _S.CENTRE: 0.10, _S.OUTSIDE: 0.16},
        next_time="release film without holes; a surface ply richer in resin",
    ),
    Cause(
        name="cloth spans a corner", common=1.5, sharp=3.0,
        shows={_S.INSIDE: 0.86, _S.SAME: 0.06},
        next_time="a slip joint or dart in that corner, work from the corner outwards, press it with rubber",
    ),
    Cause(
        name="bag spans a corner", common=1.0, sharp=2.0,
        shows={_S.INSIDE: 0.84, _S.BAG: 0.08},
        next_time="a pleat at each corner, stop at 250 mbar and push the film in, then pull down",
    ),
    Cause(
        name="backing film left in", common=0.3, sharp=2.0,
        shows={_S.PATCH: 0.55, _S.WITHIN: 0.30, _S.JOINT: 0.08},
        next_time="count films off the kit: as many as were supplied",
    ),
    Cause(
        name="mould not tight", common=0.8, sharp=2.0,
        shows={_S.SAME: 0.45, _S.PATCH: 0.30, _S.JOINT: 0.10, _S.CROSSINGS: 0.05},
        next_time="bag the bare mould and test it; seal seams and holes from outside, seal its surface",
    ),
    Cause(
        name="release agent too soft", common=0.4, sharp=3.0,
        shows={_S.SAME: 0.25, _S.PATCH: 0.30, _S.CROSSINGS: 0.22, _S.OUTSIDE: 0.08},
        next_time="a semi-permanent release agent that stands the cycle; strip the wax first",
    ),
)  # fmt: skip
"""In no order that counts."""

OTHER_COMMON, OTHER_HAZARD = 1.0, 0.06  # a cause nobody thought of: how common, and its fixed hazard


def shows_at(cause: Cause | None, place: Seen) -> float:
    """Return the share of a cause's defects that show at a place.

    Parameters
    ----------
    cause
        Which; None for one that is not listed, which shows anywhere.
    place
        Where.
    """
    if cause is None:
        return 1.0 / len(Seen)
    weights = [cause.shows.get(s, ELSEWHERE) for s in Seen]
    return cause.shows.get(place, ELSEWHERE) / sum(weights)
