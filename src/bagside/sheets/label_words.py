"""What stands on a label: of a cut piece, and of an offcut that goes back to stock."""

from __future__ import annotations

from base64 import b32encode
from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from urllib.parse import quote

import numpy as np
from numpy.typing import NDArray

from bagside.quantity import shown

Floats = NDArray[np.float64]

MOST = 78
"""Bytes a code says without an address: more would make its squares small."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PieceLabel:
    """The label of one cut copy.

    Parameters
    ----------
    piece
        Its name: ``3A``.
    part
        The part (kit) it is for: ``lid 2``.
    loops
        Outline first, then holes, in its own axes with the warp along x, each shape (k, 2) [m].
    ply, plies
        Its ply, counted from 1 in the order of laying, and how many there are; 0 when not known.
    job
        Name of the job.
    material, batch
        Of the cloth; the batch may be empty.
    source
        The roll or offcut it was cut from: ``roll R-22``; may be empty.
    face
        Which face goes where: ``resin-rich side to the mould``; may be empty.
    films
        Backing films to take off and count; None when not known.
    life_used, out_life
        Out of the freezer so far, and what is allowed [s]; None when not known.
    lay_by
        Latest moment to lay it, in words; may be empty.
    digest
        Revision of the plan it was cut by.
    key
        What the address ends in; made from digest, job, piece and part when empty.
    number
        In the order of cutting; 0 when not known.
    turned_over
        Whether it was cut face down.
    """

    piece: str
    part: str
    loops: tuple[Floats, ...]
    ply: int = 0
    plies: int = 0
    job: str = ""
    material: str = ""
    batch: str = ""
    source: str = ""
    face: str = ""
    films: int | None = None
    life_used: float | None = None
    out_life: float | None = None
    lay_by: str = ""
    digest: str = ""
    key: str = ""
    number: int = 0
    turned_over: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OffcutLabel:
    """The label of an offcut.

    Parameters
    ----------
    name
        Under which it is in stock.
    loops
        Outline first, then holes, with the warp along x, each shape (k, 2) [m].
    flaws
        Places not to be used, each shape (k, 2) [m].
    area
        Without holes and flaws [m²].
    material, batch
        Of the cloth; the batch may be empty.
    face
        Which face is up: ``resin-rich face up``; may be empty.
    life_used, out_life
        Out of the freezer so far, and what is allowed [s]; None when not known.
    use_by, made
        Last day its maker allows, and the day it was cut; None when not known.
    roll
        It came from; may be empty.
    """

    name: str
    loops: tuple[Floats, ...]
    flaws: tuple[Floats, ...] = ()
    area: float
    material: str = ""
    batch: str = ""
    face: str = ""
    life_used: float | None = None
    out_life: float | None = None
    use_by: date | None = None
    made: date | None = None
    roll: str = ""


Label = PieceLabel | OffcutLabel


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """A line of a label.

    Parameters
    ----------
    words
        What it says.
    bold
        Whether it is bold.
    quiet
        Whether it stands in the second ink.
    """

    words: str
    bold: bool = False
    quiet: bool = False


def ordinal(number: int) -> str:
    """Return a number as its place in a row.

    Parameters
    ----------
    number
        From 1.

    Examples
    --------
    >>> [ordinal(n) for n in (1, 2, 3, 4, 11, 12, 13, 21, 102, 111)]
    ['1st', '2nd', '3rd', '4th', '11th', '12th', '13th', '21st', '102nd', '111th']
    """
    last = "th" if 10 <= number % 100 <= 20 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{last}"


def time_words(seconds: float) -> str:
    """Return a time out of the freezer: hours, from four days on days.

    Parameters
    ----------
    seconds
        [s].

    Examples
    --------
    >>> time_words(41 * 3600), time_words(30 * 86400)
    ('41 h', '30 days')
    """
    hours = seconds / 3600.0
    if hours < 96.0:
        return f"{hours:.0f} h"
    days = f"{hours / 24.0:.1f}".removesuffix(".0")
    return f"{days} days"


def date_words(day: date) -> str:
    """Return a day as it stands on a label, with its year.

    Parameters
    ----------
    day
        The day.

    Examples
    --------
    >>> date_words(date(2026, 12, 7))
    '7 Dec 2026'
    """
    return f"{day.day} {day:%b %Y}"


def headline(label: Label) -> str:
    """Return what stands largest on a label.

    Parameters
    ----------
    label
        Of a piece or an offcut.
    """
    return label.piece if isinstance(label, PieceLabel) else label.name


def lay_words(ply: int, plies: int) -> str:
    """Return when a ply is laid, in words; empty when nobody knows.

    Parameters
    ----------
    ply, plies
        Counted from 1, and how many there are; 0 when not known.

    Examples
    --------
    >>> lay_words(3, 6), lay_words(3, 0), lay_words(0, 6)
    ('lay 3rd of 6', 'lay 3rd', '')
    """
    if ply < 1:
        return ""
    return f"lay {ordinal(ply)}" + (f" of {plies}" if plies else "")


def lines(label: Label) -> tuple[Said, ...]:
    """Return the lines under the name, the most needed first.

    Parameters
    ----------
    label
        Of a piece or an offcut.
    """
    return _piece_lines(label) if isinstance(label, PieceLabel) else _offcut_lines(label)


def _piece_lines(label: PieceLabel) -> tuple[Said, ...]:
    films = ""
    if label.films is not None:
        films = f"{label.films} films off, count them" if label.films != 1 else "1 film off, count it"
        films = films if label.films else "no film on it"
    over = "cut face down" if label.turned_over else ""
    found = (
        Said(words=_joined(lay_words(label.ply, label.plies), label.part), bold=True),
        Said(words=_joined(label.face, over, films)),
        Said(words=_joined(label.material, f"batch {label.batch}" if label.batch else "", label.source)),
        Said(words=_joined(label.job, label.digest, f"cut no. {label.number}" if label.number else ""), quiet=True),
        Said(words=_joined(_life(label), f"lay by {label.lay_by}" if label.lay_by else ""), quiet=True),
    )
    return tuple(s for s in found if s.words)


def _offcut_lines(label: OffcutLabel) -> tuple[Said, ...]:
    long, wide = np.ptp(label.loops[0], axis=0)
    size = f"{1e3 * long:.0f} × {1e3 * wide:.0f} mm"
    flaws = f"{len(label.flaws)} flaws hatched" if len(label.flaws) > 1 else "1 flaw hatched" if label.flaws else ""
    origin = f"from roll {label.roll}" if label.roll else ""
    found = (
        Said(words=_joined("offcut", size, shown(label.area, "m²", 3)), bold=True),
        Said(words=_joined(label.material, f"batch {label.batch}" if label.batch else "")),
        Said(words=_joined(label.face, flaws)),
        Said(words=_joined(_life(label), f"use by {date_words(label.use_by)}" if label.use_by else "")),
        Said(words=_joined(origin, f"cut {date_words(label.made)}" if label.made else ""), quiet=True),
    )
    return tuple(s for s in found if s.words)


def _life(label: Label) -> str:
    if label.life_used is None:
        return ""
    whole = f" of {time_words(label.out_life)}" if label.out_life else ""
    return f"life used {time_words(label.life_used)}{whole}"


def _joined(*words: str) -> str:
    """Return phrases with dots between; each stays whole if it can."""
    return " · ".join(w.replace(" ", "\u00a0") for w in words if w)


def label_key(label: Label) -> str:
    """Return what the address of a label ends in: short, so that the code's squares are large.

    Parameters
    ----------
    label
        Of an offcut: its name. Of a piece: its own key, or eight letters and figures that digest, job, piece and part
        always give.
    """
    if isinstance(label, OffcutLabel):
        return label.name
    if label.key:
        return label.key
    told = "\n".join((label.digest, label.job, label.piece, label.part))
    return b32encode(sha256(told.encode()).digest())[:8].decode().lower()


def code_text(label: Label, base: str = "") -> str:
    """Return what a label's code says: an address under the base, or without one the label in plain words.

    Parameters
    ----------
    label
        Of a piece or an offcut.
    base
        Where a reader of the code is sent: ``http://workshop.local:8000``; empty for plain words.

    Notes
    -----
    Plain words are left out from the end when they would need more than 78 bytes; the name always stands.

    Examples
    --------
    >>> label = PieceLabel(piece="3A", part="lid 2", loops=(), key="41")
    >>> code_text(label, "http://workshop.local:8000/")
    'http://workshop.local:8000/p/41'
    """
    if base:
        kind = "p" if isinstance(label, PieceLabel) else "o"
        return f"{base.rstrip('/')}/{kind}/{quote(label_key(label), safe='')}"
    if isinstance(label, PieceLabel):
        words = [label.piece, label.part, lay_words(label.ply, label.plies), label.digest, label.job, label.material]
    else:
        words = [label.name, shown(label.area, "m²", 3), label.material]
    words.append(f"batch {label.batch}" if label.batch else "")
    said = ""
    for word in words:
        longer = f"{said}; {word}" if said and word else said or word
        if said and len(longer.encode()) > MOST:
            break
        said = longer
    return said
