"""How long the parts of an open job take until they are in the oven, before any of it is planned in full.

Times are those of the plan: thawing, cutting, each ply, debulks as often as through tight corners, the bag, the leak
test. One mould serves one part after the other, so the next part waits until the one before is pulled. Kits are put
back into the freezer between cutting and laying, as common practice has it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from bagside.bagging import BagPly, Debulk, debulk_plan
from bagside.cutting import FlatPiece
from bagside.planning.calendar import feasible_calendar
from bagside.planning.shaping import shaped_from
from bagside.planning.stages import Stages
from bagside.planning.steps import times_in
from bagside.planning.timetable import Shift, Slot, Task
from bagside.spec.job import Segment
from bagside.spec.library import generic_times
from bagside.spec.opening import Opened
from bagside.spec.workshop import Workshop

OVERNIGHT = 14 * 3600.0
"""In the oven and on the mould when no programme is stated [s] (common practice: it is cured overnight)."""
LEAK = 900.0
"""A leak test waits [s], as in the plan."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OpenPart:
    """One part of an open job, as far as its pieces and the time it takes.

    Parameters
    ----------
    job
        Name of the job.
    pieces
        Of one part.
    wanted
        Parts still to be cut.
    plies
        Time to lay each [s].
    debulks
        After which ply, and how long under vacuum.
    cut
        Time at the table for one part [s].
    bag, leak, oven
        Attended time of bagging, of the leak test, of loading [s].
    thaw, vacuum, cure
        What passes by itself: thawing, under vacuum before heat, in the oven and until it is pulled [s].
    """

    job: str
    pieces: tuple[FlatPiece, ...]
    wanted: int
    plies: tuple[float, ...]
    debulks: tuple[Debulk, ...]
    cut: float
    bag: float
    leak: float
    oven: float
    thaw: float
    vacuum: float
    cure: float
    debulk: float

    def area(self, material: str) -> float:
        """Return the area of one part's pieces of a cloth [m²].

        Parameters
        ----------
        material
            Name of the cloth.
        """
        return sum(p.area * p.quantity for p in self.pieces if p.material == material)

    def others(self, material: str) -> tuple[str, ...]:
        """Return the cloths that a part needs besides one.

        Parameters
        ----------
        material
            Name of that cloth.
        """
        return tuple(dict.fromkeys(p.material for p in self.pieces if p.material != material))


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """Parts made one after the other.

    Parameters
    ----------
    out
        Longest time that the cloth of a part is out of the freezer: thawed and cut, thawed again and laid until it is
        in the oven [s].
    into_oven
        When each is put into the oven.
    """

    out: float
    into_oven: tuple[datetime, ...]


def open_part(opened: Opened, stages: Stages, wanted: int) -> OpenPart:
    """Return one part of an open job.

    Parameters
    ----------
    opened
        The job as stated.
    stages
        Keep what is worked out up to its pieces.
    wanted
        Parts still to be cut.

    Raises
    ------
    InputError
        When the job cannot be built.
    NotSolved
        When a piece cannot be draped.
    """
    shape = shaped_from(opened, stages, "job.toml")
    job, table = shape.job, opened.workshop.table
    times = times_in(opened.workshop, generic_times())
    one = tuple(_once(p, job.quantity) for p in shape.cut)
    path = sum(p.knife_path * p.quantity for p in one)
    count = sum(p.quantity for p in one)
    plies, stack = [], []
    for k, (ply, own) in enumerate(zip(job.plies, shape.plies, strict=True)):
        rate = times["lay_show"] if k == 0 and job.laying.show else times["lay_backing"]
        plies.append((own.area / rate + times["piece"] * own.count) * job.complexity)
        cloth = opened.library.prepreg[ply.material]
        thickness = cloth.thickness or _thickness(cloth.areal_weight, cloth.fibre_density)
        stack.append(BagPly(name=f"ply {k + 1}", area=own.area, thickness=thickness, has_tight_corner=True))
    return OpenPart(
        job=job.name,
        pieces=one,
        wanted=wanted,
        plies=tuple(plies),
        debulks=debulk_plan(stack, visible=job.laying.show),
        cut=(path / table.knife + table.handling * count) * job.complexity,
        bag=times["bag"] * job.complexity,
        leak=times["leak_test"],
        oven=times["load_oven"],
        thaw=times["thaw"],
        vacuum=job.cure.vacuum_hold,
        cure=_cure_time(job.cure.start, job.cure.segments, opened.workshop, job.cure.demould),
        debulk=times["debulk"],
    )


def whole_parts(part: OpenPart, count: int) -> tuple[FlatPiece, ...]:
    """Return the pieces of so many parts, a kit for each.

    Parameters
    ----------
    part
        One part.
    count
        How many.
    """
    return tuple(
        replace(
            p, quantity=p.quantity * count, kits=tuple(str(n + 1) for n in range(count) for _ in range(p.quantity))
        )
        for p in part.pieces
    )


def made_by(part: OpenPart, count: int, workshop: Workshop, now: datetime, material: str) -> Made:
    """Return when so many parts are in the oven, all kits cut first.

    Parameters
    ----------
    part
        One part.
    count
        How many.
    workshop
        For its hours and people.
    now
        Work begins then.
    material
        The cloth whose time out of the freezer is counted.
    """
    hours = workshop.hours
    shift = Shift(begins=hours.begins, ends=hours.ends, days=hours.days, people=workshop.people)
    tasks = [
        Task(name="thaw", attended=300.0, unattended=part.thaw),
        Task(name="cut", attended=part.cut * count, after=("thaw",)),
    ]
    after = ("cut",)
    for n in range(count):
        tasks += _laying(part, n, after)
        after = (tasks[-1].name,)
    slots = {s.task: s for s in feasible_calendar(tasks, start=now.replace(tzinfo=None), shift=shift).slots}
    at_table = _span(slots, "thaw", "cut")
    laid = [_span(slots, f"thaw {n}", f"bag {n}") for n in range(count)]
    return Made(
        out=at_table + max(laid) + part.vacuum,
        into_oven=tuple(slots[f"oven {n}"].start for n in range(count)),
    )


def _laying(part: OpenPart, n: int, after: tuple[str, ...]) -> list[Task]:
    """Return the tasks from a kit in the freezer to the part off its mould."""
    tasks = [Task(name=f"thaw {n}", attended=120.0, unattended=part.thaw, after=after)]
    due = {d.after: d for d in part.debulks}
    for k, seconds in enumerate(part.plies, 1):
        tasks.append(Task(name=f"ply {n} {k}", attended=seconds, after=(tasks[-1].name,)))
        if k in due:
            minutes = 60.0 * due[k].minutes
            last = (tasks[-1].name,)
            tasks.append(Task(name=f"debulk {n} {k}", attended=part.debulk, unattended=minutes, after=last))
    bag = Task(name=f"bag {n}", attended=part.bag + part.leak, unattended=LEAK, after=(tasks[-1].name,))
    oven = Task(
        name=f"oven {n}",
        attended=part.oven,
        unattended=part.vacuum + part.cure,
        after=(bag.name,),
        needs=frozenset({"oven"}),
    )
    return [*tasks, bag, oven]


def _span(slots: dict[str, Slot], first: str, last: str) -> float:
    return (slots[last].end - slots[first].start).total_seconds()


def _once(piece: FlatPiece, quantity: int) -> FlatPiece:
    """Return a piece with the copies of one part."""
    each = max(1, piece.quantity // quantity)
    return replace(piece, quantity=each, kits=tuple("1" for _ in range(each)))


def _thickness(areal_weight: float, fibre_density: float) -> float:
    """Return the cured thickness of a ply at half fibre by volume [m], enough to tell a thick one."""
    return areal_weight / fibre_density / 0.5


def _cure_time(start: float, segments: Sequence[Segment], workshop: Workshop, demould: float) -> float:
    """Return the time from heat on until it is cool enough to pull [s]."""
    if not segments:
        return OVERNIGHT
    out, at = 0.0, start
    for s in segments:
        out += abs(s.to - at) / min(s.rate, workshop.oven.heating) + s.hold
        at = s.to
    return out + max(at - demould, 0.0) / workshop.oven.cooling
