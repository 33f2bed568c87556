"""Opening a job: its file, the workshop's file and materials, and what they name in each other.

The workshop is the nearest folder above the job that holds ``workshop.toml``. Problems of both files and of the names
that cross between them are reported together.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from bagside.errors import InputError, Problem, did_you_mean
from bagside.quantity import shown
from bagside.spec.beside import job_file, other_file, patchwork_problems, stated_job, twin_problems
from bagside.spec.job import Job
from bagside.spec.library import Library, lookup, workshop_library
from bagside.spec.lines import Join, Line
from bagside.spec.measured_check import measured_problems
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.region import EVERYTHING, Near, Shape
from bagside.spec.stock import Stock
from bagside.spec.stock_check import stock_problems
from bagside.spec.template_check import template_problems
from bagside.spec.workshop import Workshop

T = TypeVar("T")

STOCK_FILE = "stock.toml"
UNITS = ("m", "cm", "mm", "in", "ft")


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A job with everything it needs to be planned.

    Parameters
    ----------
    job, workshop, library
        As stated.
    mesh
        The mould's mesh file; None when the part was measured by tape.
    beside
        The folder of the job, in which its mesh and the files of its templates lie.
    folder
        The workshop's folder.
    inputs
        Content digest of each file read, by its name.
    goes_on_from
        The job whose patchwork this one's goes on from, opened; None when there is none.
    stock
        Offcuts, and what was taken from rolls; empty when the workshop has no ``stock.toml``.
    """

    job: Job
    workshop: Workshop
    library: Library
    mesh: Path | None
    beside: Path
    folder: Path
    inputs: dict[str, str]
    goes_on_from: Opened | None = None
    stock: Stock = field(default_factory=Stock)


def open_job(path: Path, workshop_file: Path | None = None, _trail: tuple[Path, ...] = ()) -> Opened:
    """Return a job, its workshop and materials, read and checked against each other.

    Parameters
    ----------
    path
        The job's file, or the folder that holds ``job.toml``.
    workshop_file
        The workshop's file; the nearest ``workshop.toml`` above the job when None.

    Raises
    ------
    InputError
        With every problem found in any of the files.
    """
    path = job_file(path)
    problems: list[Problem] = []

    def tried(reader: Callable[[], T]) -> T | None:
        try:
            return reader()
        except InputError as error:
            problems.extend(error.problems)
            return None

    stated = tried(lambda: stated_job(path))
    job, lies, read = stated if stated is not None else (None, path, {path.name: path})
    shop_path = workshop_file or _workshop_above(path)
    if shop_path is None:
        problems.append(
            Problem(
                place=str(path),
                came="",
                wanted="no workshop.toml in this folder or above it",
                hint="state one with --workshop, or copy the one of the demo",
            )
        )
        raise InputError(problems)
    shop = tried(lambda: stated_from(load_toml(shop_path), Workshop, shop_path.name))
    library = tried(lambda: workshop_library(shop_path.parent))
    stock_path = shop_path.parent / STOCK_FILE
    stock = tried(lambda: stated_from(load_toml(stock_path), Stock, STOCK_FILE)) if stock_path.is_file() else Stock()
    if job is not None:
        problems.extend(_within(job, path.name))
        problems.extend(template_problems(job, lies.parent, library, path.name))
        if library is not None:
            problems.extend(_materials(job, library, path.name))
            problems.extend(twin_problems(job, library.prepreg, path.name))
    if shop is not None:
        problems.extend(_shop(shop, shop_path.name, library))
        problems.extend([] if stock is None else stock_problems(stock, shop, library, STOCK_FILE, shop_path.name))
    if job is not None and shop is not None:
        problems.extend(_between(job, shop, path.name, shop_path.name))
    stated_mesh = "" if job is None else job.mould.mesh
    mesh = lies.parent / stated_mesh if stated_mesh else None
    if mesh is not None and not mesh.is_file():
        hint = did_you_mean(mesh.name, [p.name for p in lies.parent.iterdir() if p.is_file()])
        problems.append(
            Problem(
                place=f"{path.name}, mould, mesh",
                came=f'"{stated_mesh}"',
                wanted="there is no such file",
                hint=hint,
            )
        )
    if problems or job is None or shop is None or library is None or stock is None:
        raise InputError(problems)
    others = [shop_path, *([] if mesh is None else [mesh]), *sorted((shop_path.parent / "materials").glob("*.toml"))]
    others += [stock_path] if stock_path.is_file() else []
    cards = {card.file: lies.parent / card.file for card in job.templates.values() if card.file}
    files = {**read, **{p.name: p for p in others}, **cards}
    before = _goes_on_from(job, lies, workshop_file, (*_trail, path.resolve()))
    digests = {name: hashlib.sha256(p.read_bytes()).hexdigest() for name, p in files.items()}
    return Opened(
        job=job,
        workshop=shop,
        library=library,
        mesh=mesh,
        beside=lies.parent,
        folder=shop_path.parent,
        inputs=digests if before is None else {**{f"before/{k}": v for k, v in before.inputs.items()}, **digests},
        goes_on_from=before,
        stock=stock,
    )


def _goes_on_from(job: Job, path: Path, workshop_file: Path | None, trail: tuple[Path, ...]) -> Opened | None:
    """Return the job whose patchwork this one's goes on from, opened."""
    work = job.patchwork
    if work is None or work.continues is None:
        return None
    place = f"{path.name}, patchwork, continues, job"
    other = other_file(path, work.continues.job, place)
    if other.resolve() in trail:
        raise InputError.one(place, f'"{work.continues.job}"', "this patchwork would go on from itself")
    before = open_job(other, workshop_file, trail)
    if before.job.patchwork is None:
        raise InputError.one(place, f'"{work.continues.job}"', "that job states no patchwork to go on from")
    return before


def _workshop_above(path: Path) -> Path | None:
    for folder in path.resolve().parents:
        if (folder / "workshop.toml").is_file():
            return folder / "workshop.toml"
    return None


def _within(job: Job, file: str) -> Iterator[Problem]:
    """Yield what is wrong within the job itself."""
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
    if not job.cure.segments:
        yield Problem(place=f"{file}, cure, segments", came="", wanted="at least one segment is wanted")
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


def _materials(job: Job, library: Library, file: str) -> Iterator[Problem]:
    """Yield the materials that do not exist."""
    yield from lookup(library.tool, job.mould.material, f"{file}, mould, material", "tool material")
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


def _shop(shop: Workshop, file: str, library: Library | None) -> Iterator[Problem]:
    if shop.people < 1:
        yield Problem(place=f"{file}, people", came=str(shop.people), wanted="at least 1 is wanted")
    if shop.hours.ends <= shop.hours.begins:
        yield Problem(place=f"{file}, hours, ends", came=str(shop.hours.ends), wanted="a time after begins is wanted")
    week = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
    for day in shop.hours.days:
        if day not in week:
            yield Problem(
                place=f"{file}, hours, days",
                came=f'"{day}"',
                wanted="one of " + ", ".join(week) + " is wanted",
                hint=did_you_mean(day, week),
            )
    if not shop.hours.days:
        yield Problem(place=f"{file}, hours, days", came="", wanted="at least one working day is wanted")
    if shop.scrap >= 1.0:
        yield Problem(place=f"{file}, scrap", came="100 %", wanted="less than all parts must fail")
    if library is not None:
        for k, roll in enumerate(shop.stock, 1):
            yield from lookup(library.prepreg, roll.material, f"{file}, roll {k}, material", "prepreg")


def _between(job: Job, shop: Workshop, job_file: str, shop_file: str) -> Iterator[Problem]:
    for material in dict.fromkeys(ply.material for ply in job.plies):
        if material not in {roll.material for roll in shop.stock}:
            yield Problem(
                place=f"{shop_file}, stock",
                came="",
                wanted=f'no roll of "{material}", which {job_file} uses, so neither length nor price is known',
                hint=did_you_mean(material, {roll.material for roll in shop.stock}),
            )
    if job.cure.demould <= shop.room.temperature:
        yield Problem(
            place=f"{job_file}, cure, demould",
            came=f"{job.cure.demould - 273.15:.0f} °C",
            wanted=f"more than the room's {shop.room.temperature - 273.15:.0f} °C is wanted, or it never gets there",
        )
    wanted = [("adhesive", shop.prices.adhesive, {b.adhesive for b in job.brackets})]
    coatings = {c.coating for c in job.finish.coats} | ({job.finish.filler} - {""})
    wanted.append(("coating", shop.prices.coating, coatings))
    wanted.append(("film", shop.prices.film, {job.bag.film, job.bag.release, job.bag.breather}))
    wanted.append(("tape", shop.prices.tape, {job.bag.tape}))
    for kind, prices, names in wanted:
        for name in sorted(names - set(prices)):
            yield Problem(
                place=f"{shop_file}, prices, {kind}",
                came="",
                wanted=f'the price of "{name}", which {job_file} uses, is missing',
                hint=did_you_mean(name, prices),
            )
