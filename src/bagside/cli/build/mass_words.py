"""A mass against the plan, and what the difference may mean, as lines and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bagside.ledger.builds.weighed import MassReading


def mass_line(reading: MassReading) -> str:
    """Return one mass against its plan.

    Parameters
    ----------
    reading
        What was weighed.
    """
    from bagside.quantity import shown

    line = f"{reading.stage.value} {shown(reading.measured, 'g')}"
    if reading.planned is None:
        return f"{line}; the plan states no mass here"
    off = reading.measured - reading.planned
    return (
        f"{line}, {shown(abs(off), 'g')} {'over' if off > 0 else 'under'} the plan of {shown(reading.planned, 'g')}; "
        f"±{shown(reading.sigma, 'g')} would be usual"
    )


def cause_lines(reading: MassReading, least: float = 0.02, most: int = 5) -> list[str]:
    """Return what may explain a mass, likeliest first; nothing when all is well.

    Parameters
    ----------
    reading
        What was weighed.
    least
        Chance below which a cause is not named.
    most
        How many are named.
    """
    named = [c for c in reading.candidates if c.chance >= least]
    if not named or (named[0].key == "nothing" and named[0].chance > 0.9):
        return []
    return [f"{100 * c.chance:3.0f} %  {c.what}" for c in named[:most]]


def mass_data(reading: MassReading) -> dict[str, Any]:
    """Return a mass as JSON data.

    Parameters
    ----------
    reading
        What was weighed.
    """
    return {
        "stage": reading.stage.value,
        "measured_g": 1e3 * reading.measured,
        "planned_g": None if reading.planned is None else 1e3 * reading.planned,
        "sigma_g": 1e3 * reading.sigma,
        "z": reading.z,
        "at": reading.at.isoformat(),
        "candidates": [
            {"key": c.key, "what": c.what, "chance": c.chance, "plies": list(c.plies), "mass_g": 1e3 * c.mass}
            for c in reading.candidates
        ],
        "unseen": [{"key": c.key, "what": c.what, "mass_g": 1e3 * c.mass} for c in reading.unseen],
    }
