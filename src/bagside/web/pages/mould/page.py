"""The page of one job's mould, put together from its rooms."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial

from nicegui import ui
from nicegui.element import Element

from bagside.errors import Problem
from bagside.findings import Finding, Severity
from bagside.web.house import House
from bagside.web.model.job_desk import JobDesk
from bagside.web.pages.mould.bar import LookingBar
from bagside.web.pages.mould.edits import side_set
from bagside.web.pages.mould.hand import Hand
from bagside.web.pages.mould.mesh import MeshPlace, size_words
from bagside.web.pages.mould.numbers import figures, measured
from bagside.web.pages.mould.pressed import press
from bagside.web.pages.mould.stated import pull_best, stated_key, stated_list
from bagside.web.pages.mould.watch import MAPS, MouldWatch
from bagside.web.parts.basis import mark
from bagside.web.parts.controls import button, verb
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.html import box, markup, words
from bagside.web.parts.plan_words import plan_html
from bagside.web.scene.view import MeshView

MOST_NOTES = 4
"""Findings with a place that stand on the picture; the rest stand under it."""


class MouldPage:
    """The page of one job's mould.

    Parameters
    ----------
    house
        The workshop.
    sheet
        On which it stands.
    watch
        The look at the mould.
    shown
        Key of the map that is asked for.
    hand
        What a click is asked to do.
    """

    def __init__(self, house: House, sheet: JobSheet, watch: MouldWatch, shown: str, hand: str) -> None:
        self.house = house
        self.sheet = sheet
        self.watch = watch
        self.desk: JobDesk = sheet.desk
        self.map = shown if shown in MAPS or shown == "none" else "draft"
        self.view: MeshView | None = None
        ui.add_head_html('<link rel="stylesheet" href="/looks/mould.css">')
        with sheet.body:
            with box("section", "picture"):
                self._trouble = Element("div")
                with box("div", "mould-page"):
                    self.place = Element("div").classes("mould-view")
                    with box("div", "mould-side"):
                        self._mesh, self._maps, self._hand = (Element("section") for _ in range(3))
            with box("section", "strip"):
                self._strip = (Element("div"), Element("div"), Element("div"))
            self._findings = Element("section").classes("mould-findings")
        self._kept: dict[int, object] = {}
        self._buttons: dict[str, Element] = {}
        self.mesh = MeshPlace(self)
        self.hand = Hand(self, hand)
        sheet.leaving(watch.watch(self._seen))
        sheet.leaving(self.desk.watch(self._heard))
        self.draw()
        watch.look()

    # --- what is told

    def _heard(self, what: str) -> None:
        if what in ("text", "planned", "view:mould"):
            with self.sheet.client:
                self.draw()

    def _seen(self) -> None:
        with self.sheet.client:
            self.draw()

    # --- drawing

    @contextmanager
    def anew(self, place: Element, hangs_on: object) -> Iterator[bool]:
        """Empty a place and draw into it, unless what it hangs on is as before.

        A control that is put anew while a person reaches for it loses the click, and the keyboard's focus with it.

        Parameters
        ----------
        place
            The element.
        hangs_on
            What is drawn there hangs on this alone.
        """
        if self._kept.get(place.id) == hangs_on:
            yield False
            return
        self._kept[place.id] = hangs_on
        place.clear()
        with place:
            yield True

    def draw(self) -> None:
        """Draw everything as it stands, each part only when something of it has changed."""
        self._draw_trouble()
        self._draw_picture()
        self.mesh.draw(self._mesh)
        self._draw_maps()
        self.hand.draw(self._hand)
        left, middle, right = self._strip
        seen, shown = self.watch.seen, self.desk.shown.get("mould")
        with self.anew(left, None if self.view is None else stated_key(self)) as new:
            if new and self.view is not None:
                stated_list(self)
        with self.anew(middle, id(seen)) as new:
            if new:
                measured(self)
        all_of_them = self.findings()
        noted = self.noted() if self.view is not None else ()
        waits = tuple(str(p) for p in self.desk.problems if not about_mould(p))
        with self.anew(self._findings, (all_of_them, noted, waits)) as new:
            if new and waits:
                with box("div", "find"):
                    words(self.sheet.say("common.waits_for"), tag="p", look="b")
                    for problem in waits:
                        words(problem, tag="p")
            if new:
                findings([f for f in all_of_them if f not in noted], self.sheet.tongue)
        why = "" if seen is not None or not self.mesh.wanted else self.sheet.say("mould.needs_mesh")
        digest = "" if shown is None else shown.digest
        with self.anew(right, (id(seen), digest, self.desk.is_fresh("mould"), why)) as new:
            if new:
                figures(self)
                onward = f"/job/{self.desk.name}/plies"
                button(self.sheet.say("mould.to_plies"), partial(ui.navigate.to, onward), go=True, why=why)

    def _draw_trouble(self) -> None:
        say, seen = self.sheet.say, self.watch.seen
        trouble = self.watch.trouble or self.desk.trouble
        own = tuple(p for p in self.desk.problems if about_mould(p))
        problems = (*self.watch.problems, *(seen.problems if seen is not None else ()), *own)
        said = tuple(dict.fromkeys(str(p) for p in problems))
        with self.anew(self._trouble, (said, trouble)) as new:
            if new and said:
                with box("ul", "find"):
                    for problem in said:
                        words(problem, tag="li", look="b")
            if new and trouble:
                words(say("common.went_wrong", why=trouble), tag="p", look="find stop")

    def _draw_picture(self) -> None:
        seen = self.watch.seen
        if self.mesh.pending is not None or seen is None:
            if self.view is not None or not self.mesh.shown_in(self.place):
                self.view = None
                self.mesh.draw_place(self.place)
            return
        tongue = self.sheet.tongue
        address = self.watch.address(tongue)
        if self.view is None:
            self.place.clear()
            self.mesh.left(self.place)
            with self.place:
                label = self.sheet.say("mould.picture", size=size_words(seen.report.size, tongue))
                self.view = MeshView(address, tongue=tongue, label=label, field=self._field(), fallback=seen.still,
                                     on_pick=self.hand.picked, on_drag=self.hand.dragged)  # fmt: skip
        elif self.view.address != address:
            self.view.show(address, field=self._field())
        self.view.still(seen.still)
        noted = self.noted()
        with self.anew(self.view, noted) as new:
            for found in noted if new else ():
                self._note(found)

    def _note(self, found: Finding) -> None:
        assert found.point is not None
        at = ",".join(f"{1e3 * x:.2f}" for x in found.point)
        with box("div", "mould-note", data_at=at, role="note"):
            tongue = self.sheet.tongue
            what, do = (plan_html(text, tongue, full=True) for text in (found.what, found.do))
            markup(f"<b>{what}</b>{mark(found.basis, tongue, found.source)} {do}", tag="span")
            for k, piece in enumerate(self.desk.file.document().get("mould", {}).get("pieces", [])):
                name = str(piece.get("name", ""))
                if found.place == f"mould piece {name}":
                    with box("div"):
                        verb(self.sheet.say("mould.pull_find_of", name=name), pull_best(self, k, name))

    def _draw_maps(self) -> None:
        say = self.sheet.say
        whole = self.watch.seen is not None and self.watch.seen.whole
        watch = self.watch
        with self.anew(self._maps, (self.view is not None, whole, watch.busy, watch.stopped)) as new:
            if new and self.view is not None:
                self._buttons = {}
                words(say("mould.maps"), tag="h2")
                with box("div", "mould-row", role="group", aria_label=say("mould.maps")):
                    for key in ("none", *MAPS):
                        why = "" if whole or key == "none" else " "
                        self._buttons[key] = verb(say(f"mould.map_{key}"), partial(self._show, key), why=why)
                if not whole and watch.busy:
                    LookingBar(watch, self.sheet)
                elif not whole and watch.stopped:
                    words(say("mould.stopped"), tag="p", look="note q")
                    verb(say("mould.look_again"), watch.again)
        press(self._buttons, self.map)

    def _show(self, key: str) -> None:
        self.map = key
        if self.view is not None:
            self.view.show_field(self._field())
        self._draw_maps()
        self.remember()

    def _field(self) -> str:
        return "" if self.map == "none" else self.map

    # --- what others ask

    def noted(self) -> tuple[Finding, ...]:
        """Return the findings that stand on the picture: the weightiest ones with a place."""
        heavy = (Severity.STOP, Severity.DECIDE, Severity.WATCH)
        return tuple(f for f in self.findings() if f.point is not None and f.severity in heavy)[:MOST_NOTES]

    def findings(self) -> tuple[Finding, ...]:
        """Return what was noticed of the mould: by the plan when it is fresh, else by looking at the mesh alone."""
        seen = self.watch.seen
        planned = self.desk.findings("mould", "camera")
        if self.desk.fresh or seen is None or not seen.whole:
            return planned
        order = list(Severity)
        return tuple(sorted(seen.findings, key=lambda f: order.index(f.severity)))

    def remember(self) -> None:
        """Put what is shown into the address, so that the page can be drawn again from it."""
        hand = "" if self.hand.tool == "read" else f"&hand={self.hand.tool}"
        self.sheet.client.run_javascript(f"history.replaceState(history.state, '', '?map={self.map}{hand}')")

    async def laminate_towards_me(self) -> None:
        """State that the laminate lies on the side that is looked at now."""
        way = None if self.view is None else await self.view.towards()
        if way is not None:
            self._side(_square(way))

    def turn_over(self) -> None:
        """State that the laminate lies on the other side."""
        seen = self.watch.seen
        stated = self.desk.file.document().get("mould", {}).get("laminate_side")
        way = stated if stated is not None else None if seen is None else seen.towards
        if way is not None:
            self._side(tuple(-float(x) for x in way))

    def _side(self, way: tuple[float, ...]) -> None:
        self.sheet.doing(lambda: self.sheet.edit(self.sheet.say("mould.did_side"), side_set(way)))()


def about_mould(problem: Problem) -> bool:
    """Return whether a problem of the job is one of what this page states.

    Parameters
    ----------
    problem
        With its place, as in ``job.toml, mould, unit``.
    """
    parts = problem.place.split(", ")
    words_ = {word for part in parts[1:2] for word in part.split()}
    return bool(words_ & {"mould", "hole", "line", "region", "net"})


def _square(way: tuple[float, float, float]) -> tuple[float, ...]:
    """Return a direction, along an axis of the mould when it is within 20° of one."""
    most = max(range(3), key=lambda k: abs(way[k]))
    if abs(way[most]) > 0.94:
        return tuple(0.0 if k != most else 1.0 if way[k] > 0 else -1.0 for k in range(3))
    return way
