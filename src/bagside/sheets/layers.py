"""What a picture's raster is made of, each on its own so that a page can change one and leave the others.

The mould is a shape, the cloth is flat bands, the relief is shade that lies over both: in the dark the mould alone
darkens, in the sun the shade goes, in black the bands become hatches, and the map itself is never touched.
"""

from __future__ import annotations

import base64
import io
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from bagside.sheets import colour, paper
from bagside.sheets.colour import LIT, lit

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

STEPS = 32
"""Of shade; finer ones are not seen and cost twice the bytes."""
TOLERANCE = 0.8
"""By how many pixels a silhouette may leave the raster it is traced from."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layers:
    """What is seen in each pixel of a picture.

    Parameters
    ----------
    seen
        Whether anything is, shape (h, w).
    ink
        Which of the inks the cloth has, −1 where the mould is seen or nothing, shape (h, w).
    inks
        The cloth's colours, as ``#rrggbb``.
    relief
        How light each pixel is: 1 is a surface of its own colour, shape (h, w).
    """

    seen: Mask
    ink: Ints
    inks: tuple[str, ...]
    relief: Floats


def drawn_layers(layers: Layers, width: float, *, has_map: bool, clip: str) -> str:
    """Return a raster as SVG: the mould's shape, the cloth's bands, the shade over both.

    Parameters
    ----------
    layers
        What is seen.
    width
        Of the picture on paper [mm].
    has_map
        Whether the cloth's colours say something.
    clip
        Name of the cloth's shape, to be used as ``url(#name)``; defined when there is cloth.
    """
    per = layers.seen.shape[1] / width
    height = layers.seen.shape[0] / per
    cloth = layers.ink >= 0
    out = [f'<path class="mould" d="{outline(layers.seen, per)}" fill="{lit(colour.MOULD)}" fill-rule="evenodd"/>']
    if cloth.any():
        out.append(f'<clipPath id="{clip}"><path d="{outline(cloth, per)}" clip-rule="evenodd"/></clipPath>')
        out.append(_image(_bands(layers), f"cloth {'map' if has_map else 'plain'}", width, height))
    out.append(_image(_shade(layers), "shade", width, height))
    return "".join(out)


def outline(mask: Mask, per: float) -> str:
    """Return the outlines of what is seen, holes too, as SVG path data [mm]; fill it by the even-odd rule.

    Parameters
    ----------
    mask
        Shape (h, w).
    per
        Pixels in a millimetre.
    """
    padded = np.pad(mask, 1).astype(np.uint8)
    found, _ = cv2.findContours(padded, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    loops = []
    for contour in found:
        run = cv2.approxPolyDP(contour, TOLERANCE, True)[:, 0].astype(np.float64)
        # The trace runs through the middles of the pixels at the rim.
        if len(run) > 2 and abs(_area(run)) > 4.0:
            loops.append(paper.path((run - 0.5) / per, closed=True))
    return "".join(loops) or "M0 0Z"


def _area(run: Floats) -> float:
    x, y = run.T
    return 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))


def _bands(layers: Layers) -> Image.Image:
    """Return the cloth as an indexed picture; its first colour is none, the next is the first ink."""
    image = Image.fromarray((layers.ink + 1).astype(np.uint8), "P")
    image.putpalette([part for ink in (colour.PAPER, *layers.inks) for part in colour.rgb(lit(ink))])
    image.info["transparency"] = 0
    return image


def _shade(layers: Layers) -> Image.Image:
    """Return black that takes as much light away as the relief wants, at half the raster's size."""
    dark = np.where(layers.seen, 1.0 - np.minimum(layers.relief / LIT, 1.0), 0.0)
    high, wide = (2 * (size // 2) for size in dark.shape)
    halved = dark[:high, :wide].reshape(high // 2, 2, wide // 2, 2).mean(axis=(1, 3))
    alpha = np.round(np.round(halved * 255 / (256 / STEPS) * 4) * (256 / STEPS) / 4).clip(0, 255).astype(np.uint8)
    return Image.merge("LA", (Image.new("L", alpha.shape[::-1], 0), Image.fromarray(alpha, "L")))


def _image(image: Image.Image, name: str, width: float, height: float) -> str:
    buffer = io.BytesIO()
    image.save(buffer, format="PNG", optimize=True)
    data = base64.b64encode(buffer.getvalue()).decode("ascii")
    return (
        f'<image class="{name}" x="0" y="0" width="{paper.n(width)}" height="{paper.n(height)}" '
        f'preserveAspectRatio="none" xlink:href="data:image/png;base64,{data}"/>'
    )
