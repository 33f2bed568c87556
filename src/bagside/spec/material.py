"""What is bought: prepreg, resin, tool and other materials, as data sheets state them."""

from __future__ import annotations

from dataclasses import field
from enum import StrEnum
from itertools import pairwise

from bagside.findings import Basis
from bagside.quantity import NotAQuantity
from bagside.spec.fields import (
    Difference,
    Expansion,
    Fraction,
    PositiveAngle,
    PositiveArealWeight,
    PositiveConductivity,
    PositiveDensity,
    PositiveHeatCapacity,
    PositiveLength,
    PositiveModulus,
    PositiveTime,
    SomeArealWeight,
    SomeFraction,
    SomeHeat,
    SomeTime,
    Temperature,
    stated,
)


class ClothKind(StrEnum):
    """How a cloth is built, which decides how it drapes."""

    WOVEN = "woven"
    UNIDIRECTIONAL = "unidirectional"
    NON_CRIMP = "non-crimp"
    VEIL = "veil"


class Fitted(StrEnum):
    """What a resin's rate law was fitted to, when it was fitted here."""

    NOT = ""
    SHEET = "data sheet"
    DSC = "dsc"


@stated
class Told:
    """On what a material's values rest: one basis for all, exceptions by field name.

    Parameters
    ----------
    all
        Basis of every value not named in ``but``.
    but
        Field name to basis, for the values that rest on something else.
    source
        Data sheet, publication or rule, in words.
    """

    all: Basis
    but: dict[str, Basis] = field(default_factory=dict)
    source: str = ""

    def of(self, field: str) -> Basis:
        """Return the basis of one field."""
        return self.but.get(field, self.all)


@stated
class LifePoint:
    """A life at one temperature, as a sheet states it [K, s]."""

    temperature: Temperature
    life: PositiveTime


@stated
class Prepreg:
    """A cloth with resin in it.

    Parameters
    ----------
    kind, weave
        How it is built; the weave's trade name for people (``2x2 twill``).
    areal_weight
        Fibre only [kg/m²].
    resin_content
        Resin mass over prepreg mass.
    fibre_density, resin_density
        [kg/m³].
    resin
        Name of the resin system, for cure.
    e1, e2, g12, nu12
        In-plane elastic constants of the cured ply, along warp and weft [Pa].
    alpha1, alpha2
        Thermal expansion of the cured ply [1/K].
    strength_tension_1 …
        Ply strengths [Pa], positive; all five or none.
    locking_angle
        Shear at which it starts to wrinkle [rad].
    width
        Width of the roll [m].
    out_life, out_life_at
        Guaranteed time out of the freezer [s], and the temperature for which it is guaranteed [K].
    lives
        The same at other temperatures.
    tack_life
        How long it keeps its tack, at one temperature or several: a clock of its own; empty when the sheet has none.
    storage, storage_at
        How long it keeps in the freezer, from the day it was made [s], and how cold that must be [K].
    films
        Backing films on each piece (one or two).
    film_weight
        Of one backing film [kg/m²]; 0 when nobody has weighed one. Masses of kits tell more when it is known.
    one_faced
        Whether one face is richer in resin, so that pieces may not be turned over.
    thickness
        Cured thickness as a sheet states it [m]; worked out from the weights when not stated.
    """

    kind: ClothKind
    weave: str = ""
    areal_weight: PositiveArealWeight
    resin_content: Fraction
    fibre_density: PositiveDensity
    resin_density: PositiveDensity
    resin: str
    e1: PositiveModulus
    e2: PositiveModulus
    g12: PositiveModulus
    nu12: SomeFraction
    alpha1: Expansion
    alpha2: Expansion
    strength_tension_1: PositiveModulus | None = None
    strength_compression_1: PositiveModulus | None = None
    strength_tension_2: PositiveModulus | None = None
    strength_compression_2: PositiveModulus | None = None
    strength_shear: PositiveModulus | None = None
    locking_angle: PositiveAngle | None = None
    width: PositiveLength
    out_life: PositiveTime
    out_life_at: Temperature = 294.15
    lives: tuple[LifePoint, ...] = ()
    tack_life: tuple[LifePoint, ...] = ()
    storage: PositiveTime | None = None
    storage_at: Temperature = 255.15
    films: int = 2
    film_weight: SomeArealWeight = 0.0
    one_faced: bool = False
    thickness: PositiveLength | None = None
    basis: Told

    def __post_init__(self) -> None:
        """Refuse lives that do not fall as it gets warmer."""
        for word, points in (("life", self.life_points), ("tack life", self.tack_points)):
            for (t, life), (warmer, shorter) in pairwise(points):
                if warmer - t < 0.1 or not shorter < life:
                    raise NotAQuantity(
                        f"its {word} is {life / 86400:g} days at {t - 273.15:g} °C and {shorter / 86400:g} days at "
                        f"{warmer - 273.15:g} °C; one for each temperature is wanted, less where it is warmer"
                    )

    @property
    def life_points(self) -> tuple[tuple[float, float], ...]:
        """Temperatures and out-lives there, the freezer's too, from the coldest up [K, s]."""
        return self._with_storage([(self.out_life_at, self.out_life), *((p.temperature, p.life) for p in self.lives)])

    @property
    def tack_points(self) -> tuple[tuple[float, float], ...]:
        """Temperatures and lives of its tack there, from the coldest up [K, s]: frozen cloth keeps its tack too."""
        return self._with_storage([(p.temperature, p.life) for p in self.tack_life]) if self.tack_life else ()

    def _with_storage(self, points: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
        if self.storage is not None and all(abs(t - self.storage_at) > 0.1 for t, _ in points):
            points.append((self.storage_at, self.storage))
        return tuple(sorted(points))


@stated
class Resin:
    """A resin system as the cure bench needs it.

    Parameters
    ----------
    kinetics
        Name of the rate law; see `bagside.cure.model_from`.
    parameters
        The law's parameters in SI (1/s, J/mol), by the names the law gives them.
    heat
        Heat of reaction [J/kg resin].
    density, heat_capacity, conductivity
        Of the resin [kg/m³, J/(kg K), W/(m K)].
    fibre_heat_capacity, fibre_conductivity
        Of the fibre, across it [J/(kg K), W/(m K)].
    tg_uncured, tg_cured, tg_lambda
        DiBenedetto constants [K, K, –].
    gel
        Degree of cure at gel.
    start
        Degree of cure when fresh; some rate laws stay at zero for ever when this is zero.
    viscosity
        Name of the viscosity law, or empty.
    viscosity_parameters
        Its parameters in SI.
    hottest
        Temperature at which it is spoiled [K].
    worn
        Degree of cure when its out-life at room temperature is used up; worked out from the rate law when not stated.
    fitted
        What the rate law was fitted to, when ``bagside resin fit`` made it.
    tg_error
        By how much the fitted law may be off in the glass transition half-way through a cure; zero when not fitted.
    """

    kinetics: str
    parameters: dict[str, float]
    heat: SomeHeat
    density: PositiveDensity
    heat_capacity: PositiveHeatCapacity
    conductivity: PositiveConductivity
    fibre_heat_capacity: PositiveHeatCapacity
    fibre_conductivity: PositiveConductivity
    tg_uncured: Temperature
    tg_cured: Temperature
    tg_lambda: float
    gel: Fraction
    start: Fraction
    viscosity: str = ""
    viscosity_parameters: dict[str, float] = field(default_factory=dict)
    hottest: Temperature
    worn: Fraction | None = None
    fitted: Fitted = Fitted.NOT
    tg_error: Difference = 0.0
    basis: Told


@stated
class ToolMaterial:
    """What a mould is made of.

    Parameters
    ----------
    limit
        Hottest it may be under vacuum [K].
    """

    density: PositiveDensity
    heat_capacity: PositiveHeatCapacity
    conductivity: PositiveConductivity
    expansion: Expansion
    limit: Temperature
    basis: Told


@stated
class Substrate:
    """What the replaced part is made of (taken as the same in all directions)."""

    modulus: PositiveModulus
    poisson: Fraction
    density: PositiveDensity
    basis: Told


@stated
class Adhesive:
    """A two-part or film adhesive for bonding brackets.

    Parameters
    ----------
    shear_strength
        Lap shear strength on the sheet [Pa].
    design_factor
        Share of it to design with.
    shear_modulus
        [Pa].
    bondline
        Thickness to aim for [m].
    density
        Mixed [kg/m³].
    pot_life, fixture_time, cure_time
        At ``cure_temperature`` [s].
    limit
        Hottest in service [K].
    coldest
        Coldest it cures at [K].
    shelf_life, opened_life
        How long it keeps from the day it was made, unopened, and from the day it was opened [s]; not stated when the
        sheet gives none.
    """

    shear_strength: PositiveModulus
    design_factor: Fraction
    shear_modulus: PositiveModulus
    bondline: PositiveLength
    density: PositiveDensity
    pot_life: PositiveTime
    fixture_time: PositiveTime
    cure_time: PositiveTime
    cure_temperature: Temperature
    limit: Temperature
    coldest: Temperature
    shelf_life: PositiveTime | None = None
    opened_life: PositiveTime | None = None
    basis: Told


@stated
class Coating:
    """A coat: filler, primer or clear.

    Parameters
    ----------
    solids
        Share of the mixed volume that stays.
    dry_film
        Per coat [m].
    transfer
        Share of the sprayed or wiped volume that lands on the part.
    parts_by_volume
        Resin and hardener, as (2, 1).
    densities
        Of the two parts [kg/m³].
    pot_life, flash, recoat_latest, cure_time
        [s] at 20 °C.
    isocyanate
        Whether its hardener gives off isocyanates when sprayed.
    shelf_life, opened_life
        As of `Adhesive`.
    """

    solids: Fraction
    dry_film: PositiveLength
    transfer: Fraction
    parts_by_volume: tuple[float, float]
    densities: tuple[PositiveDensity, PositiveDensity]
    pot_life: PositiveTime
    flash: SomeTime
    recoat_latest: PositiveTime
    cure_time: PositiveTime
    coldest: Temperature
    wettest: Fraction
    isocyanate: bool
    shelf_life: PositiveTime | None = None
    opened_life: PositiveTime | None = None
    basis: Told


@stated
class Film:
    """A film, cloth or tape of the bag.

    Parameters
    ----------
    limit
        Hottest it may be for as long as it takes [K].
    width
        As it comes off the roll [m].
    short_limit, short_time
        Hottest it may be for a while, and for how long in all [K, s]; not stated when its sheet gives one value.
    cures
        How many it may see; film that has seen them serves debulks.
    """

    limit: Temperature
    width: PositiveLength
    short_limit: Temperature | None = None
    short_time: PositiveTime | None = None
    cures: int = 1
    basis: Told
