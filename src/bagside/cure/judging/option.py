"""One way on after a mishap, with what comes of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from bagside.cure.judging.reason import Weight
from bagside.cure.programme import Programme


class Action(StrEnum):
    """What can be done."""

    CONTINUE = "continue"
    EXTEND = "extend"
    REBAG = "bag again"
    POST_CURE = "post-cure"
    CLAMP = "clamp back"
    STOP = "stop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One way on, computed.

    Parameters
    ----------
    action
        In a word.
    words
        What to do.
    programme
        For the oven, from the air there is when it begins; none when nothing is heated.
    extra
        How much longer than planned its last hold is [s].
    before
        Time from now by which it must have begun [s]; none when there is no hurry.
    end
        Time from now to the end of the last hold [s]; none when nothing is heated.
    cure_low, cure
        Degree of cure at the least cured point then: if it is as far behind as the log allows, and most probably.
    tg
        Glass transition there, of the first [K].
    hottest
        Hottest laminate meanwhile [K].
    flow
        Time resin still flows before it gels [s]; none when it has gelled.
    meets
        Whether the degree of cure wanted is reached and what mould and resin bear is kept.
    weight
        What is lost whatever is done now.
    risks
        In words; empty when nothing is lost.
    """

    action: Action
    words: str
    programme: Programme | None = None
    extra: float = 0.0
    before: float | None = None
    end: float | None = None
    cure_low: float
    cure: float
    tg: float
    hottest: float
    flow: float | None = None
    meets: bool
    weight: Weight
    risks: tuple[str, ...] = ()


def ranked(options: list[Option]) -> tuple[Option, ...]:
    """Return options, best first.

    What reaches its aim comes first, then what loses least, then what stays on the mould, then what is over soonest.

    Parameters
    ----------
    options
        In any order.
    """
    order = list(Weight)
    actions = list(Action)
    return tuple(
        sorted(
            options,
            key=lambda o: (
                o.action is Action.STOP,
                not o.meets,
                order.index(o.weight),
                o.action is Action.POST_CURE,
                o.end if o.end is not None else 0.0,
                actions.index(o.action),
            ),
        )
    )
