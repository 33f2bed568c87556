"""Pages before the program knows a person: spoken to in the language the browser asks for."""

from __future__ import annotations

import re
from dataclasses import dataclass

from bagside.web.preferences import COOKIE
from bagside.web.words.catalogue import LANGUAGES, text

_WANTED = re.compile(r"\s*([A-Za-z]{1,8})(?:-[A-Za-z0-9-]{1,32})?\s*(?:;\s*q\s*=\s*([01](?:\.\d{0,3})?)\s*)?")

_CHOSEN = re.compile(rf"(?:^|;)\s*{COOKIE}=(?:[\w-]{{1,40}}\.){{0,8}}?language-(\w{{1,8}})(?=[.;\s]|$)")


@dataclass(frozen=True, slots=True)
class Said:
    """Speaks one language.

    Parameters
    ----------
    language
        One of `bagside.web.words.catalogue.LANGUAGES`.
    """

    language: str

    def __call__(self, key: str, **values: object) -> str:
        """Return a text of the catalogue.

        Parameters
        ----------
        key
            ``file.name``.
        values
            For its places.
        """
        return text(self.language, key).format(**values)


def said_to(accepted: str, cookies: str = "") -> Said:
    """Return a speaker of the language that was chosen, or else of the first we have that a browser asks for.

    Parameters
    ----------
    accepted
        Text of the header Accept-Language (RFC 9110, section 12.5.4).
    cookies
        Text of the header Cookie: what was chosen on a page stands there.

    Examples
    --------
    >>> said_to("fr, de-AT;q=0.8, en;q=0.5").language, said_to("").language
    ('de', 'en')
    >>> said_to("en-GB", "bagside-tongue=language-de.lengths-metric").language
    'de'
    """
    chosen = _CHOSEN.search(cookies[:4000])
    if chosen is not None and chosen[1] in LANGUAGES:
        return Said(chosen[1])
    best, weight = "en", 0.0
    for part in accepted[:400].split(","):
        match = _WANTED.fullmatch(part)
        if match is None or match[1].lower() not in LANGUAGES:
            continue
        wanted = float(match[2]) if match[2] else 1.0
        if wanted > weight:
            best, weight = match[1].lower(), wanted
    return Said(best)
