"""Materials: the library's generic ones and the workshop's own, typed from their data sheets value by value."""

from __future__ import annotations

from html import escape
from typing import Any

from fastapi import Request
from nicegui import ui

from bagside.errors import InputError
from bagside.spec.library import workshop_library
from bagside.web.founding.material_text import KINDS
from bagside.web.house import House
from bagside.web.pages.materials.one import own_tables
from bagside.web.parts.basis import key, mark
from bagside.web.parts.controls import link
from bagside.web.parts.frame import house_sheet, rows
from bagside.web.parts.html import box, markup, words
from bagside.web.preferences import tongue_of
from bagside.web.words.tongue import Tongue


def materials_page(house: House, request: Request) -> None:
    """Show all materials, by kind.

    Parameters
    ----------
    house
        The workshop.
    request
        That asked for the page.
    """
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
