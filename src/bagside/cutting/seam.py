"""One side of a join between two flat pieces, as it is marked on the cloth.

A join has two sides with one name: A on the one piece, A′ on the other. Where pieces overlap, one side is cut longer
than the join line by the width of the overlap; the join line then lies inside its outline and shows where the other
piece's edge comes to lie.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]

JOINS = ("overlap", "butt", "slip joint")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PieceSeam:
    """One side of a join, in the cloth axes of its piece.

    Parameters
    ----------
    name
        Of the join: ``A``.
    prime
        Whether this is the other side, A′.
    join
        ``overlap``, ``butt`` or ``slip joint``.
    over
        Whether this side is cut longer by the overlap.
    width
        Of the overlap [m]; zero for a butt join.
    line
        The join line, shape (k, 2) [m].
    ticks
        Stations of the match marks along the line, shape (t, 2) [m]; both sides have them in the same order.
    normals
        Unit directions out of the piece at the stations, shape (t, 2).
    other
        Label of the piece on the other side; empty when it is not said.
    dart
        Whether both sides belong to this piece.

    Raises
    ------
    InputError
        With every problem: no name, another join, a width that is no width, a line of one point, marks and directions
        that do not belong together, a number that is not finite.
    """

    name: str
    prime: bool
    join: str
    over: bool
    width: float
    line: Floats
    ticks: Floats
    normals: Floats
    other: str = ""
    dart: bool = False

    def __post_init__(self) -> None:
        """Make the arrays of one kind and refuse what cannot be marked."""
        place = f"seam {self.name}" if self.name else "seam without a name"
        problems: list[Problem] = []

        def wrong(part: str, came: str, wanted: str) -> None:
            problems.append(Problem(place=f"{place}, {part}", came=came, wanted=wanted))

        if not self.name:
            wrong("name", "nothing", "a letter, as in A")
        if self.join not in JOINS:
            wrong("join", f'"{self.join}"', f"one of {', '.join(JOINS)}")
        if not (np.isfinite(self.width) and self.width >= 0.0):
            wrong("width", f"{self.width} m", "zero or more")
        for part in ("line", "ticks", "normals"):
            array = np.array(getattr(self, part), dtype=np.float64, order="C")
            array = array.reshape(-1, 2) if array.size == 0 else array
            if array.ndim != 2 or array.shape[1] != 2:
                wrong(part, f"an array of shape {array.shape}", "points as (k, 2)")
            elif not np.isfinite(array).all():
                wrong(part, "a coordinate that is not a number", "finite coordinates")
            array.setflags(write=False)
            object.__setattr__(self, part, array)
        if not problems and len(np.unique(self.line, axis=0)) < 2:
            wrong("line", f"{len(self.line)} points", "at least two different points")
        if not problems and len(self.ticks) != len(self.normals):
            wrong("normals", f"{len(self.normals)} for {len(self.ticks)} marks", "one direction for each mark")
        if problems:
            raise InputError(problems)

    @property
    def length(self) -> float:
        """Of the join line [m]."""
        return float(np.linalg.norm(np.diff(self.line, axis=0), axis=1).sum())

    @property
    def shown(self) -> str:
        """What stands beside it: ``A`` or ``A′``."""
        return f"{self.name}′" if self.prime else self.name
