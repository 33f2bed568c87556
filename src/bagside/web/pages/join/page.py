"""Join: where brackets stand, what their adhesive bears, how far holes are from edges, where plies meet."""

from __future__ import annotations

from functools import partial
from html import escape
from typing import Any

import tomlkit
from nicegui.element import Element
from pydantic import TypeAdapter, ValidationError

from bagside.errors import BagsideError, InputError
from bagside.quantity import Quantity
from bagside.sheets.themed import themed
from bagside.spec.fields import Point3, PositiveLength, SomeForce, Temperature
from bagside.web.house import House
from bagside.web.model.job_desk import Shown
from bagside.web.pages.join.parts import adhesive_clock, bond_numbers, filled, holes_part, joins_part, mpa
from bagside.web.parts.amount import amount
from bagside.web.parts.cautions import asks_first, caution
from bagside.web.parts.controls import choice, entry, verb
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.html import box, markup, words
from bagside.web.parts.kept_parts import KeptParts
from bagside.web.scene.view import Handle, MeshView, SurfacePoint
from bagside.web.views.join.view import BondShown, JoinView

NEW = {"size": "40 25 mm", "material": "aluminium", "thickness": "2 mm", "load": "100 N"}
"""Of a bracket that is added, until the person says otherwise."""


class JoinPage:
    """The page of what is joined to a part.

    Parameters
    ----------
    house
        The workshop.
    sheet
        The page.
    """

    def __init__(self, house: House, sheet: JobSheet) -> None:
        self.house, self.sheet = house, sheet
        self.say, self.tongue, self.desk = sheet.say, sheet.tongue, sheet.desk
        self.view: JoinView | None = None
        self.mesh: MeshView | None = None
        self._handles: tuple[Handle, ...] = ()
        self._places: list[tuple[Element, Element, Element | None]] = []
        self.parts = KeptParts(sheet)
        with self.parts.holder:
            self._caution = Element("div")
            with box("section", "picture joins") as self._pictured:
                self._picture = Element("div").classes("join-mesh")
                self._under = Element("div")
            self._bonds = Element("section").classes("bonds")
            with box("section", "columns cure-columns"):
                self._holes = Element("div")
                self._joins = Element("div")
            self._found = Element("section").classes("finds")
        self.parts.follow(self._draw)

    def _draw(self, shown: Shown) -> None:
        view: JoinView = shown.view
        self.view = view
        document = self.desk.file.document()
        hazards = (*(("glue", "dust") if view.bonds else ()), *(("drill",) if view.holes else ()))
        if hazards:
            self.parts.part("caution", self._caution, hazards, partial(caution, self.tongue, hazards))
        self._draw_picture(view)
        self.parts.part("bonds", self._bonds, (len(view.bonds), self.may_edit), self._lay_out)
        stated = document.get("brackets") or []
        for k, bond in enumerate(view.bonds):
            seen, clock, fields = self._places[k]
            self.parts.part(f"seen{k}", seen, (bond, view.parts), partial(self._show_bond, k, bond, view))
            self.parts.part(f"clock{k}", clock, (bond.plan, bond.adhesive), partial(adhesive_clock, bond, self.tongue))
            if fields is not None and k < len(stated):
                state = (str(stated[k]), view.adhesives)
                self.parts.part(f"fields{k}", fields, state, partial(self._fields, k, bond, view))
        self.parts.part(
            "holes", self._holes, tuple(h.rule for h in view.holes), partial(holes_part, view.holes, self.tongue)
        )
        self.parts.part("joins", self._joins, (view.joins, view.apart), partial(joins_part, view, self.tongue))
        found = asks_first(self.desk.findings("joining"))
        self.parts.part("found", self._found, tuple(found), partial(self._draw_findings, found))

    # --- the part

    def _draw_picture(self, view: JoinView) -> None:
        if not view.mesh:
            self.parts.part("picture", self._picture, "none", lambda: None)
            self._pictured.set_visibility(False)
            return
        address = self.house.blob(view.mesh)
        if self.mesh is None:
            with self._picture:
                self.mesh = MeshView(
                    address,
                    tongue=self.tongue,
                    label=self.say("join.picture", brackets=len(view.bonds), holes=len(view.holes)),
                    fallback=themed(view.still.replace("{picture}", escape(self.say("join.still")))),
                    on_drag=self._dragged,
                )
        elif self.mesh.address != address:
            self.mesh.show(address)
        can = bool(view.bonds) and self.may_edit
        told = partial(words, self.say("join.drag"), tag="p", look="q s") if can else lambda: None
        self.parts.part("under", self._under, can, told)
        stated = self.desk.file.document().get("brackets") or []
        handles = tuple(
            Handle(
                key=str(k),
                at=_place(stated[k], b.stated.at) if k < len(stated) else b.stated.at,
                label=self.say("join.bracket", name=b.stated.name),
                words=b.stated.name,
            )
            for k, b in enumerate(view.bonds if self.may_edit else ())
        )
        if handles != self._handles:
            self._handles = handles
            self.mesh.handle(handles)

    def _dragged(self, key: str, at: SurfacePoint, let_go: bool) -> None:
        if not let_go or self.view is None:
            return
        text = " ".join(f"{1000.0 * x:.1f}" for x in at.at) + " mm"
        try:
            self._write(int(key), "at", text, "at", typed=False)
        except BagsideError as error:
            self.sheet.tell(error)

    # --- bonds

    def _lay_out(self) -> None:
        """Make room for every bracket: its picture, its adhesive's time, its lines to write on."""
        view = self.view
        if view is None:
            return
        self._places = []
        for k, _ in enumerate(view.bonds):
            for name in ("seen", "clock", "fields"):
                self.parts.forget(f"{name}{k}")
            with box("article", "bond"), box("div", "bond-row"):
                seen = Element("div").classes("bond-seen")
                with box("div"):
                    clock, fields = Element("div"), None
                    if self.may_edit:
                        with box("details", "design"):
                            with box("summary", "act"):
                                words(self.say("join.change"))
                            fields = Element("div")
            self._places.append((seen, clock, fields))
        if not view.bonds:
            words(self.say("join.no_brackets"), tag="p", look="lead")
        if self.may_edit:
            with box("div", "verbs-row"):
                verb(self.say("join.add"), self._add)

    @property
    def may_edit(self) -> bool:
        """Whether this job states its own brackets."""
        return "mirror" not in self.desk.file.document()

    def _show_bond(self, k: int, bond: BondShown, view: JoinView) -> None:
        say, tongue, plan = self.say, self.tongue, bond.plan
        words_of = {
            "design": say("join.design", stress=mpa(plan.design, tongue)),
            "peak": say("join.peak", stress=mpa(plan.stress.peak, tongue)),
            "mean": say("join.mean", stress=mpa(plan.stress.mean, tongue)),
            "foot": f"{say(f'join.foot_{plan.foot.value}')} {tongue.thickness(bond.stated.thickness)}",
            "adhesive": f"{bond.stated.adhesive} {tongue.thickness(plan.bondline)}",
            "glass": say("join.glass"),
            "laminate": say("join.laminate", thickness=tongue.thickness(plan.skin)),
            "length": tongue.length(plan.length),
            "title": say("join.bond_title", name=plan.name, peak=mpa(plan.stress.peak, tongue),
                         design=mpa(plan.design, tongue)),
            "bonded": say("join.bonded"),
            "area_title": say("join.area_title", area=tongue.area(plan.area), needed=tongue.area(plan.area_needed)),
        }  # fmt: skip
        words(plan.name, tag="h2", look="b lead bond-name")
        markup(themed(filled(bond.side, words_of), key=f"side{k}"), tag="figure", look="bond-side")
        with box("div"):
            markup(themed(filled(bond.area, words_of), key=f"area{k}"), tag="figure", look="bond-area")
            markup(bond_numbers(bond, view.parts, self.tongue))

    def _fields(self, k: int, bond: BondShown, view: JoinView) -> None:
        say, tongue, stated = self.say, self.tongue, self._stated(k)

        def text(name: str, usual: str = "") -> str:
            return str(stated.get(name, usual))

        entry(say("join.field_name"), text("name"), lambda v: self._write(k, "name", v.strip(), "name"))
        choice(say("join.field_material"), {f: say(f"join.foot_{f}") for f in view.feet}, text("material"),
               lambda v: self._write(k, "material", v, "material"))  # fmt: skip
        choice(say("join.field_adhesive"), {a: a for a in view.adhesives}, text("adhesive"),
               lambda v: self._write(k, "adhesive", v, "adhesive"))  # fmt: skip
        entry(say("join.field_size"), text("size"), lambda v: self._write(k, "size", v.strip(), "size"),
              hint=say("join.size_how"))  # fmt: skip
        amount(tongue, say("join.field_thickness"), text("thickness"), Quantity.LENGTH, "mm",
               lambda v: self._write(k, "thickness", v, "thickness"), wanted=PositiveLength)  # fmt: skip
        amount(tongue, say("join.field_load"), text("load"), Quantity.FORCE, "N",
               lambda v: self._write(k, "load", v, "load"), wanted=SomeForce, hint=say("join.load_how"))  # fmt: skip
        amount(tongue, say("join.field_service"), text("service"), Quantity.TEMPERATURE, "°C",
               lambda v: self._write(k, "service", v, "service"), wanted=Temperature, may_be_empty=True,
               hint=say("join.service_how", at=tongue.temperature(view.service)))  # fmt: skip
        if view.mesh:
            entry(say("join.field_at"), text("at"), lambda v: self._write(k, "at", v.strip(), "at"),
                  hint=say("join.at_how"))  # fmt: skip
        with box("div", "verbs-row"):
            verb(say("join.remove"), lambda: self._remove(k), name=say("join.remove_of", name=bond.stated.name))

    def _stated(self, k: int) -> Any:
        found = self.desk.file.document().get("brackets") or []
        return found[k] if k < len(found) else {}

    def _write(self, k: int, field: str, text: str, what: str, *, typed: bool = True) -> None:
        def change(document: Any) -> None:
            brackets = document.get("brackets") or []
            if k >= len(brackets):
                raise InputError.one("brackets", "", self.say("join.gone"))
            bracket = brackets[k]
            if text:
                bracket[field] = text
            else:
                bracket.pop(field, None)

        with self.parts.keeping(f"fields{k}" if typed else ""):
            self.sheet.edit(self.say("join.changed", what=self.say(f"join.field_{what}")), change)

    def _add(self) -> None:
        view = self.view
        if view is None or not view.adhesives:
            return

        def change(document: Any) -> None:
            if "brackets" not in document:
                document.append("brackets", tomlkit.aot())
            taken = {str(b.get("name")) for b in document["brackets"]}
            number = next(n for n in range(1, 1000) if self.say("join.new_name", number=n) not in taken)
            bracket = tomlkit.table()
            bracket["name"] = self.say("join.new_name", number=number)
            if view.mesh and view.bonds:
                bracket["at"] = str(document["brackets"][0].get("at", "0 0 0 mm"))
            for key, value in NEW.items():
                bracket[key] = value
            bracket["adhesive"] = view.bonds[0].stated.adhesive if view.bonds else view.adhesives[0]
            document["brackets"].append(bracket)

        self._told(self.say("join.added"), change)

    def _remove(self, k: int) -> None:
        def change(document: Any) -> None:
            if k >= len(document.get("brackets") or []):
                raise InputError.one("brackets", "", self.say("join.gone"))
            del document["brackets"][k]
            if not len(document["brackets"]):
                document.remove("brackets")

        self._told(self.say("join.removed"), change)

    def _told(self, what: str, change: Any) -> None:
        try:
            self.sheet.edit(what, change)
        except BagsideError as error:
            self.sheet.tell(error)

    # --- holes and joins

    def _draw_findings(self, found: list[Any]) -> None:
        if found:
            words(self.say("join.findings"), tag="h2", look="b lead")
            findings(found, self.tongue)


def _place(stated: Any, otherwise: tuple[float, float, float]) -> tuple[float, float, float]:
    """Return where a bracket stands by the file, which is newer than the plan [m]."""
    try:
        x, y, z = TypeAdapter(Point3).validate_python(str(stated.get("at", "")))
    except (ValidationError, ValueError):
        return otherwise
    return (float(x), float(y), float(z))
