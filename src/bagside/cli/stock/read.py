"""Amounts, faces and uses as a person types them, empty when nothing is said."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from bagside.errors import InputError, did_you_mean
from bagside.quantity import Quantity

if TYPE_CHECKING:
    from bagside.ledger.bodies import Use


def optional(text: str, kind: Quantity, option: str) -> float | None:
    """Return an option's text as an SI number; None when nothing is typed.

    Parameters
    ----------
    text, kind, option
        See `bagside.cli.options.quantity`.

    Raises
    ------
    InputError
        When it has no unit or the wrong one.
    """
    from bagside.cli.options import quantity

    return quantity(text, kind, option) if text.strip() else None


def whole(text: str, option: str) -> int | None:
    """Return a whole number; None when nothing is typed.

    Parameters
    ----------
    text
        As typed.
    option
        For messages.

    Raises
    ------
    InputError
        When it is none.
    """
    word = text.strip()
    if not word:
        return None
    if not word.isdecimal():
        raise InputError.one(option, f'"{text}"', "a whole number is wanted, as in 12")
    return int(word)


def money_of(text: str, option: str, currency: str, *, area: bool) -> float | None:
    """Return a price in the workshop's money; None when nothing is typed.

    Parameters
    ----------
    text
        As ``46 EUR/m²``, or ``85 EUR``.
    option
        For messages.
    currency
        Of the workshop.
    area
        Whether it is for a square metre.

    Raises
    ------
    InputError
        When it cannot be read, is in another currency, or below zero.
    """
    from bagside.cli.options import not_negative

    if not text.strip():
        return None
    other = [word for word in re.findall(r"\b[A-Z]{3}\b", text) if word != currency]
    if other:
        raise InputError.one(option, f'"{text}"', f"the workshop counts in {currency}, not in {other[0]}")
    return not_negative(text, Quantity.MONEY_PER_AREA if area else Quantity.MONEY, option)


def face_of(text: str) -> str:
    """Return which face is up.

    Parameters
    ----------
    text
        As typed.

    Raises
    ------
    InputError
        When it is none.
    """
    from bagside.spec.stock import Up

    faces = [u.value for u in Up]
    if text not in faces:
        raise InputError.one("--up", f'"{text}"', f"one of {' or '.join(faces)} is wanted", did_you_mean(text, faces))
    return text


def use_of(text: str) -> Use:
    """Return what a consumable is for.

    Parameters
    ----------
    text
        As typed; other when nothing is.

    Raises
    ------
    InputError
        When it is none.
    """
    from bagside.ledger.bodies import Use

    names = [u.value for u in Use]
    if not text:
        return Use.OTHER
    if text not in names:
        raise InputError.one("--use", f'"{text}"', f"one of {', '.join(names)} is wanted", did_you_mean(text, names))
    return Use(text)
