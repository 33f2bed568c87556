"""What must be stated of a part without a surface, what cannot be stated of it, and of plies cut from cards.

Whatever wants a surface is refused by name with what to do instead: nothing that is stated is ever left out silently.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields

from bagside.errors import Problem, did_you_mean
from bagside.quantity import shown
from bagside.spec.job import Job, Laying, Mould, Ply
from bagside.spec.lines import Pieces
from bagside.spec.measured import Measured
from bagside.spec.region import EVERYTHING

OF_A_SURFACE = (
    "laminate_side", "keep", "noise", "size", "tolerance", "smallest_fillet", "fill_holes", "off_table", "crop",
    "net_edge", "inside",
)  # fmt: skip
"""Keys of a mould that say how its mesh is read."""
OF_LAYING = ("start", "direction", "overlap", "stagger", "refine", "rosette")
"""Keys of laying that say how cloth is draped."""
SAME = 1e-9  # [m²]


def measured_problems(job: Job, file: str) -> Iterator[Problem]:
    """Yield what is wrong with a part that has no surface, and with plies that are cut from cards.

    Parameters
    ----------
    job
        As stated.
    file
        Its name, for messages.
    """
    yield from _cards(job, file)
    if job.mould.mesh:
        if job.measured is not None:
            yield Problem(
                place=f"{file}, measured",
                came="sizes beside a mesh",
                wanted="the mesh says all this, and one of the two would go unused",
                hint="leave out [measured], or mould.mesh",
            )
        return
    yield from _wants_a_surface(job, file)
    for k, ply in enumerate(job.plies, 1):
        if not ply.templates:
            yield Problem(
                place=f"{file}, ply {k}, templates",
                came="",
                wanted="nothing says what it is cut from: without a surface there is no draping",
                hint='state templates = ["NAME"] and the shape under [templates.NAME]',
            )
    if job.measured is None:
        yield Problem(
            place=f"{file}, measured",
            came="",
            wanted="this part has neither a mesh nor sizes",
            hint='state size = "380 260 mm" and its places under [measured], or mesh under [mould]',
        )
        return
    tree = list(_tree(job.measured, f"{file}, place"))
    yield from tree
    yield from _named(job, job.measured, file)
    if not tree and job.part in job.measured.places:
        yield from area_problems(job.measured, job.part, f"{file}, place")


def _wants_a_surface(job: Job, file: str) -> Iterator[Problem]:
    """Yield what is stated though only a surface could make use of it."""
    cure = "leave it out, or state the mould's mesh"
    stated: list[tuple[str, str]] = []
    stated += [(f"region {name}", "state it as a place under [measured.places]") for name in job.regions]
    stated += [(f"line {name}", cure) for name in job.lines]
    plain = {f.name: f.default for f in fields(Mould)}
    stated += [(f"mould, {key}", cure) for key in OF_A_SURFACE if getattr(job.mould, key) != plain[key]]
    stated += [("mould, unit", cure)] if job.mould.unit else []
    level = Laying()
    stated += [(f"laying, {key}", cure) for key in OF_LAYING if getattr(job.laying, key) != getattr(level, key)]
    if job.patchwork is not None:
        stated.append(("patchwork", "state each tile as a template, or the mould's mesh"))
    if job.mirror is not None:
        stated.append(("mirror", "copy the job and turn its templates over, or state the mould's mesh"))
    for one, many in (("bracket", job.brackets), ("hole", job.holes)):
        stated += [
            (f"{one} {x.name}, at", "leave it out; a place of the same name says what lies under it")
            for x in many
            if any(x.at)
        ]
    for place, hint in stated:
        wanted = "only a mould's surface could make use of this"
        yield Problem(place=f"{file}, {place}", came="", wanted=wanted, hint=hint)


def _cards(job: Job, file: str) -> Iterator[Problem]:
    """Yield what a ply cut from cards states of draping; without a surface this holds for every ply."""
    plain = {f.name: f.default for f in fields(Ply)}
    for k, ply in enumerate(job.plies, 1):
        if not ply.templates and job.mould.mesh:
            continue
        for key in ("start", "cuts", "laid_first", "pieces"):
            if getattr(ply, key) != plain[key]:
                came = ply.pieces.value if key == "pieces" and ply.pieces is Pieces.AUTO else ""
                yield Problem(
                    place=f"{file}, ply {k}, {key}",
                    came=f'"{came}"' if came else "",
                    wanted="this ply is cut from cards and is not draped",
                    hint="leave it out; a ply in several pieces is cut from several templates",
                )
        if job.mould.mesh and job.mirror is not None:
            yield Problem(
                place=f"{file}, ply {k}, templates",
                came="",
                wanted="a mirrored twin cannot turn cards over yet",
                hint="state the twin as a job of its own, or let this ply be draped",
            )
        if job.mould.mesh and job.patchwork is not None and job.patchwork.ply == k:
            yield Problem(
                place=f"{file}, patchwork, ply",
                came=str(k),
                wanted="this ply is cut from cards, and tiles are drawn on draped cloth",
                hint="name another ply, or leave its templates out",
            )


def _tree(measured: Measured, place: str) -> Iterator[Problem]:
    """Yield places that lie within what is not there, or within themselves."""
    for name, stated in measured.places.items():
        if name == EVERYTHING:
            wanted = "this name means all of what is laid up and cannot be given anew"
            yield Problem(place=f"{place} {name}", came="", wanted=wanted)
        if stated.of and stated.of not in measured.places:
            yield Problem(
                place=f"{place} {name}, of",
                came=f'"{stated.of}"',
                wanted="there is no place of this name",
                hint=did_you_mean(stated.of, measured.places),
            )
            continue
        chain = measured.outwards(name)
        if measured.places[chain[-1]].of == name and name == next(n for n in measured.places if n in chain):
            round_ = " within ".join(f'"{n}"' for n in (*chain, name))
            yield Problem(
                place=f"{place} {name}, of",
                came=f'"{stated.of}"',
                wanted=f"it would lie within itself: {round_}",
                hint="leave of out for the outermost",
            )


def _named(job: Job, measured: Measured, file: str) -> Iterator[Problem]:
    """Yield names that no place has, and the edge of the part when it is missing."""
    if job.part not in measured.places:
        yield Problem(
            place=f"{file}, part",
            came=f'"{job.part}"',
            wanted="there is no place of this name under [measured.places]",
            hint=did_you_mean(job.part, measured.places),
        )
    elif measured.places[job.part].edge is None:
        yield Problem(
            place=f"{file}, place {job.part}, edge",
            came="",
            wanted="the length of the finished part's edge is wanted, for trimming",
            hint="lay a string round it",
        )
    for k, ply in enumerate(job.plies, 1):
        if ply.region != EVERYTHING and ply.region not in measured.places:
            yield Problem(
                place=f"{file}, ply {k}, region",
                came=f'"{ply.region}"',
                wanted="there is no place of this name under [measured.places]",
                hint=did_you_mean(ply.region, [*measured.places, EVERYTHING]),
            )


def area_problems(measured: Measured, part: str, place: str) -> Iterator[Problem]:
    """Yield places that do not fit into what they lie in.

    Parameters
    ----------
    measured
        Whose places lie within what is there, and never within themselves.
    part
        Name of the place that is the finished part.
    place
        Where places are stated, for messages.
    """
    whole, own = measured.whole(part), measured.places[part].area
    for name in sorted(whole - {part}):
        area = measured.places[name].area
        if area < own - SAME:
            yield Problem(
                place=f"{place} {name}, area",
                came=shown(area, "cm²", 0),
                wanted=f"it lies over the whole part, which is {shown(own, 'cm²', 0)}",
                hint=f'state of = "{part}" when it lies within it',
            )
    for name, left in measured.bare_of_others(part).items():
        if left < -SAME:
            inside = [
                n for n, p in measured.places.items() if n not in whole and (part if p.of in whole else p.of) == name
            ]
            within = sum(measured.places[n].area for n in inside)
            yield Problem(
                place=f"{place} {name}, area",
                came=shown(measured.places[name].area, "cm²", 0),
                wanted=f"the places within it ({', '.join(inside)}) are {shown(within, 'cm²', 0)} together",
                hint="a place that lies on another one states that one with of",
            )
