"""PINs of one's own: typed unseen at the terminal, or read from a file that only its owner reads.

Never an option's value: whoever may list the programs of a machine, or its shell's history, would read it there.
"""

from __future__ import annotations

import os
import stat
import sys
import tomllib
from collections.abc import Callable
from getpass import getpass
from pathlib import Path

from bagside.errors import InputError
from bagside.web.guard.access import Role
from bagside.web.guard.pins import DIGITS, chosen_pin

MOST_BYTES = 10_000
_WANTED = 'two lines are wanted, as in floor = "482 915" and desk = "7204 9163"'


def typed_pin(role: Role, ask: Callable[[str], str] = getpass, there: Callable[[], bool] = sys.stdin.isatty) -> str:
    """Return a PIN that is typed twice, unseen.

    Parameters
    ----------
    role
        It shall open.
    ask
        Shows a text and returns what was typed.
    there
        Says whether somebody sits at a terminal.

    Raises
    ------
    InputError
        When nobody does, it was typed in two ways, or is too easy. It does not say the PIN.
    """
    place = "--own-pins"
    if not there():
        raise InputError.one(place, "", "PINs are typed at a terminal", "or put into a file, with --pins FILE")
    try:
        first = ask(f"PIN of the {role.value}, at least {DIGITS[role]} digits (not shown): ")
        chosen_pin(role, first)
        second = ask("the same again: ")
    except EOFError:
        raise InputError.one(place, "", "nothing was typed", "start again") from None
    if first != second:
        raise InputError.one(f"{role.value} PIN", "", "it was typed in two ways", "start again")
    return first


def pins_in(path: Path) -> Callable[[Role], str]:
    """Return what gives the PINs that stand in a file.

    Parameters
    ----------
    path
        TOML: ``floor`` and ``desk``, each a text.

    Raises
    ------
    InputError
        When it is not there, others may read it, or it does not hold both. It does not say a PIN.
    """
    place = f'--pins, "{path.name}"'
    try:
        with path.open("rb") as file:
            mode = os.fstat(file.fileno()).st_mode
            data = file.read(MOST_BYTES)
    except OSError as error:
        raise InputError.one(place, "", f"it cannot be read: {(error.strerror or str(error)).lower()}") from None
    if os.name == "posix" and stat.S_IMODE(mode) & 0o077:
        raise InputError.one(place, "", "others on this computer can read it", "take that from them with: chmod 600")
    try:
        told = tomllib.loads(data.decode("utf-8"))
    except ValueError:
        raise InputError.one(place, "", _WANTED) from None  # the parser's own words might repeat a PIN
    pins = {role: told.get(role.value) for role in Role}
    if not all(isinstance(pin, str) for pin in pins.values()):
        raise InputError.one(place, "", _WANTED, "each in quotes")
    return lambda role: str(pins[role])
