"""The colours of the sheet, as data.

Maps never change with the theme: the same shear is the same blue on paper and on a page. Nothing here interpolates: a
value falls into a band, and the band has one colour, so that what is read off a picture is a number and not a feeling.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

INK = "#10191f"
SECOND = "#46535b"
EDGE = "#75838b"
HAIR = "#c3cccf"
WASH = "#e6ecec"
PAPER = "#ffffff"
CLOTH = "#19437b"
HEAT = "#8f3a0d"
CLOTH_WASH = "#d5e4f0"
HEAT_WASH = "#f0dccd"
HILL = "#e3edf6"
"""A quiet area behind lines: the degree of cure."""
KEEP_OUT = "#cf9d83"
"""Hatch where a programme may not go."""
TAPE = "#f8c800"
MOULD = "#d3dadc"
LIT = 1.05
"""How much lighter than its own colour a surface is that is turned to the light; shade is taken off from there."""
KITS = ("#ffffff", "#dfe5e6", "#c2ccd0", "#a3b0b6")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bands:
    """A value's colours in steps.

    Parameters
    ----------
    name
        What is shown, with its unit, as it stands over the scale.
    edges
        Lower edge of each band, shown units; the last band is open upwards.
    colours
        One for each edge.
    per_si
        Shown units in one SI unit.
    magnitude
        Whether the sign is dropped first.
    """

    name: str
    edges: tuple[float, ...]
    colours: tuple[str, ...]
    per_si: float
    magnitude: bool

    def __post_init__(self) -> None:
        """Refuse edges and colours that do not belong together."""
        if len(self.edges) != len(self.colours) or list(self.edges) != sorted(set(self.edges)):
            raise ValueError("bands need rising edges and one colour for each")

    def band(self, values: Floats) -> Ints:
        """Return the band of each value; what lies under the first edge is shown in the first band.

        Parameters
        ----------
        values
            SI, any shape.
        """
        shown = np.asarray(values, dtype=np.float64) * self.per_si
        if not np.isfinite(shown).all():
            raise ValueError("a value to be coloured is not a finite number")
        shown = np.abs(shown) if self.magnitude else shown
        out: Ints = np.maximum(np.searchsorted(np.array(self.edges), shown + 1e-9, side="right") - 1, 0)
        return out

    @property
    def quiet(self) -> int:
        """The band of nothing: no shear, no stretch."""
        return int(self.band(np.zeros(1))[0])


SHEAR = Bands(
    name="shear, degrees",
    edges=(0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0),
    colours=("#e7f3f4", "#b4dee7", "#86c7db", "#5eaecf", "#3d93bf", "#2778ac", "#1c5d96", "#19437b", "#172c5c"),
    per_si=180.0 / np.pi,
    magnitude=True,
)
STRETCH = Bands(
    name="stretch of a yarn, per cent",
    edges=(-2.25, -1.75, -1.25, -0.75, -0.25, 0.25, 0.75, 1.25, 1.75),
    colours=("#113d70", "#3a72a9", "#7daad1", "#bdd5e6", "#edf1f1", "#ebd3b4", "#d8a76d", "#b06f2d", "#773f12"),
    per_si=100.0,
    magnitude=False,
)


def rgb(colour: str) -> tuple[int, int, int]:
    """Return ``#rrggbb`` as three numbers 0…255.

    Parameters
    ----------
    colour
        Seven characters.

    Examples
    --------
    >>> rgb("#f8c800")
    (248, 200, 0)
    """
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def luminance(colour: str) -> float:
    """Return the relative luminance of a colour, 0 black … 1 white (the web's contrast rule).

    Parameters
    ----------
    colour
        ``#rrggbb``.
    """
    parts = [c / 255 for c in rgb(colour)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours, 1…21.

    Parameters
    ----------
    one, other
        ``#rrggbb``.
    """
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def ink_on(colour: str) -> str:
    """Return ink or paper, whichever reads better on a colour.

    Parameters
    ----------
    colour
        ``#rrggbb``.
    """
    return INK if contrast(INK, colour) >= contrast(PAPER, colour) else PAPER


def lit(ink: str) -> str:
    """Return a colour as light as the light makes it, ``#rrggbb``.

    Parameters
    ----------
    ink
        ``#rrggbb``.
    """
    red, green, blue = (min(255, round(LIT * part)) for part in rgb(ink))
    return f"#{red:02x}{green:02x}{blue:02x}"
