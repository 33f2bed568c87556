"""What a mark lies on, said in the drawing, so that a page with another paper knows which inks must stay.

Ink on paper goes with the paper. Ink on a map, on a kit's grey or on tape stays as it is, for those never change. A
line that crosses from one to the other is drawn once, and its group says so; `bagside.sheets.themed` makes two of it.
"""

from __future__ import annotations

from collections.abc import Iterable

FIXED = "fixed"
BOTH = "both"
TAPE = "tape"


def on_cloth(parts: Iterable[str]) -> str:
    """Return fragments that lie on colours which never change.

    Parameters
    ----------
    parts
        Fragments, the lowest first.
    """
    body = "".join(parts)
    return f'<g data-ground="{FIXED}">{body}</g>' if body else ""


def on_tape(parts: Iterable[str]) -> str:
    """Return tape and what lies on it: its edge may be the tape's own, letters stay ink.

    Parameters
    ----------
    parts
        Fragments, the lowest first.
    """
    body = "".join(parts)
    return f'<g data-ground="{TAPE}">{body}</g>' if body else ""


def both(parts: Iterable[str], shape: str) -> str:
    """Return fragments that lie partly on such colours.

    Parameters
    ----------
    parts
        Fragments, the lowest first.
    shape
        Name of the clip path round those colours; it must be defined before.
    """
    body = "".join(parts)
    return f'<g data-ground="{BOTH}" data-shape="{shape}">{body}</g>' if body else ""
