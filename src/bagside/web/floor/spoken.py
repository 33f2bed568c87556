"""Sentences of a plan in every language of the pages at once: the floor page changes its language without asking."""

from __future__ import annotations

from bagside.web.words.catalogue import LANGUAGES
from bagside.web.words.sentences import in_language


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
    found = {language: in_language(sentence, language) for language in LANGUAGES if language != "en"}
    return {"en": sentence} | {language: text for language, text in found.items() if text is not None}
