"""A laminate's thermal properties from those of its fibre and resin."""

from __future__ import annotations

import math

from bagside.cure.layer import Layer
from bagside.cure.resin import CureResin
from bagside.errors import InputError, Problem


def conductivity_springer_tsai_1967(fibre: float, resin: float, fibre_volume: float) -> float:
    """Return the conductivity of a laminate across its fibres.

    Parameters
    ----------
    fibre, resin
        Conductivity of the fibre across its axis and of the resin [W/(m K)].
    fibre_volume
        Fibre volume fraction.

    Returns
    -------
    float
        Conductivity [W/(m K)].

    Raises
    ------
    InputError
        When a value is not above zero or round fibres in a square array cannot be packed that densely.

    Notes
    -----
    Round fibres in a square array, so 0 < Vf < π/4; no voids. A woven ply lies a little higher.

    References
    ----------
    Springer, Tsai 1967, Journal of Composite Materials 1:166.

    Examples
    --------
    >>> round(conductivity_springer_tsai_1967(3.96, 0.212, 0.574), 3)
    0.637
    """
    wrong = [
        Problem(place=f"laminate, conductivity of {name}", came=repr(value), wanted="above zero is wanted")
        for name, value in (("fibre", fibre), ("resin", resin))
        if not 0.0 < value < math.inf
    ]
    if not 0.0 < fibre_volume < math.pi / 4.0:
        wrong.append(
            Problem(
                place="laminate, fibre volume fraction",
                came=repr(fibre_volume),
                wanted="above 0 and below 0.785 is wanted: round fibres pack no closer in this model",
            )
        )
    if wrong:
        raise InputError(wrong)
    b = 2.0 * (resin / fibre - 1.0)
    v = math.sqrt(fibre_volume / math.pi)
    if abs(b) < 1e-5:  # the bracket below is 0/0; its limit to first order
        return resin * (1.0 - fibre_volume * b / 2.0)
    square = 1.0 - (b * v) ** 2
    below = 1.0 + b * v
    if square > 0.0:
        root = math.sqrt(square)
        turn = math.atan(root / below) / root
    elif square < 0.0:
        root = math.sqrt(-square)
        turn = math.atanh(root / below) / root
    else:
        turn = 1.0 / below
    return resin * ((1.0 - 2.0 * v) + (math.pi - 4.0 * turn) / b)


def laminate_layer(
    *,
    resin: CureResin,
    thickness: float,
    fibre_volume: float,
    fibre_density: float,
    fibre_heat_capacity: float,
    fibre_conductivity: float,
    name: str = "laminate",
    cells: int = 10,
) -> Layer:
    """Return a laminate as a layer, its properties mixed from fibre and resin.

    Parameters
    ----------
    resin
        The resin.
    thickness
        Of the laminate [m].
    fibre_volume
        Fibre volume fraction.
    fibre_density, fibre_heat_capacity, fibre_conductivity
        Of the fibre, across its axis [kg/m³, J/(kg K), W/(m K)].
    name
        What to call it.
    cells
        Number of cells.

    Returns
    -------
    Layer
        Density by volume, heat capacity by mass, conductivity after Springer and Tsai.

    Raises
    ------
    InputError
        When a value is out of range.
    """
    conductivity = conductivity_springer_tsai_1967(fibre_conductivity, resin.conductivity, fibre_volume)
    fibre, matrix = fibre_volume * fibre_density, (1.0 - fibre_volume) * resin.density
    density = fibre + matrix
    return Layer(
        name=name,
        thickness=thickness,
        density=density,
        heat_capacity=(fibre * fibre_heat_capacity + matrix * resin.heat_capacity) / density,
        conductivity=conductivity,
        resin=matrix,
        cells=cells,
    )
