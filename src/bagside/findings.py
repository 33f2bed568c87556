"""What a stage noticed and a person should know.

A finding is a sentence at its place: what, where, why, what to do now, and on what it rests. It never stops the
computation; a finding of severity ``STOP`` says that the part must not be built like this, and turns the exit code to
1.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding asks of the person."""

    STOP = "stop"
    DECIDE = "decide"
    WATCH = "watch"
    SEEN = "seen"


class Basis(StrEnum):
    """On what a number or a rule rests, strongest first."""

    MEASURED = "measured here"
    DATA_SHEET = "data sheet"
    PUBLISHED = "published source"
    COMMON = "common practice"


def weakest(*bases: Basis) -> Basis:
    """Return the weakest of several bases: a computed number carries it.

    Raises
    ------
    ValueError
        When no basis is given.

    Examples
    --------
    >>> weakest(Basis.DATA_SHEET, Basis.COMMON).value
    'common practice'
    """
    order = list(Basis)
    return max(bases, key=order.index)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing a stage noticed.

    Parameters
    ----------
    severity
        What it asks of the person.
    stage
        The bench that noticed it: ``drape``, ``cure``, …
    place
        Where on the part or in the plan: ``ply 3, piece 3A``.
    what
        The fact, with its number and unit.
    why
        Why it matters.
    do
        What to do now.
    basis
        On what it rests.
    source
        Which data sheet, publication or rule; may be empty for common practice.
    point
        Position on the mould in its own axes [m], when it has one.
    """

    severity: Severity
    stage: str
    place: str
    what: str
    why: str
    do: str
    basis: Basis
    source: str = ""
    point: tuple[float, float, float] | None = None


def sentence(text: str) -> str:
    """Return a clause as a sentence: first letter large, a point at the end.

    Examples
    --------
    >>> sentence("the roll ends too early")
    'The roll ends too early.'
    """
    text = text.strip()
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?" else ".")
