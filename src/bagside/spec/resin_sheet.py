"""What a maker has in hand about a resin: its data sheet, typed in, and DSC curves as files."""

from __future__ import annotations

from dataclasses import field
from enum import StrEnum

from bagside.spec.fields import (
    Difference,
    Fraction,
    PositiveConductivity,
    PositiveDensity,
    PositiveHeatCapacity,
    PositiveMass,
    PositiveRamp,
    PositiveTime,
    PositiveViscosity,
    SomeFraction,
    SomeHeat,
    Temperature,
    stated,
)
from bagside.spec.job import Segment


@stated
class CureRow:
    """A cure option: a temperature, how long, and what comes of it.

    Parameters
    ----------
    temperature
        Of the hold [K].
    time
        Of the hold [s].
    tg
        Glass transition after it [K].
    cure
        Degree of cure after it.
    full
        Whether the sheet calls it a full cure.
    ramp
        Heating rate from the room up to the hold [K/s]; when not stated, the hold starts at once.
    tg_off, cure_off
        How far a stated value may be off [K, –]; what is usual when not stated.
    """

    temperature: Temperature
    time: PositiveTime
    tg: Temperature | None = None
    cure: Fraction | None = None
    full: bool = False
    ramp: PositiveRamp | None = None
    tg_off: Difference | None = None
    cure_off: Fraction | None = None


@stated
class GelRow:
    """A gel time at one temperature.

    Parameters
    ----------
    temperature
        [K].
    time
        Until it gels [s].
    off
        Share by which it may be off; what is usual when not stated.
    """

    temperature: Temperature
    time: PositiveTime
    off: Fraction | None = None


@stated
class LifeRow:
    """An out-life at one temperature.

    Parameters
    ----------
    temperature
        [K].
    life
        Until tack is lost [s].
    advance
        By how much the degree of cure has risen then; what is usual when not stated.
    off
        Share by which it may be off; what is usual when not stated.
    """

    temperature: Temperature
    life: PositiveTime
    advance: Fraction | None = None
    off: Fraction | None = None


@stated
class ViscosityRow:
    """A viscosity: of fresh resin at a temperature, or the least one while it is heated up.

    Parameters
    ----------
    viscosity
        [Pa s].
    temperature
        Of fresh resin [K]; not with ``ramp``.
    ramp
        Heating rate from the room [K/s], when it is the least viscosity on the way up.
    """

    viscosity: PositiveViscosity
    temperature: Temperature | None = None
    ramp: PositiveRamp | None = None


class Exo(StrEnum):
    """Which way heat given off points in a DSC file."""

    UP = "up"
    DOWN = "down"


@stated
class DscRow:
    """A DSC curve of fresh resin, as a file beside the sheet.

    Parameters
    ----------
    file
        Path of the CSV file, from the sheet's own folder.
    exo
        Which way heat given off points, when the file's heading does not say.
    mass
        Of the sample [kg], when the file is in milliwatts and does not state it.
    resin
        Share of the sample that is resin; 1 for neat resin, the resin content for prepreg.
    time, temperature, heat
        Headings of the columns, when they cannot be told apart.
    """

    file: str
    exo: Exo | None = None
    mass: PositiveMass | None = None
    resin: Fraction = 1.0
    time: str = ""
    temperature: str = ""
    heat: str = ""


@stated
class AskedCycle:
    """What the law will be used for: the rows must determine its gel time and its glass transition.

    Parameters
    ----------
    segments
        The cycle, from ``start`` [K]; made of the sheet's coldest and hottest temperature when not stated.
    tg_within
        Deviation of the glass transition that is good enough [K].
    gel_within
        Deviation of the gel time that is good enough, as a share.
    """

    start: Temperature = 293.15
    segments: tuple[Segment, ...] = ()
    tg_within: Difference = 12.0
    gel_within: SomeFraction = 0.3


@stated
class ResinSheet:
    """A resin as its data sheet and DSC curves tell it: for ``bagside resin fit``.

    Parameters
    ----------
    name
        Under which it will stand in the workshop's materials.
    source
        Which sheet, in words.
    cures, gels, lives, viscosities, dsc
        What is known, row by row.
    tg_uncured, tg_cured, tg_lambda
        DiBenedetto's constants, when stated [K, K, –].
    gel
        Degree of cure at gel, when stated.
    start
        Degree of cure when fresh.
    heat
        Heat of reaction, when stated [J/kg resin].
    density, heat_capacity, conductivity
        Of the resin, when stated [kg/m³, J/(kg K), W/(m K)].
    fibre_heat_capacity, fibre_conductivity
        Of the fibre, when stated [J/(kg K), W/(m K)].
    hottest
        Temperature at which it is spoiled, when stated [K].
    asked
        What the law will be used for.
    """

    name: str
    source: str
    cures: tuple[CureRow, ...] = ()
    gels: tuple[GelRow, ...] = ()
    lives: tuple[LifeRow, ...] = ()
    viscosities: tuple[ViscosityRow, ...] = ()
    dsc: tuple[DscRow, ...] = ()
    tg_uncured: Temperature | None = None
    tg_cured: Temperature | None = None
    tg_lambda: float | None = None
    gel: Fraction | None = None
    start: Fraction = 0.01
    heat: SomeHeat | None = None
    density: PositiveDensity | None = None
    heat_capacity: PositiveHeatCapacity | None = None
    conductivity: PositiveConductivity | None = None
    fibre_heat_capacity: PositiveHeatCapacity | None = None
    fibre_conductivity: PositiveConductivity | None = None
    hottest: Temperature | None = None
    asked: AskedCycle = field(default_factory=AskedCycle)
