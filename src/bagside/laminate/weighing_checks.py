"""Which look or measurement tells apart what the scale cannot.

Each check has an answer for each cause; it parts two causes when their answers differ. The answers are those of the
trade (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from bagside.laminate.weighing_plan import STAGES


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """Something to look at or to measure.

    Parameters
    ----------
    key
        Short name.
    do
        What to do.
    since, until
        First and last stage at which it can be done.
    answers
        What a cause gives, by its key; a cause that is not named gives what a part without fault gives.
    """

    key: str
    do: str
    since: str
    until: str
    answers: dict[str, str]


CHECKS = (
    Check(
        key="again",
        do="weigh it again on an empty, level scale",
        since="kit",
        until="finished",
        answers={"reading": "another mass"},
    ),
    Check(
        key="on",
        do="look whether the films are on the pieces",
        since="kit",
        until="kit",
        answers={"bare": "they are off"},
    ),
    Check(
        key="count",
        do="count the kit against its list, each piece with its cloth",
        since="kit",
        until="kit",
        answers={"missing": "one short", "extra": "one more", "exchanged": "another cloth"},
    ),
    Check(
        key="left",
        do="look whether a piece is left in the kit's bag",
        since="laid",
        until="finished",
        answers={"unlaid": "one left"},
    ),
    Check(
        key="films",
        do="weigh and count the backing films that were taken off",
        since="laid",
        until="finished",
        answers={"film": "one short", "missing": "one ply's short", "unlaid": "one ply's short", "extra": "more"},
    ),
    Check(
        key="thickness",
        do="measure the thickness at a point in each ply that it may be",
        since="raw",
        until="finished",
        answers={
            "missing": "a ply less there",
            "unlaid": "a ply less there",
            "extra": "a ply more there",
            "exchanged": "another ply there",
            "resin": "a little less everywhere",
            "roll": "a little off everywhere",
        },
    ),
    Check(
        key="edge",
        do="count the plies on a cut edge under a magnifier",
        since="raw",
        until="finished",
        answers={
            "missing": "one less",
            "unlaid": "one less",
            "extra": "one more",
            "exchanged": "another weave",
            "film": "a bright line",
        },
    ),
    Check(
        key="square",
        do="cut a square of 100 mm from the same roll, take its films off and weigh it",
        since="kit",
        until="finished",
        answers={"roll": "off its sheet"},
    ),
    Check(
        key="breather",
        do="look at the breather and along the edge of the bag for resin, and weigh the breather",
        since="raw",
        until="finished",
        answers={"resin": "resin in it"},
    ),
    Check(
        key="outline",
        do="hold the edge against its trim template",
        since="trimmed",
        until="finished",
        answers={"trim": "off the line"},
    ),
    Check(
        key="coat",
        do="measure the thickness of the coat, or weigh the inserts before they go in",
        since="finished",
        until="finished",
        answers={"coat": "off its plan"},
    ),
)


def parting(keys: Iterable[str], stage: str) -> tuple[tuple[Check, ...], tuple[tuple[str, str], ...]]:
    """Return the checks that part causes, cheapest first, and pairs that none of them parts.

    Parameters
    ----------
    keys
        Of the causes that the scale cannot tell apart.
    stage
        At which the part is now.
    """
    here = STAGES.index(stage)
    able = [c for c in CHECKS if STAGES.index(c.since) <= here <= STAGES.index(c.until)]
    left = list(combinations(sorted(set(keys)), 2))
    chosen: list[Check] = []
    while left:
        check = _next(able, left)
        if check is None:
            break
        chosen.append(check)
        left = [pair for pair in left if not _parts(check, pair)]
    return tuple(sorted(chosen, key=CHECKS.index)), tuple(left)


def _next(able: Sequence[Check], pairs: Sequence[tuple[str, str]]) -> Check | None:
    """Return the check that parts most pairs; the cheaper of two that part as many."""
    best = max(able, key=lambda c: sum(_parts(c, p) for p in pairs))
    return best if any(_parts(best, p) for p in pairs) else None


def _parts(check: Check, pair: tuple[str, str]) -> bool:
    return check.answers.get(pair[0], "") != check.answers.get(pair[1], "")
