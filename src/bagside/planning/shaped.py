"""What later stages want to know of a part's shape, whether a mould's surface or a tape measure says so.

`FromMould` and `FromTape` are the two ways; which one a job takes is decided once, in `shaped_from`. What a stage works
out from a surface when there is one, and from sizes when there is none, is a method here. What only a surface can tell
is left empty, and said in one finding.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from bagside.bagging import BagPlan, BagPly, PressureMap
from bagside.cutting import FlatPiece
from bagside.findings import Finding
from bagside.geometry import Surface
from bagside.mould import MouldReport
from bagside.planning.cut_stage import PlyCuts
from bagside.planning.extent import Extent
from bagside.planning.joint_stage import Site
from bagside.planning.laminate_stage import LaminateMap, laid_ply
from bagside.planning.mould_stage import MouldSurface
from bagside.planning.patchwork_stage import PlyPatchwork
from bagside.planning.piece import Piece
from bagside.planning.ply_pieces import PlyPieces
from bagside.planning.stages import Stages
from bagside.planning.twin import Twin
from bagside.spec.job import Job
from bagside.spec.library import Library
from bagside.spec.material import Prepreg, Substrate
from bagside.spec.region import EVERYTHING
from bagside.spec.workshop import Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """What the cure does to the mould.

    Parameters
    ----------
    gel
        Hottest temperature at which a section gels on the mould [K]; None when one does not gel.
    hottest
        Hottest the mould gets [K].
    bag
        Hottest the bag gets [K].
    room
        Temperature of the room [K].
    """

    gel: float | None
    hottest: float
    bag: float
    room: float

    @property
    def sets(self) -> float:
        """Temperature at which the part's shape sets [K]."""
        return self.hottest if self.gel is None else self.gel


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shaped(ABC):
    """A part as far as its pieces, and how the stages after them find what they need.

    Parameters
    ----------
    job
        As it is built: build-ups as plies, and in the twin's axes when the part is one.
    library
        Materials.
    cut
        Everything that is cut, for all parts.
    nested
        What the nest is worked out for: the other part's pieces when this one is its twin, else the same.
    plies
        The pieces of each ply.
    surface
        The mould's surfaces; None when there is none.
    regions
        Each named region as a surface.
    pieces
        Every draped piece.
    cuts
        Where plies are cut, and how the cuts were found.
    patchwork
        The ply that is cut as tiles; None when there is none.
    twin
        What this part is the mirror image of; None when it is its own.
    mended
        What was mended in the drawings of its cards.
    """

    job: Job
    library: Library
    cut: tuple[FlatPiece, ...]
    nested: tuple[FlatPiece, ...]
    plies: tuple[PlyPieces, ...]
    surface: MouldSurface | None = None
    regions: Mapping[str, Surface] = field(default_factory=dict)
    pieces: tuple[Piece, ...] = ()
    cuts: tuple[PlyCuts, ...] = ()
    patchwork: PlyPatchwork | None = None
    twin: Twin | None = None
    mended: tuple[Finding, ...] = ()

    @property
    def prepregs(self) -> tuple[Prepreg, ...]:
        """The cloth of each ply."""
        return tuple(self.library.prepreg[ply.material] for ply in self.job.plies)

    @property
    def replaced(self) -> tuple[Substrate, float] | None:
        """What the replaced part is made of, and its thickness [m]; None when nothing is replaced."""
        stated = self.job.replaces
        return None if stated is None else (self.library.substrate[stated.material], stated.thickness)

    @property
    @abstractmethod
    def mould_area(self) -> float:
        """Of the mould, its flange included [m²]."""

    @property
    def mould_under(self) -> NDArray[np.float64]:
        """How thick the mould is under each triangle or place of the laminate, shape (m,) [m]."""
        stated = self.job.mould
        where = [(self.within(place.region), place.thickness) for place in stated.thicker if place.width is None]
        out = np.full(len(self.within(EVERYTHING)), stated.thickness)
        for inside, thickness in where:
            out[inside] = thickness
        return out

    @abstractmethod
    def within(self, region: str) -> NDArray[np.bool_]:
        """Return which triangles or places of the laminate lie in a region, shape (m,).

        Parameters
        ----------
        region
            Its name, or that of a place; everything lies in `EVERYTHING`.
        """

    @abstractmethod
    def covered(self, ply: int) -> Extent:
        """Return how large the place is that a ply covers.

        Parameters
        ----------
        ply
            Its index.
        """

    @abstractmethod
    def laminated(self, stages: Stages) -> LaminateMap:
        """Return the laminate over the part.

        Parameters
        ----------
        stages
            Keep what is worked out.
        """

    @abstractmethod
    def told(self, laminate: LaminateMap, heat: Heat, stages: Stages) -> MouldReport:
        """Return what the mould says.

        Parameters
        ----------
        laminate
            Over the part.
        heat
            From the cure.
        stages
            Keep what is worked out.
        """

    @abstractmethod
    def bagged(self, mould: MouldReport, heat: Heat, workshop: Workshop, stages: Stages) -> BagPlan:
        """Return the bag.

        Parameters
        ----------
        mould
            What it says: plies through tight corners are debulked more often.
        heat
            From the cure.
        workshop
            Its pump and room.
        stages
            Keep what is worked out.
        """

    @abstractmethod
    def sites(self, laminate: LaminateMap) -> tuple[tuple[Site, ...], tuple[Site, ...]]:
        """Return what lies under each bracket, and round each hole.

        Parameters
        ----------
        laminate
            Over the part.
        """

    @abstractmethod
    def noticed(self, laminate: LaminateMap) -> tuple[Finding, ...]:
        """Return what was noticed of the shape itself.

        Parameters
        ----------
        laminate
            Over the part.
        """

    @property
    def laid_points(self) -> NDArray[np.float64] | None:
        """Vertices of what is laid up, shape (n, 3) [m]; None without a surface."""
        return None

    def pressed(self, laminate: LaminateMap, workshop: Workshop, stages: Stages) -> PressureMap | None:
        """Return what presses on the lay-up place by place; nothing without a surface.

        Parameters
        ----------
        laminate
            Over the part.
        workshop
            Its pump and room.
        stages
            Keep what is worked out.
        """
        return None

    def bag_plies(self, mould: MouldReport) -> tuple[BagPly, ...]:
        """Return each ply as the bag's debulks see it.

        Parameters
        ----------
        mould
            With the plies through its tight corners.
        """
        tight = {number - 1 for corner in mould.laid for number in corner.numbers}
        sheared = [
            max((float(np.abs(p.drape.shear).max()) for p in self.pieces if p.ply == k), default=0.0)
            for k in range(len(self.plies))
        ]
        return tuple(
            BagPly(
                name=f"ply {k + 1}",
                area=own.area,
                thickness=thickness_of(self.prepregs[k]),
                has_tight_corner=k in tight,
                shear=sheared[k],
            )
            for k, own in enumerate(self.plies)
        )


def thickness_of(prepreg: Prepreg) -> float:
    """Return the cured thickness of a cloth [m].

    Parameters
    ----------
    prepreg
        The cloth.
    """
    return laid_ply("", prepreg, 0.0).thickness
