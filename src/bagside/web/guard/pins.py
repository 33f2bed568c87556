"""PINs: made, chosen, hashed, and looked up by the role they open.

The hash is argon2id with the second recommended setting of RFC 9106, section 4 (64 MiB, three passes, four lanes). A
PIN is short, so what protects it is the limit on attempts (`bagside.web.guard.attempts`), not the hash.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable
from itertools import pairwise

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from argon2.profiles import RFC_9106_LOW_MEMORY

from bagside.errors import InputError
from bagside.web.guard.access import Access, Role

DIGITS = {Role.FLOOR: 6, Role.DESK: 8}
"""Digits of a PIN that is made here, and the fewest of one that is chosen."""
MOST = 32
_HASHER = PasswordHasher.from_parameters(RFC_9106_LOW_MEMORY)
_BLANKS = dict.fromkeys(map(ord, " \t\u00a0\u2009\u202f-"))


def made_pin(role: Role, draw: Callable[[int], int] = secrets.randbelow) -> str:
    """Return a new PIN that nobody would think of first.

    Parameters
    ----------
    role
        It opens.
    draw
        Gives a number from zero up to, and without, its argument.
    """
    count = DIGITS[role]
    while True:
        pin = f"{draw(10**count):0{count}d}"
        if not _is_plain(pin):
            return pin


def tidy(typed: str) -> str:
    """Return a PIN without the blanks and hyphens people put between its groups.

    Parameters
    ----------
    typed
        As typed.
    """
    return typed.translate(_BLANKS)


def chosen_pin(role: Role, typed: str) -> str:
    """Return a PIN a person chose.

    Parameters
    ----------
    role
        It shall open.
    typed
        As typed.

    Raises
    ------
    InputError
        When it is too short, no number, or among the first anybody would try. It does not say the PIN.
    """
    pin = tidy(typed)
    place = f"{role.value} PIN"
    if not (pin.isascii() and pin.isdigit()):
        raise InputError.one(place, "", "digits only are wanted")
    if len(pin) < DIGITS[role] or len(pin) > MOST:
        came = f"{len(pin)} digits"
        raise InputError.one(place, came, f"at least {DIGITS[role]} digits are wanted, and not more than {MOST}")
    if _is_plain(pin):
        raise InputError.one(place, "", "this is among the first anybody tries", "let one be made")
    return pin


def grouped(pin: str) -> str:
    """Return a PIN in groups, as it is read aloud.

    Parameters
    ----------
    pin
        Its digits.

    Examples
    --------
    >>> grouped("481203"), grouped("48120377")
    ('481 203', '4812 0377')
    """
    size = 4 if len(pin) % 4 == 0 else 3
    return " ".join(pin[k : k + size] for k in range(0, len(pin), size))


def hashed(pin: str) -> str:
    """Return the hash of a PIN, with its salt and setting.

    Parameters
    ----------
    pin
        Its digits.
    """
    return _HASHER.hash(pin)


def role_for(typed: str, access: Access) -> Role | None:
    """Return the role a PIN opens; None when it opens nothing.

    Both hashes are always tried, so the time taken does not tell which one is near.

    Parameters
    ----------
    typed
        As typed.
    access
        Holds the hashes.
    """
    pin = tidy(typed)
    found: Role | None = None
    for role, kept in ((Role.FLOOR, access.floor_hash), (Role.DESK, access.desk_hash)):
        if kept is not None and fits(kept, pin[: MOST + 1]):
            found = role
    return found


def fits(kept: str, pin: str) -> bool:
    """Return whether a PIN is the one of a hash.

    Parameters
    ----------
    kept
        The hash.
    pin
        Its digits.
    """
    try:
        return _HASHER.verify(kept, pin)
    except (VerificationError, InvalidHashError):
        return False


def _is_plain(pin: str) -> bool:
    """Return whether a PIN is one digit repeated, a run up or down, or a short group repeated."""
    steps = {(int(b) - int(a)) % 10 for a, b in pairwise(pin)}
    if len(steps) <= 1 and steps <= {0, 1, 9}:
        return True
    return any(pin == (pin[:k] * len(pin))[: len(pin)] for k in (1, 2, 3))
