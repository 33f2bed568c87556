"""Pressures as a gauge shows them, to absolute: the same two gauges that ``bagside leak`` knows."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagside.ledger.things import Build


def ambient_of(text: str, build: Build) -> float:
    """Return the ambient pressure of the day: as typed, else as the build was planned with [Pa].

    Parameters
    ----------
    text
        As typed; may be empty.
    build
        The build.

    Raises
    ------
    InputError
        When it cannot be read.
    """
    from bagside.cli.options import positive
    from bagside.quantity import Quantity

    return positive(text, Quantity.PRESSURE, "--ambient") if text else build.planned.ambient


def absolute(text: str, ambient: float, option: str, *, below: bool) -> float:
    """Return what a gauge shows as absolute pressure [Pa].

    Parameters
    ----------
    text
        As typed; a gauge below ambient may show it with or without the minus.
    ambient
        Of the day [Pa].
    option
        For messages.
    below
        Whether the gauge shows pressure below ambient.

    Raises
    ------
    InputError
        When it cannot be read, or there is less than nothing in the bag.
    """
    from bagside.cli.options import quantity
    from bagside.errors import InputError
    from bagside.quantity import Quantity, shown

    value = quantity(text, Quantity.PRESSURE, option)
    if not below:
        if value < 0.0:
            raise InputError.one(
                option,
                f'"{text}"',
                "an absolute pressure cannot be negative",
                "when the gauge shows pressure below ambient, say so with --below",
            )
        return value
    left = ambient - abs(value)
    if left <= 0.0:
        raise InputError.one(
            option,
            f'"{text}"',
            f"that is more vacuum than there is air today, {shown(ambient, 'mbar', 0)}",
            "state the barometer with --ambient, or leave --below out when the gauge shows absolute pressure",
        )
    return left
