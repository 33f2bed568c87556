"""What a plan says, put on a page: in the reader's language and units, marked where it is still English."""

from __future__ import annotations

from html import escape

from bagside.findings import sentence
from bagside.web.words.sentences import said
from bagside.web.words.tongue import Tongue


def plan_words(text: str, tongue: Tongue, *, full: bool = False) -> str:
    """Return what a plan says as plain text.

    Parameters
    ----------
    text
        In English and metric.
    tongue
        Of the reader.
    full
        Whether it is written as a sentence: first letter large, a point at its end.
    """
    out = said(text.strip(), tongue).text
    return sentence(out) if full else out


def plan_html(text: str, tongue: Tongue, *, full: bool = False) -> str:
    """Return what a plan says as HTML; what stays English is marked as such for a screen reader.

    Parameters
    ----------
    text
        In English and metric; it is escaped.
    tongue
        Of the reader.
    full
        Whether it is written as a sentence.
    """
    found = said(text.strip(), tongue)
    if not found.text:
        return ""
    out = escape(sentence(found.text) if full else found.text)
    return out if found.language == tongue.language else f'<span lang="{found.language}">{out}</span>'
