"""An odd sheet of cloth, with holes and flaws, and a layout on it.

Axes of a sheet: x along its warp, y across, origin anywhere, seen on the face that is up. Pieces are drawn as seen on
the face that is up on the roll. A sheet that lies the other way up has its cloth mirrored, so a piece that must keep
its face lies there as its mirror image.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting.layout import Placement, laid
from bagside.cutting.piece import FlatPiece
from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]
FACES = ("resin-rich", "dry")


class Layout(Protocol):
    """What a layout on a roll and one on a sheet have in common."""

    @property
    def material(self) -> str:
        """Name of the cloth."""

    @property
    def pieces(self) -> tuple[FlatPiece, ...]:
        """What is cut, with just the copies that lie here."""

    @property
    def placements(self) -> tuple[Placement, ...]:
        """One for each copy."""

    @property
    def area_of_pieces(self) -> float:
        """Area of all copies without their holes [m²]."""

    @property
    def utilisation(self) -> float:
        """Area of pieces over that of the cloth."""

    def piece(self, label: str) -> FlatPiece:
        """Return the piece of that label."""

    def kit(self, placement: Placement) -> str:
        """Return the name of the kit a copy belongs to."""

    def placed_loops(self, placement: Placement) -> tuple[Floats, ...]:
        """Return the loops of one copy as it lies [m]."""

    def placed_outline(self, placement: Placement) -> shapely.Polygon:
        """Return the outline of one copy as it lies, without holes [m]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheet:
    """One odd sheet of cloth on the table.

    Parameters
    ----------
    name
        As on its label.
    material
        Name of the cloth.
    outline
        Its corners, shape (k, 2) [m]; x along the warp.
    holes
        Corners of each hole, shape (k, 2) [m].
    flaws
        Corners of each place not to be used, shape (k, 2) [m]; they may touch, overlap or reach over an edge.
    gap
        Kept between pieces [m].
    margin
        Kept from every edge of the outline, the holes and the flaws [m].
    batch
        Of the cloth; empty when nobody knows.
    price
        What its cloth costs off the roll [money/m²].
    worth
        Share of that price at which it counts, from 0 to 1.
    up
        Which face is up: ``resin-rich`` or ``dry``.
    fetch
        What getting it out and putting the rest away costs, once it is cut from [money].

    Raises
    ------
    InputError
        With every problem: an outline that is not closed and simple or has no area, holes outside it or in each
        other, a number that is negative or not finite, a worth above 1, another face.
    """

    name: str
    material: str
    outline: Floats
    holes: tuple[Floats, ...] = ()
    flaws: tuple[Floats, ...] = ()
    gap: float = 0.0
    margin: float = 0.0
    batch: str = ""
    price: float = 0.0
    worth: float = 0.0
    up: str = "resin-rich"
    fetch: float = 0.0

    def __post_init__(self) -> None:
        """Bring outlines into one form and refuse what nothing can be cut from."""
        place = f"sheet {self.name}"
        problems: list[Problem] = []
        outline = _loop(self.outline, f"{place}, outline", problems)
        holes = [_loop(h, f"{place}, hole {k}", problems) for k, h in enumerate(self.holes, 1)]
        flaws = [_loop(f, f"{place}, flaw {k}", problems) for k, f in enumerate(self.flaws, 1)]
        if not problems:
            whole = shapely.Polygon(outline, holes)
            if not whole.is_valid:
                came = f"{shapely.is_valid_reason(whole)}, in m"
                wanted = "holes inside the outline, apart from each other"
                problems.append(Problem(place=f"{place}, holes", came=came, wanted=wanted))
        for name in ("gap", "margin", "price", "worth", "fetch"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value >= 0.0):
                came, wanted = f"{value}", "a finite number, not negative"
                problems.append(Problem(place=f"{place}, {name}", came=came, wanted=wanted))
        if self.worth > 1.0:
            problems.append(Problem(place=f"{place}, worth", came=f"{self.worth:g}", wanted="a share from 0 to 1"))
        if self.up not in FACES:
            problems.append(Problem(place=f"{place}, up", came=f'"{self.up}"', wanted=f"one of {', '.join(FACES)}"))
        if problems:
            raise InputError(problems)
        object.__setattr__(self, "outline", outline)
        object.__setattr__(self, "holes", tuple(holes))
        object.__setattr__(self, "flaws", tuple(flaws))

    @property
    def polygon(self) -> shapely.Polygon:
        """Outline with its holes [m]; flaws are part of it."""
        return shapely.Polygon(self.outline, self.holes)

    @property
    def flawed(self) -> shapely.Geometry:
        """All flaws as one area [m]."""
        return shapely.union_all([shapely.Polygon(f) for f in self.flaws])

    @property
    def usable(self) -> shapely.Geometry:
        """Outline without holes and flaws [m]."""
        return self.polygon.difference(self.flawed) if self.flaws else self.polygon

    @property
    def free(self) -> shapely.Geometry:
        """What is left for pieces once the margin is kept from every edge [m]; it may be empty or in parts."""
        return self.usable.buffer(-self.margin, join_style="mitre", mitre_limit=2.0) if self.margin else self.usable

    @property
    def area(self) -> float:
        """Without holes and flaws [m²]."""
        return float(self.usable.area)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetNest:
    """A layout on one sheet.

    Parameters
    ----------
    sheet
        The sheet.
    pieces
        What is cut from it: quantity and kits are those of the copies that lie here.
    placements
        One for each copy.
    up
        Face that is up on the roll, as the pieces are drawn.
    """

    sheet: Sheet
    pieces: tuple[FlatPiece, ...]
    placements: tuple[Placement, ...]
    up: str = "resin-rich"

    @property
    def material(self) -> str:
        """Name of the cloth."""
        return self.sheet.material

    @property
    def turned_over(self) -> bool:
        """Whether the sheet lies the other way up than the roll."""
        return self.sheet.up != self.up

    @property
    def area_of_pieces(self) -> float:
        """Area of all copies without their holes [m²]."""
        return sum(p.area * p.quantity for p in self.pieces)

    @property
    def utilisation(self) -> float:
        """Area of pieces over that of the sheet without holes and flaws."""
        return self.area_of_pieces / self.sheet.area

    def piece(self, label: str) -> FlatPiece:
        """Return the piece of that label.

        Parameters
        ----------
        label
            Of the piece.

        Raises
        ------
        KeyError
            When there is none.
        """
        for piece in self.pieces:
            if piece.label == label:
                return piece
        raise KeyError(label)

    def kit(self, placement: Placement) -> str:
        """Return the name of the kit a copy belongs to.

        Parameters
        ----------
        placement
            Of this layout.
        """
        return kit_names(self.piece(placement.label))[placement.copy - 1]

    def placed_loops(self, placement: Placement) -> tuple[Floats, ...]:
        """Return the loops of one copy as it lies on the sheet [m].

        Parameters
        ----------
        placement
            Of this layout.
        """
        return laid(self.piece(placement.label), placement)

    def placed_outline(self, placement: Placement) -> shapely.Polygon:
        """Return the outline of one copy as it lies on the sheet, without holes [m].

        Parameters
        ----------
        placement
            Of this layout.
        """
        return shapely.Polygon(self.placed_loops(placement)[0])


def kit_names(piece: FlatPiece) -> tuple[str, ...]:
    """Return the name of the kit of each copy: as stated, else the numbers of the copies.

    Parameters
    ----------
    piece
        With or without names of its own.
    """
    return piece.kits or tuple(str(k) for k in range(1, piece.quantity + 1))


def _loop(points: Floats | Sequence[Sequence[float]], place: str, problems: list[Problem]) -> Floats:
    loop: Floats = np.array(points, dtype=np.float64, order="C")
    if loop.ndim != 2 or loop.shape[1] != 2 or not np.isfinite(loop).all():
        problems.append(Problem(place=place, came=f"an array of shape {loop.shape}", wanted="finite points as (k, 2)"))
        return loop
    loop = loop[(loop != np.roll(loop, 1, axis=0)).any(axis=1)]
    if len(loop) < 3:
        problems.append(Problem(place=place, came=f"{len(loop)} different points", wanted="at least three"))
        return loop
    polygon = shapely.Polygon(loop)
    if not polygon.is_valid:
        why = f"it crosses or touches itself ({shapely.is_valid_reason(polygon)}, in m)"
        problems.append(Problem(place=place, came=why, wanted="a simple closed outline"))
    elif not polygon.area > 0.0:
        problems.append(Problem(place=place, came="no area", wanted="a closed outline round some area"))
    elif not polygon.exterior.is_ccw:
        loop = np.ascontiguousarray(loop[::-1])
    loop.setflags(write=False)
    return loop
