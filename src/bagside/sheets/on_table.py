"""Cloth as it lies on the cutting table, a roll or an offcut alike, and where copies lie on it.

What draws, lists or labels a nest does not care where the cloth came from; here both are brought into one form. Axes
are those of the nest: x along the warp, y across it, y = 0 the edge nearest to whoever cuts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting import FlatPiece, Nest, Placement
from bagside.cutting.piece import turned
from bagside.errors import InputError

Floats = NDArray[np.float64]


class LaidOut(Protocol):
    """What a nest on a roll and one on an offcut both tell."""

    @property
    def pieces(self) -> tuple[FlatPiece, ...]:
        """What is cut."""
        ...

    @property
    def placements(self) -> tuple[Placement, ...]:
        """Where each copy lies."""
        ...

    def kit(self, placement: Placement) -> str:
        """Return the part a copy is for."""
        ...

    def placed_loops(self, placement: Placement) -> tuple[Floats, ...]:
        """Return the loops of a copy as it lies [m]."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spread:
    """The cloth spread on the table.

    Parameters
    ----------
    name
        Of the roll or the offcut; may be empty for a roll.
    material, batch
        Of the cloth.
    outline
        Its edge, shape (k, 2) [m].
    holes, flaws
        Each shape (k, 2) [m].
    selvedges
        Lines along the inner sides of the selvedges, each shape (k, 2) [m].
    margins
        Lines nothing is nested over, each shape (k, 2) [m].
    knife
        Where the roll is cut off, from its fresh end [m]; None for an offcut.
    up
        Face that is up, of an offcut: ``resin-rich``; empty when it does not say.
    """

    name: str
    material: str
    batch: str
    outline: Floats
    holes: tuple[Floats, ...] = ()
    flaws: tuple[Floats, ...] = ()
    selvedges: tuple[Floats, ...] = ()
    margins: tuple[Floats, ...] = ()
    knife: float | None = None
    up: str = ""

    @property
    def roll(self) -> bool:
        """Whether it is pulled off a roll."""
        return self.knife is not None

    @property
    def low(self) -> Floats:
        """Least x and y [m], shape (2,)."""
        out: Floats = self.outline.min(axis=0)
        return out

    @property
    def high(self) -> Floats:
        """Largest x and y [m], shape (2,)."""
        out: Floats = self.outline.max(axis=0)
        return out

    @property
    def polygon(self) -> shapely.Polygon:
        """The cloth without its holes [m]."""
        return shapely.Polygon(self.outline, list(self.holes))

    @property
    def title(self) -> str:
        """What people call it: ``roll R-22``, ``offcut O-07``."""
        return " ".join(w for w in ("roll" if self.roll else "offcut", self.name) if w)


def spread(nest: LaidOut, *, pull: float | None = None, roll: str = "", flaws: Sequence[Floats] = ()) -> Spread:
    """Return the cloth a nest lies on.

    Parameters
    ----------
    nest
        On a roll (`bagside.cutting.Nest`), or on an offcut: then ``nest.sheet`` tells name, material, batch, outline,
        holes and flaws.
    pull
        Length to pull off the roll [m]; the length of the nest when None. Not used for an offcut.
    roll
        Name of the roll. Not used for an offcut.
    flaws
        Places on a roll not to be used, each shape (k, 2) [m]; those of an offcut are its own.

    Raises
    ------
    InputError
        When less is pulled than the nest is long.
    """
    if not isinstance(nest, Nest):
        return _of_sheet(nest)
    cloth = nest.cloth
    pull = nest.length if pull is None else pull
    if pull < nest.length - 1e-9:
        came = f"{pull:.3f} m for a nest of {nest.length:.3f} m"
        raise InputError.one("drawing of a nest, length to pull", came, "at least the length of the nest")
    wide, edge, margin = cloth.width, cloth.selvedge + cloth.margin, cloth.margin
    margins: tuple[Floats, ...] = ()
    if margin > 0.0:
        margins = (np.array([[pull, edge], [margin, edge], [margin, wide - edge], [pull, wide - edge]]),)
    selvedges: tuple[Floats, ...] = ()
    if cloth.selvedge > 0.0:
        selvedges = tuple(np.array([[0.0, y], [pull, y]]) for y in (cloth.selvedge, wide - cloth.selvedge))
    return Spread(
        name=roll,
        material=cloth.material,
        batch=cloth.batch,
        outline=np.array([[0.0, 0.0], [pull, 0.0], [pull, wide], [0.0, wide]]),
        flaws=tuple(np.asarray(f, dtype=np.float64) for f in flaws),
        selvedges=selvedges,
        margins=margins,
        knife=pull,
    )


def _of_sheet(nest: Any) -> Spread:
    sheet = nest.sheet
    return Spread(
        name=sheet.name,
        material=sheet.material,
        batch=sheet.batch,
        outline=_loop(sheet.outline),
        holes=tuple(_loop(h) for h in sheet.holes),
        flaws=tuple(_loop(f) for f in sheet.flaws),
        up=getattr(sheet, "up", ""),
    )


def _loop(loop: Any) -> Floats:
    """Return corners, given as points or as a polygon, as an open loop."""
    points = np.asarray(loop.exterior.coords if isinstance(loop, shapely.Polygon) else loop, dtype=np.float64)
    return points[:-1] if len(points) > 1 and (points[0] == points[-1]).all() else points


def lines_of(common: Sequence[Floats]) -> tuple[Floats, ...]:
    """Return lines, each shape (k, 2) [m].

    Parameters
    ----------
    common
        Lines of shape (k, 2), or bundles of straight bits of shape (k, 2, 2) [m].
    """
    out: list[Floats] = []
    for line in common:
        points = np.asarray(line, dtype=np.float64)
        out.extend(points if points.ndim == 3 else [points])
    return tuple(out)


def piece_of(nest: LaidOut, placement: Placement) -> FlatPiece:
    """Return the piece a copy is of.

    Parameters
    ----------
    nest
        The layout.
    placement
        Of this nest.

    Raises
    ------
    KeyError
        When there is none.
    """
    for piece in nest.pieces:
        if piece.label == placement.label:
            return piece
    raise KeyError(placement.label)


def placed(points: Floats, placement: Placement) -> Floats:
    """Return places of a piece's own axes as they lie on the cloth [m].

    Parameters
    ----------
    points
        Shape (k, 2) [m].
    placement
        Where the copy lies; face down its across axis is reversed first.
    """
    own = np.atleast_2d(np.asarray(points, dtype=np.float64))
    if placement.flipped:
        own = own * np.array([1.0, -1.0])
    out: Floats = turned(own, placement.turn) + np.array([placement.x, placement.y])
    return out


def part_words(kit: str) -> str:
    """Return a part's name as people say it: a bare number is called a part.

    Parameters
    ----------
    kit
        Name or number.

    Examples
    --------
    >>> part_words("3"), part_words("lid 3")
    ('part 3', 'lid 3')
    """
    return f"part {kit}" if kit.isdecimal() else kit


def turn_words(placement: Placement) -> str:
    """Return how a card is turned before it is laid, in words.

    Parameters
    ----------
    placement
        Where the copy lies.

    Examples
    --------
    >>> turn_words(Placement(label="1", copy=1, turn=3.141592653589793, x=0, y=0, flipped=True))
    'face down, 180°'
    """
    degrees = float(np.degrees(placement.turn)) % 360.0
    told = f"{degrees:.1f}".rstrip("0").rstrip(".")
    told = "as drawn" if told in ("0", "360") else f"{told}°"
    if not placement.flipped:
        return told
    return "face down" if told == "as drawn" else f"face down, {told}"
