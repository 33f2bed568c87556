"""Addresses of things by their names: a name on a label may hold a space, a slash, a number sign."""

from __future__ import annotations

import re
from urllib.parse import quote

PLAIN = re.compile(r"[\w-][\w .-]*")
"""A name that stands in a path; the door refuses some others there, so they are asked for."""


def of_thing(name: str) -> str:
    """Return where a roll, an offcut, a kit, goods or a place is looked at.

    Parameters
    ----------
    name
        On its label.

    Examples
    --------
    >>> of_thing("K-114"), of_thing("R 7/2")
    ('/freezer/K-114', '/freezer?name=R%207%2F2')
    """
    return _address("freezer", name)


def of_mould(name: str) -> str:
    """Return where a mould is looked at.

    Parameters
    ----------
    name
        In the records.
    """
    return _address("moulds", name)


def _address(page: str, name: str) -> str:
    word = quote(name, safe="")
    return f"/{page}/{word}" if PLAIN.fullmatch(name) else f"/{page}?name={word}"


def of_build(name: str) -> str:
    """Return where a build is worked on.

    Parameters
    ----------
    name
        Its serial number.
    """
    return f"/floor/b/{quote(name, safe='')}"


def of_label(name: str) -> str:
    """Return where the label of an offcut is fetched.

    Parameters
    ----------
    name
        Of the offcut.
    """
    return f"/freezer-label.pdf?name={quote(name, safe='')}"
