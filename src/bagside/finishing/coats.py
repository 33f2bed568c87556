"""What is mixed for a coat, and when the next may follow."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside.errors import InputError, Problem
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown
from bagside.spec.material import Coating

USABLE = 0.7  # share of a pot's life in which it still goes on well: common practice


@dataclass(frozen=True, slots=True, kw_only=True)
class CoatPlan:
    """One coating, so many coats.

    Parameters
    ----------
    name
        Of the coating.
    times
        Coats.
    area
        Coated each time [m²].
    wet, dry
        Film of one coat [m].
    volume
        To mix for one coat, both parts [m³].
    masses
        Of the two parts for one coat [kg].
    pots
        Pots to mix for one coat, so that none outlives its pot life.
    pot_life, flash, recoat_latest, cure_time
        [s].
    spray
        Time to put one coat on [s].
    isocyanate
        Whether spraying it gives off isocyanates.
    """

    name: str
    times: int
    area: float
    wet: float
    dry: float
    volume: float
    masses: tuple[float, float]
    pots: int
    pot_life: float
    flash: float
    recoat_latest: float
    cure_time: float
    spray: float
    isocyanate: bool

    @property
    def build(self) -> float:
        """Dry film of all coats [m]."""
        return self.times * self.dry

    @property
    def mass(self) -> float:
        """Mixed for all coats [kg]."""
        return self.times * sum(self.masses)

    @property
    def waiting(self) -> float:
        """Time that passes between and after the coats [s]."""
        return (self.times - 1) * self.flash + self.cure_time


def wet_film(dry: float, solids: float, thinner: float = 0.0) -> float:
    """Return the wet film that dries to a film [m].

    Parameters
    ----------
    dry
        Film when dry [m].
    solids
        Share of the volume that stays, before thinning.
    thinner
        Volume added, as a share of the paint's.

    Raises
    ------
    InputError
        When solids are not above 0 up to 1, the film is not above zero, or thinner is taken away.
    """
    problems = []
    if not 0.0 < dry < math.inf:
        problems.append(Problem(place="coating, dry film", came=f"{dry:g} m", wanted="a film above zero is wanted"))
    if not 0.0 < solids <= 1.0:
        problems.append(
            Problem(
                place="coating, solids", came=f"{100 * solids:g} %", wanted="more than 0 and at most 100 % is wanted"
            )
        )
    if not 0.0 <= thinner < math.inf:
        problems.append(
            Problem(place="coating, thinner", came=f"{100 * thinner:g} %", wanted="a share not below 0 is wanted")
        )
    if problems:
        raise InputError(problems)
    return dry * (1.0 + thinner) / solids


def spreading_rate(dry: float, solids: float) -> float:
    """Return how far paint goes when none is lost [m²/m³]; 1 m²/L is 1000.

    Parameters
    ----------
    dry
        Film when dry [m].
    solids
        Share of the volume that stays.

    Raises
    ------
    InputError
        When solids are not above 0 up to 1, or the film is not above zero.
    """
    return 1.0 / wet_film(dry, solids)


def mass_ratio(parts: tuple[float, float], densities: tuple[float, float]) -> float:
    """Return the mass of the second part for a unit mass of the first.

    Parameters
    ----------
    parts
        By volume.
    densities
        [kg/m³].

    Raises
    ------
    InputError
        When a part or density is not above zero.
    """
    if not (min(parts) > 0.0 and min(densities) > 0.0):
        raise InputError.one("coating, parts", f"{parts}", "two parts and two densities above zero are wanted")
    return parts[1] / parts[0] * densities[1] / densities[0]


def plan_coat(name: str, coating: Coating, *, area: float, times: int, rate: float) -> CoatPlan:
    """Return what is mixed for a coating.

    Parameters
    ----------
    name
        Of the coating.
    coating
        As stated.
    area
        Coated each time [m²].
    times
        Coats.
    rate
        At which it is put on [m²/s].

    Raises
    ------
    InputError
        When area, rate, transfer or number of coats is not above zero, or the parts make no whole.

    Notes
    -----
    Pots are counted at the pot life stated, which holds at 20 °C; in a room at 30 °C it is about half.
    """
    problems = [
        Problem(place=f"coating {name}, {word}", came=f"{value:g}", wanted="a number above zero is wanted")
        for word, value in (("area", area), ("rate", rate), ("transfer", coating.transfer), ("times", times))
        if not 0.0 < value < math.inf
    ]
    parts = coating.parts_by_volume
    if not (min(parts) >= 0.0 and 0.0 < sum(parts) < math.inf):
        problems.append(
            Problem(
                place=f"coating {name}, parts by volume",
                came=f"{parts[0]:g} : {parts[1]:g}",
                wanted="two parts are wanted, none negative, as in 2 : 1",
            )
        )
    if problems:
        raise InputError(problems)
    wet = wet_film(coating.dry_film, coating.solids)
    volume = area * wet / coating.transfer
    first = volume * coating.parts_by_volume[0] / sum(coating.parts_by_volume)
    second = volume - first
    spray = area / rate
    return CoatPlan(
        name=name,
        times=times,
        area=area,
        wet=wet,
        dry=coating.dry_film,
        volume=volume,
        masses=(first * coating.densities[0], second * coating.densities[1]),
        pots=max(1, math.ceil(spray / (USABLE * coating.pot_life))),
        pot_life=coating.pot_life,
        flash=coating.flash,
        recoat_latest=coating.recoat_latest,
        cure_time=coating.cure_time,
        spray=spray,
        isocyanate=coating.isocyanate,
    )


def coat_findings(plan: CoatPlan, coating: Coating) -> tuple[Finding, ...]:
    """Return what a person should know before mixing.

    Parameters
    ----------
    plan
        From `plan_coat`.
    coating
        The one it was planned with.

    Returns
    -------
    tuple of Finding
        Recoat window, isocyanates and pots, where they matter.
    """
    found: list[Finding] = []
    between = plan.spray + plan.flash
    if plan.times > 1 and between > plan.recoat_latest:
        found.append(
            Finding(
                severity=Severity.DECIDE,
                stage="finishing",
                place=f"coat {plan.name}",
                what=f"one coat on all parts takes {shown(between, 'min', 0)}; the next must follow within "
                f"{shown(plan.recoat_latest, 'min', 0)}",
                why="a later coat does not bite and peels",
                do="coat fewer parts at a time, or let it cure and flat it with P600 to P800 between coats",
                basis=coating.basis.of("recoat_latest"),
                source=coating.basis.source,
            )
        )
    if plan.isocyanate:
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="finishing",
                place=f"coat {plan.name}",
                what="its hardener gives off isocyanates when sprayed",
                why="they cause asthma for life, at levels that cannot be smelt",
                do="spray only in a booth with an air-fed mask, and keep it on until the room has cleared; read the "
                "safety data sheet and the local rules",
                basis=Basis.PUBLISHED,
                source="UK regulator's guidance on spraying two-pack paint; limit 0.02 mg/m³ as NCO over 8 h",
            )
        )
    if plan.pots > 1:
        found.append(
            Finding(
                severity=Severity.SEEN,
                stage="finishing",
                place=f"coat {plan.name}",
                what=f"{plan.pots} pots are mixed for each coat",
                why="one pot would thicken before it is used up",
                do="mix the next when the last third is in the gun",
                basis=coating.basis.of("pot_life"),
                source=coating.basis.source,
            )
        )
    return tuple(found)
