"""A cloth, where each copy lies on it, and the whole layout: plain values, no search.

Axes of the roll: x along it from the fresh end, y across it from one edge. A copy is turned about the origin of its
piece's axes, after its across axis was reversed when it is cut face down, then moved by (x, y).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting.piece import FlatPiece, turned
from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cloth:
    """The cloth on the table.

    Parameters
    ----------
    material
        Its name.
    width
        From edge to edge [m].
    margin
        Kept free along both edges, inside the selvedge, and at the fresh end [m].
    gap
        Kept between pieces [m].
    length_available
        What is left on the roll [m], or None when it does not matter.
    selvedge
        Along each edge, not to be used [m].
    batch
        Of the roll.

    Raises
    ------
    InputError
        When a number is negative or not finite, or the margins leave no cloth.
    """

    material: str
    width: float
    margin: float = 0.0
    gap: float = 0.0
    length_available: float | None = None
    selvedge: float = 0.0
    batch: str = ""

    def __post_init__(self) -> None:
        """Refuse a cloth nothing can be cut from."""
        place = f"cloth {self.material}"
        problems = [
            Problem(place=f"{place}, {name}", came=f"{value} m", wanted="a finite length, not negative")
            for name, value in (
                ("width", self.width),
                ("margin", self.margin),
                ("gap", self.gap),
                ("selvedge", self.selvedge),
            )
            if not (math.isfinite(value) and value >= 0.0)
        ]
        if not problems and not self.usable > 0.0:
            came = f"width {1e3 * self.width:.1f} mm with margins of {1e3 * self.margin:.1f} mm"
            problems.append(Problem(place=place, came=came, wanted="some width between the margins"))
        if self.length_available is not None and not self.length_available >= 0.0:
            problems.append(
                Problem(
                    place=f"{place}, length", came=f"{self.length_available} m", wanted="a length that is not negative"
                )
            )
        if problems:
            raise InputError(problems)

    @property
    def edge(self) -> float:
        """Kept free along each edge: selvedge and margin [m]."""
        return self.selvedge + self.margin

    @property
    def usable(self) -> float:
        """Width between what is kept free along the edges [m]."""
        return self.width - 2.0 * self.edge


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """Where one copy lies.

    Parameters
    ----------
    label
        Of the piece.
    copy
        Which copy, from 1.
    turn
        Of the piece's axes against the roll's [rad].
    x, y
        Move after the turn [m].
    flipped
        Whether it is cut face down: its across axis is reversed before the turn.
    """

    label: str
    copy: int
    turn: float
    x: float
    y: float
    flipped: bool = False


def laid(piece: FlatPiece, placement: Placement) -> tuple[Floats, ...]:
    """Return the loops of a copy as it lies on the cloth [m].

    Parameters
    ----------
    piece
        Which piece.
    placement
        Where it lies.

    Notes
    -----
    The loops of a copy cut face down are reversed, so that an outline stays counter-clockwise.
    """
    move = np.array([placement.x, placement.y], dtype=np.float64)
    if not placement.flipped:
        return tuple(turned(loop, placement.turn) + move for loop in piece.loops)
    over = np.array([1.0, -1.0])
    return tuple(turned((loop * over)[::-1], placement.turn) + move for loop in piece.loops)


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One run of the search and what came of it.

    Parameters
    ----------
    method
        ``greedy`` (pushed together), ``engine``, ``push`` (what the engine gave, pushed together) or ``stir`` (the best
        layout changed a little at a time).
    seed
        Of its random numbers; None for the greedy answer, which has no chance in it.
    seconds
        It took [s].
    length
        Best layout it gave [m], or None when it gave none.
    note
        Why it gave none or ended early; may be empty.
    """

    method: str
    seed: int | None
    seconds: float
    length: float | None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Nest:
    """A layout of every copy on one cloth.

    Parameters
    ----------
    cloth
        The cloth.
    pieces
        What is cut.
    placements
        One for each copy, in the order in which the knife meets them.
    trials
        What the search did.
    stopped
        Whether it was stopped before its time.
    """

    cloth: Cloth
    pieces: tuple[FlatPiece, ...]
    placements: tuple[Placement, ...]
    trials: tuple[Trial, ...] = ()
    stopped: bool = False

    @property
    def material(self) -> str:
        """Name of the cloth."""
        return self.cloth.material

    @property
    def seconds(self) -> float:
        """Time the search took [s]."""
        return sum(t.seconds for t in self.trials)

    @property
    def length(self) -> float:
        """From the fresh end to the far edge of the last piece [m]."""
        return max(float(self.placed_loops(p)[0][:, 0].max()) for p in self.placements)

    @property
    def area_of_pieces(self) -> float:
        """Area of all copies without their holes [m²]."""
        return sum(p.area * p.quantity for p in self.pieces)

    @property
    def utilisation(self) -> float:
        """Area of pieces over the full width times the length used."""
        return self.area_of_pieces / (self.cloth.width * self.length)

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
        """Return the name of the kit a copy belongs to, or its number.

        Parameters
        ----------
        placement
            Of this nest.
        """
        kits = self.piece(placement.label).kits
        return kits[placement.copy - 1] if kits else str(placement.copy)

    def placed_loops(self, placement: Placement) -> tuple[Floats, ...]:
        """Return the loops of one copy as it lies on the roll [m].

        Parameters
        ----------
        placement
            Of this nest.
        """
        return laid(self.piece(placement.label), placement)

    def placed_outline(self, placement: Placement) -> shapely.Polygon:
        """Return the outline of one copy as it lies on the roll, without holes [m].

        Parameters
        ----------
        placement
            Of this nest.
        """
        return shapely.Polygon(self.placed_loops(placement)[0])
