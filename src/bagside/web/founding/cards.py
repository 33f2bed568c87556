"""Cards a part is cut from: sizes typed, a drawing, or a photo; each as the table that a job file states.

The parsers of drawings and photos run in a process of their own; what they give back is plain.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from bagside.camera import frame_named, overlay, read_photo, scaled, trace
from bagside.errors import InputError
from bagside.findings import Finding
from bagside.geometry.outline_files import read_outlines
from bagside.planning.template_stage import template_loops
from bagside.quantity import Quantity, read
from bagside.sheets.typeface import FONTS
from bagside.spec.reading import stated_from
from bagside.spec.template import Template
from bagside.web.words.tongue import Tongue

Floats = NDArray[np.float64]

SIZES: Mapping[str, tuple[str, ...]] = {
    "rectangle": ("length", "width", "corner"),
    "trapezoid": ("length", "other", "width"),
    "disc": ("diameter",),
    "ring": ("diameter", "hole"),
    "strip": ("length", "width", "corner"),
    "gusset": ("length", "width", "corner"),
    "points": ("points",),
}
"""What says how large a shape is; ``corner`` may stay empty."""
MEANT: Mapping[str, Mapping[str, str]] = {
    "rectangle": {"length": "300 mm", "width": "190 mm"},
    "trapezoid": {"length": "300 mm", "other": "210 mm", "width": "170 mm"},
    "disc": {"diameter": "200 mm"},
    "ring": {"diameter": "200 mm", "hole": "90 mm"},
    "strip": {"length": "320 mm", "width": "60 mm"},
    "gusset": {"length": "240 mm", "width": "190 mm"},
    "points": {"points": "0 0 mm; 300 0 mm; 280 140 mm; 120 190 mm; 0 150 mm"},
}
"""Sizes with which a shape is drawn to show what is asked."""
MAY_BE_EMPTY = frozenset({"corner"})
DRAWING, PHOTO = "drawing", "photo"
DIGITS = 2  # of millimetres in a job's file


@dataclass(slots=True, kw_only=True)
class Card:
    """A card that is being put together.

    Parameters
    ----------
    name
        Of the template.
    shape
        Of `SIZES`, or ``drawing`` or ``photo``.
    sizes
        By their names, as the file states them.
    file
        A drawing that was sent; where it lies now.
    unit, layer
        Of the drawing, when it does not say the one or holds several outlines.
    loops
        Outline, then holes, as they were read from a drawing or a photo [m].
    warp
        Where the warp points when that was drawn or stated, as the file states it.
    sure
        Within what the outline of a photo lies [m]; None when it was not measured from one.
    found
        What the reader of the photo noticed.
    over
        The outlines over the photo, as PNG; where it lies now.
    left_out
        Outlines in the photo that were not taken.
    raw
        Size of the drawing in its own numbers, while nobody has said what they are.
    layers
        Layers or groups to choose from, while a drawing holds several outlines.
    """

    name: str
    shape: str = "rectangle"
    sizes: dict[str, str] = field(default_factory=dict)
    file: Path | None = None
    unit: str = ""
    layer: str = ""
    loops: tuple[Floats, ...] = ()
    warp: str = ""
    sure: float | None = None
    found: tuple[Finding, ...] = ()
    over: Path | None = None
    left_out: int = 0
    raw: tuple[float, float] | None = None
    layers: tuple[str, ...] = ()

    @property
    def missing(self) -> tuple[str, ...]:
        """Names of sizes that are still wanted; ``file`` when nothing was sent, ``unit`` or ``layer`` of what was."""
        if self.shape in (DRAWING, PHOTO):
            return () if self.loops else ("unit",) if self.raw else ("layer",) if self.layers else ("file",)
        return tuple(s for s in SIZES[self.shape] if s not in MAY_BE_EMPTY and not self.sizes.get(s))

    def table(self) -> dict[str, object]:
        """Return its table as a job file states it."""
        s = self.sizes
        own: dict[str, object]
        match self.shape:
            case "photo":
                own = {"points": stated_points(self.loops[0])}
                own |= {"holes": [stated_points(hole) for hole in self.loops[1:]]} if len(self.loops) > 1 else {}
            case "drawing":
                own = {"file": f"{self.name}{'' if self.file is None else self.file.suffix.lower()}"}
                own |= {"unit": self.unit} if self.unit else {}
                own |= {"layer": self.layer} if self.layer else {}
            case "trapezoid":
                own = {"points": _trapezoid(s["length"], s["other"], s["width"])}
            case "points":
                own = {"points": [p.strip() for p in s["points"].split(";") if p.strip()]}
            case "disc" | "ring":
                own = {"shape": self.shape, **{k: s[k] for k in SIZES[self.shape]}}
            case _:
                own = {"shape": self.shape, "size": _pair(s["length"], s["width"])}
                own |= {"corner": s["corner"]} if s.get("corner") else {}
        return own | ({"warp": self.warp} if self.warp else {})

    def outline(self) -> tuple[Floats, ...]:
        """Return its outline and holes [m]; nothing while something is missing.

        Raises
        ------
        InputError
            When its sizes do not go together.
        """
        if self.missing:
            return ()
        if self.shape in (DRAWING, PHOTO):
            return self.loops
        template = stated_from(self.table(), Template, self.name)
        return template_loops(template, Path(), self.name).loops


def stated_points(loop: Floats) -> list[str]:
    """Return corners as a file states them.

    Parameters
    ----------
    loop
        Shape (k, 2) [m].
    """
    return [f"{x:.{DIGITS}f} {y:.{DIGITS}f} mm" for x, y in (1e3 * loop + 0.0).tolist()]


def as_points(typed: str, tongue: Tongue) -> str:
    """Return corners that a person typed, ``0 0; 300 0; 280 90``, as a file states each, parted by semicolons.

    Parameters
    ----------
    typed
        Two numbers a corner, in millimetres unless a unit follows.
    tongue
        Of the person, for messages.

    Raises
    ------
    InputError
        When a corner is no two numbers, or there are fewer than three.
    """
    corners = [part.replace(",", ".").split() for part in typed.replace("\n", ";").split(";") if part.strip()]
    found = []
    for corner in corners:
        unit = corner[2] if len(corner) == 3 else "mm"
        try:
            if len(corner) not in (2, 3):
                raise ValueError
            for number in corner[:2]:
                read(f"{number} {unit}", Quantity.LENGTH)
        except ValueError:
            raise InputError.one("", " ".join(corner), tongue.say("new_job.no_corner", came=" ".join(corner))) from None
        found.append(f"{corner[0]} {corner[1]} {unit}")
    if len(found) < 3:
        raise InputError.one("", typed, tongue.say("new_job.three_corners"))
    return "; ".join(found)


def _mm(text: str) -> float:
    return 1e3 * read(text, Quantity.LENGTH)


def _pair(a: str, b: str) -> str:
    """Return two lengths with one unit, which is theirs when they share it."""
    first, second = (t.split(" ", 1) for t in (a, b))
    if len(first) == len(second) == 2 and first[1] == second[1]:
        return f"{first[0]} {second[0]} {first[1]}"
    return f"{_mm(a):g} {_mm(b):g} mm"


def _trapezoid(length: str, other: str, width: str) -> list[str]:
    a, b, h = 0.5 * _mm(length), 0.5 * _mm(other), 0.5 * _mm(width)
    return [f"{x:g} {y:g} mm" for x, y in ((-a, -h), (a, -h), (b, h), (-b, h))]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnOutlines:
    """What a drawing holds.

    Parameters
    ----------
    loops
        Of each outline, the largest first: its edge, then its holes [m].
    layers
        Layer, group or element each was drawn on; may be empty.
    warps
        Of each, where a drawn line says it points [rad].
    raw
        Size of the largest in the numbers of the file, when nobody has said what they are; its loops are none then.
    """

    loops: tuple[tuple[Floats, ...], ...]
    layers: tuple[str, ...]
    warps: tuple[float | None, ...]
    raw: tuple[float, float] | None = None


def drawing_read(path: Path, unit: str, layer: str) -> DrawnOutlines:
    """Return the outlines of a DXF or SVG file.

    Parameters
    ----------
    path
        Of the file.
    unit, layer
        See `bagside.geometry.outline_files.read_outlines`.

    Raises
    ------
    InputError
        See there.
    """
    raw = None
    try:
        found = read_outlines(path, unit, layer)
    except InputError as refused:
        if unit:
            raise
        try:
            found = read_outlines(path, "m", layer)  # a number of the file stays that number
        except InputError:
            raise refused from None
        width, height = np.ptp(found[0].loops[0], axis=0).tolist()
        raw = (width, height)
    return DrawnOutlines(
        raw=raw,
        loops=tuple(tuple(np.array(loop) for loop in one.loops) for one in found),
        layers=tuple(one.name for one in found),
        warps=tuple(one.warp for one in found),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoOutlines:
    """What a photo shows.

    Parameters
    ----------
    loops
        Of each outline, the largest first [m].
    warps
        Of each, from the sheet's x axis [rad]; None when nothing says it.
    sure
        Of each, within what 95 of 100 of its points lie [m].
    found
        What should be known.
    picture
        The outlines over the photo, as PNG.
    """

    loops: tuple[tuple[Floats, ...], ...]
    warps: tuple[float | None, ...]
    sure: tuple[float, ...]
    found: tuple[Finding, ...]
    picture: bytes


def photo_read(path: Path, paper: str, rule_x: float, rule_y: float, thick: float) -> PhotoOutlines:
    """Return the outlines of the flat things in a photo of a sheet with markers.

    Parameters
    ----------
    path
        Of the photo.
    paper
        ``A3`` or ``A4``.
    rule_x, rule_y
        The printed rules as measured [m]; zero when not.
    thick
        Of the things [m].

    Raises
    ------
    InputError
        When no sheet, or nothing on it, can be read.
    """
    sheet = frame_named(paper)
    if rule_x or rule_y:
        sheet = scaled(sheet, rule_x or None, rule_y or None)
    traced = trace(read_photo(path), sheet, thickness=thick)
    return PhotoOutlines(
        loops=tuple(tuple(np.array(loop) - one.loops[0].min(axis=0) for loop in one.loops) for one in traced.outlines),
        warps=tuple(one.warp for one in traced.outlines),
        sure=tuple(one.confidence for one in traced.outlines),
        found=traced.findings,
        picture=overlay(traced, regular=FONTS / "B612-Regular.ttf", bold=FONTS / "B612-Bold.ttf"),
    )
