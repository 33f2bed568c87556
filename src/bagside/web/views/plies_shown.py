"""What the page of plies holds: values alone, so that a page is open before anything that works them out is loaded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from bagside.findings import Basis, Finding
from bagside.spec.job import Job, Ply

Triple = tuple[float, float, float]
Range = tuple[float, float]

FIELDS = ("shear", "warp", "weft")
"""The maps of a ply."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionShown:
    """The section with one ply in hand.

    Parameters
    ----------
    svg
        As drawn for paper.
    ends
        Where each ply ends on its right, in shares of the drawing's width and height; None for one it does not meet.
    """

    svg: str
    ends: tuple[tuple[float, float] | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceShown:
    """One piece of a ply.

    Parameters
    ----------
    label
        Its name.
    copies
        For one part.
    area
        Flat, of one [m²].
    shear
        Largest that is not a single triangle: 99 % of its area stays below [rad]; None of a card.
    warp, weft
        Strains between which 98 % of its area lies; None of a card.
    start
        Where its laying starts [m]; None of a card.
    zero, across
        Unit vectors in the surface there: the part's zero direction, and a quarter turn from it counter-clockwise
        seen from the laminate side.
    """

    label: str
    copies: int
    area: float
    shear: float | None = None
    warp: Range | None = None
    weft: Range | None = None
    start: Triple | None = None
    zero: Triple | None = None
    across: Triple | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlyShown:
    """One ply.

    Parameters
    ----------
    ply
        As it is built.
    stated
        Its place among the plies that the job states, from 0; None when a build-up or another job states it.
    pieces
        Largest first.
    area, mass
        Of its pieces, flat, for one part [m²], [kg].
    thickness
        Cured [m].
    thickness_basis, mass_basis
        On what these rest.
    locking, locking_basis
        Shear at which its cloth wrinkles [rad], and on what that rests; None when it has no such angle.
    mesh
        Which of the view's meshes shows it; None without a surface.
    flats
        Its pieces as they are cut, coloured by `shown`.
    shown
        Which map that is: ``shear`` or ``stretch``; empty of cards.
    second
        The other one, when it tells something too.
    time
        To lay it [s]; None before the plan is whole.
    findings
        Of it, weightiest first.
    tiles
        How many it is cut as; 0 when it is cut whole.
    """

    ply: Ply
    stated: int | None
    pieces: tuple[PieceShown, ...]
    area: float
    mass: float
    thickness: float
    thickness_basis: Basis
    mass_basis: Basis
    locking: float | None
    locking_basis: Basis
    mesh: int | None
    flats: str
    shown: str
    second: str
    time: float | None
    findings: tuple[Finding, ...]
    tiles: int = 0

    @property
    def count(self) -> int:
        """How many pieces there are, copies counted."""
        return self.tiles or sum(p.copies for p in self.pieces)

    @property
    def shear(self) -> float | None:
        """The largest of its pieces' [rad]; None of cards."""
        return max((p.shear for p in self.pieces if p.shear is not None), default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class PliesView:
    """What the page of plies shows.

    Parameters
    ----------
    job
        That it was made from, with build-ups as plies: what is shown of a ply holds as long as this does.
    plies
        In laying order.
    meshes
        Packed surfaces; plies that lie alike share one.
    sections
        The section A–A, or the stack, with each ply in hand.
    surface
        Whether there is a mould to show.
    twin_of
        Folder of the job whose mirror image this is; empty when it is its own.
    lines
        Points of each line that a ply is cut along, taken to what is laid up, by its name [m].
    """

    job: Job
    plies: tuple[PlyShown, ...]
    meshes: tuple[bytes, ...]
    sections: tuple[SectionShown, ...]
    surface: bool
    twin_of: str
    lines: Mapping[str, tuple[Triple, ...]] = field(default_factory=dict)


def stated_of(built: Sequence[Ply], stated: Sequence[Ply]) -> tuple[int | None, ...]:
    """Return which of the stated plies each built one is; build-ups stand among them and are none.

    Parameters
    ----------
    built
        In laying order, build-ups as plies.
    stated
        In laying order, as the job's file has them.
    """
    out: list[int | None] = []
    k = 0
    for ply in built:
        own = k < len(stated) and ply == stated[k]
        out.append(k if own else None)
        k += own
    return tuple(out)
