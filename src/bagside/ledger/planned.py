"""What was planned for one part on the day it was begun, frozen: what happens is held against it for ever.

It holds no reference to files or code: it can be read when the plan, the program and the library have moved on.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, TypeVar, dataclass_transform

from pydantic import ConfigDict

T = TypeVar("T")


@dataclass_transform(frozen_default=True, kw_only_default=True)
def _frozen(cls: type[T]) -> type[T]:
    made: Any = dataclass(frozen=True, slots=True, kw_only=True)(cls)
    made.__pydantic_config__ = ConfigDict(extra="forbid", allow_inf_nan=False)
    result: type[T] = made
    return result


@_frozen
class PlannedStep:
    """One step, as `bagside.planning.Step` had it; times [s].

    Parameters
    ----------
    key, name, stage, do, boxes, hazards, each
        See `bagside.planning.Step`.
    attended, unattended
        For one part, or for the whole job when it is not done for each part [s].
    to_heat
        How long cloth is still out of the freezer from its start until heat is on, by the calendar of the day [s]; 0
        for what comes after.
    """

    key: str
    name: str
    stage: str
    do: tuple[str, ...] = ()
    boxes: tuple[str, ...] = ()
    attended: float = 0.0
    unattended: float = 0.0
    hazards: tuple[str, ...] = ()
    each: bool = True
    to_heat: float = 0.0


@_frozen
class PlannedPly:
    """One ply.

    Parameters
    ----------
    number
        From 1, in laying order.
    material
        Name.
    pieces
        Labels, in laying order.
    films
        Backing films on each piece.
    area
        Of all its pieces as cut [m²].
    mass
        Of that area [kg].
    scatter
        Standard deviation of its areal weight, as a share of it.
    """

    number: int
    material: str
    pieces: tuple[str, ...]
    films: int
    area: float
    mass: float
    scatter: float


@_frozen
class PlannedDebulk:
    """A debulk: after which ply (from 1), how long at least [s], at most what pressure in the bag [Pa absolute]."""

    after: int
    seconds: float
    pressure: float


@_frozen
class PlannedMass:
    """A mass at a moment, and its standard deviation [kg]."""

    stage: str
    mass: float
    sigma: float


@_frozen
class PlannedPoint:
    """A thickness in a zone, and by how much it may differ [m].

    Parameters
    ----------
    place
        Short name of the zone: ``T1`` is the largest. What is measured at ``T1 bow`` belongs to it.
    thickness, tolerance
        [m].
    where
        Which plies lie there, in words.
    """

    place: str
    thickness: float
    tolerance: float
    where: str = ""

    def holds(self, place: str) -> bool:
        """Return whether a measured place lies in this zone.

        Parameters
        ----------
        place
            As written down.
        """
        return place == self.place or place.startswith(f"{self.place} ")


@_frozen
class PlannedHole:
    """A hole, and how far from its place it may be [m]."""

    name: str
    off: float


@_frozen
class PlannedCoat:
    """A coating and its waits.

    Parameters
    ----------
    step
        Key of the step in which it goes on.
    name
        Of the coating.
    coats
        How many.
    flash, recoat_latest, cure_time, pot_life
        [s].
    dry
        Film of one coat [m].
    coldest, wettest
        Room in which it may be put on [K], 0 to 1.
    """

    step: str
    name: str
    coats: int
    flash: float
    recoat_latest: float
    cure_time: float
    pot_life: float
    dry: float
    coldest: float
    wettest: float


@_frozen
class PlannedCloth:
    """Cloth that the build needs: how long it will be out of the freezer before the cure [s]."""

    material: str
    area: float
    hours: float


@_frozen
class Planned:
    """What was planned for one part.

    Parameters
    ----------
    job
        Name of the job, which is the design.
    part
        What it is called.
    revision
        Digest of everything the plan was worked out from.
    number, quantity
        Which part of how many.
    steps, plies, debulks, masses, points, cloths, holes, coats
        See each.
    resin_mass
        In all plies [kg].
    film_mass
        Of one backing film for each m² [kg/m²]; 0 when not known.
    finished_area
        Of the part [m²].
    leak
        Highest rise of pressure in a leak test [Pa/s]; None without one.
    leak_rule, leak_volume
        Name of the criterion it comes from (`bagside.bagging.CRITERIA`), and free volume of bag and lines it was
        reckoned with [m³]; 0 when not known.
    ambient, vacuum
        Absolute pressures of the day and in the bag, as planned [Pa].
    programme
        The cure in words.
    tg
        Least Tg wanted at the end [K].
    cure
        Least degree of cure wanted.
    demould
        Coolest enough to pull [K].
    mould_limit, mould_words
        Hottest the mould may see [K], None when not known; and on what that rests.
    hottest_tool
        Hottest the mould gets in the cure as planned [K]; None when not known.
    thermocouples
        Names of the places that want one.
    release_each
        Pulls that one release coat serves; 0 when not known.
    lay_coldest, lay_hottest, lay_wettest, lay_source
        Room in which cloth is laid [K], 0 to 1, and on what that rests.
    coat_coldest, coat_wettest, dew_margin
        Room in which it is coated, by the most delicate coat [K], 0 to 1, above the dew point [K].
    price
        Of one part, in `currency`.
    hours
        Attended, for one part [s].
    """

    job: str
    part: str
    revision: str
    number: int
    quantity: int
    steps: tuple[PlannedStep, ...]
    plies: tuple[PlannedPly, ...]
    debulks: tuple[PlannedDebulk, ...] = ()
    masses: tuple[PlannedMass, ...] = ()
    points: tuple[PlannedPoint, ...] = ()
    cloths: tuple[PlannedCloth, ...] = ()
    holes: tuple[PlannedHole, ...] = ()
    coats: tuple[PlannedCoat, ...] = ()
    resin_mass: float = 0.0
    film_mass: float = 0.0
    finished_area: float = 0.0
    leak: float | None = None
    leak_rule: str = ""
    leak_volume: float = 0.0
    ambient: float = 101325.0
    vacuum: float = 0.0
    programme: str = ""
    tg: float | None = None
    cure: float | None = None
    demould: float | None = None
    mould_limit: float | None = None
    mould_words: str = ""
    hottest_tool: float | None = None
    thermocouples: tuple[str, ...] = ()
    release_each: int = 0
    lay_coldest: float = 288.15
    lay_hottest: float = 298.15
    lay_wettest: float = 0.65
    lay_source: str = ""
    coat_coldest: float | None = None
    coat_wettest: float | None = None
    dew_margin: float = 3.0
    price: float | None = None
    currency: str = ""
    hours: float = 0.0
