"""Materials: the library's generic ones and the workshop's own, typed from their data sheets value by value."""

from __future__ import annotations

from functools import partial
from html import escape
from typing import Any

from fastapi import Request, Response
from fastapi.responses import FileResponse, RedirectResponse
from nicegui import app, ui

from bagside.errors import BagsideError, InputError
from bagside.spec.library import workshop_library
from bagside.web.founding.draft import plain
from bagside.web.founding.material_text import KINDS, TYPED, generic_tables, material_text
from bagside.web.house import House
from bagside.web.pages.material import SHEETS_AT, material_page, own_tables
from bagside.web.parts.basis import key, mark
from bagside.web.parts.controls import button, choice, entry, link
from bagside.web.parts.frame import house_sheet, rows, who_of
from bagside.web.parts.html import box, markup, words
from bagside.web.preferences import tongue_of
from bagside.web.words.tongue import Tongue


def register(house: House) -> None:
    """Name the addresses.

    Parameters
    ----------
    house
        The workshop.
    """

    @app.get("/materials/sheets/{name}")
    def sheet(name: str) -> Response:
        folder = house.folder / SHEETS_AT
        known = {p.name for p in folder.iterdir() if not p.name.startswith(".")} if folder.is_dir() else set()
        if name not in known:
            return Response(status_code=404)
        return FileResponse(folder / name, headers={"Cache-Control": "no-cache"})

    @ui.page("/materials")
    def materials(request: Request) -> None:
        _all(house, request)

    @ui.page("/materials/new")
    def new(request: Request, kind: str = "prepreg", to: str = "") -> None:
        _New(house, request, kind if kind in TYPED else "prepreg", to).show()

    @ui.page("/materials/{kind}/{name}")
    def one(request: Request, kind: str, name: str, to: str = "") -> Any:
        if kind not in KINDS:
            return RedirectResponse("/materials", status_code=303)
        material_page(house, request, kind, name, to)
        return None


def _all(house: House, request: Request) -> None:
    sheet = house_sheet(request, tongue_of(request).say("materials.title"), here="materials")
    ui.add_head_html('<link rel="stylesheet" href="/looks/begin.css">')
    say, tongue = sheet.say, sheet.tongue
    own = {kind: {n for t in own_tables(house.folder).values() for n in t.get(kind, {})} for kind in KINDS}
    with sheet.root:
        words(say("materials.lead"), tag="p", look="q note")
        with box("p", "ways"):
            link(say("materials.type_one"), "/materials/new")
        library = None
        try:
            library = workshop_library(house.folder)
        except InputError as error:
            sheet.tell(error)
        if library is not None:
            with box("section", "shop-flow"):
                for kind in KINDS:
                    with box("section", "shop-group", aria_label=say(f"materials.kind_{kind}")):
                        words(say(f"materials.kind_{kind}"), tag="h2", look="b")
                        table = getattr(library, kind)
                        names = sorted(table, key=lambda n: (n not in own[kind], n))
                        body = [_row(kind, n, table[n], n in own[kind], tongue) for n in names]
                        head = [say("materials.name"), say(f"materials.main_{kind}"), say("materials.from")]
                        markup(rows(head, body, name=say(f"materials.kind_{kind}")), look="wide-table")
        markup(key(tongue))


def _row(kind: str, name: str, material: Any, own: bool, tongue: Tongue) -> list[str]:
    anchor = f'<a href="/materials/{kind}/{escape(name, quote=True)}">{escape(name)}</a>'
    whose = tongue.say("materials.own" if own else "materials.generic")
    main = escape(_main(kind, material, tongue)) + _mark(kind, material, tongue)
    return [f"<b>{anchor}</b>" if own else anchor, main, escape(whose)]


def _mark(kind: str, material: Any, tongue: Tongue) -> str:
    field = {"prepreg": "areal_weight", "adhesive": "shear_strength", "coating": "dry_film", "substrate": "modulus",
             "resin": "tg_cured"}.get(kind, "limit")  # fmt: skip
    return mark(material.basis.of(field), tongue, material.basis.source)


def _main(kind: str, material: Any, tongue: Tongue) -> str:
    """Return what tells a material from its like at one glance."""
    match kind:
        case "prepreg":
            weight = f"{tongue.number(1e3 * material.areal_weight)} g/m²"
            return f"{material.weave or tongue.say(f'begin.weave_{material.kind.value}')}, {weight}"
        case "adhesive":
            return f"{tongue.number(1e-6 * material.shear_strength)} MPa"
        case "coating":
            return tongue.thickness(material.dry_film)
        case "substrate":
            return f"{tongue.number(1e-9 * material.modulus, 1)} GPa"
        case "resin":
            return f"Tg {tongue.temperature(material.tg_cured)}"
    return tongue.temperature(material.limit)


class _New:
    """The page on which a material of one's own begins: kind, name, and which generic one is nearest."""

    def __init__(self, house: House, request: Request, kind: str, to: str) -> None:
        self.house = house
        self.to = to if to.startswith("/") and not to.startswith("//") else ""
        self.kind, self.name, self.source = kind, "", ""
        self.tables = generic_tables()
        self.like = next(iter(self.tables[kind]))
        self.sheet = house_sheet(request, tongue_of(request).say("materials.new_title"), here="materials")
        ui.add_head_html('<link rel="stylesheet" href="/looks/begin.css">')

    def show(self) -> None:
        with self.sheet.root:
            words(self.sheet.say("materials.new_lead"), tag="p", look="lead")
            self.body = ui.element("section").classes("asked narrow")
            with box("section", "go-row"):
                button(self.sheet.say("materials.begin"), self._begin, go=True)
                words(self.sheet.say("materials.begin_is"), look="q note")
        self.drawn()

    def drawn(self) -> None:
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
