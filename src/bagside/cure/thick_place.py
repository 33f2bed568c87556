"""Strips in which a layer is thicker than beside them: a mould's flange, a backing rib, a doubled edge."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from bagside.cure.fin import HotSpot, reach, says
from bagside.cure.section import Section
from bagside.errors import InputError, Problem, did_you_mean


@dataclass(frozen=True, slots=True, kw_only=True)
class Thickening:
    """A strip in which one layer is thicker: a mould's flange, a backing rib, a doubled edge.

    Parameters
    ----------
    name
        What and where: ``split flange``.
    layer
        Name of the layer that is thicker.
    thickness
        Of that layer there [m].
    width
        Of the strip [m].
    sides
        On how many of its long sides the ordinary laminate or mould goes on: 1 for a flange at an edge, 2 for a rib.
    distance
        From its edge to the point of interest [m]; zero in the strip itself.
    """

    name: str
    layer: str
    thickness: float
    width: float
    sides: int = 1
    distance: float = 0.0


def thick_place(section: Section, thick: Thickening, *, in_plane: Mapping[str, float] | None = None) -> HotSpot:
    """Return the section through a strip in which a layer is thicker.

    Parameters
    ----------
    section
        Laminate and mould beside it.
    thick
        The strip.
    in_plane
        As `reach` takes it.

    Returns
    -------
    HotSpot
        The strip, with its share of the extra thickness.

    Raises
    ------
    InputError
        When the strip makes no sense or no layer has that name.

    Notes
    -----
    A straight sheet of reach ℓ serves as a strip of width ℓ on each side on which it goes on. Where the thicker layer
    reacts, its heat of reaction is shared in the same way, so that a narrow strip is not made to run away.

    References
    ----------
    Incropera, DeWitt, Fundamentals of Heat and Mass Transfer, section 3.6.2: infinite fin (from memory).
    """
    names = [layer.name for layer in section.layers]
    wrong = []
    if thick.layer not in names:
        wrong.append(
            Problem(
                place=f"{thick.name}, layer",
                came=thick.layer,
                wanted=f"one of {', '.join(names)} is wanted",
                hint=did_you_mean(thick.layer, names),
            )
        )
    else:
        there = section.layers[names.index(thick.layer)].thickness
        if not there <= thick.thickness < math.inf:
            wrong.append(
                Problem(
                    place=f"{thick.name}, thickness",
                    came=f"{1e3 * thick.thickness:g} mm",
                    wanted=f"no less than beside it is wanted: {1e3 * there:g} mm",
                )
            )
    if not 0.0 < thick.width < math.inf:
        wrong.append(Problem(place=f"{thick.name}, width", came=repr(thick.width), wanted="above zero is wanted"))
    if thick.sides not in (1, 2):
        wrong.append(Problem(place=f"{thick.name}, sides", came=repr(thick.sides), wanted="1 or 2 is wanted"))
    if not 0.0 <= thick.distance < math.inf:
        wrong.append(
            Problem(place=f"{thick.name}, distance", came=repr(thick.distance), wanted="zero or more is wanted")
        )
    if wrong:
        raise InputError(wrong)
    length = reach(section, in_plane)
    share = 0.0 if math.isinf(length) else thick.width / (thick.width + thick.sides * length)
    fade = 1.0 if thick.distance == 0.0 else math.exp(-thick.distance / length) if length else 0.0
    i = names.index(thick.layer)
    layer = section.layers[i]
    thicker = replace(layer, thickness=layer.thickness + share * fade * (thick.thickness - layer.thickness))
    layers = (*section.layers[:i], thicker, *section.layers[i + 1 :])
    return HotSpot(
        section=replace(section, name=f"{section.name}, at {thick.name}", layers=layers),
        reach=length,
        share=share,
        says=says(share),
    )
