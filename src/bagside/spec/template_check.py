"""What is wrong with a job's templates, with what names them, and with its rings and strips."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from bagside.errors import Problem, did_you_mean
from bagside.quantity import shown
from bagside.spec.build_up import BuildUp
from bagside.spec.job import Job
from bagside.spec.library import Library, lookup
from bagside.spec.region import EVERYTHING
from bagside.spec.template import Card, Template

UNITS = ("m", "cm", "mm", "in", "ft")
FILES = (".dxf", ".svg")
SIZES = {
    Card.RECTANGLE: ("size", "corner"),
    Card.STRIP: ("size", "corner"),
    Card.GUSSET: ("size", "corner"),
    Card.DISC: ("diameter",),
    Card.RING: ("diameter", "hole"),
}
"""What says how large a plain shape is; all but the corners' radius must be stated."""


def template_problems(job: Job, folder: Path, library: Library | None, file: str) -> Iterator[Problem]:
    """Yield what is wrong with a job's templates and build-ups.

    Parameters
    ----------
    job
        As stated.
    folder
        Where its drawings lie.
    library
        Materials; not looked up when None.
    file
        Name of the job's file, for messages.
    """
    for name, template in job.templates.items():
        yield from _template(template, folder, f"{file}, template {name}")
    for k, ply in enumerate(job.plies, 1):
        for cut in ply.templates:
            place = f"{file}, ply {k}, templates"
            if cut.template not in job.templates:
                hint = did_you_mean(cut.template, job.templates) or "state its shape under [templates]"
                yield Problem(
                    place=place, came=f'"{cut.template}"', wanted="there is no template of this name", hint=hint
                )
            if cut.copies < 1:
                wanted = "at least one is wanted"
                yield Problem(place=place, came=f"{cut.copies} copies of {cut.template}", wanted=wanted)
        for name, count in Counter(c.template for c in ply.templates).items():
            if count > 1:
                hint = f'state it once, as {{ template = "{name}", copies = {count} }}'
                wanted = "this template is named more than once"
                yield Problem(place=f"{file}, ply {k}, templates", came=f'"{name}"', wanted=wanted, hint=hint)
    names = [b.name for b in job.build_ups]
    for k, build_up in enumerate(job.build_ups, 1):
        place = f"{file}, build-up {build_up.name.strip() or k}"
        if not build_up.name.strip():
            yield Problem(place=f"{place}, name", came="", wanted="a name is wanted, for the sheets")
        if names.index(build_up.name) != k - 1:
            yield Problem(place=f"{place}, name", came=f'"{build_up.name}"', wanted="two build-ups have this name")
        yield from _sizes(build_up, place)
        yield from _where(build_up, job, place)
        if library is not None:
            missing = lookup(library.prepreg, build_up.material, f"{place}, material", "prepreg")
            yield from missing
            if not missing:
                yield from _resin(build_up, job, library, place)


def _template(template: Template, folder: Path, place: str) -> Iterator[Problem]:
    stated = [w for w, v in (("shape", template.shape), ("points", template.points), ("file", template.file)) if v]
    if len(stated) != 1:
        came = " and ".join(stated)
        yield Problem(
            place=place,
            came=came,
            wanted="its outline is stated more than once" if came else "nothing says what it looks like",
            hint='one of shape, points or file is wanted, as in shape = "disc", diameter = "80 mm"',
        )
        return
    wanted = () if template.shape is None else SIZES[template.shape]
    for word in ("size", "corner", "diameter", "hole"):
        value = getattr(template, word)
        if value and word not in wanted:
            what = template.shape.value if template.shape is not None else f"template from {stated[0]}"
            yield Problem(place=f"{place}, {word}", came="", wanted=f"a {what} has none", hint="leave it out")
        elif word in wanted and word != "corner" and not value:
            example = '"380 260 mm"' if word == "size" else '"80 mm"'
            yield Problem(place=f"{place}, {word}", came="", wanted=f"this is missing; a length as in {example}")
    yield from _fits(template, place)
    if template.points and len(template.points) < 3:
        came = f"{len(template.points)} points"
        yield Problem(place=f"{place}, points", came=came, wanted="at least three are wanted")
    for n, hole in enumerate(template.holes, 1):
        if len(hole) < 3:
            yield Problem(place=f"{place}, hole {n}", came=f"{len(hole)} points", wanted="at least three are wanted")
    if template.file:
        yield from _file(template, folder, place)
    else:
        for word in ("unit", "layer"):
            if getattr(template, word):
                hint = "leave it out: every number here carries its unit" if word == "unit" else "leave it out"
                came = f'"{getattr(template, word)}"'
                yield Problem(place=f"{place}, {word}", came=came, wanted="this is for a file", hint=hint)


def _fits(template: Template, place: str) -> Iterator[Problem]:
    """Yield sizes that do not go together."""
    if template.shape is Card.RING and template.hole and template.diameter and template.hole >= template.diameter:
        yield Problem(
            place=f"{place}, hole",
            came=shown(template.hole, "mm"),
            wanted=f"less than the ring's {shown(template.diameter, 'mm')} is wanted",
        )
    if template.size is None or not template.corner or template.shape is None:
        return
    a, b = template.size
    most = a * b / (a + b + math.hypot(a, b)) if template.shape is Card.GUSSET else min(a, b) / 2
    if template.corner > most * (1 + 1e-9):
        yield Problem(
            place=f"{place}, corner",
            came=shown(template.corner, "mm"),
            wanted=f"at most {shown(most, 'mm', 2)} fits a {template.shape.value} of this size",
        )


def _file(template: Template, folder: Path, place: str) -> Iterator[Problem]:
    if template.holes:
        hint = "draw the holes in the file, or leave them out"
        yield Problem(place=f"{place}, holes", came="", wanted="the file says what holes there are", hint=hint)
    path = folder / template.file
    came = f'"{template.file}"'
    if path.suffix.lower() not in FILES:
        yield Problem(place=f"{place}, file", came=came, wanted="a drawing as .dxf or .svg is wanted")
    elif not path.is_file():
        near = [p.name for p in path.parent.iterdir() if p.is_file()] if path.parent.is_dir() else []
        yield Problem(
            place=f"{place}, file", came=came, wanted="there is no such file", hint=did_you_mean(path.name, near)
        )
    if template.unit and template.unit not in UNITS:
        yield Problem(
            place=f"{place}, unit",
            came=f'"{template.unit}"',
            wanted="one of " + ", ".join(UNITS) + " is wanted",
            hint=did_you_mean(template.unit, UNITS),
        )


def _sizes(build_up: BuildUp, place: str) -> Iterator[Problem]:
    if build_up.width < build_up.narrowest:
        yield Problem(
            place=f"{place}, width",
            came=shown(build_up.width, "mm"),
            wanted=f"not even the first one is as wide as the narrowest, {shown(build_up.narrowest, 'mm')}",
        )
    if not build_up.angles:
        yield Problem(place=f"{place}, angles", came="none", wanted='at least one is wanted, as in ["0 deg", "45 deg"]')


def _where(build_up: BuildUp, job: Job, place: str) -> Iterator[Problem]:
    if bool(build_up.around) == bool(build_up.along):
        came = "around and along" if build_up.around else ""
        hint = "state two build-ups" if build_up.around else "name holes under around, or lines under along"
        yield Problem(
            place=place, came=came, wanted="either rings round holes or strips along lines are wanted", hint=hint
        )
    holes = [hole.name for hole in job.holes]
    for name in build_up.around:
        if name not in holes:
            wanted = "there is no hole of this name"
            yield Problem(place=f"{place}, around", came=f'"{name}"', wanted=wanted, hint=did_you_mean(name, holes))
    by_tape = not job.mould.mesh
    for name in build_up.along:
        if name not in job.lines and not (by_tape and build_up.length):
            wanted = "there is no line of this name"
            hint = did_you_mean(name, job.lines)
            if by_tape:
                wanted, hint = "how long this seam is has not been stated", 'state length, as in length = "420 mm"'
            yield Problem(place=f"{place}, along", came=f'"{name}"', wanted=wanted, hint=hint)
    for word, names in (("around", build_up.around), ("along", build_up.along)):
        for name, count in Counter(names).items():
            if count > 1:
                yield Problem(place=f"{place}, {word}", came=f'"{name}"', wanted="it is named more than once")
    if build_up.length and (build_up.around or not by_tape):
        wanted = "a ring has none" if build_up.around else "the line over the mould says how long the strip is"
        came = shown(build_up.length, "mm")
        yield Problem(place=f"{place}, length", came=came, wanted=wanted, hint="leave it out")
    if build_up.open and build_up.along:
        yield Problem(place=f"{place}, open", came="true", wanted="a strip has no hole", hint="leave it out")
    if not 0 <= build_up.after <= len(job.plies):
        yield Problem(
            place=f"{place}, after",
            came=str(build_up.after),
            wanted=f"the number of a ply, 1 to {len(job.plies)}, is wanted, or 0 for after the last",
        )
    known = [EVERYTHING, *(job.regions if job.measured is None else job.measured.places)]
    if build_up.region and build_up.region not in known:
        wanted = "there is no region of this name" if job.measured is None else "there is no place of this name"
        hint = did_you_mean(build_up.region, known)
        yield Problem(place=f"{place}, region", came=f'"{build_up.region}"', wanted=wanted, hint=hint)


def _resin(build_up: BuildUp, job: Job, library: Library, place: str) -> Iterator[Problem]:
    own = library.prepreg[build_up.material].resin
    others = {library.prepreg[p.material].resin for p in job.plies if p.material in library.prepreg}
    if others and own not in others:
        yield Problem(
            place=f"{place}, material",
            came=f'"{build_up.material}" with resin {own}',
            wanted=f"all plies of one part must share one resin system, to cure together: {', '.join(sorted(others))}",
        )
