"""The mesh of a mould on its page: dropped, its unit asked with a picture of its size, its side stated."""

from __future__ import annotations

import os
import shutil
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from nicegui.element import Element

from bagside.errors import InputError
from bagside.geometry import UNITS
from bagside.quantity import Quantity
from bagside.records.writing import unwritable
from bagside.spec.fields import PositiveLength, SomeLength
from bagside.web.guard import MESHES, MOST, inside, parsed_aside, plain_name
from bagside.web.pages.mould.bar import LookingBar
from bagside.web.pages.mould.edits import mesh_set, mould_set
from bagside.web.pages.mould.ground import Ground
from bagside.web.parts.amount import amount
from bagside.web.parts.controls import button, choice, verb
from bagside.web.parts.drop import Drop
from bagside.web.parts.html import box, markup, words
from bagside.web.views.mould.survey import MouldSeen
from bagside.web.views.mould.unit import MeshRead, likely, mesh_read, sketch
from bagside.web.words.tongue import Tongue

HOW: dict[str, Any] = {
    "size": PositiveLength, "tolerance": PositiveLength, "smallest_fillet": SomeLength, "fill_holes": SomeLength,
    "off_table": SomeLength, "thickness": PositiveLength,
}  # fmt: skip
"""Lengths of a mould that are stated once, and what each may be."""


@dataclass(frozen=True, slots=True)
class Pending:
    """A mesh that has come and whose unit is not stated yet.

    Parameters
    ----------
    name
        Of the file beside the job.
    read
        What it holds.
    """

    name: str
    read: MeshRead


class MeshPlace:
    """Where the mesh is dropped, and what is stated of its file.

    Parameters
    ----------
    page
        The page.
    """

    def __init__(self, page: Ground) -> None:
        self.page = page
        self.pending: Pending | None = None
        self._another = False
        self._drawn = ""

    @property
    def wanted(self) -> bool:
        """Whether the job wants a mesh: one that is made by tape measure does not."""
        return "measured" not in self.page.desk.file.document()

    def shown_in(self, place: Element) -> bool:
        """Return whether what stands in the picture's place is still right."""
        return bool(place.default_slot.children) and self._drawn == self._state()

    def left(self, place: Element) -> None:
        """Know that the picture itself stands there now."""
        self._drawn = ""

    def _state(self) -> str:
        name = "" if self.pending is None else self.pending.name
        return f"{name}:{self.page.watch.busy}:{self.page.watch.seen is None}"

    # --- in the picture's place

    def draw_place(self, place: Element) -> None:
        """Draw what stands where the picture will be: the drop, the question for the unit, or that it is being read.

        Parameters
        ----------
        place
            The element.
        """
        place.clear()
        self._drawn = self._state()
        say = self.page.sheet.say
        with place:
            if self.pending is not None:
                self._ask_unit(self.pending)
            elif self.page.watch.busy:
                words(say("mould.reading"), tag="p", look="lead")
                LookingBar(self.page.watch, self.page.sheet)
            elif self.page.watch.stopped and self.wanted:
                words(say("mould.stopped"), tag="p", look="lead")
                verb(say("mould.look_again"), self.page.watch.again)
            else:
                words(say("mould.no_mesh" if self.wanted else "mould.tape"), tag="p", look="lead")
                self._drop()

    def _drop(self) -> None:
        Drop(self.page.sheet, self.page.sheet.say("mould.drop"), kinds=MESHES, most=MOST["mesh"], took=self._took)

    async def _took(self, path: Path, name: str) -> None:
        read = await parsed_aside(mesh_read, path, called=plain_name(name))
        kept = beside_job(path, self.page.desk.folder, name)
        self.pending = Pending(kept, read)
        self._another = False
        self.page.draw()

    def _ask_unit(self, pending: Pending) -> None:
        page, say, tongue = self.page, self.page.sheet.say, self.page.sheet.tongue
        read = pending.read
        if read.own_unit:
            size = size_words(read.size, tongue)
            words(say("mould.own_unit", name=pending.name, size=size), tag="p", look="lead b")
            markup(sketch(read, "m", tongue))
            button(say("mould.own_unit_yes"), lambda: self._unit(pending, "m"), go=True)
        else:
            words(say("mould.which_unit", name=pending.name), tag="p", look="lead b")
            numbers = " × ".join(tongue.number(x, 1 if x < 100 else 0) for x in read.size)
            words(say("mould.which_unit_why", size=numbers), tag="p")
            with box("ul", "mould-units"):
                for unit in likely(read):
                    with box("li"):
                        markup(sketch(read, unit, tongue))
                        size = size_words(tuple(UNITS[unit] * x for x in read.size), tongue)
                        button(say("mould.unit_of", size=size, unit=unit), partial(self._unit, pending, unit))
        if page.watch.seen is not None:
            verb(say("mould.keep_mesh"), self._keep)

    def _unit(self, pending: Pending, unit: str) -> None:
        page = self.page
        what = page.sheet.say("mould.did_mesh", name=pending.name, unit=unit)
        x, y, z = (UNITS[unit] * a for a in pending.read.middle)
        start = (x, y, z)

        def put() -> None:
            page.sheet.edit(what, mesh_set(pending.name, unit, start))
            self.pending = None
            page.watch.look()
            page.draw()

        page.sheet.doing(put)()

    def _keep(self) -> None:
        self.pending = None
        self.page.draw()

    # --- beside the picture

    def draw(self, place: Element) -> None:
        """Draw what is stated of the file, and its verbs.

        Parameters
        ----------
        place
            The element.
        """
        seen = self.page.watch.seen
        mould = self.page.desk.file.document().get("mould", {})
        unit, noise = str(mould.get("unit", "")), str(mould.get("noise", ""))
        there = seen is not None and self.pending is None
        how = tuple(str(mould.get(key, "")) for key in (*HOW, "material"))
        hangs_on = (there, there and seen is not None and seen.report, unit, noise, how, self._another)
        with self.page.anew(place, hangs_on) as new:
            if new and there and seen is not None:
                self._beside(seen, unit, noise)

    def _beside(self, seen: MouldSeen, unit: str, noise: str) -> None:
        page, say, tongue = self.page, self.page.sheet.say, self.page.sheet.tongue
        report = seen.report
        words(say("mould.drop"), tag="h2")
        size = size_words(report.size, tongue)
        words(say("mould.read_in", name=report.name, unit=report.unit, size=size), tag="p")
        read, work = tongue.number(report.triangles_read), tongue.number(seen.triangles)
        words(say("mould.triangles", read=read, work=work), tag="p", look="q s")
        measured, stated = tongue.length(report.roughness, 3), tongue.length(report.noise, 3)
        rough = say("mould.rough", measured=measured, stated=stated)
        rough = rough if report.roughness > 0 else say("mould.rough_stated", stated=stated)
        words(rough, tag="p", look="q s")
        with box("div", "mould-row"):
            if unit in UNITS:
                choice(say("mould.other_unit"), {u: u for u in UNITS}, unit, self._other_unit)
            amount(tongue, say("mould.noise"), noise, Quantity.LENGTH, "mm", self._noise, wanted=SomeLength,
                   may_be_empty=True)  # fmt: skip
        if self._another:
            self._drop()
        words(say("mould.side_says"), tag="p", look="q s")
        with box("div", "mould-row"):
            verb(say("mould.side_over"), page.turn_over)
            verb(say("mould.side_me"), page.laminate_towards_me)
            verb(say("mould.side_home"), self._as_at_first)
            if not self._another:
                verb(say("mould.another"), self._want_another)
        with box("details"):
            with box("summary", "act"):
                words(say("mould.how"))
            self._how()

    def _how(self) -> None:
        """Draw what of the mould is stated once and seldom changed."""
        page, say, tongue = self.page, self.page.sheet.say, self.page.sheet.tongue
        mould = page.desk.file.document().get("mould", {})
        for key, kind in HOW.items():
            amount(tongue, say(f"mould.how_{key}"), str(mould.get(key, "")), Quantity.LENGTH, "mm",
                   partial(self._set, key), wanted=kind, may_be_empty=key != "thickness")  # fmt: skip
        library = page.house.library()
        if library is not None:
            names = {"": "", **{name: name for name in sorted(library.tool)}}
            choice(say("mould.how_material"), names, str(mould.get("material", "")), partial(self._set, "material"))

    def _set(self, key: str, value: str) -> None:
        what = self.page.sheet.say("mould.did_how", what=self.page.sheet.say(f"mould.how_{key}"))
        self.page.sheet.edit(what, mould_set(key, value))

    def _as_at_first(self) -> None:
        if self.page.view is not None:
            self.page.view.home()

    def _want_another(self) -> None:
        self._another = True
        self.page.draw()

    def _other_unit(self, unit: str) -> None:
        self.page.sheet.edit(self.page.sheet.say("mould.did_unit", unit=unit), mould_set("unit", unit))

    def _noise(self, text: str) -> None:
        self.page.sheet.edit(self.page.sheet.say("mould.did_noise"), mould_set("noise", text))


def beside_job(path: Path, folder: Path, name: str) -> str:
    """Copy a file that has come beside a job and return its name there; one of the same name is never written over.

    Parameters
    ----------
    path
        Where it lies now.
    folder
        Of the job.
    name
        As its sender called it.

    Raises
    ------
    OutputError
        When it cannot be written.
    InputError
        When its name leads out of the folder.
    """
    wanted = plain_name(name, "mould" + path.suffix)
    stem, suffix = Path(wanted).stem, Path(wanted).suffix or path.suffix
    content = path.read_bytes()
    for number in range(1, 1000):
        kept = f"{stem}{suffix}" if number == 1 else f"{stem}-{number}{suffix}"
        target = inside(folder, kept)
        if target.is_file() and target.read_bytes() == content:
            return kept
        if not target.exists():
            break
    else:
        raise InputError.one("mesh", f'"{wanted}"', "a thousand files have this name", "call it otherwise")
    draft = folder / f".{kept}.coming"
    try:
        shutil.copyfile(path, draft)
        os.replace(draft, target)
    except OSError as error:
        with suppress(OSError):
            draft.unlink()
        raise unwritable(target, error) from None
    return kept


def size_words(size: tuple[float, ...], tongue: Tongue) -> str:
    """Return the sides of a box as a person reads them: ``412 × 268 × 61 mm``.

    Parameters
    ----------
    size
        Along x, y, z [m].
    tongue
        Of the reader.
    """
    unit = tongue.length(max(size)).rsplit(" ", 1)[-1]
    if unit == "m":
        return " × ".join(tongue.number(x, 2) for x in size) + " m"
    return " × ".join(tongue.length(x).rsplit(" ", 1)[0] for x in size) + f" {unit}"
