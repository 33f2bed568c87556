"""A place on the part: its layers from the bag side to the back of the tool, and the air at both faces."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.layer import Cut, Layer, cut
from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A place on the part: its layers from the bag side to the back of the tool, and how air reaches both faces.

    Parameters
    ----------
    name
        Where on the part.
    layers
        Bag side first.
    film_bag, film_tool
        Heat transfer at the two faces [W/(m² K)]; infinite holds the face at the air, zero insulates it.
    emissivity_bag, emissivity_tool
        Of the two faces, when radiation from walls as hot as the air is to come on top of the film; zero where the
        film holds both, as measured films do.
    alpha0
        Degree of cure at the start, one for all or one for each reacting cell; the resin's own when not stated.
    start
        Temperature at the start, one for all or one for each cell [K]; that of the programme when not stated.
    air_offset
        By how much the air at this place is off when the oven is at the programme's hottest [K]; grows with the rise
        above the start.
    rate_factor, heat_factor
        By which rate and heat of reaction differ here from the resin's own: scatter of a batch.

    Raises
    ------
    InputError
        When a layer or a film makes no sense.
    """

    name: str
    layers: tuple[Layer, ...]
    film_bag: float
    film_tool: float
    emissivity_bag: float = 0.0
    emissivity_tool: float = 0.0
    alpha0: float | tuple[float, ...] | None = None
    start: float | tuple[float, ...] | None = None
    air_offset: float = 0.0
    rate_factor: float = 1.0
    heat_factor: float = 1.0

    def __post_init__(self) -> None:
        """Refuse what cannot be computed."""
        wrong = [p for i, layer in enumerate(self.layers) for p in layer.problems(f"{self.name}, layer {i + 1}")]
        if not self.layers:
            wrong.append(Problem(place=f"{self.name}, layers", came="", wanted="one layer or more is wanted"))
        for name in ("film_bag", "film_tool"):
            value = float(getattr(self, name))
            if not value >= 0.0:
                wrong.append(Problem(place=f"{self.name}, {name}", came=repr(value), wanted="zero or more is wanted"))
        for name in ("emissivity_bag", "emissivity_tool"):
            value = float(getattr(self, name))
            if not 0.0 <= value <= 1.0:
                wrong.append(Problem(place=f"{self.name}, {name}", came=repr(value), wanted="from 0 to 1 is wanted"))
        for name in ("rate_factor", "heat_factor"):
            value = float(getattr(self, name))
            if not 0.0 < value < math.inf:
                wrong.append(Problem(place=f"{self.name}, {name}", came=repr(value), wanted="above zero is wanted"))
        if not math.isfinite(self.air_offset):
            wrong.append(
                Problem(place=f"{self.name}, air_offset", came=repr(self.air_offset), wanted="a finite number")
            )
        if wrong:
            raise InputError(wrong)
        wrong = [*self._fits("start", len(self.widths)), *self._fits("alpha0", len(self.reacting))]
        if self.start is not None and not all(0.0 < t < math.inf for t in np.atleast_1d(self.start)):
            wrong.append(Problem(place=f"{self.name}, start", came=repr(self.start), wanted="above 0 K is wanted"))
        if wrong:
            raise InputError(wrong)

    def _fits(self, name: str, count: int) -> list[Problem]:
        value = getattr(self, name)
        if isinstance(value, tuple) and len(value) != count:
            return [
                Problem(
                    place=f"{self.name}, {name}", came=f"{len(value)} values", wanted=f"one for each of {count} cells"
                )
            ]
        return []

    def temperatures_from(self, otherwise: float) -> Floats:
        """Return the temperature of each cell at the start, shape (n,) [K].

        Parameters
        ----------
        otherwise
            Where the section states none [K].
        """
        value = otherwise if self.start is None else self.start
        return np.array(np.broadcast_to(np.asarray(value, dtype=np.float64), (len(self.widths),)))

    def cure_from(self, otherwise: float) -> Floats:
        """Return the degree of cure of each reacting cell at the start, shape (r,).

        Parameters
        ----------
        otherwise
            Where the section states none.
        """
        value = otherwise if self.alpha0 is None else self.alpha0
        return np.array(np.broadcast_to(np.asarray(value, dtype=np.float64), (len(self.reacting),)))

    @property
    def cut(self) -> Cut:
        """All layers cut into cells."""
        return cut(self.layers)

    @property
    def widths(self) -> Floats:
        """Thickness of each cell, shape (n,) [m]."""
        return self.cut.widths

    @property
    def depths(self) -> Floats:
        """Depth of each cell's middle below the bag face, shape (n,) [m]."""
        return self.cut.depths

    @property
    def capacities(self) -> Floats:
        """Heat capacity of each cell per area, shape (n,) [J/(m² K)]."""
        return self.cut.capacities

    @property
    def resin(self) -> Floats:
        """Mass of reacting resin in each cell per area, shape (n,) [kg/m²]."""
        return self.cut.resin

    @property
    def half_conductances(self) -> Floats:
        """From each cell's middle to its face, shape (n,) [W/(m² K)]."""
        return self.cut.half_conductances

    @property
    def couplings(self) -> Floats:
        """Between neighbouring cells, shape (n − 1,) [W/(m² K)]."""
        return self.cut.couplings

    @property
    def face_couplings(self) -> tuple[float, float]:
        """From the air to the first and to the last cell [W/(m² K)]."""
        g = self.half_conductances
        return _in_series(self.film_bag, float(g[0])), _in_series(self.film_tool, float(g[-1]))

    @property
    def reacting(self) -> Ints:
        """Indices of the cells that react, shape (r,)."""
        return self.cut.reacting

    @property
    def tool_cells(self) -> Ints:
        """Indices of the cells behind the last one that reacts: the tool."""
        return self.cut.tool_cells


def _in_series(film: float, half: float) -> float:
    return half if math.isinf(film) else film * half / (film + half)
