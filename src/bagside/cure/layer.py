"""What a section is made of: layers, and the cells they are cut into."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from bagside.errors import Problem

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer of a section.

    Parameters
    ----------
    name
        What it is: breather, laminate, core, tool.
    thickness
        [m].
    density, heat_capacity, conductivity
        Of the layer as a whole, through the thickness [kg/m³, J/(kg K), W/(m K)].
    resin
        Mass of reacting resin per volume of layer [kg/m³]; zero for what does not react.
    cells
        Number of cells it is divided into.
    """

    name: str
    thickness: float
    density: float
    heat_capacity: float
    conductivity: float
    resin: float = 0.0
    cells: int = 10

    def problems(self, place: str) -> list[Problem]:
        """Return what is wrong with the layer."""
        wrong = []
        for name in ("thickness", "density", "heat_capacity", "conductivity"):
            value = float(getattr(self, name))
            if not 0.0 < value < math.inf:
                wrong.append(Problem(place=f"{place}, {name}", came=repr(value), wanted="above zero is wanted"))
        if not 0.0 <= self.resin <= self.density:
            wrong.append(
                Problem(place=f"{place}, resin", came=repr(self.resin), wanted="from zero to the layer's density")
            )
        if self.cells < 1:
            wrong.append(Problem(place=f"{place}, cells", came=repr(self.cells), wanted="one cell or more is wanted"))
        return wrong


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cut:
    """Layers cut into cells; the arrays cannot be written to, as all sections of the same layers share them.

    Parameters
    ----------
    widths
        Thickness of each cell, shape (n,) [m].
    depths
        Depth of each cell's middle below the bag face, shape (n,) [m].
    capacities
        Heat capacity of each cell per area, shape (n,) [J/(m² K)].
    resin
        Mass of reacting resin in each cell per area, shape (n,) [kg/m²].
    half_conductances
        From each cell's middle to its face, shape (n,) [W/(m² K)].
    couplings
        Between neighbouring cells, shape (n − 1,) [W/(m² K)].
    reacting
        Indices of the cells that react, shape (r,).
    tool_cells
        Indices of the cells behind the last one that reacts.
    """

    widths: Floats
    depths: Floats
    capacities: Floats
    resin: Floats
    half_conductances: Floats
    couplings: Floats
    reacting: Ints
    tool_cells: Ints


@lru_cache(maxsize=512)
def cut(layers: tuple[Layer, ...]) -> Cut:
    """Return layers cut into cells.

    Parameters
    ----------
    layers
        Bag side first.

    Returns
    -------
    Cut
        The cells of all layers.
    """
    counts = [layer.cells for layer in layers]

    def each(name: str) -> Floats:
        return np.repeat(np.array([float(getattr(layer, name)) for layer in layers]), counts)

    widths = np.repeat(np.array([layer.thickness / layer.cells for layer in layers]), counts)
    resin = each("resin") * widths
    g = 2.0 * each("conductivity") / widths
    reacting = np.flatnonzero(resin > 0.0).astype(np.int64)
    out = Cut(
        widths=widths,
        depths=np.cumsum(widths) - 0.5 * widths,
        capacities=each("density") * each("heat_capacity") * widths,
        resin=resin,
        half_conductances=g,
        couplings=g[:-1] * g[1:] / (g[:-1] + g[1:]),
        reacting=reacting,
        tool_cells=np.arange(int(reacting[-1]) + 1 if len(reacting) else 0, len(widths), dtype=np.int64),
    )
    for name in Cut.__slots__:
        getattr(out, name).flags.writeable = False
    return out
