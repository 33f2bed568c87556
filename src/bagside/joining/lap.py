"""Stress in the adhesive of a lap, by the two published models that a maker can check by hand."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside.errors import InputError, Problem

LAPS = {"single": 80.0, "double": 30.0, "scarf": 50.0}
"""Length over thickness of the thinner sheet by kind of lap: a one-page handbook of lay-up rules."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LapStress:
    """Shear stress in the adhesive of a lap.

    Parameters
    ----------
    mean
        Load over bonded area [Pa].
    first, second
        At the end where the first sheet carries the whole load, and where the second does [Pa]; the higher of the two
        stands where the more yielding sheet carries it.
    middle
        Half-way along [Pa].
    lowest
        Lowest along the lap [Pa].
    """

    mean: float
    first: float
    second: float
    middle: float
    lowest: float

    @property
    def peak(self) -> float:
        """The higher end [Pa]."""
        return max(self.first, self.second)


def volkersen_1938(
    load: float,
    length: float,
    width: float,
    *,
    modulus_1: float,
    thickness_1: float,
    modulus_2: float,
    thickness_2: float,
    shear_modulus: float,
    bondline: float,
) -> LapStress:
    """Return the shear stress along a lap whose sheets stretch and whose adhesive shears.

    Parameters
    ----------
    load
        Carried across [N].
    length, width
        Of the lap, along the load and across it [m].
    modulus_1, thickness_1, modulus_2, thickness_2
        Of the sheets [Pa, m].
    shear_modulus, bondline
        Of the adhesive [Pa, m].

    Returns
    -------
    LapStress
        [Pa].

    Raises
    ------
    InputError
        When a length, modulus or thickness is not above zero, or the load is negative.

    Notes
    -----
    No bending, no peel: a single lap bends and is worse, see `goland_reissner_1944`. Elastic.

    References
    ----------
    Volkersen 1938, Luftfahrtforschung 15:41, as given in handbooks of adhesive bonding.
    """
    _positive(
        length=length, width=width, modulus_1=modulus_1, thickness_1=thickness_1, modulus_2=modulus_2,
        thickness_2=thickness_2, shear_modulus=shear_modulus, bondline=bondline,
    )  # fmt: skip
    if not 0.0 <= load < math.inf:
        raise InputError.one("lap, load", f"{load:g} N", "a load that is not negative is wanted")
    mean = load / (length * width)
    soft_1, soft_2 = 1.0 / (modulus_1 * thickness_1), 1.0 / (modulus_2 * thickness_2)
    uneven = (soft_2 - soft_1) / (soft_1 + soft_2)
    half = 0.5 * length * math.sqrt(shear_modulus / bondline * (soft_1 + soft_2))
    # τ(x) = C cosh wx + S sinh wx about the middle, with S/C = uneven·tanh(half). It falls from one end and rises to
    # the other, so that its lowest value √(C² − S²) always lies inside. 1/sinh through exp does not overflow.
    middle = mean * half * 2.0 * math.exp(-half) / -math.expm1(-2.0 * half)
    lean = uneven * math.tanh(half)
    first = mean * half * (1.0 / math.tanh(half) - lean)
    second = mean * half * (1.0 / math.tanh(half) + lean)
    lowest = middle * math.sqrt(1.0 - lean * lean)
    return LapStress(mean=mean, first=first, second=second, middle=middle, lowest=lowest)


def heat_shear(
    strain: float,
    length: float,
    *,
    modulus_1: float,
    thickness_1: float,
    modulus_2: float,
    thickness_2: float,
    shear_modulus: float,
    bondline: float,
) -> float:
    """Return the shear stress that heat alone leaves at both ends of a lap [Pa].

    Parameters
    ----------
    strain
        By which one sheet would grow more than the other if they were free: difference of expansion times change of
        temperature since the adhesive set.
    length
        Of the lap [m].
    modulus_1, thickness_1, modulus_2, thickness_2
        Of the sheets [Pa, m].
    shear_modulus, bondline
        Of the adhesive [Pa, m].

    Returns
    -------
    float
        Not negative; one way at one end, the other way at the other.

    Raises
    ------
    InputError
        When a length, modulus or thickness is not above zero.

    Notes
    -----
    Elastic and along one direction, sheets that stretch but do not bend. An adhesive that yields or creeps sees less.

    References
    ----------
    Shigley's Mechanical Engineering Design, example 9-7, for half of a symmetric double lap.
    """
    _positive(
        length=length, modulus_1=modulus_1, thickness_1=thickness_1, modulus_2=modulus_2, thickness_2=thickness_2,
        shear_modulus=shear_modulus, bondline=bondline,
    )  # fmt: skip
    soft = 1.0 / (modulus_1 * thickness_1) + 1.0 / (modulus_2 * thickness_2)
    w = math.sqrt(shear_modulus / bondline * soft)
    return abs(strain) * w / soft * math.tanh(0.5 * w * length)


def goland_reissner_1944(
    stress: float,
    half_length: float,
    *,
    modulus: float,
    poisson: float,
    thickness: float,
    shear_modulus: float,
    bondline: float,
) -> tuple[float, float]:
    """Return the bending factor k of a balanced single lap, and its peak over its mean shear stress.

    Parameters
    ----------
    stress
        Mean stress in the sheets away from the lap [Pa].
    half_length
        Half the overlap [m].
    modulus, poisson, thickness
        Of both sheets.
    shear_modulus, bondline
        Of the adhesive [Pa, m].

    Returns
    -------
    tuple of float
        k, and peak over mean.

    Raises
    ------
    InputError
        When a length, modulus or thickness is not above zero, or the stress is negative.

    References
    ----------
    Goland, Reissner 1944, Journal of Applied Mechanics 11:A17, as restated in public.
    """
    _positive(
        half_length=half_length, modulus=modulus, thickness=thickness, shear_modulus=shear_modulus, bondline=bondline
    )
    if not stress >= 0.0:
        raise InputError.one("lap, stress", f"{stress} Pa", "a stress that is not negative is wanted")
    slender = half_length / thickness
    u = slender * math.sqrt(1.5 * (1.0 - poisson**2) * stress / modulus)
    k = 1.0 / (1.0 + 2.0 * math.sqrt(2.0) * math.tanh(u))
    b = math.sqrt(8.0 * shear_modulus * thickness / (modulus * bondline)) * slender
    return k, 0.25 * (b * (1.0 + 3.0 * k) / math.tanh(b) + 3.0 * (1.0 - k))


def lap_length_by_rule(kind: str, thickness: float) -> float:
    """Return the length of a lap that carries what the thinner sheet carries, by the handbook's rule [m].

    Parameters
    ----------
    kind
        ``single``, ``double`` or ``scarf``.
    thickness
        Of the thinner sheet [m].

    Raises
    ------
    InputError
        When the kind is unknown or the thickness is not above zero.
    """
    if kind not in LAPS:
        raise InputError.one("lap, kind", f'"{kind}"', f"one of {', '.join(LAPS)} is wanted")
    _positive(thickness=thickness)
    return LAPS[kind] * thickness


def _positive(**values: float) -> None:
    wrong = [
        Problem(place=f"lap, {name.replace('_', ' ')}", came=f"{value:g}", wanted="a number above zero is wanted")
        for name, value in values.items()
        if not 0.0 < value < math.inf
    ]
    if wrong:
        raise InputError(wrong)
