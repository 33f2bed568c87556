"""A drawing as SVG, true to size: width and height in millimetres on paper, a unit of the view box a millimetre drawn.

Coordinates are written turned over (SVG counts downwards) and not by a transform, so that whoever reads the file reads
millimetres.
"""

from __future__ import annotations

from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray

from bagside.sheets.drawing import Area, Drawing, Layer, Line, Ring, Text

CAPITALS = 0.72
"""Height of capitals over font size in the type used."""


def as_svg(drawing: Drawing) -> str:
    """Return a drawing as an SVG document.

    Parameters
    ----------
    drawing
        In millimetres.

    Returns
    -------
    str
        One ``<g>`` for each layer in use, with the layer's name in lower case as its class.
    """
    (x0, y0), (x1, y1) = drawing.low, drawing.high
    width, height = x1 - x0, y1 - y0
    out = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(width * drawing.scale)}mm" '
        f'height="{_n(height * drawing.scale)}mm" viewBox="0 0 {_n(width)} {_n(height)}" role="img">',
        f"<title>{escape(_plain(drawing.title))}</title>",
    ]
    for layer in Layer:
        shapes = [s for s in drawing.shapes if _layer(s) is layer]
        if shapes:
            out.append(_group(layer, drawing.scale))
            out.extend(_shape(s, drawing) for s in shapes)
            out.append("</g>")
    out.append("</svg>\n")
    return "\n".join(out)


def _layer(shape: Line | Area | Ring | Text) -> Layer:
    return Layer.TEXT if isinstance(shape, Text) else shape.layer


def _group(layer: Layer, scale: float) -> str:
    look = layer.value
    name = layer.name.lower().replace("_", "-")
    if layer is Layer.TEXT:
        return (
            f'<g class="{name}" fill="{look.ink}" font-family="B612, DejaVu Sans, sans-serif" text-anchor="middle" '
            f'stroke="#ffffff" stroke-linejoin="round" paint-order="stroke">'
        )
    dashes = f' stroke-dasharray="{_dashes(look.dashes, scale)}"' if look.dashes else ""
    return (
        f'<g class="{name}" fill="none" stroke="{look.ink}" stroke-width="{_n(look.weight / scale)}" '
        f'stroke-linejoin="round"{dashes}>'
    )


def _shape(shape: Line | Area | Ring | Text, drawing: Drawing) -> str:
    if isinstance(shape, Text):
        return _text(shape, drawing)
    if isinstance(shape, Ring):
        ((cx, cy),) = _down(np.array([shape.centre]), drawing)
        return f'<circle cx="{_n(cx)}" cy="{_n(cy)}" r="{_n(shape.radius)}"{_dashed(shape, drawing)}/>'
    if isinstance(shape, Line):
        path = _path(shape.points, shape.closed, drawing)
        return f'<path d="{path}"{_dashed(shape, drawing)}/>'
    path = " ".join(_path(loop, True, drawing) for loop in shape.loops)
    stroke = "" if shape.outlined else ' stroke="none"'
    return f'<path d="{path}" fill="{shape.fill}" fill-rule="evenodd"{stroke}/>'


def _text(text: Text, drawing: Drawing) -> str:
    size = text.height / CAPITALS
    ((x, y),) = _down(np.array([text.at]), drawing)
    # The base line lies half a capital under the middle, in the text's own direction.
    turn = f' transform="rotate({_n(-text.turn)} {_n(x)} {_n(y)})"' if text.turn else ""
    weight = ' font-weight="700"' if text.bold else ""
    return (
        f'<text x="{_n(x)}" y="{_n(y + 0.5 * text.height)}" font-size="{_n(size)}" '
        f'stroke-width="{_n(0.25 * size)}"{weight}{turn}>{escape(_plain(text.text))}</text>'
    )


def _down(points: NDArray[np.float64], drawing: Drawing) -> NDArray[np.float64]:
    out: NDArray[np.float64] = np.stack([points[:, 0] - drawing.low[0], drawing.high[1] - points[:, 1]], axis=1)
    return out


def _path(points: NDArray[np.float64], closed: bool, drawing: Drawing) -> str:
    text = " L ".join(f"{_n(x)} {_n(y)}" for x, y in _down(points, drawing))
    return f"M {text}{' Z' if closed else ''}"


def _dashed(shape: Line | Ring, drawing: Drawing) -> str:
    return f" stroke-dasharray={quoteattr(_dashes((1.5, 1.0), drawing.scale))}" if shape.dashed else ""


def _dashes(dashes: tuple[float, ...], scale: float) -> str:
    return " ".join(_n(d / scale) for d in dashes)


def _n(value: float) -> str:
    """Return a number with a tenth of a micrometre, without needless zeros."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _plain(text: str) -> str:
    """Return text as one line without what XML forbids."""
    return "".join(c if c.isprintable() else " " for c in text)
