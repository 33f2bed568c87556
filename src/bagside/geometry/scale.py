"""Whether a mould can be as large as its file says in the stated unit, and what the other units would make of it.

A unit is never guessed: a size no mould has is refused, an unusual one is pointed out, each with the size in every
unit, and the person says which.
"""

from __future__ import annotations

from collections.abc import Sequence

from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.geometry.readers import UNITS

# Longest side of a mould laid by hand: common practice, no source. A fuel cap is 40 mm, a racing shell 8 to 18 m.
NEVER_BELOW, SELDOM_BELOW, SELDOM_ABOVE, NEVER_ABOVE = 0.005, 0.03, 9.0, 40.0  # [m]


def size_refused(name: str, unit: str, size: Sequence[float]) -> None:
    """Refuse a size that no mould has.

    Parameters
    ----------
    name
        The file, for the message.
    unit
        As stated, or the words for a unit that the file carries itself.
    size
        Bounding box along x, y, z [m].

    Raises
    ------
    InputError
        When the longest side is below 5 mm or above 40 m; says what every other unit would give.
    """
    longest = max(size)
    if NEVER_BELOW <= longest <= NEVER_ABOVE:
        return
    raise InputError.one(
        name,
        f"{_told(size)}, read in {unit}",
        f"no mould for laying up by hand is {'smaller than 5 mm' if longest < NEVER_BELOW else 'longer than 40 m'}",
        _others(unit, size),
    )


def size_finding(name: str, unit: str, size: Sequence[float]) -> Finding | None:
    """Return a remark on a size that is unusual for a mould, or nothing.

    Parameters
    ----------
    name
        The file.
    unit
        As stated, or the words for a unit that the file carries itself.
    size
        Bounding box along x, y, z [m].
    """
    longest = max(size)
    if SELDOM_BELOW <= longest <= SELDOM_ABOVE:
        return None
    return Finding(
        severity=Severity.DECIDE,
        stage="mould",
        place=name,
        what=f"Read in {unit} the mould measures {_told(size)}, which is unusually "
        f"{'small' if longest < SELDOM_BELOW else 'large'}.",
        why="A wrong unit makes every later number wrong.",
        do=f"Compare it with the mould. {_others(unit, size)[0].upper()}{_others(unit, size)[1:]}.",
        basis=Basis.COMMON,
        source="moulds laid up by hand are 30 mm to 9 m long",
    )


def _told(size: Sequence[float]) -> str:
    longest = max(size)
    if longest < 0.01:
        return " × ".join(f"{1000 * s:.2g}" for s in size) + " mm"
    if longest < 10:
        return " × ".join(f"{1000 * s:.0f}" for s in size) + " mm"
    return " × ".join(f"{s:.4g}" for s in size) + " m"


def _others(unit: str, size: Sequence[float]) -> str:
    if unit not in UNITS:
        return "the unit stands in the file; check it where it was drawn"
    told = [f"in {u} {_told([s * f / UNITS[unit] for s in size])}" for u, f in UNITS.items() if u != unit]
    return "it would measure " + ", ".join(told)
