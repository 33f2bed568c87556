"""A new job: from cards – sizes, a drawing, a photo – or from the mesh of a mould; then it goes to its own pages."""

from __future__ import annotations

import os
import shutil
from functools import partial
from pathlib import Path
from typing import Any

from fastapi import Request
from nicegui import ui
from nicegui.element import Element

from bagside.errors import BagsideError, InputError, OutputError
from bagside.findings import Basis
from bagside.quantity import Quantity
from bagside.records.writing import replaced
from bagside.spec import fields
from bagside.web.founding.draft import CARDS, MESH, Draft, plain, wants
from bagside.web.founding.job_text import job_text
from bagside.web.founding.kept import keep_draft
from bagside.web.house import House
from bagside.web.model.job_check import problems_of_job
from bagside.web.pages.new_job.cards import CardAsking
from bagside.web.pages.new_job.mesh import MeshAsking
from bagside.web.pages.new_job.plies import plies_table
from bagside.web.parts.amount import amount
from bagside.web.parts.bare import is_refused
from bagside.web.parts.basis import key
from bagside.web.parts.controls import Field, button, choice, entry, first_wrong, focus, verb
from bagside.web.parts.frame import house_sheet
from bagside.web.parts.html import box, markup, words
from bagside.web.preferences import tongue_of


class NewJob:
    """The page of a new job.

    Parameters
    ----------
    house
        The workshop.
    request
        That asked for it.
    draft
        The job so far.
    """

    def __init__(self, house: House, request: Request, draft: Draft) -> None:
        self.house = house
        self.draft = draft
        self.sheet = house_sheet(request, tongue_of(request).say("new_job.title"))
        ui.add_head_html('<link rel="stylesheet" href="/looks/begin.css">')
        self.fields: dict[str, Field] = {}
        self.lines: list[Element] = []
        """Of the plies, which have no name beside them."""
        self.library = house.library()
        self.workshop = None
        self.ways: Element | None = None
        self.main: Element | None = None
        self.rest: Element | None = None
        self._asked = False
        try:
            self.workshop = house.workshop()
        except InputError as error:
            self.sheet.tell(error)
        draft.first_ply(self.workshop, self.library)
        self.cards = CardAsking(self)
        self.mesh = MeshAsking(self)

    def show(self) -> None:
        """Build the page."""
        with self.sheet.root:
            with box("p", "ways", role="group") as self.ways:
                pass
            with box("section", "columns picture asked"):
                with box("div", "main") as self.main:
                    pass
                with box("div", "beside"):
                    with box("div"):
                        self._name()
                    with box("div") as self.rest:
                        pass
            with box("section", "go-row"):
                button(self.sheet.say("new_job.make"), self._make, go=True)
                words(self.sheet.say("new_job.make_is"), look="q note")
                verb(self.sheet.say("new_job.forget"), self._forget)
            markup(key(self.sheet.tongue))
            words(self.sheet.say("common.safety"), tag="p", look="q s")
        self.drawn()
        self._asked = True

    def drawn(self) -> None:
        """Draw what is asked anew: something was added, taken away, or is another kind now.

        The name is left alone: somebody may be writing it.
        """
        self.keep()
        if self.ways is None or self.main is None or self.rest is None:
            return
        say, part = self.sheet.say, self.mesh if self.draft.way == MESH else self.cards
        self.fields = {name: field for name, field in self.fields.items() if name in ("name", "quantity")}
        self.lines.clear()
        for place in (self.ways, self.main, self.rest):
            place.clear()
        with self.ways:
            words(say("new_job.from"))
            for way in (CARDS, MESH):
                chosen = verb(say(f"new_job.way_{way}"), partial(self._way, way))
                chosen._props["aria-pressed"] = "true" if way == self.draft.way else "false"
        with self.main:
            part.picture()
            plies_table(self)
        with self.rest:
            part.ask()
            self._mould()
            self._use()

    def picture_again(self) -> None:
        """Draw the picture of the card in hand anew: something about it was answered."""
        self.keep()
        self.cards.redraw()

    def keep(self) -> None:
        """Write down how far the job has come; a restart asks nothing twice."""
        if not self._asked:
            return
        try:
            keep_draft(self.draft)
        except BagsideError as error:
            self.sheet.tell(error)

    def _way(self, way: str) -> None:
        self.draft.way = way
        self.drawn()

    def _name(self) -> None:
        say = self.sheet.say
        self.fields["name"] = entry(say("new_job.name"), self.draft.name, self._named, wide="14em")
        self.fields["quantity"] = entry(
            say("new_job.quantity"), self.draft.answers["quantity"], partial(self._whole, "quantity"), mode="numeric",
            wide="4em", unit=say("new_job.parts"),
        )  # fmt: skip

    def _named(self, name: str) -> None:
        self.draft.name = name.strip()
        self.keep()

    def _whole(self, name: str, value: str) -> None:
        if not (value.strip().isascii() and value.strip().isdigit() and int(value) > 0):
            raise InputError.one("", value, self.sheet.say("new_job.wants_quantity").rstrip("."))
        self.draft.answers[name] = str(int(value))
        self.keep()

    def answered(self, name: str, then: Any, value: str) -> None:
        """Take an answer.

        Parameters
        ----------
        name
            Of the answer.
        then
            Called after, without arguments; nothing when None.
        value
            As the file states it.
        """
        self.draft.answers[name] = value
        self.draft.touched.add(name)
        self.keep()
        if name in self.fields:
            self.fields[name].unit.set_content(self.fields[name].unit.content.split("<svg")[0])
        if then is not None:
            then()

    def ask(self, name: str, kind: Quantity, unit: str, wanted: Any, then: Any = None, *, empty: bool = False) -> None:
        """Ask for an amount.

        Parameters
        ----------
        name
            Of the answer.
        kind, unit, wanted
            See `bagside.web.parts.amount.amount`.
        then
            See `answered`.
        empty
            Whether it may stay empty.
        """
        say, draft = self.sheet.say, self.draft
        value = draft.answers.get(name, "")
        self.fields[name] = amount(
            self.sheet.tongue, say(f"new_job.q_{name}"), value, kind, unit, partial(self.answered, name, then),
            wanted=wanted, hint=say(f"new_job.h_{name}"), may_be_empty=empty,
            basis=Basis.COMMON if value and name not in draft.touched else None,
        )  # fmt: skip

    def _mould(self) -> None:
        say, tongue = self.sheet.say, self.sheet.tongue
        words(say("new_job.mould"), tag="h2", look="b")
        tools = {} if self.library is None else self.library.tool
        options = {n: say("new_job.tool", name=n, limit=tongue.temperature(t.limit)) for n, t in tools.items()}
        self.fields["mould_material"] = choice(
            say("new_job.q_mould_material"), options, self.draft.answers["mould_material"],
            partial(self.answered, "mould_material", None), hint=say("new_job.h_mould_material"),
        )  # fmt: skip
        self.ask("mould_thickness", Quantity.LENGTH, "mm", fields.PositiveLength)
        if self.draft.way != MESH:
            self.ask("depth", Quantity.LENGTH, "mm", fields.SomeLength)
            self.ask("flange", Quantity.LENGTH, "mm", fields.SomeLength)

    def _use(self) -> None:
        say = self.sheet.say
        words(say("new_job.use"), tag="h2", look="b")
        self.ask("service", Quantity.TEMPERATURE, "°C", fields.Temperature)
        substrates = {} if self.library is None else self.library.substrate
        options = {"": say("new_job.nothing")} | {n: n for n in substrates}
        self.fields["replaces_material"] = choice(
            say("new_job.q_replaces_material"), options, self.draft.answers.get("replaces_material", ""),
            partial(self.answered, "replaces_material", self.drawn), hint=say("new_job.h_replaces_material"),
        )  # fmt: skip
        if self.draft.answers.get("replaces_material"):
            self.ask("replaces_thickness", Quantity.LENGTH, "mm", fields.PositiveLength)

    def _forget(self) -> None:
        self.draft.forgotten()
        self.draft.first_ply(self.workshop, self.library)
        ui.navigate.to("/new")

    def _make(self) -> None:
        say, sheet = self.sheet.say, self.sheet
        sheet.tell("")
        problems = list(wants(self.draft, self.house.jobs(), sheet.tongue))
        for problem in problems:
            if problem.place in self.fields:
                self.fields[problem.place].wrong(problem.wanted)
        if problems:
            elsewhere = [p.wanted for p in problems if p.place not in self.fields]
            here = len(problems) - len(elsewhere)
            told = [sheet.tongue.count("begin.still_missing", here)] if here else []
            sheet.tell(" ".join([*told, *elsewhere]))
            first = next((p.place for p in problems if p.place in self.fields), "")
            if first:
                focus(self.fields[first].control)
            return
        refused = first_wrong(self.fields)
        wrong = next(filter(is_refused, self.lines), None) if refused is None else refused.control
        if wrong is not None:
            sheet.tell(say("begin.still_wrong"))
            focus(wrong)
            return
        name = plain(self.draft.name)
        try:
            _made(self.house.folder / "jobs", name, self.draft, job_text(self.draft, sheet.tongue), self.library)
        except BagsideError as error:
            sheet.tell(error)
            return
        way = self.draft.way
        self.draft.forgotten()
        sheet.tell(say("new_job.made"))
        ui.navigate.to(f"/job/{name}/{'mould' if way == MESH else 'cut'}")


def _made(jobs: Path, name: str, draft: Draft, text: str, library: Any) -> None:
    """Put the folder of a job in its place: all of it, or nothing.

    Raises
    ------
    InputError
        When the job would not be one; says every problem.
    OutputError
        When it cannot be written.
    """
    work = jobs / f".{name}.new"
    try:
        shutil.rmtree(work, ignore_errors=True)
        work.mkdir(parents=True)
        for card in draft.cards if draft.way != MESH else []:
            if card.file is not None:
                shutil.copy(card.file, work / f"{card.name}{card.file.suffix.lower()}")
        if draft.way == MESH and draft.mesh is not None:
            shutil.copy(draft.mesh.file, work / f"mould{draft.mesh.file.suffix.lower()}")
        replaced(work / "job.toml", text)
        problems = problems_of_job(text, work, library)
        if problems:
            raise InputError(problems)
        os.rename(work, jobs / name)  # onto a job that came meanwhile it fails, for that one is not empty
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise OutputError(f'"jobs/{name}" cannot be written: {why}. Nothing was kept.') from None
    finally:
        shutil.rmtree(work, ignore_errors=True)
