"""Jobs cut together: from each job to its pieces, and all pieces of a cloth nested at once."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from bagside.cutting import FlatPiece
from bagside.errors import InputError, Problem
from bagside.planning.cutting_room import Accepted, accepted, together
from bagside.planning.kit import MaterialKit
from bagside.planning.kit_stage import Room, Watch, kit_of, materials_of
from bagside.planning.layouts import StoredLayout
from bagside.planning.shaping import shaped_from
from bagside.planning.shelf import TO_BUY
from bagside.planning.stages import Stages, digest_of
from bagside.quantity import shown
from bagside.spec.job import Job
from bagside.spec.library import Library
from bagside.spec.opening import Opened
from bagside.spec.workshop import Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsCut:
    """Jobs and where their pieces are cut.

    Parameters
    ----------
    jobs
        Each job as it is built, and its pieces under the names they have here.
    kits
        One for each cloth.
    workshop, library
        As stated.
    today
        The day.
    """

    jobs: tuple[tuple[Job, tuple[FlatPiece, ...]], ...]
    kits: tuple[MaterialKit, ...]
    workshop: Workshop
    library: Library
    today: date

    @property
    def title(self) -> str:
        """Names of the jobs."""
        return ", ".join(job.name for job, _ in self.jobs)

    @property
    def digest(self) -> str:
        """Short digest of what is cut and where it lies: the revision on labels and sheets."""
        return revision([p for _, ps in self.jobs for p in ps], self.kits)

    def layouts(self, *, cut: bool) -> tuple[StoredLayout, ...]:
        """Return the layouts as they are stored with a job.

        Parameters
        ----------
        cut
            Whether they are cut so now; a layout that was cut before keeps its day.
        """
        return tuple(
            replace(k.stored, cut_on=k.cut_on or (self.today if cut else None))
            for k in self.kits
            if k.stored is not None
        )


def revision(pieces: Sequence[FlatPiece], kits: Sequence[MaterialKit]) -> str:
    """Return a short digest of what is cut and where it lies.

    Parameters
    ----------
    pieces
        All of them.
    kits
        One for each cloth.
    """
    lies = [None if k.stored is None else k.stored.cloths for k in kits]
    return hashlib.sha256(f"{digest_of(tuple(pieces))}{lies}".encode()).hexdigest()[:6]


def cut_jobs(
    opened: Sequence[Opened],
    stages: Stages,
    *,
    seconds: float | None = None,
    before: Sequence[StoredLayout] = (),
    watch: Watch | None = None,
    today: date | None = None,
) -> JobsCut:
    """Return where the pieces of jobs are cut, all of them together.

    Parameters
    ----------
    opened
        Jobs of one workshop.
    stages
        Keep what is worked out before the nest.
    seconds
        For the search over all cloths [s]; the sum of what the jobs state when None.
    before
        Layouts stored with the job, when it is a single one.
    watch
        Called several times a second while a nest is searched for; it stops when this returns False.
    today
        The day, when not this one.

    Raises
    ------
    InputError
        When a job cannot be built, a piece fits no cloth or there is no cloth.
    NotSolved
        When a piece cannot be draped.
    """
    shapes = [shaped_from(o, stages, "job.toml") for o in opened]
    pieces = together([(s.job.name, s.cut) for s in shapes])
    jobs: list[tuple[Job, tuple[FlatPiece, ...]]] = []
    begin = 0
    for shape in shapes:
        jobs.append((shape.job, pieces[begin : begin + len(shape.cut)]))
        begin += len(shape.cut)
    first = opened[0]
    day = today or date.today()
    room = Room(workshop=first.workshop, library=first.library, stock=first.stock, today=day)
    whole = sum(p.area * p.quantity for p in pieces)
    given = sum(o.job.nest_time for o in opened) if seconds is None else seconds
    kits = []
    for material in materials_of(pieces):
        own = tuple(p for p in pieces if p.material == material)
        share = sum(p.area * p.quantity for p in own) / whole
        kept = next((k for k in before if k.material == material), None)
        kits.append(kit_of(own, room, stages, given * share, kept, watch))
    return JobsCut(jobs=tuple(jobs), kits=tuple(kits), workshop=first.workshop, library=first.library, today=day)


def refuse_unbought(found: JobsCut) -> None:
    """Refuse to cut from cloth that nobody has.

    Parameters
    ----------
    found
        As it would be cut.

    Raises
    ------
    InputError
        Naming each cloth.
    """
    problems = [
        Problem(
            place=f"workshop.toml, stock, {kit.material}",
            came=f"{shown(roll.take.pull, 'm', 2)} are planned on a roll that is still to be bought",
            wanted="a roll in stock",
            hint="when it is there, state it under [[stock]], or with records: bagside stock receive roll",
        )
        for kit in found.kits
        for roll in kit.rolls
        if roll.roll.called == TO_BUY
    ]
    if problems:
        raise InputError(problems)


def accepted_jobs(found: JobsCut, first: int) -> Accepted:
    """Return what cutting so does to the stock; what was cut before does nothing again.

    Parameters
    ----------
    found
        As it is cut.
    first
        Number of the first new offcut.
    """
    new = [k for k in found.kits if k.cut_on is None]
    return accepted(new, found.library, found.title, found.today, first)
