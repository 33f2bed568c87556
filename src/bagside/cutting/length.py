"""What a nest takes: cloth to pull, money, knife path and time at the table."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside.cutting.common_lines import common_lines
from bagside.cutting.layout import Nest
from bagside.cutting.sheet import Layout
from bagside.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class Take:
    """What cutting one nest takes.

    Parameters
    ----------
    pull
        Length to pull off the roll, end included [m].
    cloth_area
        Area of that cloth over its full width [m²].
    pieces_area
        Area of the pieces [m²].
    utilisation
        Area of pieces over area of the cloth pulled.
    cost
        Of the cloth pulled, in the workshop's money, or None without a price.
    knife_path
        Length of all cuts, shared edges once, the one across the roll included [m].
    pieces
        Copies cut.
    seconds
        Attended time at the table [s].
    """

    pull: float
    cloth_area: float
    pieces_area: float
    utilisation: float
    cost: float | None
    knife_path: float
    pieces: int
    seconds: float


def length_to_pull(nest: Nest, end: float) -> float:
    """Return the length to pull off the roll [m].

    Parameters
    ----------
    nest
        The layout.
    end
        Pulled beyond the last piece [m].

    Raises
    ------
    InputError
        When ``end`` is negative or not finite.
    """
    _not_negative(end, "end allowance", "m")
    return nest.length + end


def knife_path(layout: Layout) -> float:
    """Return the length of all edges cut, holes and the cut across a roll included [m].

    Parameters
    ----------
    layout
        On a roll or on a sheet; a sheet lies there already cut off.

    Notes
    -----
    An edge that two pieces share is cut once: see `bagside.cutting.common_lines`.
    """
    edges = sum(p.knife_path * p.quantity for p in layout.pieces)
    twice = sum(line.length for line in common_lines(layout))
    return edges - twice + (layout.cloth.width if isinstance(layout, Nest) else 0.0)


def cutting_time(layout: Layout, *, knife: float, handling: float) -> float:
    """Return the attended time at the table [s].

    Parameters
    ----------
    layout
        On a roll or on a sheet.
    knife
        Speed of the knife [m/s]; by hand 0.5 to 1.5 m/min (common practice).
    handling
        Time for each copy besides the cut: template, label, film [s].

    Raises
    ------
    InputError
        When the speed is not positive or the handling time negative.
    """
    if not (math.isfinite(knife) and knife > 0.0):
        raise InputError.one("cutting table, knife", f"{knife} m/s", 'a speed above zero, as in "1 m/min"')
    _not_negative(handling, "handling", "s")
    return knife_path(layout) / knife + handling * sum(p.quantity for p in layout.pieces)


def take(nest: Nest, *, end: float, knife: float, handling: float, price: float | None = None) -> Take:
    """Return what cutting a nest takes.

    Parameters
    ----------
    nest
        The layout.
    end
        Pulled beyond the last piece [m].
    knife
        Speed of the knife [m/s].
    handling
        Time for each copy besides the cut [s].
    price
        Of the cloth [money/m²], or None.

    Returns
    -------
    Take
        Length, areas, cost, knife path and time.

    Raises
    ------
    InputError
        When a number is negative, the knife does not move, or something is not finite.

    Notes
    -----
    The whole width is paid for, and nothing is credited for offcuts that go back to stock.
    """
    pull = length_to_pull(nest, end)
    cloth = pull * nest.cloth.width
    if price is not None:
        _not_negative(price, "price", "money/m²")
    return Take(
        pull=pull,
        cloth_area=cloth,
        pieces_area=nest.area_of_pieces,
        utilisation=nest.area_of_pieces / cloth,
        cost=None if price is None else price * cloth,
        knife_path=knife_path(nest),
        pieces=sum(p.quantity for p in nest.pieces),
        seconds=cutting_time(nest, knife=knife, handling=handling),
    )


def _not_negative(value: float, what: str, unit: str) -> None:
    if not (math.isfinite(value) and value >= 0.0):
        raise InputError.one(f"cutting table, {what}", f"{value} {unit}", "a finite number, not negative")
