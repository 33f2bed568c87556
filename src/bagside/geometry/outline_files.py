"""Flat outlines from drawings: DXF and SVG files.

A drawing in a text file with a unit is all that is taken; everything else is refused with what to do about it.
"""

from __future__ import annotations

from pathlib import Path

from bagside.errors import InputError, did_you_mean
from bagside.geometry.outline_dxf import dxf_drawing
from bagside.geometry.outline_loops import FlatOutline, assembled
from bagside.geometry.outline_svg import svg_drawing
from bagside.geometry.readers import UNITS

READERS = {".dxf": dxf_drawing, ".svg": svg_drawing}


def read_outlines(path: Path, unit: str = "", layer: str = "") -> tuple[FlatOutline, ...]:
    """Return the outlines drawn in a file with their holes, largest first.

    Parameters
    ----------
    path
        A DXF or SVG file.
    unit
        Of its numbers, when the file does not say it: ``mm``, ``cm``, ``m``, ``in`` or ``ft``.
    layer
        Only what is drawn on this layer or in this group; everything when empty.

    Returns
    -------
    tuple
        One outline or several; curves are followed to 0.01 mm, ends up to 0.1 mm apart are joined.

    Raises
    ------
    InputError
        When the file is missing, broken or of another kind; its unit is not known or contradicts the stated one; an
        outline is open, branches, crosses itself or another one, or has no area. Names the place and what to do.
    """
    reader = READERS.get(path.suffix.lower())
    if reader is None:
        raise InputError.one(path.name, f'"{path.suffix}"', "a drawing as .dxf or .svg is wanted")
    if unit and unit not in UNITS:
        wanted = "one of " + ", ".join(UNITS) + " is wanted"
        raise InputError.one(f"{path.name}, unit", f'"{unit}"', wanted, did_you_mean(unit, UNITS))
    if not path.is_file():
        near = [p.name for p in path.parent.iterdir() if p.is_file()] if path.parent.is_dir() else []
        raise InputError.one(str(path.name), "", "there is no such file", did_you_mean(path.name, near))
    try:
        drawing = reader(path, unit)
    except OSError as error:
        raise InputError.one(path.name, "", f"cannot be read: {error.strerror or error}") from error
    return assembled(drawing, layer, path.name)


__all__ = ["FlatOutline", "read_outlines"]
