"""The element that shows a surface on a page, and what comes back from it.

All that is shown is kept in the element's properties, so that a page that connects anew shows the same; nothing is kept
in the browser alone but from where it is looked at.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import nicegui.elements.scene  # noqa: F401 – makes its three.js known to the browser
from nicegui import ui
from nicegui.events import GenericEventArguments

from bagside.web.scene.buffers import MeshPoint, point_head
from bagside.web.words.tongue import Lengths, Tongue


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfacePoint:
    """A place on the surface that a person pointed at.

    Parameters
    ----------
    address
        Of the mesh it lies on.
    at
        Position [m].
    triangle
        Its index.
    vertices
        Of the triangle's corners.
    weights
        Of the corners, adding up to one.
    """

    address: str
    at: tuple[float, float, float]
    triangle: int
    vertices: tuple[int, int, int]
    weights: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Handle:
    """A handle on the surface that can be dragged over it.

    Parameters
    ----------
    key
        What it is called in events.
    at
        Where it stands [m].
    label
        What it is, for readers.
    words
        Beside it on the picture; empty for none.
    """

    key: str
    at: tuple[float, float, float]
    label: str
    words: str = ""


class MeshView(ui.element, component="mesh_view.js", esm={"bagside-scene": "script"}):
    """A surface in three dimensions, with maps, lines, marks, handles and notes.

    Parameters
    ----------
    address
        Where the packed buffer is fetched; empty shows nothing yet.
    tongue
        Language and units of the person.
    label
        What the picture shows, for readers.
    field
        Key of the map that is shown; empty for none.
    on_pick
        Called with the place that was clicked while picking is on.
    on_hover
        Called with the place under the pointer, at most eight times a second; None beside the surface.
    on_drag
        Called with a handle's key, its place, and whether it was let go.
    on_ready
        Called with the number of triangles and the time from asking to seen [s].
    fallback
        A still picture in SVG for a browser that cannot draw in three dimensions.

    Notes
    -----
    Elements made inside (``with view:``) that carry ``data-at="x,y,z"`` [mm] are notes: they stand in the picture's
    white with a leader to that place, or in a list under it with numbered rings where there is no room.
    """

    def __init__(
        self,
        address: str,
        *,
        tongue: Tongue,
        label: str,
        field: str = "",
        on_pick: Callable[[SurfacePoint], Any] | None = None,
        on_hover: Callable[[SurfacePoint | None], Any] | None = None,
        on_drag: Callable[[str, SurfacePoint, bool], Any] | None = None,
        on_ready: Callable[[int, float], Any] | None = None,
        fallback: str = "",
    ) -> None:
        super().__init__()
        inch = tongue.lengths is Lengths.INCH
        self._props.update(
            {
                "address": address,
                "field": field,
                "label": label,
                "marks": [],
                "handles": [],
                "picking": False,
                "hovering": on_hover is not None,
                "words": {key: tongue.say(f"scene.{key}") for key in WORDS}
                | {key: tongue.say(f"scene.{key}", **{a: f"{{{a}}}" for a in asked}) for key, asked in FILLED.items()},
                "tongue": tongue.language,
                "length": {"perMm": 1 / 25.4, "digits": 2, "name": "in"}
                if inch
                else {"perMm": 1.0, "digits": 0, "name": "mm"},
                "fallback": fallback,
            }
        )
        if on_pick is not None:
            self.on("pick", lambda e: _told(on_pick, place_of(e.args)))
        if on_hover is not None:
            self.on("hover", lambda e: on_hover(place_of(e.args)))
        if on_drag is not None:
            self.on("drag", lambda e: _dragged(on_drag, e))
        if on_ready is not None:
            self.on("ready", lambda e: _ready(on_ready, e))

    @property
    def address(self) -> str:
        """Where the shown buffer is fetched."""
        return str(self._props["address"])

    def show(self, address: str, *, field: str | None = None) -> None:
        """Show another mesh; the person's view stays when it is looked at from the same side.

        Parameters
        ----------
        address
            Where its buffer is fetched.
        field
            Key of its map; as before when None.
        """
        self._props["address"] = address
        if field is not None:
            self._props["field"] = field
        self.update()

    def show_field(self, name: str) -> None:
        """Show another map of the same mesh; nothing is sent again.

        Parameters
        ----------
        name
            Its key; empty for none.
        """
        self._props["field"] = name
        self.update()

    def still(self, svg: str) -> None:
        """Give the still picture for a browser that cannot draw in three dimensions.

        Parameters
        ----------
        svg
            The picture.
        """
        if self._props["fallback"] != svg:
            self._props["fallback"] = svg
            self.update()

    def mark_points(self, points: Sequence[MeshPoint]) -> None:
        """Draw marks over those of the mesh, in place of the last ones given.

        Parameters
        ----------
        points
            The marks [mm].
        """
        self._props["marks"] = [point_head(point) for point in points]
        self.update()

    def handle(self, handles: Sequence[Handle]) -> None:
        """Put handles on the surface, in place of the last ones given.

        Parameters
        ----------
        handles
            In the order of the keyboard.
        """
        self._props["handles"] = [
            {"key": h.key, "at": [1000.0 * x for x in h.at], "label": h.label, "words": h.words} for h in handles
        ]
        self.update()

    def pick_mode(self, on: bool) -> None:
        """Have a click pick a place, or only read the value there.

        Parameters
        ----------
        on
            Whether it picks.
        """
        self._props["picking"] = on
        self.update()

    def look_from(self, direction: Sequence[float]) -> None:
        """Look at the surface from a direction.

        Parameters
        ----------
        direction
            From the surface to the eye, in the mould's axes.
        """
        self.run_method("look_from", [float(x) for x in direction])

    async def towards(self) -> tuple[float, float, float] | None:
        """Return the direction from the surface to the eye, in the mould's axes; None while nothing is shown."""
        way = await self.run_method("towards", timeout=5.0)
        if not isinstance(way, list) or len(way) != 3:
            return None
        x, y, z = (float(a) for a in way)
        return (x, y, z) if all(map(math.isfinite, (x, y, z))) and (x, y, z) != (0.0, 0.0, 0.0) else None

    def home(self) -> None:
        """Look at the surface as at first."""
        self.run_method("home")


WORDS = ("nothing", "beside", "picked", "cursor_in", "keys", "no_picture", "lost", "not_loaded")
FILLED = {
    "place": ("x", "y", "z", "unit"),
    "map_range": ("name", "low", "high"),
    "map_lines": ("values",),
    "map_past": ("limit", "share"),
}
"""Words that the browser fills."""


def place_of(args: Any) -> SurfacePoint | None:
    """Return the place a browser told of; None when it is none, or is not one.

    Parameters
    ----------
    args
        What came with the event; a browser may send anything.
    """
    try:
        at = tuple(float(x) for x in args["point"])
        weights = tuple(float(x) for x in args["weights"])
        vertices = tuple(int(x) for x in args["vertices"])
        triangle = int(args["triangle"])
        address = str(args["address"])
    except (KeyError, TypeError, ValueError, OverflowError):
        return None
    finite = all(math.isfinite(x) and abs(x) < 1e4 for x in (*at, *weights))
    if len(at) != 3 or len(weights) != 3 or len(vertices) != 3 or not finite or min(triangle, *vertices) < 0:
        return None
    return SurfacePoint(
        address=address,
        at=(at[0], at[1], at[2]),
        triangle=triangle,
        vertices=(vertices[0], vertices[1], vertices[2]),
        weights=(weights[0], weights[1], weights[2]),
    )


def _told(call: Callable[[SurfacePoint], Any], place: SurfacePoint | None) -> Any:
    return None if place is None else call(place)


def _dragged(call: Callable[[str, SurfacePoint, bool], Any], event: GenericEventArguments) -> Any:
    place = place_of(event.args)
    key = event.args.get("key") if isinstance(event.args, dict) else None
    return None if place is None or not isinstance(key, str) else call(key, place, bool(event.args.get("done")))


def _ready(call: Callable[[int, float], Any], event: GenericEventArguments) -> Any:
    return call(int(event.args["triangles"]), float(event.args["ms"]) / 1000.0)
