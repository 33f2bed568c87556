"""Words that the ledger shares: of refusals, of moments, and the order of names."""

from __future__ import annotations

from datetime import datetime

from bagside.errors import Problem
from bagside.quantity import shown

CORRECT = "correct the event (bagside stock correct)"


def amiss(place: str, came: str, wanted: str, hint: str = "") -> Problem:
    """Return a refusal.

    Parameters
    ----------
    place, came, wanted, hint
        See `bagside.errors.Problem`.
    """
    return Problem(place=place, came=came, wanted=wanted, hint=hint)


def at_text(moment: datetime) -> str:
    """Return a moment as text.

    Parameters
    ----------
    moment
        In UTC.

    Examples
    --------
    >>> from datetime import UTC
    >>> at_text(datetime(2026, 11, 26, 14, 5, tzinfo=UTC))
    '2026-11-26 14:05 UTC'
    """
    return f"{moment:%Y-%m-%d %H:%M} UTC"


def celsius(value: float, digits: int = 0) -> str:
    """Return a temperature as text.

    Parameters
    ----------
    value
        In K.
    digits
        After the point.

    Examples
    --------
    >>> celsius(255.15)
    '−18 °C'
    """
    return shown(value, "°C", digits)


def amount(value: float, what: str) -> str:
    """Return an amount as text.

    Parameters
    ----------
    value
        In m, m², kg, m³ or pieces.
    what
        ``length``, ``area``, ``mass``, ``volume`` or ``count``.

    Examples
    --------
    >>> amount(2.95, "length"), amount(0.0125, "mass"), amount(3, "count")
    ('2.950 m', '12.5 g', '3')
    """
    scale, unit, digits = _SHOWN[what]
    return f"{value * scale:.{digits}f}{unit}".replace("-", "−")


_SHOWN = {
    "length": (1.0, " m", 3),
    "area": (1.0, " m²", 4),
    "mass": (1e3, " g", 1),
    "volume": (1e6, " mL", 1),
    "count": (1.0, "", 0),
}


def natural(name: str) -> tuple[str, int, str]:
    """Return a key by which O-9 comes before O-10.

    Parameters
    ----------
    name
        On a label.
    """
    head = name.rstrip("0123456789")
    return (head, int(name[len(head) :] or 0), name)
