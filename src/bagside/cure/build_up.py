"""Sections built up from what lies between the air on one side and the air on the other.

Air, bag and breather, laminate or skin–core–skin, mould, air. How well heat passes bag and breather can only be
measured as one number together with the film of air on them, so by default they are one film; a breather thick enough
to count, or known by itself, may be a layer of its own.
"""

from __future__ import annotations

import math

from bagside.cure.face import STEFAN_BOLTZMANN
from bagside.cure.layer import Layer
from bagside.cure.section import Section
from bagside.errors import InputError, Problem

AIR = 0.030
"""Conductivity of still air at about 80 °C [W/(m K)]: Incropera, DeWitt, table A.4."""


def film_with(film: float, *layers: Layer) -> float:
    """Return a film of air and thin layers on it as one film.

    Parameters
    ----------
    film
        Of the air [W/(m² K)]; infinite where the outer face is held at the air.
    *layers
        Breather, bag, or both; what they take up is left out.

    Returns
    -------
    float
        Of all in series [W/(m² K)].

    Raises
    ------
    InputError
        When a layer makes no sense or reacts.

    Examples
    --------
    >>> breather = Layer(name="breather", thickness=0.004, density=80, heat_capacity=1300, conductivity=0.06)
    >>> round(film_with(25.0, breather), 3)
    9.375
    """
    wrong = [p for layer in layers for p in layer.problems(layer.name)]
    wrong += [
        Problem(place=layer.name, came="", wanted="what reacts cannot be part of a film")
        for layer in layers
        if layer.resin
    ]
    if wrong:
        raise InputError(wrong)
    if film == 0.0:
        return 0.0
    across = 1.0 / film + sum(layer.thickness / layer.conductivity for layer in layers)
    return 1.0 / across if across else math.inf


def honeycomb(
    *,
    thickness: float,
    density: float,
    cell: float,
    wall_density: float,
    wall_heat_capacity: float,
    wall_conductivity: float,
    temperature: float = 353.15,
    emissivity: float = 0.9,
    name: str = "core",
    cells: int = 8,
) -> Layer:
    """Return a honeycomb as a layer: walls and still air side by side, and what shines through its cells.

    Parameters
    ----------
    thickness
        [m].
    density
        Of the honeycomb as it is sold [kg/m³].
    cell
        Width of its cells [m].
    wall_density, wall_heat_capacity, wall_conductivity
        Of what its walls are made of [kg/m³, J/(kg K), W/(m K)].
    temperature
        At which radiation is counted [K]: the middle of the cure.
    emissivity
        Of the skins inside.
    name
        What to call it.
    cells
        Number of cells of the computation across it.

    Returns
    -------
    Layer
        Conductivity by the walls' share of the area, air for the rest, and radiation.

    Raises
    ------
    InputError
        When a value is not above zero or the honeycomb is heavier than its walls.

    Notes
    -----
    Radiation is that of Swann and Pittman, made straight at one temperature: it is as much as the air in a paper
    core and a small part in one of aluminium. Glue at the skins is left out. What the maker states is better.

    References
    ----------
    Swann, Pittman 1961, NASA TN D-714, equation for the radiation factor (from memory).

    Examples
    --------
    >>> core = honeycomb(
    ...     thickness=0.01,
    ...     density=48,
    ...     cell=0.004,
    ...     wall_density=1380,
    ...     wall_heat_capacity=1300,
    ...     wall_conductivity=0.12,
    ... )
    >>> round(core.conductivity, 3)
    0.064
    """
    values = {
        "thickness": thickness,
        "density": density,
        "cell": cell,
        "wall density": wall_density,
        "wall heat capacity": wall_heat_capacity,
        "wall conductivity": wall_conductivity,
        "temperature": temperature,
        "emissivity": emissivity,
    }
    wrong = [
        Problem(place=f"{name}, {key}", came=repr(value), wanted="above zero is wanted")
        for key, value in values.items()
        if not 0.0 < value < math.inf
    ]
    if not wrong and not density < wall_density:
        wrong.append(
            Problem(
                place=f"{name}, density", came=repr(density), wanted=f"less than its walls' is wanted: {wall_density:g}"
            )
        )
    if wrong:
        raise InputError(wrong)
    share, deep = density / wall_density, thickness / cell
    factor = 0.664 * (deep + 0.3) ** -0.69 * emissivity ** (1.63 * (deep + 1.0) ** -0.89)
    shining = factor * 4.0 * STEFAN_BOLTZMANN * temperature**3 * thickness
    return Layer(
        name=name,
        thickness=thickness,
        density=density,
        heat_capacity=wall_heat_capacity,
        conductivity=share * wall_conductivity + (1.0 - share) * AIR + shining,
        cells=cells,
    )


def section_through(
    name: str,
    laminate: Layer,
    *,
    film_bag: float,
    film_tool: float,
    tool: Layer | None = None,
    core: Layer | None = None,
    tool_skin: Layer | None = None,
    breather: Layer | None = None,
    emissivity_bag: float = 0.0,
    emissivity_tool: float = 0.0,
) -> Section:
    """Return a section from the air on the bag to the air behind the tool.

    Parameters
    ----------
    name
        Where on the part.
    laminate
        All of it, or the skin on the bag side of a core.
    film_bag
        From the air to the laminate's face through bag and breather, or to the breather's when that is a layer
        [W/(m² K)].
    film_tool
        From the air to the back of the tool, or of the laminate where there is none [W/(m² K)].
    tool
        None for a part that stands free.
    core
        Foam or honeycomb.
    tool_skin
        Skin on the tool side of the core.
    breather
        As a layer of its own; None when it is in ``film_bag``.
    emissivity_bag, emissivity_tool
        As `Section` has them.

    Returns
    -------
    Section
        Bag side first.

    Raises
    ------
    InputError
        When the laminate does not react, a core has one skin only, or a layer makes no sense.
    """
    wrong = []
    if not laminate.resin:
        wrong.append(Problem(place=f"{name}, {laminate.name}", came="", wanted="a laminate that reacts is wanted"))
    if (core is None) != (tool_skin is None):
        wrong.append(Problem(place=f"{name}, core", came="", wanted="a core and two skins are wanted, or neither"))
    if core is not None and core.resin:
        wrong.append(Problem(place=f"{name}, {core.name}", came="", wanted="a core that does not react is wanted"))
    if wrong:
        raise InputError(wrong)
    layers = (breather, laminate, core, tool_skin, tool)
    return Section(
        name=name,
        layers=tuple(layer for layer in layers if layer is not None),
        film_bag=film_bag,
        film_tool=film_tool,
        emissivity_bag=emissivity_bag,
        emissivity_tool=emissivity_tool,
    )
