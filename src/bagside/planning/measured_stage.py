"""A part whose shape is known by tape measure: what every stage makes of sizes, and what it cannot know."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.bagging import BagPlan
from bagside.cutting import FlatPiece
from bagside.errors import InputError
from bagside.findings import Finding
from bagside.laminate import Zone
from bagside.mould import MouldReport
from bagside.planning import bag_stage, joint_stage, laminate_stage, mould_stage
from bagside.planning.extent import Extent
from bagside.planning.joint_stage import Site
from bagside.planning.laminate_stage import LaminateMap
from bagside.planning.measured_notes import unseen
from bagside.planning.ply_pieces import in_laying_order, pieces_by_ply
from bagside.planning.shaped import Heat, Shaped
from bagside.planning.stages import Stages
from bagside.spec.job import Job, Ply
from bagside.spec.library import Library
from bagside.spec.material import Prepreg, Substrate
from bagside.spec.measured import Measured
from bagside.spec.measured_check import area_problems
from bagside.spec.region import EVERYTHING
from bagside.spec.workshop import Workshop


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FromTape(Shaped):
    """A part of stated sizes, whose pieces all come from cards.

    Parameters
    ----------
    measured
        As stated, and the places of build-ups.
    under
        Place by name of the hole that a build-up stands round.
    """

    measured: Measured
    under: Mapping[str, str]

    @property
    def laid(self) -> Extent:
        """What is laid up."""
        return laid_up(self.measured, self.job.part)

    @property
    def mould_area(self) -> float:
        """Of a mould with its flange straight round what is laid up [m²]."""
        length, width = self.measured.size
        flange = 2.0 * self.measured.flange
        return (length + flange) * (width + flange) + max(0.0, self.laid.area - length * width)

    def within(self, region: str) -> NDArray[np.bool_]:
        """Return which places of the laminate lie in one of them, shape (m,).

        Parameters
        ----------
        region
            Its name.
        """
        names = self.measured.bare_of_others(self.job.part)
        return np.array([region == EVERYTHING or region in self.measured.outwards(name) for name in names])

    def covered(self, ply: int) -> Extent:
        """Return how large the place is that a ply covers; the edge of a circle when nobody measured it.

        Parameters
        ----------
        ply
            Its index.
        """
        place = self.measured.place(self.job.plies[ply].region, self.job.part)
        return Extent(area=place.area, edge=place.edge or 2.0 * math.sqrt(math.pi * place.area))

    def laminated(self, stages: Stages) -> LaminateMap:
        """Return the laminate over the part, place by place, every ply at the angle that is stated.

        Parameters
        ----------
        stages
            Keep what is worked out.
        """
        job = self.job
        return stages.run(
            "Stacking the laminate",
            laminate_of_places,
            self.measured,
            job.part,
            job.plies,
            self.prepregs,
            self.replaced,
        )

    def told(self, laminate: LaminateMap, heat: Heat, stages: Stages) -> MouldReport:
        """Return what the mould says of which only the size is known: heat, size and spring-in.

        Parameters
        ----------
        laminate
            Over the part.
        heat
            From the cure.
        stages
            Keep what is worked out.
        """
        stated = self.job.mould
        return stages.run(
            "Looking at the mould's heat and size",
            mould_stage.measured_facts,
            max(self.measured.size),
            self.mould_area,
            stated,
            self.library.tool[stated.material],
            heat.sets,
            heat.hottest,
            heat.room,
        )

    def bagged(self, mould: MouldReport, heat: Heat, workshop: Workshop, stages: Stages) -> BagPlan:
        """Return the bag over a part of this size.

        Parameters
        ----------
        mould
            What it says.
        heat
            From the cure.
        workshop
            Its pump and room.
        stages
            Keep what is worked out.
        """
        job = self.job
        return stages.run(
            "Sizing the bag",
            bag_stage.cover_plan,
            self.measured,
            self.laid,
            self.bag_plies(mould),
            job.bag,
            bag_stage.films_of(job.bag, self.library),
            heat.bag,
            workshop.room,
            workshop.pump,
            job.laying.show,
            job.cure.vacuum_hold,
        )

    def sites(self, laminate: LaminateMap) -> tuple[tuple[Site, ...], tuple[Site, ...]]:
        """Return what lies under each bracket and round each hole: its build-up or the place of its name.

        Where there is neither, it is taken to be in the largest zone.

        Parameters
        ----------
        laminate
            Over the part.
        """
        at = {name: row for row, name in enumerate(self.measured.bare_of_others(self.job.part))}

        def zone(name: str) -> Zone:
            place = at.get(self.under.get(name, name), -1)
            return next((z for z in laminate.zones if place in z.triangles), laminate.main)

        return (
            tuple(joint_stage.site_in(zone(b.name)) for b in self.job.brackets),
            tuple(joint_stage.site_in(zone(h.name)) for h in self.job.holes),
        )

    def noticed(self, laminate: LaminateMap) -> tuple[Finding, ...]:
        """Return the one finding that says what only a surface could have told.

        Parameters
        ----------
        laminate
            Over the part.
        """
        return (unseen(self.measured, self.job, laminate),)


def from_tape(
    job: Job, measured: Measured, stated: Job, library: Library, cards: Sequence[FlatPiece], where: str
) -> FromTape:
    """Return a part of stated sizes, up to its flat pieces.

    Parameters
    ----------
    job
        With build-ups as plies.
    measured
        Its sizes, and the places of build-ups.
    stated
        The job as stated.
    library
        Materials.
    cards
        Pieces of all its plies.
    where
        File the job is stated in, for messages.

    Raises
    ------
    InputError
        When build-ups are larger than what is left of the places they lie on.
    """
    problems = list(area_problems(measured, job.part, f"{where}, place"))
    if problems:
        raise InputError(problems)
    cut = in_laying_order((), cards)
    return FromTape(
        job=job,
        library=library,
        cut=cut,
        nested=cut,
        plies=pieces_by_ply(job, (), cards),
        measured=measured,
        under=_under(measured, stated),
    )


def _under(measured: Measured, stated: Job) -> dict[str, str]:
    """Return the place of the narrowest layer round each hole that has a build-up."""
    before = {} if stated.measured is None else stated.measured.places
    found: dict[str, str] = {}
    for build_up in stated.build_ups:
        name = re.compile(re.escape(build_up.name) + r"( \d+)?")
        layers = [n for n in measured.places if n not in before and name.fullmatch(n)]
        found |= dict.fromkeys(build_up.around, layers[-1])
    return found


def laid_up(measured: Measured, part: str) -> Extent:
    """Return how large that is which is laid up.

    Parameters
    ----------
    measured
        As stated.
    part
        Name of the place that is the finished part.

    Notes
    -----
    When only the finished part's edge was measured, that of what lies a margin beyond it follows from Steiner's formula
    for the parallel of a convex outline: L² + 4π (A − a), with L and a of the part and A of what is laid up.
    """
    laid, own = measured.laid(part), measured.places[part]
    edge = laid.edge or math.sqrt((own.edge or 0.0) ** 2 + 4.0 * math.pi * (laid.area - own.area))
    return Extent(area=laid.area, edge=edge)


def laminate_of_places(
    measured: Measured,
    part: str,
    plies: tuple[Ply, ...],
    prepregs: tuple[Prepreg, ...],
    original: tuple[Substrate, float] | None,
) -> LaminateMap:
    """Return the laminate over the finished part from the places its plies cover.

    Parameters
    ----------
    measured
        As stated.
    part
        Name of the place that is the finished part.
    plies, prepregs
        In laying order; every ply lies at its stated angle, unsheared.
    original
        What the replaced part is made of, and its thickness [m].

    Raises
    ------
    InputError
        When no ply covers any of the part.
    """
    left = measured.bare_of_others(part)
    under = [measured.covering(ply.region, part) for ply in plies]
    covers = np.array([[name in own for own in under] for name in left], dtype=np.bool_)
    areas = np.array(list(left.values())).clip(0.0)  # places that fill another one to the last digit
    angles = np.broadcast_to([ply.angle for ply in plies], covers.shape)
    found = laminate_stage.stacked(
        tuple(range(len(plies))), covers, areas, angles, np.zeros(covers.shape), plies, prepregs, original
    )
    return laminate_stage.with_edge(found, measured.places[part].edge or 0.0)
