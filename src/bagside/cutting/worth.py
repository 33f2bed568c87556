"""What an offcut counts when it is weighed against fresh cloth: less with age, less for a small or narrow shape.

Nobody publishes what an offcut is worth to a small workshop; the rule here is plain, common practice with no source:

    worth = fresh · (1 - life used / life) · 2^(-days / 180) · shape
    shape = (area in places at least a strip wide / area) · min(1, √(area / 0.25 m²))

A sheet of a quarter of a square metre without a narrow place, made today from a roll that was never out, counts in
full. One that has lain for half a year counts half: it will be thrown away or forgotten before it is used.
"""

from __future__ import annotations

import math

import shapely

from bagside.cutting.overlay import overlaid
from bagside.errors import InputError

HALVED = 180.0 * 86400.0
"""Time lying in the freezer after which an offcut counts half [s]."""
ROOMY = 0.25
"""Area from which an offcut does not count less for being small [m²]."""
STRIP = 0.040
"""Narrower places do not count [m]."""


def age_share(life_used: float, life: float, age: float = 0.0, halved: float = HALVED) -> float:
    """Return the share of its worth that an offcut keeps with age.

    Parameters
    ----------
    life_used
        Time out of the freezer so far [s].
    life
        All that its cloth may have [s].
    age
        Since it was cut [s].
    halved
        Age at which half is left [s].

    Returns
    -------
    float
        From 0, when the life is used up, to 1.

    Raises
    ------
    InputError
        When a time is negative or not finite, or there is no life at all.

    Examples
    --------
    >>> age_share(life_used=0.0, life=100.0, age=HALVED)
    0.5
    """
    for name, value in (("life used", life_used), ("age", age)):
        if not (math.isfinite(value) and value >= 0.0):
            raise InputError.one(f"worth of an offcut, {name}", f"{value} s", "a finite time, not negative")
    for name, value in (("life", life), ("time to half", halved)):
        if not (math.isfinite(value) and value > 0.0):
            raise InputError.one(f"worth of an offcut, {name}", f"{value} s", "a time above zero")
    return max(0.0, 1.0 - life_used / life) * math.exp2(-age / halved)


def shape_share(area: shapely.Geometry, strip: float = STRIP, roomy: float = ROOMY) -> float:
    """Return the share of its worth that an offcut has for its shape.

    Parameters
    ----------
    area
        Outline without holes and flaws [m].
    strip
        Narrower places do not count [m].
    roomy
        Area from which it does not count less for being small [m²].

    Returns
    -------
    float
        From 0, when it is narrow everywhere, to 1.

    Examples
    --------
    >>> shape_share(shapely.box(0.0, 0.0, 0.5, 0.5))
    1.0
    """
    whole = float(area.area)
    if not whole > 0.0:
        return 0.0
    wide = float(opened(area, strip).area)
    return min(1.0, wide / whole) * min(1.0, math.sqrt(whole / roomy))


def opened(area: shapely.Geometry, strip: float) -> shapely.Geometry:
    """Return the places of an area that lie in a strip.

    Parameters
    ----------
    area
        With or without holes [m].
    strip
        Width of the strip [m].

    Notes
    -----
    Corners sharper than 60° are cut off, since no strip reaches into them. Places that hang together by a neck narrower
    than the strip are apart.
    """
    half = 0.5 * strip
    narrowed = area.buffer(-half, join_style="mitre")
    wide: list[shapely.Geometry] = []
    for core in sorted(shapely.get_parts(narrowed), key=lambda p: -p.area):
        # Corners that are drawn out again may meet through a neck that is narrower than the strip: each core by itself.
        own = overlaid(shapely.intersection, core.buffer(half, join_style="mitre", mitre_limit=2.0), area)
        for other in wide:
            if own.intersects(other):
                own = overlaid(shapely.difference, own, other)
        wide.append(max(shapely.get_parts(own), key=lambda p: p.area, default=own))
    return shapely.GeometryCollection(wide)


def offcut_worth(
    area: shapely.Geometry,
    *,
    fresh: float,
    life_used: float,
    life: float,
    age: float = 0.0,
    strip: float = STRIP,
) -> float:
    """Return the share of the price of fresh cloth at which an offcut counts.

    Parameters
    ----------
    area
        Outline without holes and flaws [m].
    fresh
        Share at which a new, roomy one counts, from 0 to 1.
    life_used, life
        Time out of the freezer so far, and all that its cloth may have [s].
    age
        Since it was cut [s].
    strip
        Narrower places do not count [m].

    Returns
    -------
    float
        From 0 to ``fresh``.

    Raises
    ------
    InputError
        When a share is not from 0 to 1 or a time is not one.
    """
    if not 0.0 <= fresh <= 1.0:
        raise InputError.one("worth of an offcut, fresh", f"{fresh:g}", "a share from 0 to 1")
    return fresh * age_share(life_used, life, age) * shape_share(area, strip)
