"""Outlines traced from a photo as files: true to size as SVG and DXF, and as templates a job can name."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
import tomlkit
from numpy.typing import NDArray

from bagside.camera import Traced, TracedOutline, overlay, picture_png
from bagside.sheets.drawing import KITS, Area, Drawing, Layer, Line, Text, arrow_head
from bagside.sheets.drawing_dxf import as_dxf
from bagside.sheets.drawing_svg import as_svg
from bagside.sheets.typeface import FONTS

Floats = NDArray[np.float64]

MM = 1e3
BORDER = 8.0  # [mm] white round the outlines
CHECK = 100.0  # [mm] of the line to measure on paper
DIGITS = 2  # of a millimetre: finer than any photo


def traced_files(traced: Traced, names: Sequence[str], title: str) -> dict[str, bytes | str]:
    """Return every file of a traced photo by its name.

    Parameters
    ----------
    traced
        As `bagside.camera.trace` returns it.
    names
        Of the outlines, as `template_names` returns them.
    title
        Of the photo.
    """
    drawing = traced_drawing(traced, names, title)
    return {
        "outline.svg": as_svg(drawing),
        "outline.dxf": as_dxf(drawing),
        "template.toml": template_text(traced, names, title),
        "overlay.png": overlay(traced, title=title, regular=FONTS / "B612-Regular.ttf", bold=FONTS / "B612-Bold.ttf"),
        "rectified.png": picture_png(traced),
    }


def template_names(stem: str, count: int) -> tuple[str, ...]:
    """Return a name for each outline: the photo's, with a number when there are several.

    Parameters
    ----------
    stem
        Of the photo's file name.
    count
        Of outlines.

    Examples
    --------
    >>> template_names("Hatch rim 2", 2)
    ('hatch-rim-2-1', 'hatch-rim-2-2')
    """
    plain = "".join(c if c.isalnum() and c.isascii() else "-" for c in stem.casefold())
    plain = "-".join(word for word in plain.split("-") if word) or "outline"
    return (plain,) if count == 1 else tuple(f"{plain}-{k}" for k in range(1, count + 1))


def template_text(traced: Traced, names: Sequence[str], title: str) -> str:
    """Return the outlines as ``[templates.NAME]`` tables, as a job file takes them.

    Parameters
    ----------
    traced
        As `bagside.camera.trace` returns it.
    names
        Of the outlines.
    title
        Of the photo.

    Notes
    -----
    Each outline stands in axes of its own, parallel to the sheet's, with its lower left corner at 0 0.
    """
    document = tomlkit.document()
    document.add(tomlkit.comment(f"outlines traced from {_line(title)}; copy a table into the job that uses it"))
    tables = tomlkit.table(is_super_table=True)
    for name, one in zip(names, traced.outlines, strict=True):
        low = one.loops[0].min(axis=0)
        table = tomlkit.table()
        table.add(
            tomlkit.comment(
                f"{MM * one.size[0]:.1f} × {MM * one.size[1]:.1f} mm, {1e4 * one.area:.1f} cm²; "
                f"95 of 100 points within {MM * one.confidence:.2f} mm of the edge"
            )
        )
        loops = [_points(loop - low) for loop in one.loops]
        table["points"] = loops[0].multiline(True)
        if len(loops) > 1:
            holes = tomlkit.array()
            holes.extend(loops[1:])
            table["holes"] = holes.multiline(True)
        if one.warp is not None:
            table["warp"] = f"{math.degrees(one.warp):.1f}°"
        tables[name] = table
    document["templates"] = tables
    return tomlkit.dumps(document)


def _points(loop: Floats) -> tomlkit.items.Array:
    points = tomlkit.array()
    points.extend(f"{x:.{DIGITS}f} {y:.{DIGITS}f} mm" for x, y in (MM * loop + 0.0).tolist())
    return points


def _line(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in text)


def traced_drawing(traced: Traced, names: Sequence[str], title: str) -> Drawing:
    """Return the outlines as one drawing in the sheet's axes, true to size.

    Parameters
    ----------
    traced
        As `bagside.camera.trace` returns it.
    names
        Of the outlines.
    title
        Of the photo.
    """
    shapes: list[Line | Area | Text] = []
    for name, one in zip(names, traced.outlines, strict=True):
        loops = tuple(MM * loop for loop in one.loops)
        shapes.append(Area(layer=Layer.CUT, loops=loops, fill=KITS[0]))
        shapes += _named(name, one, loops)
    every = MM * np.concatenate([one.loops[0] for one in traced.outlines])
    low, high = every.min(axis=0) - BORDER, every.max(axis=0) + BORDER
    y, left = float(low[1]) - 4.0, float(low[0]) + BORDER
    shapes += _measure(left, y)
    low[1] -= 10.0
    high[0] = max(float(high[0]), left + CHECK + BORDER)
    return Drawing(
        low=(float(low[0]), float(low[1])),
        high=(float(high[0]), float(high[1])),
        shapes=tuple(shapes),
        title=f"outlines from {_line(title)}",
    )


def _named(name: str, one: TracedOutline, loops: tuple[Floats, ...]) -> list[Line | Area | Text]:
    spot = shapely.maximum_inscribed_circle(shapely.Polygon(loops[0], loops[1:]), tolerance=0.5)
    middle, reach = np.asarray(spot.coords)[0], float(spot.length)
    high = max(1.5, min(5.0, 1.4 * reach / max(len(name), 4)))
    shapes: list[Line | Area | Text] = [
        Text(at=(float(middle[0]), float(middle[1]) + 0.2 * reach), text=name, height=high, bold=True)
    ]
    if one.warp is None:
        return shapes
    along = np.array([math.cos(one.warp), math.sin(one.warp)])
    start = middle - np.array([0.0, 0.25 * reach])
    tail, tip = start - 0.6 * reach * along, start + 0.6 * reach * along
    size = min(0.25 * reach, 8.0)
    shapes.append(Line(layer=Layer.WARP_ARROW, points=np.array([tail, tip - 0.5 * size * along])))
    shapes.append(
        Area(
            layer=Layer.WARP_ARROW,
            loops=(arrow_head(tip, along, size),),
            fill=Layer.WARP_ARROW.value.ink,
            outlined=False,
        )
    )
    return shapes


def _measure(left: float, y: float) -> list[Line | Area | Text]:
    """Return the line to measure on paper."""
    right, ink = left + CHECK, Layer.DIMENSION.value.ink
    ends = ((left, -1.0), (right, 1.0))
    shapes: list[Line | Area | Text] = [
        Line(layer=Layer.DIMENSION, points=np.array([[left, y], [left + 0.5 * CHECK - 11.0, y]])),
        Line(layer=Layer.DIMENSION, points=np.array([[left + 0.5 * CHECK + 11.0, y], [right, y]])),
        Text(at=(left + 0.5 * CHECK, y), text=f"{CHECK:.0f} mm", height=2.5),
    ]
    for x, way in ends:
        head = arrow_head(np.array([x, y]), np.array([way, 0.0]), 3.0)
        shapes.append(Area(layer=Layer.DIMENSION, loops=(head,), fill=ink, outlined=False))
    return shapes
