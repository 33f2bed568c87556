"""When to debulk: press the plies laid so far under vacuum, so that air leaves and corners follow.

The first ply always; after that more often where a corner is tight than on flat ground. The last ply is pressed by the
bag itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from bagside.errors import InputError
from bagside.findings import Basis

THICK_PLY = 0.0004  # [m] from here on a ply counts as thick
RULE = "first ply always; every 2 to 3 plies with thick plies or corners, 4 to 6 on flat ground"


class PlyRecord(Protocol):
    """What a bag needs to know of a ply."""

    @property
    def name(self) -> str:
        """What people call it."""

    @property
    def area(self) -> float:
        """Of cloth [m²]."""

    @property
    def thickness(self) -> float:
        """Cured [m]."""

    @property
    def has_tight_corner(self) -> bool:
        """Whether it runs through a tight inside corner."""

    @property
    def shear(self) -> float:
        """Most its cloth is sheared [rad]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BagPly:
    """A ply as the bag sees it.

    Parameters
    ----------
    name
        What people call it.
    area
        Of cloth [m²].
    thickness
        Cured [m].
    has_tight_corner
        Whether it runs through a tight inside corner.
    shear
        Most its cloth is sheared [rad]; zero when it was not draped.
    """

    name: str
    area: float
    thickness: float
    has_tight_corner: bool = False
    shear: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Debulk:
    """One debulk.

    Parameters
    ----------
    after
        Number of plies laid when it is done: 1 is after the first ply.
    minutes
        Under full vacuum [min].
    warm
        Whether at 40 to 50 °C; warm time counts against out-life.
    why
        In half a sentence.
    basis
        On what it rests.
    """

    after: int
    minutes: float
    warm: bool
    why: str
    basis: Basis


def debulk_plan(plies: Sequence[PlyRecord], *, visible: bool = True) -> tuple[Debulk, ...]:
    """Return when to debulk.

    Parameters
    ----------
    plies
        In the order they are laid.
    visible
        Whether the mould side is seen, so that the first debulk takes longer.

    Returns
    -------
    tuple of Debulk

    Raises
    ------
    InputError
        When there is no ply or a thickness is not positive.

    Notes
    -----
    Common practice; the first debulk and every fifth to sixth ply of stiff cloth are taught in repair training.
    """
    if not plies:
        raise InputError.one("plies", "none", "at least one ply is wanted")
    for ply in plies:
        if not ply.thickness > 0:
            raise InputError.one(ply.name, f"thickness {ply.thickness} m", "a thickness above zero is wanted")
    first = plies[0]
    out = [
        Debulk(
            after=1,
            minutes=20.0 if visible else 15.0,
            warm=first.has_tight_corner,
            why="the first ply lies on the mould: air left under it is seen as pinholes",
            basis=Basis.COMMON,
        )
    ]
    since: list[PlyRecord] = []
    for number, ply in enumerate(plies[1:], start=2):
        since.append(ply)
        corner = any(p.has_tight_corner for p in since)
        thick = any(p.thickness >= THICK_PLY for p in since)
        every = (2 if thick else 3) if corner else (4 if thick else 5)
        if len(since) >= every and number < len(plies):
            out.append(_further(number, len(since), corner=corner))
            since = []
    return tuple(out)


def _further(number: int, count: int, *, corner: bool) -> Debulk:
    return Debulk(
        after=number,
        minutes=15.0 if corner else 10.0,
        warm=corner,
        why=f"{count} plies since the last one{', through a tight corner' if corner else ', on open ground'}",
        basis=Basis.COMMON,
    )
