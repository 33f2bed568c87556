"""A drawing as DXF (R2010) in millimetres, one layer for each kind of line."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
from ezdxf import options, units  # type: ignore[attr-defined]
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new

from bagside.sheets.drawing import Area, Drawing, Layer, Line, Ring, Text

DASHED = "PIECE_DASHED"
_WEIGHTS = (5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100)  # the format's own steps [0.01 mm]


def as_dxf(drawing: Drawing) -> bytes:
    """Return a drawing as a DXF file.

    Parameters
    ----------
    drawing
        In millimetres; its scale is not used, a DXF is always 1:1.

    Returns
    -------
    bytes
        The file, UTF-8, with ``$INSUNITS`` 4 (millimetres). Filled areas are given as their closed outlines only.
    """
    # The library stamps clock and chance into a file unless told not to; the same drawing is to be the same file.
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        stream = io.StringIO()
        _document(drawing).write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = before
    return stream.getvalue().encode("utf-8")


def _document(drawing: Drawing) -> Any:
    document = new("R2010", units=units.MM)
    document.header["$MEASUREMENT"] = 1
    document.linetypes.add(DASHED, pattern=[2.5, 1.5, -1.0])
    for layer in Layer:
        look = layer.value
        line = "CONTINUOUS"
        if look.dashes:
            line = f"{layer.name}_DASHES"
            on, off = look.dashes
            document.linetypes.add(line, pattern=[on + off, on, -off])
        entry = document.layers.add(layer.name, linetype=line)
        entry.rgb = (int(look.ink[1:3], 16), int(look.ink[3:5], 16), int(look.ink[5:7], 16))
        entry.dxf.lineweight = min(_WEIGHTS, key=lambda w: abs(w - 100.0 * look.weight))
    space = document.modelspace()
    for shape in drawing.shapes:
        _add(space, shape)
    (x0, y0), (x1, y1) = drawing.low, drawing.high
    document.header["$EXTMIN"] = (x0, y0, 0.0)
    document.header["$EXTMAX"] = (x1, y1, 0.0)
    for kind in sorted(document.entitydb.dxf_types_in_use()):  # the library takes them in an order of chance
        document.classes.add_class(kind)
    return document


def _add(space: Any, shape: Line | Area | Ring | Text) -> None:
    if isinstance(shape, Text):
        text = "".join(c if c.isprintable() else " " for c in shape.text)
        place = {"layer": Layer.TEXT.name, "height": shape.height, "rotation": shape.turn}
        space.add_text(text, dxfattribs=place).set_placement(shape.at, align=TextEntityAlignment.MIDDLE_CENTER)
        return
    attributes: dict[str, Any] = {"layer": shape.layer.name}
    if not isinstance(shape, Area) and shape.dashed:
        attributes["linetype"] = DASHED
    if isinstance(shape, Ring):
        space.add_circle(shape.centre, shape.radius, dxfattribs=attributes)
    elif isinstance(shape, Line):
        space.add_lwpolyline(shape.points.tolist(), close=shape.closed, dxfattribs=attributes)
    elif shape.outlined:
        for loop in shape.loops:
            space.add_lwpolyline(loop.tolist(), close=True, dxfattribs=attributes)
    else:
        for loop in shape.loops:
            if len(loop) == 3:  # the head of an arrow
                space.add_solid(np.vstack([loop, loop[-1:]]).tolist(), dxfattribs=attributes)
