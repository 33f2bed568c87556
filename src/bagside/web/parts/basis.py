"""Where a number comes from, drawn beside it: full to empty, with a name for readers."""

from __future__ import annotations

from html import escape

from bagside.findings import Basis
from bagside.web.words.tongue import Tongue

_DRAWN = {
    Basis.MEASURED: '<circle cx="4" cy="4" r="3.4" fill="currentColor"/>',
    Basis.DATA_SHEET: '<circle cx="4" cy="4" r="3" fill="none" stroke="currentColor" stroke-width="1.2"/>'
    '<path d="M4 1A3 3 0 0 0 4 7Z" fill="currentColor"/>',
    Basis.PUBLISHED: '<circle cx="4" cy="4" r="3" fill="none" stroke="currentColor" stroke-width="1.2"/>',
    Basis.COMMON: '<path d="M.6 5.2C1.8 2.2 3.2 2.6 4 4S6.2 5.8 7.4 2.8" fill="none" stroke="currentColor" '
    'stroke-width="1.2"/>',
}
_KEYS = {
    Basis.MEASURED: "common.basis_measured",
    Basis.DATA_SHEET: "common.basis_sheet",
    Basis.PUBLISHED: "common.basis_published",
    Basis.COMMON: "common.basis_common",
}


def mark(basis: Basis, tongue: Tongue, source: str = "") -> str:
    """Return the mark of a basis as HTML, to stand right after its number.

    Parameters
    ----------
    basis
        On what the number rests.
    tongue
        Of the reader.
    source
        Named when it is pointed at.
    """
    name = tongue.say(_KEYS[basis]) + (f": {source}" if source else "")
    return (
        f'<svg class="bm" viewBox="0 0 8 8" role="img" aria-label="{escape(name)}"><title>{escape(name)}</title>'
        f"{_DRAWN[basis]}</svg>"
    )


def key(tongue: Tongue) -> str:
    """Return the key of all marks as HTML, once a sheet.

    Parameters
    ----------
    tongue
        Of the reader.
    """
    parts = [f"<span>{mark(basis, tongue)} {escape(tongue.say(word))}</span>" for basis, word in _KEYS.items()]
    return f'<div class="key">{"".join(parts)}</div>'
