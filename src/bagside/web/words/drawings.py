"""Words inside a drawing of the sheets, said in a reader's language and units.

A sheet draws in English and metric, as it is printed. What stands in it is said by the same forms as a plan's
sentences. Flat pieces carry their sizes as bare numbers under a heading that names the unit: both change together.
"""

from __future__ import annotations

import re
from functools import lru_cache
from html import escape, unescape

from bagside.web.words.amounts import measured
from bagside.web.words.sentences import said
from bagside.web.words.tongue import Lengths, Tongue

FLAT = re.compile(r">flat, mm, ")
"""The heading of flat pieces."""
_TEXT = re.compile(r"(<(?:text|title)\b[^>]*>)(.*?)(</(?:text|title)>)", re.DOTALL)
_NODE = re.compile(r"(?<=>)[^<>]+(?=<)")
_SIZE = re.compile(r"\d+\.\d")


@lru_cache(64)
def drawn(svg: str, tongue: Tongue) -> str:
    """Return a drawing with its words in the reader's language and its amounts in the reader's units.

    Parameters
    ----------
    svg
        As a sheet draws it.
    tongue
        Of the reader.

    Examples
    --------
    >>> drawn("<svg><text x='1'>the mould alone</text></svg>", Tongue(language="de"))
    "<svg><text x='1'>nur die Form</text></svg>"
    """
    sizes = FLAT.search(svg) is not None

    def node(found: re.Match[str]) -> str:
        text = unescape(found[0])
        inches = tongue.lengths is Lengths.INCH
        if sizes and inches and _SIZE.fullmatch(text):
            size = measured(f"{text} mm", tongue, "en").removesuffix(" in")
            return size.replace(".", tongue.number(0.1, 1)[1])
        out = said(text, tongue).text
        if sizes and inches and text.startswith("flat, mm, "):
            out = out.replace(" mm,", " in,", 1)
        return escape(out, quote=False)

    return _TEXT.sub(lambda m: m[1] + _NODE.sub(node, f">{m[2]}<")[1:-1] + m[3], svg)
