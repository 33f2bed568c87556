"""Cut: nests on rolls and offcuts, pieces pinned by hand, and what goes back to stock."""

from __future__ import annotations

import socket
from collections.abc import Callable

from fastapi import Request
from nicegui import ui

from bagside.errors import BagsideError, InputError
from bagside.web.house import House
from bagside.web.model.cut_bench import CutBench, Put, cut_bench
from bagside.web.model.job_desk import Shown
from bagside.web.pages.cut_drawn import cloth_drawn, cloth_head, part_words
from bagside.web.pages.cut_nest import NestView
from bagside.web.pages.cut_strip import Strip
from bagside.web.parts.controls import verb
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import JobSheet, picture, who_of
from bagside.web.parts.html import box, words
from bagside.web.parts.missing import no_such_job
from bagside.web.views.cut import ClothView, CutView, KitView

ROOM, BESIDE = (900.0, 520.0), (400.0, 250.0)
"""For a roll and for an offcut beside it [px]."""


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """

    @ui.page("/job/{name}/cut")
    def cut(request: Request, name: str, cloth: str = "") -> None:
        try:
            desk = house.job(name)
        except InputError as error:
            no_such_job(request, error)
            return
        sheet = JobSheet(request, desk, "cut")
        ui.add_head_html('<link rel="stylesheet" href="/looks/cut.css">')
        page = _Page(sheet, cut_bench(desk), cloth)
        sheet.leaving(page.bench.watch(page.heard))
        sheet.draws(page.draw)


class _Page:
    """The page in one window: which cloth is looked at, and the elements that follow a nest as it grows."""

    def __init__(self, sheet: JobSheet, bench: CutBench, material: str) -> None:
        self.sheet, self.bench, self.material = sheet, bench, material
        self.view: CutView | None = None
        self.seconds = 0.0
        self.nests: dict[str, NestView] = {}
        self.rooms: dict[str, tuple[float, float]] = {}
        self.strip: Strip | None = None

    # --- what is shown

    @property
    def kit(self) -> KitView:
        """The cloth that is looked at, as it was nested last."""
        assert self.view is not None
        kit = next((k for k in self.view.kits if k.material == self.material), self.view.kits[0])
        done = self.bench.done.get(kit.material)
        return kit if done is None else done

    @property
    def cloths(self) -> tuple[ClothView, ...]:
        """The cloth as it lies now: while it is nested, the best so far."""
        grown = self.bench.grown.get(self.kit.material)
        return self.kit.cloths if grown is None or grown.cloths is None else grown.cloths

    def draw(self, shown: Shown) -> None:
        """Build the body.

        Parameters
        ----------
        shown
            Holds a `CutView`.
        """
        self.view, self.nests, self.strip = shown.view, {}, None
        say = self.sheet.say
        if self.view is None or not self.view.kits:
            words(say("common.waits"), tag="p", look="q picture")
            return
        # What was nested here stands until a view that was made after it comes.
        for material, done in tuple(self.bench.done.items()):
            if any(k.material == material and k.stored == done.stored for k in self.view.kits):
                del self.bench.done[material]
        self.seconds = self.seconds or max(8.0, self.view.nest_time)
        kit, can = self.kit, not self.view.turned_over
        with picture():
            if len(self.view.kits) > 1:
                self._choice(self.view)
            note = say("cut.how") if can else say("cut.turned_over_job")
            if kit.cut_on is not None:
                note = say("cut.cut_already", day=self.sheet.tongue.day(kit.cut_on))
            words(note, tag="p", look="q note")
            cloths = self.cloths
            rolls = [c for c in cloths if c.roll]
            sheets = [c for c in cloths if not c.roll]
            beside = bool(rolls and sheets)
            with box("div", "cut" if beside else "cut one"):
                with box("div", "rolls"):
                    for cloth in rolls if rolls else sheets:
                        self._cloth(cloth, ROOM)
                    findings(self.sheet.desk.findings("cutting"), self.sheet.tongue, most=4)
                if beside:
                    with box("div", "offcuts"):
                        for cloth in sheets:
                            self._cloth(cloth, BESIDE)
        self.strip = Strip(self.sheet, self.bench, self)
        self.strip.build(kit, self.view)

    def _choice(self, view: CutView) -> None:
        with box("nav", "cut-cloths", aria_label=self.sheet.say("cut.cloths")):
            for kit in view.kits:
                here = kit.material == self.kit.material
                element = verb(kit.material, self._looking_at(kit.material))
                if here:
                    element._props["aria-current"] = "true"

    def _looking_at(self, material: str) -> Callable[[], None]:
        def act() -> None:
            self.material = material
            self.sheet.redraw()

        return act

    def _cloth(self, cloth: ClothView, room: tuple[float, float]) -> None:
        tongue = self.sheet.tongue
        with box("div"):
            if not cloth.roll:
                cloth_head(cloth, tongue)
            view = NestView(
                tongue,
                label=tongue.say("cut.nest_on", name=cloth.name),
                on_put=self._guarded(self.put),
                on_loosen=self.loosen,
            )
            view.show(cloth_drawn(cloth, self.kit, tongue, room), can=self._can)
        self.nests[cloth.name] = view
        self.rooms[cloth.name] = room

    @property
    def _can(self) -> bool:
        assert self.view is not None
        return not self.view.turned_over and not self.bench.nesting and self.kit.cut_on is None

    # --- what people do

    def _guarded(self, act: Callable[[Put], None]) -> Callable[[Put], None]:
        def done(put: Put) -> None:
            self.sheet.tell("")
            try:
                act(put)
            except BagsideError as error:
                self.sheet.tell(error)
                self.sheet.redraw()  # the piece goes back to where it lies

        return done

    def put(self, put: Put) -> None:
        """Pin a copy and nest the rest again.

        Parameters
        ----------
        put
            Which, where.
        """
        if self._can:
            what = self.sheet.say("cut.did_pin", piece=put.piece, part=part_words(put.kit, self.sheet.tongue))
            self.bench.pin(self.kit, put, self.seconds, what)

    def loosen(self, piece: str, kit: str) -> None:
        """Take a pin off.

        Parameters
        ----------
        piece, kit
            Which copy; all when both are empty.
        """
        say = self.sheet.say
        what = (
            say("cut.did_loosen", piece=piece, part=part_words(kit, self.sheet.tongue))
            if piece
            else say("cut.did_loosen_all")
        )
        self.sheet.doing(lambda: self.bench.loosen(self.kit, piece, kit, what))()

    def again(self) -> None:
        """Nest all that is not pinned again."""
        self.sheet.doing(lambda: self.bench.nest(self.kit, self.seconds, self.sheet.say("cut.did_nest")))()

    def who(self) -> tuple[str, str]:
        """Return who sits here, and on what."""
        return who_of(self.sheet.client), socket.gethostname() or "desk"

    # --- what comes back

    def heard(self, what: str) -> None:
        """Follow the cutting table.

        Parameters
        ----------
        what
            ``grown`` or ``cut``.
        """
        with self.sheet.client:
            if what == "grown" and self.view is not None and self.strip is not None:
                names = {c.name for c in self.cloths}
                if names != set(self.nests):
                    self.sheet.redraw()
                    return
                for cloth in self.cloths:
                    drawn = cloth_drawn(cloth, self.kit, self.sheet.tongue, self.rooms[cloth.name])
                    self.nests[cloth.name].show(drawn, can=False)
                self.strip.grow()
            elif what == "cut":
                self.sheet.redraw()
                if self.bench.trouble:
                    self.sheet.tell(self.bench.trouble)
