"""What is cut, copy by copy, in numbers a tape measure can follow.

Each piece has two corners, a and b, the same on its card and on every copy. Laid at their distances from the fresh end
and from the near edge, they leave the card no other place and no other turn.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting import FlatPiece, Placement
from bagside.errors import InputError
from bagside.sheets.on_table import LaidOut, Spread, part_words, piece_of, placed, turn_words

Floats = NDArray[np.float64]
Pair = tuple[float, float]

SHARP = np.radians(30.0)
"""An outline that turns by as much within a short way has a corner people find [rad]."""
SHORT = 0.02
"""That way to either side, over the outline's length."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Corners:
    """Two places of a piece that are found on its card.

    Parameters
    ----------
    a, b
        In the piece's own axes [m].
    sharp
        Whether both are corners; else they are the ends of the line along the warp through its middle.
    """

    a: Pair
    b: Pair
    sharp: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CutStep:
    """One copy to be cut.

    Parameters
    ----------
    number
        In the order of cutting.
    placement
        Where it lies.
    piece, part
        Its name, and the part it is for.
    ply
        From 1 in the order of laying; 0 when it has none.
    template
        Card to lay.
    a, b
        Along from the fresh end and across from the near edge, of its two corners [m].
    turn
        How the card is turned, in words.
    """

    number: int
    placement: Placement
    piece: str
    part: str
    ply: int
    template: str
    a: Pair
    b: Pair
    turn: str


def corners_of(piece: FlatPiece) -> Corners:
    """Return the two corners by which a piece is laid: those farthest apart.

    Parameters
    ----------
    piece
        The piece.

    Notes
    -----
    A corner is where the outline turns outwards by 30° or more within 4 % of its length; an outline that has no two of
    them is laid by the ends of the line along the warp through its middle.
    """
    loop = piece.loops[0]
    sharp = _sharp(loop)
    if len(sharp) >= 2:
        apart = np.linalg.norm(sharp[:, None] - sharp[None], axis=2)
        i, j = sorted(divmod(int(np.argmax(apart)), len(sharp)))
        if apart[i, j] >= 0.5 * float(np.ptp(loop, axis=0).max()):
            first, last = (i, j) if tuple(sharp[i]) <= tuple(sharp[j]) else (j, i)
            return Corners(a=_pair(sharp[first]), b=_pair(sharp[last]), sharp=True)
    shape = piece.outline
    middle = shape.centroid if shape.contains(shape.centroid) else shape.representative_point()
    x0, _, x1, _ = shape.bounds
    chord = shapely.LineString([(x0 - 1.0, middle.y), (x1 + 1.0, middle.y)]).intersection(shape)
    left, _, right, _ = chord.bounds
    return Corners(a=(float(left), float(middle.y)), b=(float(right), float(middle.y)), sharp=False)


def _sharp(loop: Floats) -> Floats:
    """Return the corners of a counter-clockwise loop that stick out, shape (k, 2)."""
    ring = shapely.LinearRing(loop)
    length = float(ring.length)
    way = SHORT * length
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(loop, axis=0), axis=1))])

    def at(s: Floats) -> Floats:
        return np.asarray(shapely.get_coordinates(shapely.line_interpolate_point(ring, s % length)))

    into, out = loop - at(along - way), at(along + way) - loop
    cross = into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0]
    turn = np.arctan2(cross, (into * out).sum(axis=1))
    found: list[int] = []
    for k in np.argsort(-turn):
        if turn[k] < SHARP:
            break
        gaps = np.abs(along[found] - along[k]) if found else np.array([0.5 * length])
        if np.minimum(gaps, length - gaps).min() > way:
            found.append(int(k))
    kept: Floats = loop[sorted(found)]
    return kept


def cut_steps(
    nest: LaidOut,
    cloth: Spread,
    order: Sequence[Placement] | None = None,
    *,
    templates: Mapping[str, str] | None = None,
    first: int = 1,
) -> tuple[CutStep, ...]:
    """Return what is cut, in order.

    Parameters
    ----------
    nest
        On a roll or an offcut.
    cloth
        It lies on, from `bagside.sheets.on_table.spread`.
    order
        Its placements in the order of cutting; as they come when None.
    templates
        Name of the card by the name of the piece; a card is called as its piece when it is not named.
    first
        Number of the first copy.

    Raises
    ------
    InputError
        When the order leaves a copy out or names one twice.
    """
    order = nest.placements if order is None else tuple(order)
    wanted = sorted((p.label, p.copy) for p in nest.placements)
    if sorted((p.label, p.copy) for p in order) != wanted:
        came = f"{len(order)} copies for a nest of {len(wanted)}"
        raise InputError.one("order of cutting", came, "every copy of the nest once")
    corners = {p.label: corners_of(p) for p in nest.pieces}
    steps = []
    for number, placement in enumerate(order, first):
        piece, own = piece_of(nest, placement), corners[placement.label]
        a, b = placed(np.array([own.a, own.b]), placement) - cloth.low
        steps.append(
            CutStep(
                number=number,
                placement=placement,
                piece=piece.label,
                part=part_words(nest.kit(placement)),
                ply=piece.ply,
                template=(templates or {}).get(piece.label, piece.label),
                a=_pair(a),
                b=_pair(b),
                turn=turn_words(placement),
            )
        )
    return tuple(steps)


def _pair(point: Floats) -> Pair:
    return float(point[0]), float(point[1])
