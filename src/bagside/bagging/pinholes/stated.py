"""From what people wrote down of a part to the record the causes are worked out from."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields

from bagside.bagging.pinholes.record import Corner, Record
from bagside.bagging.vacuum import ambient_pressure
from bagside.errors import InputError, Problem
from bagside.spec.pinhole_file import PinholeFile

SOFT = 323.15  # [K] from here on prepreg resin flows: common practice, 45 to 50 °C
FIVE = 300.0  # [s]


def record_of(stated: PinholeFile, place: str = "pinholes", computed: Mapping[str, float] | None = None) -> Record:
    """Return the record of a part.

    Parameters
    ----------
    stated
        As written down.
    place
        Where it stands, for messages.
    computed
        What was worked out elsewhere, by the record's names: used where nothing was written down.

    Returns
    -------
    Record

    Raises
    ------
    InputError
        When two statements contradict each other.
    """
    wrong = []
    if stated.ambient is not None and stated.altitude is not None:
        wrong.append(
            Problem(place=f"{place}, altitude", came="", wanted="barometer or altitude, one of the two is wanted")
        )
    if stated.inside_corners is False and stated.corner_radius is not None:
        wrong.append(
            Problem(place=f"{place}, corner_radius", came="", wanted="there are no inside corners by what is stated")
        )
    if stated.pump_on and stated.unpumped:
        wrong.append(Problem(place=f"{place}, unpumped", came="", wanted="the pump ran until gel by what is stated"))
    if stated.dwell is not None and stated.dwell <= SOFT and stated.ramp is not None:
        wrong.append(
            Problem(
                place=f"{place}, dwell",
                came=f"{stated.dwell - 273.15:.0f} °C",
                wanted="more than 50 °C is wanted, or no ramp: state how long it was soft as liquid_time",
            )
        )
    if wrong:
        raise InputError(wrong)
    own = {f.name for f in fields(Record)}
    found = {f.name: v for f in fields(stated) if f.name in own and (v := getattr(stated, f.name)) is not None}
    if stated.altitude is not None:
        found["ambient"] = ambient_pressure(stated.altitude)
    if stated.drop is not None:
        found["drop"] = stated.drop * FIVE / stated.drop_time
    if stated.inside_corners is False:
        found["corner_radius"] = math.inf
    corners = tuple(
        Corner(radius=c.radius, defects=c.defects, inside=c.inside, thickness=c.thickness, slip_joint=c.slip_joint)
        for c in stated.corners
    )
    found["corners"] = corners
    tightest = min((c.radius for c in corners if c.inside), default=None)
    if tightest is not None:
        found.setdefault("corner_radius", tightest)
    if stated.dwell is not None and "liquid_hottest" not in found:
        found["liquid_hottest"] = stated.dwell
    if stated.dwell is not None and stated.ramp is not None and stated.gel_after is not None:
        found.setdefault("liquid_time", (stated.dwell - SOFT) / stated.ramp + stated.gel_after)
    for name, value in (computed or {}).items():
        # What was seen stands above what a cycle says, of the resin's flow too.
        seen = name == "fluidity" and (stated.liquid_time is not None or stated.viscosity is not None)
        if name in own and not seen:
            found.setdefault(name, value)
    return Record(**found)
