"""A tight corner together with the plies that run through it: what each meets, and what helps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bagside.errors import InputError
from bagside.mould.corner import Corner
from bagside.mould.growth import BULK, PlyInCorner, plies_in_corner
from bagside.mould.radius import CornerVerdict
from bagside.mould.remedies import remedies_for
from bagside.mould.remedy import CornerCase, Remedy


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidCorner:
    """A corner and what is laid into it.

    Parameters
    ----------
    corner
        The corner.
    numbers
        Number in the job of each ply through it, the first on the mould; 1 is the job's first.
    plies
        What each of them meets there, in the same order.
    remedies
        What helps, best first; empty when every ply follows.
    """

    corner: Corner
    numbers: tuple[int, ...]
    plies: tuple[PlyInCorner, ...]
    remedies: tuple[Remedy, ...]

    @property
    def verdict(self) -> CornerVerdict:
        """What the corner asks when the last ply is in."""
        return self.plies[-1].verdict

    @property
    def first_worse(self) -> tuple[tuple[int, CornerVerdict], ...]:
        """Number of the ply from which each verdict holds, in order."""
        out: list[tuple[int, CornerVerdict]] = []
        for number, ply in zip(self.numbers, self.plies, strict=True):
            if not out or out[-1][1] is not ply.verdict:
                out.append((number, ply.verdict))
        return tuple(out)

    @property
    def words(self) -> str:
        """The verdict as it changes: ``hard work, from ply 4 bridges``."""
        first, *later = self.first_worse
        return ", ".join([first[1].value, *(f"from ply {number} {verdict.value}" for number, verdict in later)])


def laid_corner(
    corner: Corner,
    plies: Sequence[float],
    *,
    visible: bool,
    structural: bool,
    numbers: Sequence[int] | None = None,
    bag_radius: float = 0.0,
    bulk: float = BULK,
) -> LaidCorner:
    """Return what plies meet in a corner and what helps there.

    Parameters
    ----------
    corner
        As `corners_of` returns it.
    plies
        Cured thickness of each ply through it, the first on the mould [m].
    visible, structural
        As for `needed_radius`.
    numbers
        Number of each in the job; 1, 2, … when not given.
    bag_radius
        Tightest bend that film, breather and release film follow together [m].
    bulk
        By what share plies are thicker before they are consolidated.

    Returns
    -------
    LaidCorner

    Raises
    ------
    InputError
        As for `plies_in_corner`, or when there is not one number for each ply.
    """
    named = tuple(range(1, len(plies) + 1)) if numbers is None else tuple(numbers)
    if len(named) != len(plies):
        raise InputError.one("plies in a corner", f"{len(named)} numbers for {len(plies)} plies", "one each is wanted")
    growth = plies_in_corner(
        corner.radius,
        corner.turn,
        plies,
        visible=visible,
        structural=structural,
        bag_radius=bag_radius,
        bulk=bulk,
    )
    case = CornerCase(
        radius=corner.radius,
        turn=corner.turn,
        length=corner.length,
        bending=corner.bending,
        surplus=corner.surplus,
        closed=corner.closed,
        meetings=corner.branches,
    )
    help_there = remedies_for(
        case, plies, growth, visible=visible, structural=structural, bag_radius=bag_radius, bulk=bulk
    )
    return LaidCorner(corner=corner, numbers=named, plies=growth, remedies=help_there)
