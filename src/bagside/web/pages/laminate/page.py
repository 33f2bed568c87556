"""The page of the laminate, put together: zones on the part, comparison, the stack in hand."""

from __future__ import annotations

from typing import Any

from nicegui import ui
from nicegui.element import Element

from bagside.laminate import Laminate
from bagside.quantity import Quantity
from bagside.sheets.picture import PointLook
from bagside.sheets.stack_view import PlyInStack, stack_view
from bagside.sheets.themed import themed
from bagside.sheets.zone_stacks import Layer, zone_stacks
from bagside.spec.fields import PositiveLength
from bagside.web.house import House
from bagside.web.model.job_desk import Shown
from bagside.web.model.job_tables import millimetres
from bagside.web.pages.laminate.compared import compared, thickness_words, zone_numbers
from bagside.web.pages.laminate.in_hand import InHand
from bagside.web.pages.laminate.trial import Trial, rose, stack, tried
from bagside.web.parts.amount import amount
from bagside.web.parts.controls import choice, verb
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.html import box, markup, words
from bagside.web.scene import MeshPoint
from bagside.web.scene.named import named
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
                self.hand = InHand(self, Element("div"))
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
            self.hand.trial = Trial()  # what was tried was tried on another stack
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
        self.show_tried()
        self.hand.show(view, zone)
        self._show_findings()

    def _take(self, number: int) -> None:
        self.number = number
        self.hand.trial = Trial()
        self.refresh()
        ui.navigate.history.replace(f"/job/{self.desk.name}/laminate?zone={number}")

    # --- the part and its zones

    def _show_mesh(self, view: LaminateView, zone: ZoneShown) -> None:
        self._holder.set_visibility(bool(view.mesh))
        if not view.mesh:
            return
        say = self.sheet.say
        maps = {"thickness": thickness_words(self.sheet.tongue)}
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
        title = self.sheet.say("laminate.zones")
        return "".join(
            f'<div class="{look}">{themed(zone_stacks(zones, hand=hand, wide=wide, title=title), key=look)}</div>'
            for look, wide in (("on-desk", 184.0), ("on-phone", 84.0))
        )

    # --- what it comes to

    def show_tried(self) -> None:
        """Show what the zone in hand comes to, with what is tried beside it."""
        view, zone, library = self.view, self.zone, self.house.library()
        if view is None or zone is None:
            return
        say, tongue = self.sheet.say, self.sheet.tongue
        now = stack(zone.plies)
        would: Laminate | None = None
        if library is not None and not self.hand.trial.empty:
            would = stack(tried(zone, self.hand.trial, library))
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
                markup(compared(now, None if self.hand.trial.empty else would, view, self.hand.trial.empty, tongue))
            self._replaces(view)
        both = (say("laminate.rose_plane"), say("laminate.rose_bending"), say("laminate.rose"))
        self._rose.set_content("" if now is None else themed(rose(now, would, both)))
        self._numbers.set_content(zone_numbers(view, zone, now, would, self.hand.trial.empty, tongue))
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
                    self.sheet.tongue, say("laminate.thickness"), f"{millimetres(replaced.thickness)} mm",
                    Quantity.LENGTH, "mm", lambda text: put("thickness", text), wanted=PositiveLength,
                )  # fmt: skip

    def _show_stack(self, zone: ZoneShown) -> None:
        shown = [
            PlyInStack(number=str(k + 1), share=1.0, words="", state="laid")
            for k in zone.layers
            if k not in self.hand.trial.out
        ]
        shown += [
            PlyInStack(number=f"+{n}", share=1.0, words="", state="in hand")
            for n in range(1, len(self.hand.trial.more) + 1)
        ]
        caption, title = self.sheet.say("laminate.stack_order"), self.sheet.say("laminate.stack", number=zone.number)
        drawn = stack_view(shown, wide=64.0, bars=56.0, caption=caption, title=title) if shown else ""
        self._stack.set_content(themed(drawn) if drawn else "")

    # --- findings

    def _show_findings(self) -> None:
        self._says.clear()
        with self._says:
            findings(self.desk.findings("laminate"), self.sheet.tongue, most=4)


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
