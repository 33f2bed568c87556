"""What is wrong within a job: numbers that make no sense, and names that nothing bears."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from bagside.errors import Problem, did_you_mean
from bagside.quantity import shown
from bagside.spec.beside import patchwork_problems
from bagside.spec.job import Cure, Job
from bagside.spec.library import Library, lookup
from bagside.spec.lines import Join, Line
from bagside.spec.measured_check import measured_problems
from bagside.spec.region import EVERYTHING, Near, Shape

UNITS = ("m", "cm", "mm", "in", "ft")


def job_problems(job: Job, file: str) -> Iterator[Problem]:
    """Yield what is wrong within a job itself.

    Parameters
    ----------
    job
        As stated.
    file
        Its name, for messages.
    """
    if job.quantity < 1:
        yield Problem(place=f"{file}, quantity", came=str(job.quantity), wanted="at least 1 is wanted")
    if not 0.5 <= job.complexity <= 5.0:
        yield Problem(place=f"{file}, complexity", came=str(job.complexity), wanted="a factor from 0.5 to 5 is wanted")
    if job.mould.expected < 1:
        yield Problem(place=f"{file}, mould, expected", came=str(job.mould.expected), wanted="at least 1 is wanted")
    if job.mould.mesh and job.mould.unit not in UNITS:
        yield Problem(
            place=f"{file}, mould, unit",
            came=f'"{job.mould.unit}"',
            wanted="one of " + ", ".join(UNITS) + " is wanted",
            hint=did_you_mean(job.mould.unit, UNITS),
        )
    if job.finish.fill_passes and not job.finish.filler:
        yield Problem(place=f"{file}, finish, filler", came="", wanted="a coating to fill with is wanted")
    if job.finish.fill_passes < 0 or any(c.times < 1 for c in job.finish.coats):
        yield Problem(place=f"{file}, finish", came="", wanted="passes and times must be whole and not negative")
    if not job.plies:
        yield Problem(place=f"{file}, plies", came="", wanted="at least one ply is wanted")
    yield from cure_problems(job.cure, f"{file}, cure")
    regions = {EVERYTHING, *job.regions}
    holes = [hole.name for hole in job.holes]
    for name in {n for n in holes if holes.count(n) > 1}:
        yield Problem(place=f"{file}, hole {name}", came="", wanted="two holes have this name; each wants its own")

    def region(name: str, place: str) -> Iterator[Problem]:
        if name not in regions:
            yield Problem(
                place=place,
                came=f'"{name}"',
                wanted="there is no region of this name",
                hint=did_you_mean(name, regions),
            )

    if job.mould.pulls < 0:
        yield Problem(place=f"{file}, mould, pulls", came=str(job.mould.pulls), wanted="zero or more is wanted")
    for k, thick in enumerate(job.mould.thicker, 1):
        if thick.sides not in (1, 2):
            yield Problem(place=f"{file}, mould, thicker {k}, sides", came=str(thick.sides), wanted="1 or 2 is wanted")
    where = [(t.region, f"{file}, mould, thicker {k}, region") for k, t in enumerate(job.mould.thicker, 1)]
    where += [(m.region, f"{file}, cure, metal {m.name}, region") for m in job.cure.metal if m.region]
    for name, place in where:
        if job.mould.mesh:
            yield from region(name, place)
        elif job.measured is not None and name not in job.measured.places:
            yield Problem(
                place=place,
                came=f'"{name}"',
                wanted="there is no place of this name",
                hint=did_you_mean(name, job.measured.places),
            )
    if job.mould.mesh:  # else the part and its plies are on places, and regions are refused
        yield from region(job.part, f"{file}, part")
        for k, ply in enumerate(job.plies, 1):
            yield from region(ply.region, f"{file}, ply {k}, region")
    yield from measured_problems(job, file)
    yield from _lines(job, file)
    yield from patchwork_problems(job, file)
    for name, stated in job.regions.items():
        place = f"{file}, region {name}"
        if name == EVERYTHING:
            yield Problem(place=place, came="", wanted="this name means the whole surface and cannot be given anew")
        yield from region(stated.of, f"{place}, of")
        for word, near in (("near", stated.near), ("away", stated.away)):
            if near is not None:
                yield from _near(near, f"{place}, {word}", holes, region, job.lines)
        for word, outline in (("inside", stated.inside), ("outside", stated.outside)):
            if outline is None:
                continue
            if outline.shape is Shape.POLYGON and len(outline.points) < 3:
                yield Problem(place=f"{place}, {word}, points", came="", wanted="a polygon wants at least three points")
            if outline.shape is not Shape.POLYGON and outline.size is None:
                yield Problem(
                    place=f"{place}, {word}, size", came="", wanted='this is missing; two lengths as in "380 260 mm"'
                )


def cure_problems(cure: Cure, place: str) -> Iterator[Problem]:
    """Yield what is wrong with a cure as stated.

    Parameters
    ----------
    cure
        As stated.
    place
        Where, for messages.
    """
    wanted = cure.design
    if wanted is None:
        if not cure.segments:
            yield Problem(
                place=f"{place}, segments",
                came="",
                wanted="at least one segment is wanted",
                hint="or state [cure.design], and a cycle is looked for",
            )
        return
    if cure.segments or cure.post_cure:
        yield Problem(
            place=f"{place}, design",
            came="segments beside it",
            wanted="a cycle is either stated or looked for",
            hint="leave out [cure.design], or segments and post_cure",
        )
    if wanted.fibre_share >= 1.0:
        yield Problem(
            place=f"{place}, design, fibre_share",
            came=f"{wanted.fibre_share:g}",
            wanted="less than all of the pressure is wanted: fibres that carry it all leave none for the resin",
        )


def _lines(job: Job, file: str) -> Iterator[Problem]:
    """Yield what is wrong with lines and with the cuts along them."""
    for name, line in job.lines.items():
        least = 3 if line.closed else 2
        if len(line.points) < least:
            words = "three" if line.closed else "two"
            came = f"{len(line.points)} points"
            yield Problem(place=f"{file}, line {name}, points", came=came, wanted=f"at least {words} are wanted")
    for k, ply in enumerate(job.plies, 1):
        named = [(f"cut {n}, line", cut.line) for n, cut in enumerate(ply.cuts, 1)]
        named += [("laid_first", ply.laid_first)] if ply.laid_first else []
        for word, name in named:
            if name not in job.lines:
                yield Problem(
                    place=f"{file}, ply {k}, {word}",
                    came=f'"{name}"',
                    wanted="there is no line of this name",
                    hint=did_you_mean(name, job.lines),
                )
        for n, cut in enumerate(ply.cuts, 1):
            if [c.line for c in ply.cuts].index(cut.line) != n - 1:
                wanted = "this ply is cut there already"
                yield Problem(place=f"{file}, ply {k}, cut {n}, line", came=f'"{cut.line}"', wanted=wanted)
            if cut.join is Join.BUTT and cut.overlap:
                yield Problem(
                    place=f"{file}, ply {k}, cut {n}, overlap",
                    came=shown(cut.overlap, "mm"),
                    wanted="a butt has none",
                    hint='leave it out, or state join = "overlap"',
                )
            if cut.join is not Join.BUTT and cut.overlap == 0.0:
                yield Problem(
                    place=f"{file}, ply {k}, cut {n}, overlap",
                    came="0 mm",
                    wanted="more than zero is wanted",
                    hint='state join = "butt" for an edge-to-edge join',
                )


def _near(
    near: Near,
    place: str,
    holes: list[str],
    region: Callable[[str, str], Iterator[Problem]],
    lines: Mapping[str, Line],
) -> Iterator[Problem]:
    if not (near.edge or near.holes or near.points or near.region or near.lines):
        yield Problem(place=place, came="", wanted="near what: state edge = true, holes, points, region or lines")
    for line in near.lines:
        if line not in lines:
            yield Problem(
                place=f"{place}, lines",
                came=f'"{line}"',
                wanted="there is no line of this name",
                hint=did_you_mean(line, lines),
            )
    for hole in near.holes:
        if hole not in holes:
            yield Problem(
                place=f"{place}, holes",
                came=f'"{hole}"',
                wanted="there is no hole of this name",
                hint=did_you_mean(hole, holes),
            )
    if near.region:
        yield from region(near.region, f"{place}, region")


def material_problems(job: Job, library: Library, file: str) -> Iterator[Problem]:
    """Yield the materials of a job that do not exist, or do not go together.

    Parameters
    ----------
    job
        As stated.
    library
        Materials.
    file
        The job's name, for messages.
    """
    yield from lookup(library.tool, job.mould.material, f"{file}, mould, material", "tool material")
    for metal in job.cure.metal:
        yield from lookup(library.tool, metal.material, f"{file}, cure, metal {metal.name}, material", "tool material")
    if job.mould.resin:
        yield from lookup(library.resin, job.mould.resin, f"{file}, mould, resin", "resin")
    for k, ply in enumerate(job.plies, 1):
        missing = lookup(library.prepreg, ply.material, f"{file}, ply {k}, material", "prepreg")
        yield from missing
        if not missing:
            resin = library.prepreg[ply.material].resin
            yield from lookup(library.resin, resin, f"prepreg {ply.material}, resin", "resin")
    for bracket in job.brackets:
        yield from lookup(library.adhesive, bracket.adhesive, f"{file}, bracket {bracket.name}, adhesive", "adhesive")
    for word in ("film", "release", "breather", "tape"):
        yield from lookup(library.film, getattr(job.bag, word), f"{file}, bag, {word}", "film")
    if job.finish.filler:
        yield from lookup(library.coating, job.finish.filler, f"{file}, finish, filler", "coating")
    for k, coat in enumerate(job.finish.coats, 1):
        yield from lookup(library.coating, coat.coating, f"{file}, finish, coat {k}, coating", "coating")
    if job.replaces is not None:
        yield from lookup(library.substrate, job.replaces.material, f"{file}, replaces, material", "material")
    resins = {library.prepreg[p.material].resin for p in job.plies if p.material in library.prepreg}
    if len(resins) > 1:
        yield Problem(
            place=f"{file}, plies",
            came=", ".join(sorted(resins)),
            wanted="all plies of one part must share one resin system, to cure together",
        )
