"""The catalogue: every text of the pages by its key, one folder a language, one file a page.

A key is ``file.name``; a text holds ``{places}`` for values. English is whole by definition; another language that
lacks a key is a fault that a test finds, and until it is mended the English text is shown.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

LANGUAGES = {"en": "English", "de": "Deutsch"}
"""What a person may choose, each in its own words."""


@cache
def catalogue(language: str) -> Mapping[str, str]:
    """Return every text of a language by its key.

    Parameters
    ----------
    language
        One of `LANGUAGES`.

    Raises
    ------
    KeyError
        When there is no such language.
    """
    if language not in LANGUAGES:
        raise KeyError(language)
    found: dict[str, str] = {}
    for entry in sorted((files("bagside.web") / "words" / language).iterdir(), key=lambda e: e.name):
        if entry.name.endswith(".toml"):
            texts = tomllib.loads(entry.read_text(encoding="utf-8"))
            found |= {f"{entry.name[:-5]}.{key}": text for key, text in texts.items()}
    return found


def text(language: str, key: str) -> str:
    """Return a text; the English one where the language lacks it.

    Parameters
    ----------
    language
        One of `LANGUAGES`.
    key
        ``file.name``.

    Raises
    ------
    KeyError
        When no language has it.
    """
    return catalogue(language).get(key) or catalogue("en")[key]
