"""A leak as the hole it would be, and how its flow falls once the bag is no longer far below ambient."""

from __future__ import annotations

import math

from bagside.errors import InputError

GAMMA = 1.4  # air
GAS = 287.05  # [J/(kg K)] air
CHOKED = (2.0 / (GAMMA + 1.0)) ** (GAMMA / (GAMMA - 1.0))  # 0.528: pressure ratio below which flow is choked


def orifice_flow(area: float, outside: float, inside: float, temperature: float) -> float:
    """Return the flow of air through a hole with rounded edges.

    Parameters
    ----------
    area
        Of the hole [m²].
    outside, inside
        Absolute pressures [Pa].
    temperature
        Of the air outside [K].

    Returns
    -------
    float
        Flow [Pa m³/s] at that temperature.

    Raises
    ------
    InputError
        When a value is negative or inside is above outside.

    Notes
    -----
    Isentropic flow, p A √(RT) ψ, ψ = √(2γ/(γ−1) · r^(2/γ) (1 − r^((γ−1)/γ))), r = inside / outside and not less than
    0.528. A sharp edge lets 0.6 to 0.85 of it through, a scratch or thread less: it is the smallest hole that leaks
    like this.

    References
    ----------
    Prandtl; vacuum handbooks give 20 L/s for each cm² of hole in air of 20 °C when r < 0.528 (from memory).

    Examples
    --------
    >>> round(orifice_flow(1e-4, 101325.0, 0.0, 293.15) / 101325.0 * 1e3, 1)
    19.9
    """
    if not (area >= 0.0 and 0.0 <= inside <= outside and outside > 0.0 and temperature > 0.0):
        raise InputError.one(
            "leak", f"{area} m², {outside} Pa outside, {inside} Pa inside", "absolute pressures are wanted, less inside"
        )
    r = max(inside / outside, CHOKED)
    psi = math.sqrt(2.0 * GAMMA / (GAMMA - 1.0) * r ** (2.0 / GAMMA) * (1.0 - r ** ((GAMMA - 1.0) / GAMMA)))
    return outside * area * math.sqrt(GAS * temperature) * psi


def hole_diameter(leak: float, outside: float, inside: float, temperature: float) -> float:
    """Return the diameter of the round hole that leaks as much.

    Parameters
    ----------
    leak
        Leak [Pa m³/s].
    outside, inside
        Absolute pressures [Pa].
    temperature
        Of the air outside [K].

    Returns
    -------
    float
        Diameter [m].

    Raises
    ------
    InputError
        As `orifice_flow`, or when the leak is negative or nothing drives it.
    """
    per_area = orifice_flow(1.0, outside, inside, temperature)
    if not (leak >= 0.0 and per_area > 0.0):
        raise InputError.one("leak", f"{leak} Pa m³/s at {outside} Pa outside", "a leak into a vacuum is wanted")
    return 2.0 * math.sqrt(leak / per_area / math.pi)
