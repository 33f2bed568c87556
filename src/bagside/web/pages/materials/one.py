"""One material: each value with its unit and on what it rests, the library's beside it, the picture of its sheet."""

from __future__ import annotations

import os
import shutil
import tomllib
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from fastapi import Request
from nicegui import ui
from nicegui.element import Element

from bagside.errors import InputError, OutputError
from bagside.findings import Basis
from bagside.spec.library import Library, lookup
from bagside.spec.reading import stated_from
from bagside.web.founding.material_text import KINDS, based, generic_tables, where
from bagside.web.guard import MOST, SHEETS
from bagside.web.house import House
from bagside.web.parts.bare import bare_choice
from bagside.web.parts.basis import key
from bagside.web.parts.controls import button, choice, choose, entry, link, verb
from bagside.web.parts.drop import Drop
from bagside.web.parts.edited_file import Path as Place
from bagside.web.parts.form import Form
from bagside.web.parts.frame import house_sheet
from bagside.web.parts.history import history
from bagside.web.parts.html import box, markup, words
from bagside.web.parts.lists import ON_A_LINE
from bagside.web.parts.stated import Sort, stated_fields
from bagside.web.words.tongue import Tongue

SHEETS_AT = "materials/sheets"
PICTURES = (".jpg", ".png", ".webp")
NOT_LINES = ("basis", "resin")


def material_page(house: House, request: Request, kind: str, name: str, to: str) -> None:
    """Show a material.

    Parameters
    ----------
    house
        The workshop.
    request
        That asked for it.
    kind, name
        Of the material.
    to
        Where the person came from; empty when from nowhere.
    """
    own = where(own_tables(house.folder), kind, name)
    if own:
        _Own(house, request, kind, name, own, to).show()
    else:
        _generic(house, request, kind, name)


def own_tables(folder: Path) -> dict[str, dict[str, Any]]:
    """Return the tables of each file of the workshop's own materials; a file that does not read gives none.

    Parameters
    ----------
    folder
        Of the workshop.
    """
    found: dict[str, dict[str, Any]] = {}
    for path in sorted((folder / "materials").glob("*.toml")):
        try:
            found[path.name] = tomllib.loads(path.read_text(encoding="utf-8"))
        except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError):
            found[path.name] = {}
    return found


def _generic(house: House, request: Request, kind: str, name: str) -> None:
    sheet = house_sheet(request, name, here="materials")
    ui.add_head_html('<link rel="stylesheet" href="/looks/begin.css">')
    say = sheet.say
    table = generic_tables()[kind].get(name)
    with sheet.root:
        if table is None:
            words(say("materials.none"), tag="p", look="b")
            link(say("materials.title"), "/materials")
            return
        told = table.get("basis", {})
        words(say("materials.generic_is"), tag="p", look="q note")
        words(f"{say('materials.rests')}: {told.get('source', '')}", tag="p")
        if kind != "resin":
            with box("p", "ways"):
                link(say("materials.make_own"), f"/materials/new?kind={kind}")
        with box("dl", "values"):
            for one in stated_fields(KINDS[kind]):
                if one.name in table and one.name != "basis":
                    with box("dt"):
                        words(say(f"materials.f_{one.name}"))
                    with box("dd"):
                        words(_plain(one.name, table[one.name], sheet.tongue))
        markup(key(sheet.tongue))


def _plain(name: str, value: Any, tongue: Tongue) -> str:
    if isinstance(value, bool):
        return tongue.say("asked.yes" if value else "asked.no")
    if name in ON_A_LINE:
        return ON_A_LINE[name].shown(value)
    if isinstance(value, dict):
        return ", ".join(f"{k} {v}" for k, v in value.items())
    return str(value)


@dataclass(slots=True)
class Rests:
    """Beside a value: on what it rests.

    Parameters
    ----------
    place
        Where that stands.
    generic
        What the library's material has, as text; empty when nothing.
    choice, note
        What is shown there; None when the value is not stated, or is the library's.
    """

    place: Element
    generic: str
    choice: Element | None = None
    note: Element | None = None


class _Own:
    def __init__(self, house: House, request: Request, kind: str, name: str, file: str, to: str) -> None:
        self.house, self.kind, self.name = house, kind, name
        self.stem = file.removesuffix(".toml")
        self.to = to if to.startswith("/") and not to.startswith("//") else ""
        self.sheet = house_sheet(request, name, here="materials")
        ui.add_head_html('<link rel="stylesheet" href="/looks/begin.css">')
        say = self.sheet.say
        with self.sheet.verbs:
            self.walk = ui.element("span").classes("walk")
        with self.sheet.root:
            words(say("materials.own_is"), tag="p", look="q note")
            self.body = ui.element("div")
            if self.to:
                with box("section", "go-row"):
                    button(say("materials.go_on"), partial(ui.navigate.to, self.to), go=True)
            markup(key(self.sheet.tongue))
        self.form = Form(self.sheet, house.file(f"materials/{file}"), "materials", self._check, self.drawn)
        self.form.basis_of = self._basis
        self.form.also = self._also
        self.form.wrote = self._wrote
        self.rests: dict[str, Rests] = {}
        workshop = self._currency()
        self.form.currency = workshop

    def _currency(self) -> str:
        try:
            workshop = self.house.workshop()
        except InputError:
            return "EUR"
        return "EUR" if workshop is None else workshop.currency

    def show(self) -> None:
        self.drawn()

    def _check(self, text: str) -> None:
        tables = tomllib.loads(text)
        own = stated_from(tables, Library, f"materials/{self.stem}.toml")
        resins = {**generic_tables()["resin"], **own.resin}
        for tables_of in own_tables(self.house.folder).values():
            resins |= tables_of.get("resin", {})
        cloths = own.prepreg.items()
        problems = [p for n, cloth in cloths for p in lookup(resins, cloth.resin, f"{n}, resin", "resin")]
        if problems:
            raise InputError(problems)

    def _told(self) -> dict[str, Any]:
        value = self.form.value((self.kind, self.name, "basis"))
        return dict(value) if isinstance(value, dict) else {}

    def _basis(self, path: Place) -> Basis | None:
        told = self._told()
        said = dict(told.get("but", {})).get(path[-1], told.get("all", ""))
        return Basis(said) if said in set(Basis) else None

    def _also(self, document: Any, path: Place) -> None:
        """What was typed rests on the data sheet, unless it was measured here."""
        field = str(path[-1])
        if "basis" not in path and self._basis(path) in (Basis.COMMON, Basis.PUBLISHED, None):
            based(document, self.kind, self.name, field, Basis.DATA_SHEET)

    def drawn(self) -> None:
        form, say = self.form, self.sheet.say
        form.verbs(self.walk)
        self.body.clear()
        with self.body:
            with box("section", "columns"):
                with box("div", "main asked values-own"):
                    self._values()
                with box("div", "beside"):
                    with box("div") as self.sheet_box:
                        self._sheet()
                    words(say("materials.rests"), tag="h2", look="b")
                    stands = str(self._told().get("source", ""))
                    entry(say("materials.source"), stands, self._sourced, hint=say("materials.h_source"), wide="100%")
            history(form)

    def _values(self) -> None:
        form, say = self.form, self.sheet.say
        generic = self._like()
        fields = [
            one
            for one in stated_fields(KINDS[self.kind])
            if one.name not in NOT_LINES and (one.sort is not Sort.OTHER or one.name in ON_A_LINE)
        ]
        if self.kind == "prepreg":
            library = self.house.library()
            resins = {} if library is None else {n: n for n in library.resin}
            stands = str(form.value((self.kind, self.name, "resin")) or "")
            choice(say("materials.f_resin"), resins, stands, partial(self._resin), hint=say("materials.h_f_resin"))
        for one in fields:
            path: Place = (self.kind, self.name, one.name)
            usual = generic.get(one.name)
            says = "" if usual is None else _plain(one.name, usual, self.sheet.tongue)
            field = form.line(one, path, "f", says)
            with field.row, box("span", "rests") as place:
                self.rests[one.name] = Rests(place, says)
            self._basis_choice(one.name)

    def _basis_choice(self, name: str) -> None:
        """Show on what a value rests, and what the library has; a choice that is open stays the one it is."""
        rests = self.rests[name]
        say, path = self.sheet.say, (self.kind, self.name, name)
        value = self.form.value(path)
        if value is None:
            rests.place.clear()
            rests.choice = rests.note = None
            return
        options = {b.value: say(f"materials.b_{b.name}") for b in Basis}
        basis = self._basis(path)
        spoken = say("materials.basis_of", field=say(f"materials.f_{name}"))
        stands = "" if basis is None else basis.value
        with rests.place:
            if rests.choice is None:
                rests.choice = bare_choice(self.sheet, spoken, options, stands, partial(self._rests, name))
                rests.choice.classes(add="basis-choice")
            else:
                choose(rests.choice, stands)
            if rests.note is not None:
                rests.note.delete()
            differs = bool(rests.generic) and _plain(name, value, self.sheet.tongue) != rests.generic
            rests.note = words(say("materials.generic_has", value=rests.generic), look="q s") if differs else None

    def _wrote(self, path: Place) -> None:
        """Show on what a value rests that was just written."""
        rests = self.rests.get(str(path[-1]))
        if rests is not None and not rests.place.is_deleted:
            self._basis_choice(str(path[-1]))

    def _like(self) -> dict[str, Any]:
        """Return the generic material this one was begun from, as far as its source says it; else none."""
        source = str(self._told().get("source", ""))
        tables = generic_tables()[self.kind]
        return next((tables[n] for n in sorted(tables, key=len, reverse=True) if source.endswith(f"as {n}")), {})

    def _resin(self, name: str) -> None:
        self.form.put((self.kind, self.name, "resin"), name, self.sheet.say("materials.f_resin"))

    def _sourced(self, typed: str) -> None:
        place: Place = (self.kind, self.name, "basis", "source")
        self.form.put(place, " ".join(typed.split()), self.sheet.say("materials.source"))

    def _rests(self, field: str, value: str) -> None:
        what = self.sheet.say("materials.basis_of", field=self.sheet.say(f"materials.f_{field}"))
        self.form.edit(what, lambda document: based(document, self.kind, self.name, field, Basis(value)))
        self._wrote((field,))

    # --- the picture of the data sheet

    def _kept(self) -> list[Path]:
        folder = self.house.folder / SHEETS_AT
        return sorted(p for p in folder.glob(f"{self.stem}.*")) if folder.is_dir() else []

    def _sheet(self) -> None:
        say = self.sheet.say
        words(say("materials.sheet"), tag="h2", look="b")
        for path in self._kept():
            address = f"/materials/sheets/{path.name}?{path.stat().st_mtime_ns}"
            if path.suffix in PICTURES:
                markup(f'<a href="{address}"><img class="over" src="{address}" alt="{say("materials.sheet")}"></a>')
            else:
                link(path.name, address)
            verb(say("materials.drop_sheet"), partial(self._sheet_gone, path))
        Drop(self.sheet, say("materials.keep_sheet"), kinds=SHEETS, most=MOST["sheet"], took=self._sheet_came)
        words(say("materials.sheet_is"), tag="p", look="q s")

    def _sheet_came(self, path: Path, name: str) -> None:
        folder = self.house.folder / SHEETS_AT
        try:
            folder.mkdir(parents=True, exist_ok=True)
            draft = folder / f".{self.stem}{path.suffix}.new"
            shutil.copyfile(path, draft)
            os.replace(draft, folder / f"{self.stem}{path.suffix}")
        except OSError as error:
            raise OutputError(f"{name}: {(error.strerror or str(error)).lower()}") from None
        self._sheet_again()

    def _sheet_gone(self, path: Path) -> None:
        path.unlink(missing_ok=True)
        self._sheet_again()

    def _sheet_again(self) -> None:
        self.sheet_box.clear()
        with self.sheet_box:
            self._sheet()

