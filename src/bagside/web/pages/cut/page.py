"""Cut: nests on rolls and offcuts, pieces pinned by hand, and what goes back to stock."""

from __future__ import annotations

import socket
from collections.abc import Callable

from nicegui import ui
from nicegui.element import Element

from bagside.errors import BagsideError
from bagside.findings import Finding
from bagside.planning.stages import digest_of
from bagside.web.model.cut_bench import CutBench, Put
from bagside.web.pages.cut.drawn import cloth_drawn, cloth_head, part_words
from bagside.web.pages.cut.nest import NestView
from bagside.web.pages.cut.strip import TIMES, Strip, curve_drawn
from bagside.web.parts.controls import verb
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import JobSheet, picture, who_of
from bagside.web.parts.html import box, figure, words
from bagside.web.views.cut.shown import ClothView, CutView, KitView

ROOM, BESIDE, ALONE = (900.0, 520.0), (320.0, 250.0), (1120.0, 560.0)
"""For a roll, for an offcut beside it, and for a roll that has nothing beside it [px]."""


class CutPage:
    """The page in one window: which cloth is looked at, and the elements that follow a nest as it grows.

    Parameters
    ----------
    sheet
        The page.
    bench
        Where the job's nests grow.
    material
        Whose cloth is looked at first; the first of the job when empty.
    """

    def __init__(self, sheet: JobSheet, bench: CutBench, material: str) -> None:
        self.sheet, self.bench, self.material = sheet, bench, material
        self.view: CutView | None = None
        self.seconds = 0.0
        self.drawn = self.said = ""
        self.found: Element | None = None
        self.first: ui.html | None = None
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
        if self.view is None:
            grown = next(reversed(self.bench.grown.values()), None)
            return () if grown is None or grown.cloths is None else grown.cloths
        grown = self.bench.grown.get(self.kit.material)
        return self.kit.cloths if grown is None or grown.cloths is None else grown.cloths

    def refresh(self, *, anew: bool = False) -> None:
        """Draw the body when what it shows has changed: a nest under the hand is not taken away for a new plan alone.

        Parameters
        ----------
        anew
            Whether it is drawn in any case.
        """
        desk, bench = self.sheet.desk, self.bench
        shown = desk.shown.get("cut")
        self.view = None if shown is None else shown.view
        if self.view is not None and not bench.nesting:
            bench.grown.clear()
        kits = () if self.view is None else tuple(bench.done.get(k.material, k) for k in self.view.kits)
        told = (desk.problems, desk.trouble, bench.nesting, bench.asking, bench.taking, bench.took, self.material)
        known = (bench.undo_next, bench.redo_next)
        rests = [[c.rest and round(c.rest, 3) for c in k.cloths] for k in kits]
        lies = [(k.stored, k.cut_on, round(k.cost, 2), rest) for k, rest in zip(kits, rests, strict=True)]
        state = digest_of((str(lies), str(told), str(known)))
        if state == self.drawn and not anew:
            self._found()
            return
        self.drawn, self.nests, self.strip, self.found, self.first = state, {}, None, None, None
        self.sheet.body.clear()
        with self.sheet.body:
            if desk.problems:
                words(self.sheet.say("common.waits_for"), tag="p", look="b")
                with box("ul", "find"):
                    for problem in desk.problems:
                        words(str(problem), tag="li")
            if desk.trouble:
                words(self.sheet.say("common.went_wrong", why=desk.trouble), tag="p", look="find stop")
            if self.view is None and self.cloths:
                self._first()
            elif self.view is None or not self.view.kits:
                words(self.sheet.say("common.waits"), tag="p", look="q picture")
            else:
                self._draw(self.view)

    def _first(self) -> None:
        """Show the first nest of the job while it grows."""
        grown = next(reversed(self.bench.grown.values()))
        with picture():
            words(self.sheet.say("cut.caution"), tag="p", look="caution note cut-caution")
            words(self.sheet.say("cut.first", name=grown.material), tag="p", look="lead b")
            for cloth in self.cloths:
                self._cloth(cloth, ROOM if cloth.roll else BESIDE)
        with box("section", "cut-growth"):
            self.first = figure("")
        self._grow_first()

    def _grow_first(self) -> None:
        grown = next(reversed(self.bench.grown.values()), None)
        points = [] if grown is None else self.bench.curve.get(grown.material, [])
        if self.first is not None and points:
            self.first.set_content(curve_drawn(points, self.sheet.tongue, running=True))

    def _draw(self, view: CutView) -> None:
        say = self.sheet.say
        # What was nested here stands until a view that was made after it comes.
        for material, done in tuple(self.bench.done.items()):
            if any(k.material == material and k.stored == done.stored for k in view.kits):
                del self.bench.done[material]
        self.seconds = self.seconds or float(next((t for t in TIMES if t >= view.nest_time), TIMES[-1]))
        kit, can = self.kit, not view.turned_over
        with picture():
            words(say("cut.caution"), tag="p", look="caution note cut-caution")
            if len(view.kits) > 1:
                self._choice(view)
            note = say("cut.how") if can else say("cut.turned_over_job")
            if kit.cut_on is not None:
                note = say("cut.cut_already", day=self.sheet.tongue.day(kit.cut_on))
            words(note, tag="p", look="q note")
            cloths = self.cloths
            rolls = [c for c in cloths if c.roll]
            sheets = [c for c in cloths if not c.roll]
            beside = bool(rolls and sheets)
            with box("div", _columns(rolls) if beside else "cut one"):
                with box("div", "rolls"):
                    for cloth in rolls if rolls else sheets:
                        self._cloth(cloth, ROOM if beside else ALONE)
                    self.found, self.said = Element("div"), ""
                    self._found()
                if beside:
                    with box("div", "offcuts"):
                        for cloth in sheets:
                            self._cloth(cloth, BESIDE)
        self.strip = Strip(self.sheet, self.bench, self)
        self.strip.build(kit, view)

    def _found(self) -> None:
        """Show the findings of the stage; they come later than the nest they are of."""
        found = self.sheet.desk.findings("cutting")
        if self.found is not None and str(found) != self.said:
            self.said = str(found)
            self.found.clear()
            with self.found:
                findings(found, self.sheet.tongue, most=4, verbs=self._verbs)

    def _verbs(self, found: Finding) -> list[tuple[str, Callable[[], object]]]:
        """Return what can be done here about a finding: fetch the cloth that is wanted, or nest longer."""
        say = self.sheet.say
        if found.place.startswith("roll of "):
            return [(say("cut.to_freezer"), lambda: ui.navigate.to("/freezer"))]
        if found.place == f"nest of {self.kit.material}" and self._can:
            return [(say("cut.again"), self.again)]
        return []

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
            self.refresh()

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
            view.show(cloth_drawn(cloth, parts_of(self.cloths), tongue, room), can=self._can)
        self.nests[cloth.name] = view
        self.rooms[cloth.name] = room

    @property
    def _can(self) -> bool:
        if self.view is None:
            return False
        return not self.view.turned_over and not self.bench.nesting and self.kit.cut_on is None

    # --- what people do

    def _guarded(self, act: Callable[[Put], None]) -> Callable[[Put], None]:
        def done(put: Put) -> None:
            self.sheet.tell("")
            try:
                act(put)
            except BagsideError as error:
                self.sheet.tell(error)
                self.refresh(anew=True)  # the piece goes back to where it lies

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

    def planned(self, what: str) -> None:
        """Follow the job.

        Parameters
        ----------
        what
            See `JobDesk.watch`.
        """
        if what in ("view:cut", "planned", "text"):
            with self.sheet.client:
                self.refresh()

    def heard(self, what: str) -> None:
        """Follow the cutting table.

        Parameters
        ----------
        what
            ``grown`` or ``cut``.
        """
        with self.sheet.client:
            if what == "grown" and (self.view is None or self.strip is not None):
                names = {c.name for c in self.cloths}
                if names != set(self.nests):
                    self.refresh(anew=True)
                    return
                for cloth in self.cloths:
                    drawn = cloth_drawn(cloth, parts_of(self.cloths), self.sheet.tongue, self.rooms[cloth.name])
                    self.nests[cloth.name].show(drawn, can=False)
                if self.strip is not None:
                    self.strip.grow()
                else:
                    self._grow_first()
            elif what == "cut":
                self.refresh(anew=bool(self.bench.trouble) or self.bench.left)
                if self.bench.left:
                    self.sheet.tell(self.sheet.say("cut.left"))
                if self.bench.trouble:
                    self.sheet.tell(self.bench.trouble)


def parts_of(cloths: tuple[ClothView, ...]) -> tuple[str, ...]:
    """Return the names of the parts that copies are for, in their order.

    Parameters
    ----------
    cloths
        All of one material.
    """
    return tuple(sorted({c.kit for cloth in cloths for c in cloth.copies}, key=lambda k: (len(k), k)))


def _columns(rolls: list[ClothView]) -> str:
    """Return how rolls and offcuts stand beside each other: a short pull leaves its room to the offcuts."""
    widest = max((ROOM[1] - 64.0) / c.width * c.length for c in rolls)
    return "cut short" if widest < 0.5 * ROOM[0] else "cut"
