"""A part whose shape is known from its mould's surface: every stage that wants one, declared in one place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.bagging import BagPlan, PressureMap
from bagside.cutting import FlatPiece
from bagside.findings import Finding
from bagside.geometry import Surface, nearest
from bagside.mould import MouldReport
from bagside.planning import (
    bag_stage,
    going_on,
    joint_stage,
    kit_stage,
    laminate_stage,
    lay_up,
    mould_stage,
    ply_notes,
    ply_stage,
)
from bagside.planning.content import ContentFile
from bagside.planning.extent import Extent, extent_of
from bagside.planning.joint_stage import Site
from bagside.planning.laminate_stage import LaminateMap
from bagside.planning.mirror import mirrored_cuts
from bagside.planning.mould_stage import MouldSurface
from bagside.planning.patchwork_stage import mirrored_patchwork
from bagside.planning.ply_pieces import in_laying_order, pieces_by_ply
from bagside.planning.shaped import Heat, Shaped, thickness_of
from bagside.planning.stages import Stages
from bagside.planning.twin import Twin, twin_of
from bagside.spec.job import Mould
from bagside.spec.opening import Opened
from bagside.spec.region import EVERYTHING
from bagside.spec.workshop import Workshop

ON = 0.05  # edge lengths by which two meshes of one region may part


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FromMould(Shaped):
    """A part on a mould whose surface is known.

    Parameters
    ----------
    file
        The mould's mesh.
    stated
        The mould as stated, in the other part's axes when this one is a twin.
    surface
        The mould's surfaces.
    part
        The finished part, evenly meshed.
    """

    file: ContentFile
    stated: Mould
    surface: MouldSurface
    part: Surface

    @property
    def laid(self) -> Surface:
        """What is laid up: the largest region that a ply covers."""
        return lay_up.laid(self.job, self.regions)

    @property
    def mould_area(self) -> float:
        """Of the mould, its flange included [m²]."""
        return self.surface.work.area

    def within(self, region: str) -> NDArray[np.bool_]:
        """Return which triangles of the part lie in a region, shape (m,).

        Parameters
        ----------
        region
            Its name.
        """
        if region == EVERYTHING:
            return np.ones(len(self.part.triangles), dtype=np.bool_)
        off, _, _ = nearest(self.regions[region], self.part.vertices[self.part.triangles].mean(axis=1))
        out: NDArray[np.bool_] = off <= ON * self.part.edge_length
        return out

    def covered(self, ply: int) -> Extent:
        """Return how large the region is that a ply covers.

        Parameters
        ----------
        ply
            Its index.
        """
        return extent_of(self.regions[self.job.plies[ply].region])

    def laminated(self, stages: Stages) -> LaminateMap:
        """Return the laminate over the part, ply by ply as each lies.

        Parameters
        ----------
        stages
            Keep what is worked out.
        """
        job = self.job
        return stages.run(
            "Stacking the laminate",
            laminate_stage.laminate_map,
            self.part,
            laminate_stage.drapes_of(self.pieces),
            job.plies,
            self.prepregs,
            job.laying.direction,
            self.replaced,
            tuple((k, self.regions[ply.region]) for k, ply in enumerate(job.plies) if ply.templates),
        )

    def told(self, laminate: LaminateMap, heat: Heat, stages: Stages) -> MouldReport:
        """Return what the mould says: how it comes off, its tight corners and the plies through them, size, spring-in.

        Parameters
        ----------
        laminate
            Over the part.
        heat
            From the cure.
        stages
            Keep what is worked out.
        """
        job = self.job
        show, structural = job.laying.show, job.structural
        laid = stages.run("Finding where plies are laid", mould_stage.laid_on, self.surface.fine, self.laid)
        corners = stages.run(
            "Finding tight corners",
            mould_stage.tight_corners,
            laid,
            laminate.thickest,
            self.stated,
            self.file,
            show,
            structural,
            None if job.mirror is None else job.mirror.plane,
        )
        cards = [(k, self.regions[ply.region]) for k, ply in enumerate(job.plies) if ply.templates]
        through = stages.run(
            "Following plies through corners",
            mould_stage.corners_laid,
            corners,
            (*(p.surface for p in self.pieces), *(region for _, region in cards)),
            (*(p.ply for p in self.pieces), *(k for k, _ in cards)),
            tuple(thickness_of(cloth) for cloth in self.prepregs),
            show,
            structural,
        )
        tool = self.library.tool[job.mould.material]
        return mould_stage.mould_facts(laid, corners, through, job.mould, tool, heat.sets, heat.hottest, heat.room)

    def bagged(self, mould: MouldReport, heat: Heat, workshop: Workshop, stages: Stages) -> BagPlan:
        """Return the bag over the part on its mould.

        Parameters
        ----------
        mould
            With the plies through its tight corners.
        heat
            From the cure.
        workshop
            Its pump and room.
        stages
            Keep what is worked out.
        """
        job, work, laid = self.job, self.surface.work, self.laid
        around = stages.run("Measuring the flange", bag_stage.flange_around, work, laid, job.bag.flange)
        ways = stages.run("Measuring the ways of air", bag_stage.ways_of_air, laid)
        return stages.run(
            "Sizing the bag",
            bag_stage.bag_plan,
            laid,
            work,
            around,
            self.bag_plies(mould),
            job.bag,
            bag_stage.films_of(job.bag, self.library),
            heat.bag,
            workshop.room,
            workshop.pump,
            job.laying.show,
            ways,
            job.cure.vacuum_hold,
        )

    @property
    def laid_points(self) -> NDArray[np.float64] | None:
        """Vertices of what is laid up, shape (n, 3) [m]."""
        return self.laid.vertices

    def pressed(self, laminate: LaminateMap, workshop: Workshop, stages: Stages) -> PressureMap | None:
        """Return what presses on the lay-up at each vertex of what is laid up.

        Parameters
        ----------
        laminate
            For the thickness of its largest zone.
        workshop
            Its pump and room.
        stages
            Keep what is worked out.
        """
        return stages.run(
            "Mapping the pressure",
            bag_stage.pressure_over,
            self.laid,
            laminate.main.laminate.thickness,
            workshop.room,
            workshop.pump,
        )

    def sites(self, laminate: LaminateMap) -> tuple[tuple[Site, ...], tuple[Site, ...]]:
        """Return what lies under each bracket, and round each hole, where they are stated to be.

        Parameters
        ----------
        laminate
            Over the part.
        """
        return joint_stage.sites_on(laminate, self.part, self.job.brackets, self.job.holes)

    def noticed(self, laminate: LaminateMap) -> tuple[Finding, ...]:
        """Return what mending and draping noticed.

        Parameters
        ----------
        laminate
            Over the part.
        """
        mended = mould_stage.mending_findings(self.surface.report)
        return (*mended, *ply_notes.drape_findings(self.pieces, self.job, self.library))


def from_mould(opened: Opened, file: ContentFile, cards: Sequence[FlatPiece], stages: Stages, where: str) -> FromMould:
    """Return a part worked out from its mould's surface up to its flat pieces.

    Parameters
    ----------
    opened
        The job, with build-ups as plies.
    file
        The mould's mesh.
    cards
        Pieces of plies that are cut from cards.
    stages
        Keep what is worked out.
    where
        File the job is stated in, for messages.

    Raises
    ------
    InputError
        When what is stated does not fit the mould.
    NotSolved
        When a piece cannot be draped; names it.
    """
    job, library = opened.job, opened.library
    stated = job.mould
    surface = stages.run("Opening the mould", mould_stage.opened_mould, file, stated)
    regions = stages.run(
        "Finding the regions", mould_stage.regions_on, surface.work, job.regions, job.holes, where, job.lines
    )
    pieces, cuts = lay_up.cut_and_draped(job, library, surface, regions, file, stages, where)
    part = stages.run("Meshing the part", ply_stage.evenly_meshed, regions[job.part], stated.size, stated.tolerance)[0]
    patchwork = going_on.tiled(opened, pieces, stages, where)
    nested = cut = in_laying_order(kit_stage.cut_list(pieces, patchwork, job, library, opened.workshop.table), cards)
    twin: Twin | None = None
    if job.mirror is not None:
        twin = twin_of(job, surface, regions, pieces, part, library, opened.workshop, stages)
        if patchwork is not None and job.patchwork is not None:
            tiled_quarter = patchwork.ply in twin.quarter
            patchwork = mirrored_patchwork(patchwork, job.patchwork, twin.pieces, tiled_quarter, stages)
        cuts = mirrored_cuts(job.mirror.plane, cuts)
        job, surface, regions, part = twin.job, twin.surface, twin.regions, twin.part
        pieces = twin.pieces
        cut = kit_stage.cut_list(pieces, patchwork, job, library, opened.workshop.table)
    return FromMould(
        job=job,
        library=library,
        cut=cut,
        nested=nested,
        plies=pieces_by_ply(job, pieces, cards),
        surface=surface,
        regions=regions,
        pieces=pieces,
        cuts=cuts,
        patchwork=patchwork,
        twin=twin,
        file=file,
        stated=stated,
        part=part,
    )
