"""What a click on the mould does: reads, draws the net edge, puts holes, draws lines, splits the mould.

Points that are clicked in turn stand as numbered rings until they are done; they are in nobody's file before that.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from nicegui.element import Element
from tomlkit import TOMLDocument

from bagside.quantity import Quantity, read
from bagside.sheets.picture import PointLook
from bagside.web.model.job_tables import point_text
from bagside.web.pages.mould.edge_edits import cut_off_set, net_edge_at, net_edge_set
from bagside.web.pages.mould.edits import hole_added, hole_set, line_moved, line_set
from bagside.web.pages.mould.ground import Ground
from bagside.web.pages.mould.piece_edits import split_set
from bagside.web.pages.mould.pressed import press
from bagside.web.parts.controls import button, entry, verb
from bagside.web.parts.html import box, words
from bagside.web.scene import MeshPoint
from bagside.web.scene.view import Handle, SurfacePoint
from bagside.web.words.tongue import Tongue

Point = tuple[float, float, float]

TOOLS = ("read", "edge", "height", "hole", "seam", "split", "cut", "move")
LEAST = {"edge": 3, "seam": 2, "cut": 3}
"""Points after which what is drawn may be done."""
DIAMETER = "8 mm"
"""Of a hole until it is stated otherwise."""


class Hand:
    """What the hand holds on one page.

    Parameters
    ----------
    page
        The page.
    tool
        With which it begins.
    """

    def __init__(self, page: Ground, tool: str) -> None:
        self.page = page
        self.tool = tool if tool in TOOLS else "read"
        self.points: list[Point] = []
        self.name = ""
        self.waits_inside = False
        self._buttons: dict[str, Element] = {}
        self._shown: object = None

    # --- drawing

    def draw(self, place: Element) -> None:
        """Draw the tools, what the one in hand does, and its verbs.

        Parameters
        ----------
        place
            The element.
        """
        page, say = self.page, self.page.sheet.say
        with page.anew(place, page.view is not None) as new:
            if new and page.view is not None:
                words(say("mould.hand"), tag="h2")
                with box("div", "mould-row", role="group", aria_label=say("mould.hand")):
                    self._buttons = {t: verb(say(f"mould.tool_{t}"), partial(self.take, t)) for t in TOOLS}
                with box("div", "mould-does", role="status") as self._does:
                    pass
        if page.view is None:
            return
        press(self._buttons, self.tool, quiet="read", look="in-hand")
        ready = self.tool in LEAST and len(self.points) >= LEAST[self.tool] and not self.waits_inside
        free = self._free_line() if self.tool == "seam" else ""
        with page.anew(self._does, (self._says(), len(self.points), ready, free)) as new:
            if new:
                self._draw_does(ready, free)
        self.show()

    def _draw_does(self, ready: bool, free: str) -> None:
        say = self.page.sheet.say
        words(say(self._says()), tag="p")
        if self.tool == "seam":
            entry(say("mould.line_name"), self.name or free, self._named)
        if self.points:
            words(say("mould.points", count=len(self.points)), look="q")
        with box("div", "mould-row"):
            if ready:
                button(say("mould.done"), self.page.sheet.doing(self._done))
            if self.points:
                verb(say("mould.back"), self._back)

    def show(self) -> None:
        """Put clicked points and handles on the picture."""
        view = self.page.view
        handles = self._handles() if self.tool == "move" else []
        shown = (id(view), self.tool, tuple(self.points), tuple(handles))
        if view is None or shown == self._shown:
            return
        self._shown = shown
        view.pick_mode(self.tool not in ("read", "move"))
        rings = [MeshPoint((1e3 * x, 1e3 * y, 1e3 * z), PointLook.RING, str(k)) for k, (x, y, z) in
                 enumerate(self.points, 1)]  # fmt: skip
        view.mark_points(rings)
        view.handle(handles)

    def _says(self) -> str:
        if self.tool == "height":
            return f"mould.tool_height_says_{min(len(self.points), 1)}"
        if self.tool == "cut" and self.waits_inside:
            return "mould.tool_cut_says_inside"
        if self.tool == "move" and not self._handles():
            return "mould.nothing_to_move"
        return f"mould.tool_{self.tool}_says"

    def _handles(self) -> list[Handle]:
        document = self.page.desk.file.document()
        say = self.page.sheet.say
        out = []
        for k, hole in enumerate(document.get("holes", [])):
            at, name = _point(hole.get("at")), str(hole.get("name", ""))
            if at is not None:
                out.append(Handle(key=f"hole:{k}", at=at, label=name, words=name))
        for name, line in document.get("lines", {}).items():
            for k, text in enumerate(line.get("points", [])):
                at = _point(text)
                if at is not None:
                    label = say("mould.start_of", name=name, number=k + 1)
                    out.append(Handle(key=f"line:{k}:{name}", at=at, label=label, words=str(name) if k == 0 else ""))
        return out

    # --- acts

    def take(self, tool: str) -> None:
        """Take a tool in hand; points of the last one that are not done are let go.

        Parameters
        ----------
        tool
            One of `TOOLS`.
        """
        self.tool, self.points, self.waits_inside, self.name = tool, [], False, ""
        self.page.draw()
        self.page.remember()

    def picked(self, place: SurfacePoint) -> None:
        """Take a click on the surface.

        Parameters
        ----------
        place
            Where.
        """
        act: Callable[[Point], None] | None = {
            "hole": self._hole, "height": self._height, "split": self._split, "cut": self._cut
        }.get(self.tool)  # fmt: skip
        if self.tool in ("edge", "seam"):
            self.points.append(place.at)
        elif act is not None:
            self.page.sheet.doing(lambda: act(place.at))()
        self.page.draw()

    def dragged(self, key: str, place: SurfacePoint, done: bool) -> None:
        """Take a handle that was dragged; the file changes when it is let go.

        Parameters
        ----------
        key
            Of the handle.
        place
            Where it is.
        done
            Whether it was let go.
        """
        kind, _, rest = key.partition(":")
        if not done or self.tool != "move":
            return
        if kind == "hole" and rest.isdecimal():
            name = self._hole_names()[int(rest)] if int(rest) < len(self._hole_names()) else ""
            self._edit("did_move", hole_set(int(rest), "at", point_text(place.at)), name=name)
        elif kind == "line":
            number, _, name = rest.partition(":")
            if number.isdecimal():
                self._edit("did_move", line_moved(name, int(number), place.at), name=name)

    def _hole(self, at: Point) -> None:
        say, names = self.page.sheet.say, self._hole_names()
        number = next(n for n in range(1, 10_000) if say("mould.hole_name", number=n) not in names)
        name = say("mould.hole_name", number=number)
        self._change("did_hole", hole_added(name, at, DIAMETER), name=name)

    def _height(self, at: Point) -> None:
        self.points.append(at)
        if len(self.points) == 2:
            edge, inside = self.points
            self.points = []
            self._change("did_edge", net_edge_at(edge, inside, self._side()))

    def _split(self, at: Point) -> None:
        self.points.append(at)
        if len(self.points) == 2:
            one, other = self.points
            self.points = []
            names = (self.page.sheet.say("mould.half_a"), self.page.sheet.say("mould.half_b"))
            self._change("did_split", split_set(one, other, self._side(), names))

    def _cut(self, at: Point) -> None:
        if self.waits_inside:
            points, self.points, self.waits_inside = self.points, [], False
            self._change("did_cut", cut_off_set(points, at))
        else:
            self.points.append(at)

    def _done(self) -> None:
        if self.tool == "cut":
            self.waits_inside = True
        elif self.tool == "edge":
            self._change("did_edge", net_edge_set(self.points, self._side()))
            self.points = []
        elif self.tool == "seam":
            name = self.name or self._free_line()
            self._change("did_line", line_set(name, self.points), name=name)
            self.points, self.name = [], ""
        self.page.draw()

    def _back(self) -> None:
        self.waits_inside = False
        self.points = self.points[:-1]
        self.page.draw()

    def _named(self, name: str) -> None:
        self.name = name.strip()

    # --- help

    def _change(self, did: str, change: Callable[[TOMLDocument], None], **values: object) -> None:
        self.page.sheet.edit(self.page.sheet.say(f"mould.{did}", **values), change)

    def _edit(self, did: str, change: Callable[[TOMLDocument], None], **values: object) -> None:
        self.page.sheet.doing(lambda: self._change(did, change, **values))()

    def _side(self) -> Sequence[float]:
        stated = self.page.desk.file.document().get("mould", {}).get("laminate_side", [0, 0, 1])
        return [float(x) for x in stated]

    def _hole_names(self) -> list[str]:
        return [str(h.get("name", "")) for h in self.page.desk.file.document().get("holes", [])]

    def _free_line(self) -> str:
        taken = self.page.desk.file.document().get("lines", {})
        say = self.page.sheet.say
        return next(n for k in range(1, 10_000) if (n := say("mould.seam_name", number=k)) not in taken)


def _point(text: Any) -> Point | None:
    """Return a stated point in metres; None when it cannot be read."""
    parts = str(text).replace(",", " ").split()
    if len(parts) != 4:
        return None
    try:
        x, y, z = (float(read(f"{p} {parts[3]}", Quantity.LENGTH)) for p in parts[:3])
    except ValueError:
        return None
    return (x, y, z)


def place_words(at: Point, tongue: Tongue) -> str:
    """Return a place as a person reads it.

    Parameters
    ----------
    at
        [m].
    tongue
        Of the reader.
    """
    x, y, z = (tongue.length(a, 1).rsplit(" ", 1)[0] for a in at)
    return f"{x}, {y}, {tongue.length(at[2], 1)}" if z else x
