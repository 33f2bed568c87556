"""A material of one's own that is begun: its kind, its name, what it is like."""

from __future__ import annotations

from functools import partial

from fastapi import Request
from nicegui import ui

from bagside.errors import BagsideError, InputError
from bagside.web.founding.draft import plain
from bagside.web.founding.material_text import TYPED, generic_tables, material_text
from bagside.web.house import House
from bagside.web.parts.controls import button, choice, entry
from bagside.web.parts.frame import house_sheet, who_of
from bagside.web.parts.html import box, words
from bagside.web.preferences import tongue_of


class NewMaterial:
    """The page on which a material of one's own begins: kind, name, and which generic one is nearest.

    Parameters
    ----------
    house
        The workshop.
    request
        That asked for the page.
    kind
        Of material, chosen at first.
    to
        Address to go back to when it is typed; none when empty.
    """

    def __init__(self, house: House, request: Request, kind: str, to: str) -> None:
        self.house = house
        self.to = to if to.startswith("/") and not to.startswith("//") else ""
        self.kind, self.name, self.source = kind, "", ""
        self.tables = generic_tables()
        self.like = next(iter(self.tables[kind]))
        self.sheet = house_sheet(request, tongue_of(request).say("materials.new_title"), here="materials")
        ui.add_head_html('<link rel="stylesheet" href="/looks/begin.css">')

    def show(self) -> None:
        """Draw the page."""
        with self.sheet.root:
            words(self.sheet.say("materials.new_lead"), tag="p", look="lead")
            self.body = ui.element("section").classes("asked narrow")
            with box("section", "go-row"):
                button(self.sheet.say("materials.begin"), self._begin, go=True)
                words(self.sheet.say("materials.begin_is"), look="q note")
        self.drawn()

    def drawn(self) -> None:
        """Draw what is asked for a material of this kind."""
        say = self.sheet.say
        self.body.clear()
        with self.body:
            kinds = {kind: say(f"materials.kind_{kind}") for kind in TYPED}
            choice(say("materials.kind"), kinds, self.kind, self._kind)
            took = partial(setattr, self, "name")
            entry(say("materials.its_name"), self.name, took, hint=say("materials.h_its_name"), wide="14em")
            choice(say("materials.like"), {n: n for n in self.tables[self.kind]}, self.like,
                   partial(setattr, self, "like"), hint=say("materials.h_like"))  # fmt: skip
            took = partial(setattr, self, "source")
            entry(say("materials.source"), self.source, took, hint=say("materials.h_source"), wide="24em")
            words(say("materials.no_resin"), tag="p", look="q note")

    def _kind(self, kind: str) -> None:
        self.kind, self.like = kind, next(iter(self.tables[kind]))
        self.drawn()

    def _begin(self) -> None:
        say, sheet = self.sheet.say, self.sheet
        sheet.tell("")
        name = plain(self.name)
        try:
            if not name:
                raise InputError.one(say("materials.its_name"), "", say("materials.wants_name").rstrip("."))
            if (self.house.folder / "materials" / f"{name}.toml").exists():
                raise InputError.one(name, "", say("materials.taken").rstrip("."))
            text = material_text(self.kind, name, self.like, " ".join(self.source.split()))
            self.house.file(f"materials/{name}.toml").write(say("materials.begun"), text, who=who_of(sheet.client))
        except BagsideError as error:
            sheet.tell(error)
            return
        ui.navigate.to(f"/materials/{self.kind}/{name}" + (f"?to={self.to}" if self.to else ""))
