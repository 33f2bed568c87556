"""What a hand does on the picture of a ply: set its start, turn its warp, draw a cut, drag what is drawn."""

from __future__ import annotations

import asyncio
import math
from typing import Any

import numpy as np
from nicegui.element import Element

from bagside.quantity import Quantity
from bagside.sheets.picture import PointLook
from bagside.spec.fields import SomeLength
from bagside.spec.lines import Join
from bagside.web.model import cut_edits
from bagside.web.model import laying_edits as edits
from bagside.web.model.job_tables import point_text
from bagside.web.pages.plies.on_page import OnPage
from bagside.web.parts.amount import amount
from bagside.web.parts.controls import button, choice, tick, verb
from bagside.web.parts.html import box, words
from bagside.web.scene import MeshPoint
from bagside.web.scene.view import Handle, SurfacePoint

SETTLES = 0.7
"""A handle that has not moved for so long is let go of [s]: arrow keys move it in many small steps."""
AT_START = 0.005
"""A piece that starts this near the stated start starts there [m]."""
MM = 1000.0


class PlyTools:
    """The tools under the picture.

    Parameters
    ----------
    page
        Whose ply is in hand.
    """

    def __init__(self, page: OnPage) -> None:
        self._page = page
        self._mode = ""
        self._points: list[tuple[float, float, float]] = []
        self._for_all = False
        self._join, self._overlap = Join.OVERLAP.value, ""
        self._waiting: dict[str, tuple[float, float, float]] = {}
        self._timer: asyncio.TimerHandle | None = None
        self._shown: object = None
        self._root = Element("div").classes("ply-tools")
        with self._root:
            self._verbs = {
                mode: verb(page.sheet.say(f"plies.tool_{mode}"), lambda mode=mode: self._take(mode))  # type: ignore[misc]
                for mode in ("start", "warp", "cut")
            }
        self.panel = Element("div").classes("ply-panel")
        self.panel._props["role"] = "status"
        page.sheet.leaving(self._forget)

    # --- drawing

    def put_away(self) -> None:
        """Take no tool in hand."""
        self._mode, self._points = "", []
        self._said()

    def show(self) -> None:
        """Show the tools of the ply in hand, and its handles."""
        page, laid = self._page, self._page.laid
        if page.mesh is not None:
            page.mesh.pick_mode(self._mode != "")
            page.mesh.handle([] if self._mode else self._handles())
            rings = [MeshPoint(at=_mm(at), look=PointLook.RING, words=str(k)) for k, at in enumerate(self._points, 1)]
            page.mesh.mark_points(rings)
        draped = laid is not None and laid.stated is not None and not laid.ply.templates and page.mesh is not None
        state = (draped, self._mode, len(self._points), self._join, page.hand)
        if state == self._shown:
            return
        self._shown = state
        self.panel.clear()
        self._root.set_visibility(draped and page.stack.job is not None)
        for mode, tool in self._verbs.items():
            tool._props["aria-pressed"] = "true" if mode == self._mode else "false"
            tool.update()
        if self._mode and draped:
            with self.panel:
                self._in_hand()

    def _in_hand(self) -> None:
        say, tongue = self._page.sheet.say, self._page.sheet.tongue
        words(
            say(f"plies.how_{self._mode}", number=(self._page.hand or 0) + 1, count=len(self._points)),
            tag="p", look="note b",
        )  # fmt: skip
        if self._mode in ("start", "warp"):
            tick(say(f"plies.{self._mode}_all"), self._for_all, self._set_all)
        if self._mode == "cut":
            joins = {join.value: say(f"plies.join_{join.name.lower()}") for join in Join}
            with box("div", "ply-cutting"):
                choice(say("plies.join"), joins, self._join, self._set_join)
                if self._join != Join.BUTT.value:
                    amount(
                        tongue, say("plies.overlap"), self._overlap, Quantity.LENGTH, "mm", self._set_overlap,
                        wanted=SomeLength, may_be_empty=True, hint=self._usual(),
                    )  # fmt: skip
            words(say("plies.rim_hint"), tag="p", look="note q")
            button(
                say("plies.cut_here"), self._page.sheet.doing(self._cut), go=True,
                why="" if len(self._points) > 1 else say("plies.two_points"),
            )  # fmt: skip
        with box("div", "ply-verbs"):
            if self._points:
                verb(say("plies.take_back"), self._take_back)
            verb(say("plies.put_away"), self._away)

    def _usual(self) -> str:
        job = self._page.stack.job
        tongue = self._page.sheet.tongue
        return "" if job is None else tongue.say("plies.overlap_as_all", width=tongue.length(job.laying.overlap))

    def _set_all(self, on: bool) -> None:
        self._for_all = on

    def _set_join(self, value: str) -> None:
        self._join = Join(value).value
        self._said()

    def _set_overlap(self, text: str) -> None:
        self._overlap = text

    def _take(self, mode: str) -> None:
        self._mode, self._points, self._for_all = "" if mode == self._mode else mode, [], False
        self._said()

    def _take_back(self) -> None:
        self._points = self._points[:-1]
        self._said()

    def _away(self) -> None:
        self.put_away()

    def _said(self) -> None:
        if self._page.laid is not None:
            self.show()

    # --- picking

    def picked(self, place: SurfacePoint) -> None:
        """Take a place that was clicked.

        Parameters
        ----------
        place
            On the picture.
        """
        act = {"start": self._start_at, "warp": self._warp_to, "cut": self._point_at}.get(self._mode)
        if act is not None:
            self._page.sheet.doing(lambda: act(place.at))()

    def _start_at(self, at: tuple[float, float, float]) -> None:
        page, laid = self._page, self._page.laid
        if laid is None or laid.stated is None:
            return
        stated, text, for_all = laid.stated, point_text(at), self._for_all
        self._mode = ""

        def change(document: Any) -> None:
            if for_all:
                edits.laying_put(document, "start", text)
                edits.put(document, stated, "start", None)
            else:
                edits.put(document, stated, "start", text)

        page.sheet.edit(page.sheet.say("plies.did_start", number=(page.hand or 0) + 1, point=text), change)
        self._said()

    def _warp_to(self, at: tuple[float, float, float]) -> None:
        page, laid = self._page, self._page.laid
        if laid is None or laid.stated is None or laid.shown is None:
            return
        piece = min(
            (p for p in laid.shown.pieces if p.start is not None),
            key=lambda p: math.dist(p.start or at, at), default=None,
        )  # fmt: skip
        if piece is None or piece.start is None or piece.zero is None or piece.across is None:
            return
        way = np.array(at) - np.array(piece.start)
        turn = math.degrees(math.atan2(float(way @ np.array(piece.across)), float(way @ np.array(piece.zero))))
        stated, for_all = laid.stated, self._for_all
        self._mode = ""
        say, number = page.sheet.say, (page.hand or 0) + 1
        if for_all:
            # the zero direction turns by as much as this ply's warp would
            more = math.radians(turn) - laid.ply.angle
            zero = math.cos(more) * np.array(piece.zero) + math.sin(more) * np.array(piece.across)
            value = [round(float(x), 4) + 0.0 for x in zero]
            page.sheet.edit(say("plies.did_zero"), lambda d: edits.laying_put(d, "direction", value))
        else:
            text = f"{round(turn)}°"
            page.sheet.edit(
                say("plies.did_angle", number=number, value=text), lambda d: edits.put(d, stated, "angle", text)
            )
        self._said()

    def _point_at(self, at: tuple[float, float, float]) -> None:
        self._points = [*self._points, at]
        self._said()

    def _cut(self) -> None:
        page, laid = self._page, self._page.laid
        if laid is None or laid.stated is None:
            return
        stated, points = laid.stated, tuple(self._points)
        number = (page.hand or 0) + 1

        def change(document: Any) -> None:
            name = cut_edits.free_name(document, number)
            cut_edits.line_put(document, name, points)
            cut_edits.cut_added(document, stated, name, self._join, self._overlap)

        page.sheet.edit(page.sheet.say("plies.did_draw", number=number), change)
        self.put_away()

    # --- handles

    def _handles(self) -> list[Handle]:
        page, laid = self._page, self._page.laid
        job = page.stack.job
        if job is None or laid is None or laid.stated is None or laid.ply.templates:
            return []
        say = page.sheet.say
        out = []
        start = laid.ply.start or job.laying.start
        starts = [] if laid.shown is None else [p.start for p in laid.shown.pieces if p.start is not None]
        if laid.ply.start is not None or any(math.dist(start, own) < AT_START for own in starts):
            whose = "plies.handle_start" if laid.ply.start else "plies.handle_start_all"
            out.append(Handle(key="start", at=start, label=say(whose)))
        for cut in laid.ply.cuts:
            for k, at in enumerate(self._line(cut.line)):
                label = say("plies.handle_line", line=cut.line, number=k + 1)
                out.append(Handle(key=f"line:{cut.line}:{k}", at=at, label=label))
        moved = self._waiting
        return [h if h.key not in moved else Handle(key=h.key, at=moved[h.key], label=h.label) for h in out]

    def _line(self, name: str) -> tuple[tuple[float, float, float], ...]:
        """Return the points of a line as they lie on the mould, where that is known of the line as it is stated."""
        job, view = self._page.stack.job, self._page.view
        line = None if job is None else job.lines.get(name)
        if line is None:
            return ()
        known = view is not None and view.job.lines.get(name) == line and name in view.lines
        return view.lines[name] if known and view is not None else line.points

    def dragged(self, key: str, place: SurfacePoint, done: bool) -> None:
        """Take where a handle was dragged to.

        Parameters
        ----------
        key
            Of the handle.
        place
            On the picture.
        done
            Whether it was let go of.
        """
        if not done:
            return
        self._waiting[key] = place.at
        if self._timer is not None:
            self._timer.cancel()
        self._timer = asyncio.get_running_loop().call_later(SETTLES, self._settled)

    def _settled(self) -> None:
        waiting, self._waiting = self._waiting, {}
        self._timer = None
        page, laid = self._page, self._page.laid
        if laid is None or laid.stated is None or not waiting:
            return
        stated = laid.stated

        def change(document: Any) -> None:
            for key, at in waiting.items():
                if key == "start":
                    own = document["plies"][stated].get("start") is not None
                    if own:
                        edits.put(document, stated, "start", point_text(at))
                    else:
                        edits.laying_put(document, "start", point_text(at))
                else:
                    _, name, which = key.split(":")
                    cut_edits.point_put(document, name, int(which), at)

        with page.sheet.client:
            say = page.sheet.say
            what = say("plies.did_drag_start") if "start" in waiting else say("plies.did_drag")
            page.sheet.doing(lambda: page.sheet.edit(what, change))()
            self._said()

    def _forget(self) -> None:
        if self._timer is not None:
            self._timer.cancel()


def _mm(at: tuple[float, float, float]) -> tuple[float, float, float]:
    return MM * at[0], MM * at[1], MM * at[2]
