"""Words that the benches make in English, said in the reader's language where the catalogue knows their form."""

from __future__ import annotations

import re

from bagside.web.parts.plan_words import plan_words
from bagside.web.words.sentences import recognised
from bagside.web.words.tongue import Tongue

_SEARCH = re.compile(r"polish, (\d+) ramps")
LIMITS = ("target", "tg", "hottest", "tool", "spread", "overshoot", "void_free", "flow", "stiff")


def place_words(name: str, tongue: Tongue) -> str:
    """Return what a place is called: ``4 plies, 1.31 mm, coldest place``.

    Parameters
    ----------
    name
        As the cure's case calls it; one that a person gave stays as it is.
    tongue
        Of the reader.

    Examples
    --------
    >>> place_words("4 plies, 1.31 mm, coldest place", Tongue(language="de"))
    '4 Lagen, 1,31 mm, kälteste Stelle'
    >>> place_words("keel", Tongue(language="de"))
    'keel'
    """
    return plan_words(name, tongue) if recognised(name) is not None else name


def search_words(what: str, tongue: Tongue) -> str:
    """Return what a search for a cycle is doing.

    Parameters
    ----------
    what
        As it says.
    tongue
        Of the reader.

    Examples
    --------
    >>> search_words("polish, 3 ramps", Tongue(language="de"))
    'feilen, 3 Rampen'
    """
    found = _SEARCH.fullmatch(what)
    if found is not None:
        return tongue.say("cure.search_polish", ramps=found[1])
    keys = {
        "hold on the mould": "hold",
        "post-cure": "post",
        "check": "check",
        "whole steps of the controller": "steps",
    }
    return tongue.say(f"cure.search_{keys[what]}") if what in keys else what


def limit_words(name: str, tongue: Tongue) -> str:
    """Return which limit is meant, after the name of its oven run when there are several.

    Parameters
    ----------
    name
        As a chance names it: ``on the mould: tool``.
    tongue
        Of the reader.
    """
    run, _, limit = name.rpartition(": ")
    words = tongue.say(f"cure.limit_{limit}") if limit in LIMITS else limit
    if not run:
        return words
    return f"{tongue.say('cure.run_post_cure' if run == 'post-cure' else 'cure.run_cure')}, {words}"
