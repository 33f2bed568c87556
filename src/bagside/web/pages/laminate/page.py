"""The page of the laminate, put together: zones on the part, comparison, the stack in hand and what is tried on it."""

from __future__ import annotations

import math
from typing import Any

from nicegui import ui
from nicegui.element import Element

from bagside.errors import InputError
from bagside.laminate import Laminate
from bagside.quantity import Quantity
from bagside.sheets.picture import PointLook
from bagside.sheets.stack_view import PlyInStack, stack_view
from bagside.sheets.themed import themed
from bagside.sheets.zone_stacks import Layer, zone_stacks
from bagside.spec.fields import PositiveLength
from bagside.spec.material import ClothKind
from bagside.web.house import House
from bagside.web.model import laying_edits as edits
from bagside.web.model.job_desk import Shown
from bagside.web.pages.laminate.compared import compared, zone_numbers
from bagside.web.pages.laminate.trial import More, Trial, rose, stack, tried
from bagside.web.pages.plies.rows import angle_text, glyph
from bagside.web.parts.amount import amount
from bagside.web.parts.controls import button, choice, entry, link, verb
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.html import box, markup, words
from bagside.web.scene import MeshPoint
from bagside.web.scene.named import FieldWords, named
from bagside.web.scene.view import MeshView, SurfacePoint
from bagside.web.views.laminate.shown import LaminateView, ZoneShown, sorted_zones

MM = 1000.0


class LaminatePage:
    """What stands on the page.

    Parameters
    ----------
    house, sheet
        The workshop, and the page's sheet.
    number
        Of the zone in hand at first.
    """

    def __init__(self, house: House, sheet: JobSheet, number: int) -> None:
        self.house, self.sheet, self.desk = house, sheet, sheet.desk
        self.number = number
        self.trial = Trial()
        self.view: LaminateView | None = None
        self._mesh: MeshView | None = None
        self._address = ""
        with sheet.root:
            self._root = Element("div").classes("laminate")
            self._root.move(sheet.root, sheet.root.default_slot.children.index(sheet.body) + 1)
            self._root.set_visibility(False)
        with self._root:
            with box("section", "ply-picture"):
                with box("div", "ply-map"):
                    words(sheet.say("laminate.zones"), tag="h2", look="lead b")
                    self._holder = Element("div").classes("ply-holder")
                    self._list = Element("div").classes("lam-zones")
                    self._side = ui.html("", sanitize=False, tag="figure").classes("lam-side")
                with box("div", "lam-beside"):
                    self._compared = Element("div")
                    self._rose = ui.html("", sanitize=False, tag="figure").classes("lam-rose")
            with box("section", "lam-strip"):
                with box("div"):
                    self._stack = ui.html("", sanitize=False, tag="figure")
                    self._says = Element("div")
                self._plies = Element("div")
                self._numbers = markup("")

    # --- what changes

    def heard(self, what: str) -> None:
        """Hear what has changed in the job.

        Parameters
        ----------
        what
            See `JobDesk.watch`.
        """
        if what == "planned" and self.view is not None:
            with self.sheet.client:
                self._show_findings()

    def draw(self, shown: Shown) -> None:
        """Show a view.

        Parameters
        ----------
        shown
            From the job's desk.
        """
        if self.view is None or shown.view.job.plies != self.view.job.plies:
            self.trial = Trial()  # what was tried was tried on another stack
        self.view = shown.view
        self._root.set_visibility(True)
        self._root.classes(
            add="" if self.desk.is_fresh("laminate") else "old", remove="old" if self.desk.is_fresh("laminate") else ""
        )
        self.refresh()

    @property
    def zone(self) -> ZoneShown | None:
        """The zone in hand."""
        zones = () if self.view is None else self.view.zones
        return next((z for z in zones if z.number == self.number), zones[0] if zones else None)

    def refresh(self) -> None:
        """Show what is known now."""
        view, zone = self.view, self.zone
        if view is None or zone is None:
            return
        self.number = zone.number
        self._show_mesh(view, zone)
        self._show_zones(view)
        self._side.set_content("" if view.mesh else self._side_by_side(view))
        self._show_tried()
        self._show_plies(view, zone)
        self._show_findings()

    def _take(self, number: int) -> None:
        self.number = number
        self.trial = Trial()
        self.refresh()
        ui.navigate.history.replace(f"/job/{self.desk.name}/laminate?zone={number}")

    # --- the part and its zones

    def _show_mesh(self, view: LaminateView, zone: ZoneShown) -> None:
        self._holder.set_visibility(bool(view.mesh))
        if not view.mesh:
            return
        say = self.sheet.say
        maps = {"thickness": FieldWords(name=say("laminate.thickness_map"), spoken=say("laminate.millimetres"))}
        address = self.house.blob(named(view.mesh, maps))
        if self._mesh is None:
            with self._holder:
                self._mesh = MeshView(
                    address, tongue=self.sheet.tongue, label=say("laminate.picture"), field="thickness",
                    on_pick=self._picked,
                )  # fmt: skip
                self._mesh.pick_mode(True)
        elif address != self._address:
            self._mesh.show(address, field="thickness")
        self._address = address
        ring = [] if zone.at is None else [
            MeshPoint(
                at=(MM * zone.at[0], MM * zone.at[1], MM * zone.at[2]), look=PointLook.RING, words=str(zone.number)
            )
        ]  # fmt: skip
        self._mesh.mark_points(ring)

    def _picked(self, place: SurfacePoint) -> None:
        view = self.view
        if view is None or place.triangle >= len(view.of_triangle):
            return
        number = int(sorted_zones(view.of_triangle)[place.triangle])
        if number and number != self.number:
            self._take(number)

    def _show_zones(self, view: LaminateView) -> None:
        say, tongue = self.sheet.say, self.sheet.tongue
        self._list.clear()
        with self._list:
            for zone in view.zones:
                made = stack(zone.plies)
                thick = "" if made is None else tongue.thickness(made.thickness)
                plies, share = _runs(zone.layers), tongue.share(zone.share)
                text = say("laminate.zone", number=zone.number, plies=plies, share=share)
                one = verb(f"{text}, {thick}", lambda n=zone.number: self._take(n))  # type: ignore[misc]
                one._props["aria-pressed"] = "true" if zone.number == self.number else "false"

    def _side_by_side(self, view: LaminateView) -> str:
        """Return the stacks of all zones, to scale, for desk and phone: the picture where there is no surface."""
        cloths = list(dict.fromkeys(ply.material for ply in view.job.plies))
        zones = []
        for zone in view.zones:
            layers = [
                Layer(
                    words=f"{k + 1}   {self.sheet.tongue.angle(ply.angle, 0)}", thickness=ply.thickness,
                    kit=cloths.index(view.job.plies[k].material),
                )
                for k, ply in zip(zone.layers, zone.plies, strict=True)
            ]  # fmt: skip
            zones.append((str(zone.number), layers))
        hand = next((k for k, zone in enumerate(view.zones) if zone.number == self.number), -1)
        return "".join(
            f'<div class="{look}">{themed(zone_stacks(zones, hand=hand, wide=wide), key=look)}</div>'
            for look, wide in (("on-desk", 184.0), ("on-phone", 84.0))
        )

    # --- what it comes to

    def _show_tried(self) -> None:
        view, zone, library = self.view, self.zone, self.house.library()
        if view is None or zone is None:
            return
        say, tongue = self.sheet.say, self.sheet.tongue
        now = stack(zone.plies)
        would: Laminate | None = None
        if library is not None and not self.trial.empty:
            would = stack(tried(zone, self.trial, library))
        self._compared.clear()
        with self._compared:
            words(say("laminate.compared", number=zone.number), tag="h2", look="lead b")
            if view.original is not None and view.job.replaces is not None:
                replaced = view.job.replaces
                words(
                    say(
                        "laminate.replaced", material=replaced.material, thickness=tongue.thickness(replaced.thickness)
                    ),
                    tag="p", look="q note",
                )  # fmt: skip
                markup(compared(now, None if self.trial.empty else would, view, self.trial.empty, tongue))
            self._replaces(view)
        both = (say("laminate.rose_plane"), say("laminate.rose_bending"), say("laminate.rose"))
        self._rose.set_content("" if now is None else themed(rose(now, would, both)))
        self._numbers.set_content(zone_numbers(view, zone, now, would, self.trial.empty, tongue))
        self._show_stack(zone)

    def _replaces(self, view: LaminateView) -> None:
        """Show what is replaced, to be named or changed."""
        library, replaced, say = self.house.library(), view.job.replaces, self.sheet.say
        if library is None or view.job.mirror is not None:
            return

        def put(key: str, value: str) -> None:
            def change(document: Any) -> None:
                if "replaces" not in document:
                    document["replaces"] = {"material": value, "thickness": "3 mm"}
                document["replaces"][key] = value

            self.sheet.edit(say("laminate.did_replaces"), change)

        with box("details"):
            with box("summary", "act note"):
                words(say("laminate.name_other" if replaced is not None else "laminate.name_one"))
            known = {name: name for name in sorted(library.substrate)}
            choice(
                say("laminate.material"), known if replaced else {"": "–"} | known,
                "" if replaced is None else replaced.material, lambda value: put("material", value) if value else None,
            )  # fmt: skip
            if replaced is not None:
                amount(
                    self.sheet.tongue, say("laminate.thickness"), f"{edits.millimetres(replaced.thickness)} mm",
                    Quantity.LENGTH, "mm", lambda text: put("thickness", text), wanted=PositiveLength,
                )  # fmt: skip

    def _show_stack(self, zone: ZoneShown) -> None:
        shown = [
            PlyInStack(number=str(k + 1), share=1.0, words="", state="laid")
            for k in zone.layers
            if k not in self.trial.out
        ]
        shown += [
            PlyInStack(number=f"+{n}", share=1.0, words="", state="in hand")
            for n in range(1, len(self.trial.more) + 1)
        ]
        self._stack.set_content(themed(stack_view(shown, wide=64.0, bars=56.0)) if shown else "")

    # --- the stack in hand

    def _show_plies(self, view: LaminateView, zone: ZoneShown) -> None:
        say, tongue, library = self.sheet.say, self.sheet.tongue, self.house.library()
        self._plies.clear()
        with self._plies:
            words(say("laminate.stack", number=zone.number), tag="h2", look="b")
            with box("table", aria_label=say("laminate.stack", number=zone.number)), box("tbody"):
                for n, more in reversed(list(enumerate(self.trial.more))):
                    kind = _kind(library, more.material)
                    with box("tr", "hand"):
                        angle = angle_text(more.angle, kind)
                        self._cells(f"+{n + 1}", glyph(more.angle, kind), angle, more.material)
                        with box("td", "r"):
                            verb(say("laminate.take_off"), lambda n=n: self._take_off(n))  # type: ignore[misc]
                for k, ply in reversed(list(zip(zone.layers, zone.plies, strict=True))):
                    material, out = view.job.plies[k].material, k in self.trial.out
                    with box("tr", "lam-out" if out else ""):
                        self._cells(
                            str(k + 1), glyph(ply.angle, _kind(library, material)), tongue.angle(ply.angle, 0),
                            f"{material}, {view.job.plies[k].region}", tongue.thickness(ply.thickness),
                        )  # fmt: skip
                        with box("td", "r"):
                            if view.stated[k] is not None:
                                self._leave_verb(k, out)
            if view.job.mirror is not None:
                words(say("laminate.twin"), tag="p", look="note q")
                return
            self._more(view)
            if not self.trial.empty:
                button(say("laminate.write"), self.sheet.doing(self._write), go=True)
                verb(say("laminate.drop"), self._drop)
                words(say("laminate.trial_note"), tag="p", look="note q")
            link(say("laminate.to_plies"), f"/job/{self.desk.name}/plies")

    def _leave_verb(self, k: int, out: bool) -> None:
        text = self.sheet.say("laminate.put_back" if out else "laminate.leave_out")
        verb(text, lambda: self._leave(k), name=f"{text}: {self.sheet.say('laminate.ply', number=k + 1)}")

    def _cells(self, number: str, way: str, angle: str, cloth: str, thickness: str = "") -> None:
        with box("td"):
            words(number, look="b")
        with box("td", "ply-way"):
            markup(way, tag="span")
        for text, look in ((angle, ""), (cloth, ""), (thickness, "r")):
            with box("td", look):
                words(text)

    def _more(self, view: LaminateView) -> None:
        """Ask which ply is tried on top."""
        say, library = self.sheet.say, self.house.library()
        if library is None:
            return
        last = view.job.plies[-1]
        cloths = list(dict.fromkeys(ply.material for ply in view.job.plies))
        shop = self.house.workshop()
        if shop is not None:
            bought = [roll.material for roll in shop.stock] + [offer.material for offer in shop.offers]
            cloths = list(dict.fromkeys([*cloths, *bought]))
        wanted = {"material": last.material, "angle": "45"}

        def add() -> None:
            word = wanted["angle"].strip().replace(",", ".").replace("\u2212", "-").removesuffix("°")
            try:
                degrees = float(word)
            except ValueError:
                degrees = math.nan
            if not math.isfinite(degrees) or abs(degrees) > 360.0:
                raise InputError.one("", wanted["angle"], say("plies.angle_wanted"))
            more = More(material=wanted["material"], angle=math.radians(degrees))
            self.trial = Trial(out=self.trial.out, more=(*self.trial.more, more))
            self._tried_anew()

        with box("div", "lam-more"):
            choice(
                say("plies.material"), {name: name for name in cloths if name in library.prepreg}, last.material,
                lambda value: wanted.update(material=value),
            )  # fmt: skip
            entry(
                say("plies.angle"), "45", lambda text: wanted.update(angle=text), unit="°", wide="5em", mode="decimal"
            )
            verb(say("laminate.add"), self.sheet.doing(add))

    def _take_off(self, n: int) -> None:
        self.trial = Trial(out=self.trial.out, more=(*self.trial.more[:n], *self.trial.more[n + 1 :]))
        self._tried_anew()

    def _leave(self, k: int) -> None:
        self.trial = Trial(out=self.trial.out ^ {k}, more=self.trial.more)
        self._tried_anew()

    def _drop(self) -> None:
        self.trial = Trial()
        self._tried_anew()

    def _tried_anew(self) -> None:
        view, zone = self.view, self.zone
        if view is not None and zone is not None:
            self._show_tried()
            self._show_plies(view, zone)

    def _write(self) -> None:
        """Write what is tried into the job: plies left out, others laid over what is there."""
        view, zone = self.view, self.zone
        if view is None or zone is None:
            return
        gone = sorted((k for k in map(view.stated.__getitem__, self.trial.out) if k is not None), reverse=True)
        where = view.job.plies[zone.layers[0]].region  # where the ply on the mould lies, the rest lies too
        like = next((view.job.plies[k] for k in zone.layers if view.job.plies[k].templates), None)
        more = self.trial.more

        def change(document: Any) -> None:
            for one in more:
                ply = {"material": one.material, "angle": f"{math.degrees(one.angle):g}°", "region": where}
                edits.added(document, ply, len(document["plies"]))
                if like is not None and not view.job.mould.mesh:
                    edits.put(document, len(document["plies"]) - 1, "templates", [like.templates[0].template])
            for stated in gone:
                edits.removed(document, stated)

        self.sheet.edit(self.sheet.say("laminate.did_stack", out=len(gone), more=len(more)), change)
        self.trial = Trial()

    # --- findings

    def _show_findings(self) -> None:
        self._says.clear()
        with self._says:
            findings(self.desk.findings("laminate"), self.sheet.tongue, most=4)


def _kind(library: Any, material: str) -> ClothKind:
    cloth = None if library is None else library.prepreg.get(material)
    return ClothKind.WOVEN if cloth is None else cloth.kind


def _runs(layers: tuple[int, ...]) -> str:
    """Return the numbers of plies in short: ``1–6``, ``1, 2, 5``."""
    numbers = [k + 1 for k in dict.fromkeys(layers)]
    out: list[list[int]] = []
    for n in numbers:
        if out and n == out[-1][1] + 1:
            out[-1][1] = n
        else:
            out.append([n, n])
    return ", ".join(str(a) if a == b else f"{a}–{b}" if b > a + 1 else f"{a}, {b}" for a, b in out)
