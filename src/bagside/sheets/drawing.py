"""A flat drawing in millimetres: a few kinds of line, text and fill, before it becomes a file.

Shapes are put on named layers; how a layer looks is one table, so that a screen, a printed sheet and a cutting table
show the same thing. Line weights are those of print and do not shrink with the scale.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Look:
    """How a layer is drawn.

    Parameters
    ----------
    weight
        Of its lines on paper [mm].
    ink
        Of its lines, as ``#rrggbb``.
    dashes
        On and off lengths on paper [mm]; empty for a solid line.
    """

    weight: float
    ink: str
    dashes: tuple[float, ...] = ()


INK, SECOND_INK, EDGE = "#10191f", "#46535b", "#75838b"
KITS = ("#ffffff", "#dfe5e6", "#c2ccd0", "#a3b0b6")
CLOTH_WASH = "#e6ecec"


class Layer(Enum):
    """Layers, in the order in which they are drawn."""

    CLOTH_EDGE = Look(0.25, EDGE)
    SELVEDGE = Look(0.15, EDGE)
    MARGIN = Look(0.15, EDGE, (2.0, 2.0))
    LEFT_OVER = Look(0.25, INK, (4.0, 1.5))
    CUT = Look(0.40, INK)
    COMMON_LINE = Look(0.80, INK)
    FLAW = Look(0.18, INK)
    OVERLAP = Look(0.10, EDGE)
    JOIN = Look(0.25, INK, (1.6, 1.0))
    NOTCH = Look(0.35, INK)
    MARK = Look(0.25, INK)
    WARP_ARROW = Look(0.70, INK)
    KNIFE_LINE = Look(0.40, INK, (8.0, 3.0))
    DIMENSION = Look(0.15, INK)
    TEXT = Look(0.0, INK)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Line:
    """A chain of straight lines.

    Parameters
    ----------
    layer
        It lies on.
    points
        Shape (k, 2) [mm].
    closed
        Whether the last point goes on to the first.
    dashed
        Whether it is dashed although its layer is not.
    """

    layer: Layer
    points: Floats
    closed: bool = False
    dashed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Area:
    """Closed loops that are filled.

    Parameters
    ----------
    layer
        It lies on.
    loops
        Outline, then holes, each shape (k, 2) [mm].
    fill
        ``#rrggbb``.
    outlined
        Whether the loops are drawn too.
    """

    layer: Layer
    loops: tuple[Floats, ...]
    fill: str
    outlined: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """A circle.

    Parameters
    ----------
    layer
        It lies on.
    centre
        [mm].
    radius
        [mm].
    dashed
        Whether it is dashed.
    """

    layer: Layer
    centre: tuple[float, float]
    radius: float
    dashed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """One line of text, centred on its place.

    Parameters
    ----------
    at
        Middle of the text [mm].
    text
        What it says.
    height
        Of its capitals [mm].
    bold
        Whether it is bold.
    turn
        Counter-clockwise [°].
    """

    at: tuple[float, float]
    text: str
    height: float
    bold: bool = False
    turn: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawing:
    """Shapes and the sheet they lie on.

    Parameters
    ----------
    low, high
        Corners of the sheet [mm].
    shapes
        In drawing order.
    scale
        Length on paper over length drawn; weights and dashes are kept on paper.
    title
        What it shows, for readers that do not see.
    """

    low: tuple[float, float]
    high: tuple[float, float]
    shapes: tuple[Line | Area | Ring | Text, ...]
    scale: float = 1.0
    title: str = ""


def arrow_head(tip: Floats, direction: Floats, size: float) -> Floats:
    """Return the closed head of an arrow, shape (3, 2) [mm].

    Parameters
    ----------
    tip
        Its point, shape (2,) [mm].
    direction
        Unit vector it points along, shape (2,).
    size
        Its length [mm]; it is half as wide.
    """
    across = np.array([-direction[1], direction[0]])
    out: Floats = np.array(
        [tip, tip - size * direction + 0.25 * size * across, tip - size * direction - 0.25 * size * across]
    )
    return out
