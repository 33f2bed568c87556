"""Cloth drawn by its length: white is the life that is left, hatched what is used."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from html import escape

from bagside.findings import Severity
from bagside.ledger.bodies import Sort
from bagside.ledger.clocks.due import Due, Ends
from bagside.web.parts.addresses import of_thing
from bagside.web.parts.basis import mark
from bagside.web.views.shelf.view import ClothLine
from bagside.web.words.tongue import Lengths, Tongue

DAY = 86400.0
NEAR = timedelta(days=14)
"""An end that is nearer is told with its day."""
SHORTEST = 0.6
"""Of the width there is, so that a short end can be seen at all [%]."""
OFFCUT = 34.0
"""Of the width there is, for the longest offcut [%]."""
MOST_PIECES = 40


def cloth_drawn(
    lines: Sequence[ClothLine], now: datetime, tongue: Tongue, *, longest: float, here: str = "", where: bool = True
) -> str:
    """Return cloth as HTML: a list of links, each with its bar.

    Parameters
    ----------
    lines
        In the order they are shown.
    now
        The moment.
    tongue
        Of the reader.
    longest
        Length of a roll that is drawn as wide as there is room [m]; offcuts have their own scale, kits are counted.
    here
        Name of the one in hand.
    where
        Whether it is said where each lies.
    """
    out = []
    widest = max((c.length for c in lines if c.sort is Sort.OFFCUT), default=0.0)
    for line in lines:
        whole, room = (widest, OFFCUT) if line.sort is Sort.OFFCUT else (longest, 100.0)
        current = ' aria-current="true"' if line.name == here else ""
        width = room * line.length / whole if whole > 0.0 else room
        bar = _pieces(line) if line.sort is Sort.KIT else _bar(line, width)
        strong = line.severity in (Severity.STOP, Severity.DECIDE)
        ends = escape(ending(line, now, tongue, where=where))
        out.append(
            f'<li{" class=here" if line.name == here else ""}><a href="{of_thing(line.name)}"{current}>'
            f"<b>{escape(line.name)}</b> {escape(what_of(line, tongue))}</a>{bar}"
            f'<span class="s">{f"<b>{ends}</b>" if strong else ends}{_basis(line, tongue)}</span></li>'
        )
    return f'<ul class="cloth">{"".join(out)}</ul>'


def _bar(line: ClothLine, width: float) -> str:
    style = f'style="width:{min(max(width, SHORTEST), 100.0):.2f}%"'
    if line.out is None:
        return f'<span class="bar unknown" {style}></span>'
    return f'<span class="bar" {style}><i style="width:{100.0 * line.used:.1f}%"></i></span>'


def _pieces(line: ClothLine) -> str:
    """Return a square for each piece of a kit; those that are laid are only outlined."""
    used = f'<u style="width:{100.0 * line.used:.1f}%"></u>'
    there = f"<i>{used}</i>" * min(line.left, MOST_PIECES)
    laid = '<i class="laid"></i>' * min(line.pieces - line.left, MOST_PIECES - min(line.left, MOST_PIECES))
    return f'<span class="kit" aria-hidden="true">{there}{laid}</span>'


def _basis(line: ClothLine, tongue: Tongue) -> str:
    return "" if line.out is None else mark(line.out.basis, tongue, line.out.source)


def what_of(line: ClothLine, tongue: Tongue) -> str:
    """Return what cloth is and how much of it there is.

    Parameters
    ----------
    line
        Which.
    tongue
        Of the reader.
    """
    if line.sort is Sort.ROLL:
        return tongue.say("freezer.a_roll", material=line.material, length=tongue.length(line.length))
    if line.sort is Sort.KIT:
        return tongue.say("freezer.a_kit", material=line.material, left=line.left, pieces=line.pieces)
    digits = 1 if tongue.lengths is Lengths.INCH else 0
    across = tongue.length(line.across, digits)
    unit = across.rpartition(" ")[2]
    along = tongue.length(line.length, digits).removesuffix(f" {unit}")
    return tongue.say("freezer.an_offcut", material=line.material, along=along, across=across)


def ending(line: ClothLine, now: datetime, tongue: Tongue, *, where: bool = True) -> str:
    """Return how much life is left of cloth, and when it ends where it lies.

    Parameters
    ----------
    line
        Which.
    now
        The moment.
    tongue
        Of the reader.
    where
        Whether it is said where it lies.
    """
    if line.out is None:
        return tongue.say("freezer.no_clock")
    parts = []
    if line.out.share >= 1.0:
        parts.append(tongue.say("freezer.dead"))
    elif line.ends is not None and line.ends.when is not None and line.ends.when - now <= NEAR:
        parts.append(tongue.say("freezer.dies", when=moment_of(line.ends, now, tongue)))
    else:
        left = line.out.left_room / DAY
        digits = 0 if left >= 3.0 else 1
        whole = tongue.number(left / (1.0 - line.out.share))
        parts.append(tongue.say("freezer.life_left", left=tongue.number(left, digits), whole=whole))
    if line.tack is not None and line.out.share < 1.0:
        if line.tack.share >= 1.0:
            parts.append(tongue.say("freezer.tack_gone"))
        elif line.tack_ends is not None and line.tack_ends.when is not None and line.tack_ends.when - now <= NEAR:
            parts.append(tongue.say("freezer.tack_ends", when=moment_of(line.tack_ends, now, tongue)))
    if not line.out.sure:
        parts.append(tongue.say("freezer.unsure"))
    if where and line.place:
        parts.append(line.place)
    return "; ".join(parts)


def moment_of(end: Due, now: datetime, tongue: Tongue) -> str:
    """Return when something ends: the last day on which it may be used, or the hour when that is near.

    Parameters
    ----------
    end
        Of something; its moment must be known.
    now
        The moment, in the zone of the reader.
    tongue
        Of the reader.
    """
    if end.when is None:
        return ""
    if end.ends in (Ends.LAST_DAY, Ends.OPENED):  # it ends with the day
        return tongue.day(end.when.date() - timedelta(days=1))
    local = end.when.astimezone(now.tzinfo)
    if timedelta(0) <= local - now <= timedelta(days=3):
        return f"{tongue.day(local)} {tongue.clock(local)}"
    far = abs(local - now) > timedelta(days=150)
    return tongue.day(local) + (f" {local.year}" if far else "")
