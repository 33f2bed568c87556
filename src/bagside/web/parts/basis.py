"""Where a number comes from, drawn beside it as on paper: full to empty, with a name for readers."""

from __future__ import annotations

from functools import cache
from html import escape

from bagside.findings import Basis
from bagside.sheets import marks
from bagside.sheets.colour import INK
from bagside.web.parts.plan_words import plan_words
from bagside.web.words.tongue import Tongue

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
    name = tongue.say(_KEYS[basis]) + (f": {plan_words(source, tongue)}" if source else "")
    return (
        f'<svg class="bm" viewBox="0 0 2 2" role="img" aria-label="{escape(name)}"><title>{escape(name)}</title>'
        f"{_drawn(basis)}</svg>"
    )


@cache
def _drawn(basis: Basis) -> str:
    """Return the mark of the sheets in the ink of the text around it: in a reversed block that is paper."""
    drawn = marks.basis_mark(1.0, 1.0, basis, size=1.9)
    shapes = drawn[drawn.index(">") + 1 : -len("</g>")]  # it has its name already
    return shapes.replace(INK, "currentColor")


def key(tongue: Tongue) -> str:
    """Return the key of all marks as HTML, once a sheet.

    Parameters
    ----------
    tongue
        Of the reader.
    """
    parts = [f"<span>{mark(basis, tongue)} {escape(tongue.say(word))}</span>" for basis, word in _KEYS.items()]
    return f'<div class="key">{"".join(parts)}</div>'
