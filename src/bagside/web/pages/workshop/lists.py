"""Lists of the workshop's file – rolls as received, what can be bought, equipment – and prices by name."""

from __future__ import annotations

from functools import partial
from typing import Any

import tomlkit

from bagside.errors import InputError
from bagside.quantity import Quantity
from bagside.spec import fields
from bagside.spec.library import Library
from bagside.web.parts.amount import amount, as_stated, for_person, parted
from bagside.web.parts.bare import bare_choice, bare_entry
from bagside.web.parts.controls import verb
from bagside.web.parts.form import Form
from bagside.web.parts.html import box, words
from bagside.web.parts.stated import Sort, Stated, checked, stated_fields

KINDS: dict[str, tuple[Quantity, str, Any]] = {
    "film": (Quantity.MONEY_PER_AREA, "EUR/m²", fields.MoneyPerArea),
    "tape": (Quantity.MONEY_PER_LENGTH, "EUR/m", fields.MoneyPerLength),
    "adhesive": (Quantity.MONEY_PER_MASS, "EUR/kg", fields.MoneyPerMass),
    "coating": (Quantity.MONEY_PER_VOLUME, "EUR/L", fields.MoneyPerVolume),
}
TAPES = ("sealant-tape",)
UNITS = {"length": "m", "width": "mm", "selvedge": "mm", "life_used": "h", "least": "m", "step": "m"}


def price_group(form: Form, library: Library | None) -> None:
    """Show the prices of films, tapes, adhesives and coatings, a line for each that the library has.

    Parameters
    ----------
    form
        Of the workshop's file.
    library
        Materials.
    """
    for kind, (quantity, unit, wanted) in KINDS.items():
        known = [] if library is None else list(getattr(library, "film" if kind == "tape" else kind))
        if kind in ("film", "tape"):
            known = [n for n in known if (n in TAPES) == (kind == "tape")]
        names = list(dict.fromkeys([*form.names(("prices", kind)), *known]))
        words(form.label(f"prices_{kind}"), tag="h3", look="b note")
        stands = [n for n in names if form.value(("prices", kind, n)) is not None]
        rest = [n for n in names if n not in stands]
        for name in stands:
            _price(form, kind, name, quantity, unit, wanted)
        if rest:
            with box("details"):
                with box("summary", "act note"):
                    words(form.sheet.say("asked.not_stated", count=len(rest)))
                for name in rest:
                    _price(form, kind, name, quantity, unit, wanted)


def _price(form: Form, kind: str, name: str, quantity: Quantity, unit: str, wanted: Any) -> None:
    path = ("prices", kind, name)
    value = form.value(path)
    amount(
        form.sheet.tongue, name, "" if value is None else str(value), quantity, unit.replace("EUR", form.currency),
        partial(_priced, form, path, name), wanted=wanted, basis=None if value is None else form.basis_of(path),
        may_be_empty=True,
    )  # fmt: skip


def _priced(form: Form, path: tuple[str | int, ...], name: str, value: str) -> None:
    form.put(path, value or None, name)


def list_group(form: Form, cls: type[Any], key: str, library: Library | None) -> None:
    """Show a list of the file as a table, with a verb for another row.

    Parameters
    ----------
    form
        Of the workshop's file.
    cls
        Of a row.
    key
        Of the list in the file.
    library
        Gives the cloths that a row may name; None when it names none.
    """
    say = form.sheet.say
    columns = stated_fields(cls)
    rows = form.value((key,)) or []
    words(form.label(f"group_{key}"), tag="h2", look="b")
    words(form.label(f"h_{key}"), tag="p", look="q note")
    if len(rows):
        with box("div", "wide-table"), box("table", aria_label=form.label(f"group_{key}")):
            with box("thead"), box("tr"):
                for column in columns:
                    with box("th", scope="col"):
                        words(form.label(f"{key}_{column.name}"))
                with box("th"):
                    pass
            with box("tbody"):
                for k in range(len(rows)):
                    with box("tr"):
                        for column in columns:
                            with box("td"):
                                _cell(form, key, k, column, library)
                        with box("td"):
                            name = say("workshop.row_of", verb=say("workshop.drop_row"), row=k + 1)
                            verb(say("workshop.drop_row"), partial(_dropped, form, key, k), name=name)
    verb(form.label(f"add_{key}"), partial(form.tried, partial(_added, form, key, library)))


def _cell(form: Form, key: str, k: int, column: Stated, library: Library | None) -> None:
    sheet, tongue = form.sheet, form.sheet.tongue
    value = form.value((key, k, column.name))
    name = sheet.say("workshop.cell_of", column=form.label(f"{key}_{column.name}"), row=k + 1)
    took = partial(_set, form, key, k, column)
    if column.name == "material" and library is not None:
        bare_choice(sheet, name, {n: n for n in library.prepreg}, str(value or ""), took)
    elif column.sort is Sort.CHOICE:
        bare_choice(sheet, name, {o: o for o in column.options}, str(value or column.options[0]), took)
    elif column.sort is Sort.AMOUNT and column.kind is not None:
        number, unit = for_person("" if value is None else str(value), column.kind, _unit(form, column), tongue)
        with box("span", "n"):
            bare_entry(sheet, name, number, took, wide="4.5em", mode="decimal")
            words(unit, look="q s")
    else:
        bare_entry(sheet, name, "" if value is None else str(value), took, wide="7em")


def _unit(form: Form, column: Stated) -> str:
    example = "" if column.kind is None else parted(column.kind.value.example)[1]
    return UNITS.get(column.name, example).replace("EUR", form.currency)


def _set(form: Form, key: str, k: int, column: Stated, typed: str) -> None:
    label = form.label(f"{key}_{column.name}")
    if column.sort is Sort.AMOUNT and column.kind is not None and typed.strip():
        stands = form.value((key, k, column.name))
        _, unit = for_person("" if stands is None else str(stands), column.kind, _unit(form, column), form.sheet.tongue)
        value: Any = as_stated(typed, column.kind, unit, form.sheet.tongue, column.wanted)
    else:
        value = form.read(column, typed)
        if value is not None:
            checked(value, column.wanted)
    if value is None and column.must:
        raise InputError.one(label, "", form.sheet.say("asked.missing", example="").rstrip("., "))
    form.put((key, k, column.name), value, form.sheet.say("workshop.cell_of", column=label, row=k + 1))


def _dropped(form: Form, key: str, k: int) -> None:
    def change(document: Any) -> None:
        del document[key][k]
        if not document[key]:
            del document[key]

    what = form.sheet.say("workshop.row_of", verb=form.sheet.say("workshop.drop_row"), row=k + 1)
    form.tried(lambda: form.edit(what, change))


def _added(form: Form, key: str, library: Library | None) -> None:
    """Add a row: like the last one, or the least that a row must say."""
    rows = form.value((key,)) or []
    material = next(iter(library.prepreg), "twill-200") if library is not None else ""
    least: dict[str, dict[str, str]] = {
        "stock": {"material": material, "length": "10 m", "price": f"45 {form.currency}/m²"},
        "offers": {"material": material, "width": "1250 mm", "price": f"45 {form.currency}/m²"},
        "equipment": {"name": form.label("new_equipment"), "price": f"100 {form.currency}"},
    }
    row = dict(rows[-1]) if len(rows) else dict(least[key])
    if key == "stock":
        row |= {"name": f"R-{len(rows) + 1}"}
        row.pop("batch", None)

    def change(document: Any) -> None:
        if key not in document:
            document[key] = tomlkit.aot()
        table = tomlkit.table()
        table.update(row)
        document[key].append(table)

    form.edit(form.label(f"add_{key}"), change)
