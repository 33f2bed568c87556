"""Sentences that a plan makes, said in each language of the pages.

A plan is frozen with its sentences in English. Each kind of sentence stands in the catalogue with places for what
changes; a sentence that is recognised by its English form is said by the form of the other language. One that nobody
has a form for stays English, and is marked so that a screen reader speaks it rightly.
"""

from __future__ import annotations

import re
from functools import cache

from bagside.web.words.catalogue import LANGUAGES, catalogue

FILE = "floor_steps"
INSIDE = "in_"
"""Forms whose names begin so are no sentences: they are recognised only in a place of one."""
WORD = r"\S+"
"""What stands in a place whose name begins with ``word``."""
_PLACE = re.compile(r"\{(\w+)\}")


def spoken(sentence: str) -> dict[str, str]:
    """Return a sentence of a plan in every language that has a form for it.

    Parameters
    ----------
    sentence
        In English.

    Returns
    -------
    dict
        Text by language; English is always there.

    Examples
    --------
    >>> spoken("2 films off")["de"]
    '2 Folien ab'
    """
    out = {"en": sentence}
    key, values = _recognised(sentence, whole=True)
    if key:
        for language in LANGUAGES:
            form = catalogue(language).get(f"{FILE}.{key}") if language != "en" else None
            if form is not None:
                out[language] = form.format(**{k: _inside(v, language) for k, v in values.items()})
    return out


def _inside(value: str, language: str) -> str:
    """Return what stands in a place, itself said in the language where there is a form for it."""
    key, values = _recognised(value, whole=False)
    form = catalogue(language).get(f"{FILE}.{key}") if key else None
    if form is None:
        items = value.split("; ")
        return "; ".join(_inside(i, language) for i in items) if len(items) > 1 else _numbers(value, language)
    return form.format(**{k: _inside(v, language) for k, v in values.items()})


def _numbers(value: str, language: str) -> str:
    """Return a value with the decimal sign of the language."""
    return re.sub(r"(?<=\d)\.(?=\d)", ",", value) if language == "de" else value


def _recognised(sentence: str, *, whole: bool) -> tuple[str, dict[str, str]]:
    for key, pattern in _patterns():
        if whole and key.startswith(INSIDE):
            continue
        found = pattern.fullmatch(sentence)
        if found is not None:
            return key, found.groupdict()
    return "", {}


@cache
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    """Return the English forms, those with the most words of their own first."""
    texts = {k.partition(".")[2]: t for k, t in catalogue("en").items() if k.startswith(f"{FILE}.")}
    ordered = sorted(texts.items(), key=lambda item: (-len(_PLACE.sub("", item[1])), item[0]))
    return tuple((key, re.compile(_expression(text), re.DOTALL)) for key, text in ordered)


def _expression(text: str) -> str:
    def place(name: str) -> str:
        return f"(?P<{name}>{WORD if name.startswith('word') else '.+?'})"

    return "".join(re.escape(p) if k % 2 == 0 else place(p) for k, p in enumerate(_PLACE.split(text)))
