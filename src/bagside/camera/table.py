"""A table with markers round it: from its pages to one frame, and its file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import shapely
import tomlkit
from numpy.typing import NDArray
from tomlkit.exceptions import TOMLKitError

from bagside.camera.bundle import placed
from bagside.camera.mark_pages import MarkPage
from bagside.camera.marks import SHEETS, Marker, MarkFrame, frame
from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]

CLEAR, NARROW = 0.004, 0.06  # [m] from paper to window; gaps between pages narrower than twice this are no window
_AGAIN = "make it anew with bagside trace-table"


def table_frame(
    name: str,
    used: Sequence[MarkPage],
    at: Floats,
    factor: Floats,
    scale_sd: tuple[float, float],
    place_sd: float,
) -> MarkFrame:
    """Return the markers as they lie, turned so that the table's sides run along x and y, from its lower left corner.

    Parameters
    ----------
    name
        Of the table.
    used
        Its pages.
    at
        x, y and angle of each, shape (p, 3) [m, rad].
    factor
        Printed over drawn size in x and in y, shape (2,).
    scale_sd
        Standard deviations of these.
    place_sd
        Largest standard deviation of a page's place [m].

    Raises
    ------
    InputError
        When the pages leave no window between them.
    """
    cuts = [placed(p, page.cut * factor) for p, page in zip(at, used, strict=True)]
    hull = shapely.MultiPoint(np.concatenate(cuts)).convex_hull
    box = shapely.get_coordinates(shapely.oriented_envelope(hull))
    side = box[1] - box[0]
    angle = float(np.arctan2(side[1], side[0]))
    angle -= 0.5 * np.pi * np.round(angle / (0.5 * np.pi))  # the turn nearest to the first page's own axes
    turn = np.array([0.0, 0.0, -angle])
    low = placed(turn, np.concatenate(cuts)).min(axis=0)

    def lying(points: Floats) -> Floats:
        return np.asarray(placed(turn, points) - low)

    outlines = [lying(c) for c in cuts]
    size = np.concatenate(outlines).max(axis=0)
    markers = [
        Marker(id=m.id, corners=lying(placed(p, m.corners * factor)))
        for p, page in zip(at, used, strict=True)
        for m in page.markers
    ]
    spread = [float(np.hypot(s, place_sd / max(extent, 1e-9))) for s, extent in zip(scale_sd, size, strict=True)]
    return MarkFrame(
        name=name,
        markers=tuple(sorted(markers, key=lambda m: m.id)),
        window=_window(outlines, name),
        paper=(float(size[0]), float(size[1])),
        rules=(0.0, 0.0),
        scale_sd=(spread[0], spread[1]),
    )


def _window(outlines: Sequence[Floats], name: str) -> Floats:
    """Return the free polygon between the pages."""
    paper = shapely.union_all(shapely.polygons([shapely.linearrings(o) for o in outlines]))
    hull = paper.convex_hull
    free = hull.difference(paper.buffer(CLEAR, join_style="mitre"))
    free = free.buffer(-NARROW, join_style="mitre").buffer(NARROW, join_style="mitre").intersection(free)
    parts = [g for g in getattr(free, "geoms", [free]) if g.geom_type == "Polygon" and not g.is_empty]
    if not parts:
        raise InputError.one(
            name, "", "the pages leave no window between them", "lay them farther apart, round what is to be measured"
        )
    window = max(parts, key=lambda g: g.area).simplify(1e-4)
    return np.asarray(shapely.get_coordinates(window.exterior)[:-1])


def table_text(laid: MarkFrame, *, note: str = "") -> str:
    """Return a table as the text of its file.

    Parameters
    ----------
    laid
        The table.
    note
        A comment for its first line.
    """
    document = tomlkit.document()
    document.add(tomlkit.comment(note or "a table with markers round it, from photos; the pages must not be moved"))
    table = tomlkit.table()
    table["name"] = laid.name
    table["width_mm"], table["height_mm"] = (_mm(v) for v in laid.paper)
    table["scale_sd_x"], table["scale_sd_y"] = (round(v, 7) for v in laid.scale_sd)
    table["window_mm"] = [[_mm(v) for v in point] for point in laid.window]
    document["table"] = table
    markers = tomlkit.aot()
    for marker in laid.markers:
        one = tomlkit.table()
        one["id"] = marker.id
        one["corners_mm"] = [[_mm(v) for v in corner] for corner in marker.corners]
        markers.append(one)
    document["marker"] = markers
    return tomlkit.dumps(document)


def _mm(value: float) -> float:
    return round(1e3 * float(value), 4)


def read_table(path: Path) -> MarkFrame:
    """Return the table kept in a file.

    Parameters
    ----------
    path
        A file as `table_text` writes it.

    Raises
    ------
    InputError
        When there is no such file or it holds no table; names every place that is wrong.
    """
    path = Path(path)
    try:
        data = tomlkit.parse(path.read_text(encoding="utf-8")).unwrap()
    except OSError as error:
        raise InputError.one(path.name, "", f"the file cannot be opened ({error.strerror})", "check its name") from None
    except (TOMLKitError, UnicodeDecodeError) as error:
        raise InputError.one(path.name, "", f"this is no table file: {error}", _AGAIN) from None
    table, listed = data.get("table"), data.get("marker")
    if not isinstance(table, dict) or not isinstance(listed, list):
        raise InputError.one(path.name, "", "a table [table] and markers [[marker]] are wanted", _AGAIN)
    problems: list[Problem] = []

    def wrong(place: str, wanted: str) -> None:
        problems.append(Problem(place=f"{path.name}, {place}", came="", wanted=wanted, hint=_AGAIN))

    numbers = {}
    for key in ("width_mm", "height_mm", "scale_sd_x", "scale_sd_y"):
        value = table.get(key)
        if isinstance(value, (int, float)) and not isinstance(value, bool) and 0 < value < 1e5:
            numbers[key] = float(value)
        else:
            wrong(f"table, {key}", "a number above zero is wanted")
    window = _points(table.get("window_mm"))
    if window is None or len(window) < 3 or not shapely.Polygon(window).is_valid:
        wrong("table, window_mm", "a polygon of at least three points [x, y] is wanted")
    markers: dict[int, Marker] = {}
    for k, one in enumerate(listed, 1):
        corners = _points(one.get("corners_mm")) if isinstance(one, dict) else None
        identity = one.get("id") if isinstance(one, dict) else None
        if corners is None or len(corners) != 4:
            wrong(f"marker {k}, corners_mm", "four points [x, y] are wanted")
        elif not isinstance(identity, int) or isinstance(identity, bool) or not 0 <= identity < 250:
            wrong(f"marker {k}, id", "a whole number from 0 to 249 is wanted")
        elif identity in markers:
            wrong(f"marker {k}, id", f"{identity} is there already")
        else:
            markers[identity] = Marker(id=identity, corners=corners)
    if problems or window is None:
        raise InputError(problems)
    return MarkFrame(
        name=str(table.get("name", path.stem)),
        markers=tuple(markers[k] for k in sorted(markers)),
        window=window,
        paper=(1e-3 * numbers["width_mm"], 1e-3 * numbers["height_mm"]),
        rules=(0.0, 0.0),
        scale_sd=(numbers["scale_sd_x"], numbers["scale_sd_y"]),
    )


def _points(value: object) -> Floats | None:
    """Return a list of pairs [mm] as points [m], or nothing when it is none."""
    try:
        points = np.array(value, dtype=np.float64)
    except (TypeError, ValueError):
        return None
    if points.ndim != 2 or points.shape[1] != 2 or not (np.abs(points) < 1e5).all():
        return None
    return 1e-3 * points


def frame_named(text: str) -> MarkFrame:
    """Return the sheet or table a person names.

    Parameters
    ----------
    text
        ``A4`` or ``A3``, or the name of a table's file.

    Raises
    ------
    InputError
        When it is neither.
    """
    if text.upper() in SHEETS:
        return frame(text.upper())
    if text.lower().endswith(".toml"):
        return read_table(Path(text))
    return frame(text)
