"""From the part, the plies and the pump to the bag."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside import bagging
from bagside.bagging import BagKind, BagPlan, PlyRecord, PressureMap, Taped
from bagside.geometry import Surface
from bagside.planning.extent import Extent
from bagside.spec.job import Bag, Bagging
from bagside.spec.library import Library
from bagside.spec.measured import Measured
from bagside.spec.workshop import Pump, Room


def flange_around(whole: Surface, part: Surface, flange: float) -> NDArray[np.float64]:
    """Return the distance of each vertex of the mould from what is laid up, shape (n,) [m]."""
    return bagging.distance_around(whole, part, bagging.flange_reach(flange))


def ways_of_air(laid: Surface) -> NDArray[np.float64]:
    """Return the way from each vertex of what is laid up to the nearest strip of edge breathing, shape (n,) [m]."""
    return bagging.ways_out(laid)


def pressure_over(laid: Surface, thickness: float, room: Room, pump: Pump) -> PressureMap:
    """Return what presses at each vertex of what is laid up: corners take from it, or add to it.

    Parameters
    ----------
    laid
        What is laid up, faired.
    thickness
        Of the laminate [m].
    room, pump
        As stated.
    """
    return bagging.pressure_on(laid, thickness, ambient=bagging.ambient_pressure(room.altitude), vacuum=pump.reaches)


def bag_plan(
    part: Surface,
    whole: Surface,
    around: NDArray[np.float64],
    plies: tuple[PlyRecord, ...],
    bag: Bag,
    films: dict[str, tuple[float, float]],
    hottest: float,
    room: Room,
    pump: Pump,
    show: bool,
    ways: NDArray[np.float64],
    hold: float,
) -> BagPlan:
    """Return the bag over the part.

    Parameters
    ----------
    part
        What is laid up.
    whole
        The mould's whole surface.
    around
        From `flange_around`.
    plies
        In the order they are laid.
    bag
        As stated.
    films
        From `films_of`.
    hottest
        Of the cycle [K].
    room, pump
        As stated.
    show
        Whether the mould side is seen.
    ways
        From `ways_of_air`.
    hold
        Time under vacuum before heat [s].
    """
    return bagging.plan_bag(
        part,
        whole,
        plies,
        cure_max_temperature=hottest,
        films=films,
        ambient_pressure=bagging.ambient_pressure(room.altitude),
        vacuum=pump.reaches,
        pump_flow=pump.flow,
        kind=bag.kind.value,
        flange_wanted=bag.flange,
        visible=show,
        around=around,
        ways=ways,
        hold=hold,
    )


def cover_plan(
    measured: Measured,
    laid: Extent,
    plies: tuple[PlyRecord, ...],
    bag: Bag,
    films: dict[str, tuple[float, float]],
    hottest: float,
    room: Room,
    pump: Pump,
    show: bool,
    hold: float,
) -> BagPlan:
    """Return the bag over a part of stated sizes.

    Parameters
    ----------
    measured
        As stated.
    laid
        What is laid up.
    plies, bag, films, hottest, room, pump, show, hold
        As for `bag_plan`.

    Raises
    ------
    InputError
        When a surface bag is asked for on too narrow a flange.
    """
    length, width = measured.size
    return bagging.plan_cover(
        length,
        width,
        measured.depth,
        plies,
        cure_max_temperature=hottest,
        films=films,
        ambient_pressure=bagging.ambient_pressure(room.altitude),
        vacuum=pump.reaches,
        pump_flow=pump.flow,
        flange=measured.flange,
        kind=None if bag.kind is Bagging.AUTO else BagKind(bag.kind.value),
        visible=show,
        hold=hold,
        taped=Taped(area=laid.area, edge=laid.edge, flange_wanted=bag.flange),
    )


def films_of(bag: Bag, library: Library) -> dict[str, tuple[float, float]]:
    """Return limit [K] and width [m] of each film the bag is made of."""
    named = {"bag film": bag.film, "release film": bag.release, "breather": bag.breather, "sealant tape": bag.tape}
    return {word: (library.film[name].limit, library.film[name].width) for word, name in named.items()}
