"""Opening a job: its file, the workshop's file and materials, and what they name in each other.

The workshop is the nearest folder above the job that holds ``workshop.toml``. Problems of both files and of the names
that cross between them are reported together.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from bagside.errors import InputError, Problem, did_you_mean
from bagside.findings import Finding
from bagside.spec.beside import job_file, other_file, stated_job, twin_problems
from bagside.spec.job import Job
from bagside.spec.job_check import job_problems, material_problems
from bagside.spec.library import Library, lookup, workshop_library
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.stock import Stock
from bagside.spec.stock_check import stock_problems
from bagside.spec.template_check import template_problems
from bagside.spec.workshop import Workshop

T = TypeVar("T")

STOCK_FILE = "stock.toml"


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
    noticed
        What was noticed of the stock when it was opened.
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
    noticed: tuple[Finding, ...] = ()


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
        problems.extend(job_problems(job, path.name))
        problems.extend(template_problems(job, lies.parent, library, path.name))
        if library is not None:
            problems.extend(material_problems(job, library, path.name))
            problems.extend(twin_problems(job, library.prepreg, path.name))
    if shop is not None:
        problems.extend(workshop_problems(shop, shop_path.name, library))
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


def workshop_problems(shop: Workshop, file: str, library: Library | None) -> Iterator[Problem]:
    """Yield what is wrong within a workshop itself.

    Parameters
    ----------
    shop
        As stated.
    file
        Its name, for messages.
    library
        Materials; names are not looked up when None.
    """
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
        for k, offer in enumerate(shop.offers, 1):
            yield from lookup(library.prepreg, offer.material, f"{file}, offer {k}, material", "prepreg")


def _between(job: Job, shop: Workshop, job_file: str, shop_file: str) -> Iterator[Problem]:
    known = {roll.material for roll in shop.stock} | {offer.material for offer in shop.offers}
    for material in dict.fromkeys([*(ply.material for ply in job.plies), *(b.material for b in job.build_ups)]):
        if material not in known:
            yield Problem(
                place=f"{shop_file}, stock",
                came="",
                wanted=f'no roll of "{material}", which {job_file} uses, and no offer, so its price is not known',
                hint=did_you_mean(material, known)
                or "state a roll under [[stock]], or what can be bought as [[offers]]",
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
