"""What was done to a file, as a person reads it: their own words, and two that the program puts in itself."""

from __future__ import annotations

from bagside.web.model.text_file import BEGUN, OUTSIDE
from bagside.web.words.tongue import Tongue

_OWN = {OUTSIDE: "history.outside", BEGUN: "history.as_found"}


def did(what: str, tongue: Tongue) -> str:
    """Return what was done.

    Parameters
    ----------
    what
        As the states of the file have it.
    tongue
        Of the reader.
    """
    return tongue.say(_OWN[what]) if what in _OWN else what
