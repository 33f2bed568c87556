"""Films, tapes and hoses held against a cycle, for ``bagside bag``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagside.bagging import Rated


def standing(case: Path | None, used: list[str]) -> tuple[Rated, ...]:
    """Return every film, tape and hose of the library held against a cycle; none without one.

    Raises
    ------
    InputError
        When the cycle cannot be read, or what was used is not known.
    """
    if case is None and not used:
        return ()
    import numpy as np

    from bagside import bagging
    from bagside.cli.cure.case import opened_case
    from bagside.errors import InputError, did_you_mean
    from bagside.spec.library import generic_library

    if case is None:
        raise InputError.one(
            "--cure", "", "this is missing: --used says what has seen cures, --cure for which it is meant"
        )
    films, seen = generic_library().film, taken(used)
    for name in seen:
        if name not in films:
            raise InputError.one("--used", f'"{name}"', "this is not known here", did_you_mean(name, films))
    opened = opened_case(case, None)
    air = opened.oven.air(opened.programme)
    time = np.arange(0.0, air.end, 30.0)
    return bagging.rated(
        [bagging.consumable_of(n, f, seen.get(n, 0)) for n, f in films.items()],
        time,
        air.at(time) + 0.5 * opened.spread,
    )


def taken(used: list[str]) -> dict[str, int]:
    """Return how many cures each named thing has seen.

    Raises
    ------
    InputError
        When it is not a name and a number.
    """
    from bagside.errors import InputError

    out = {}
    for text in used:
        name, _, count = text.rpartition(" ")
        if not name or not count.isdigit():
            raise InputError.one("--used", f'"{text}"', 'a name and a number of cures are wanted, as in "bag-nylon 1"')
        out[name.strip()] = int(count)
    return out
