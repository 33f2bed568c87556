"""Addresses of things by their names: a name on a label may hold a space, a slash, a number sign."""

from __future__ import annotations

from urllib.parse import quote


def of_thing(name: str) -> str:
    """Return where a roll, an offcut, a kit, goods or a place is looked at.

    Parameters
    ----------
    name
        On its label.

    Examples
    --------
    >>> of_thing("R 7/2")
    '/freezer/R%207%2F2'
    """
    return f"/freezer/{quote(name, safe='')}"


def of_mould(name: str) -> str:
    """Return where a mould is looked at.

    Parameters
    ----------
    name
        In the records.
    """
    return f"/moulds/{quote(name, safe='')}"


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
