"""The thread: the work of a job as one yarn, solid as far as it is done, dotted ahead, the stage in hand in tape.

What a stage hands to the next is written on the yarn itself, what it wants of a person under it. Where there is less
room the figures on the yarn go first, then names become short, then numbers; what had to be left out is told, so that a
page can say it somewhere else. Measures are CSS pixels, 96 to an inch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from bagside.sheets import colour, paper
from bagside.sheets.grounds import on_tape
from bagside.sheets.typeface import width as runs

State = Literal["done", "here", "ahead"]
STATES = ("done", "here", "ahead")

HEIGHT = 64.0
NAME, LINE, NOTE = 14.0, 32.0, 58.0
"""Where names, the yarn and notes stand: base lines and the middle of the yarn [px]."""
NAME_SIZE, HERE_SIZE, SMALL = 13.0, 16.0, 11.0
BOX, PAD, RING, NUMBERED = 28.0, 13.0, 4.0, 9.0
"""Height of the tape, its room at both sides of the name, radius of a stop, radius of a stop with a number [px]."""
APART, SHOWN = 14.0, 14.0
"""Between two names; of yarn that must be seen at both sides of what is written on it [px]."""
DOTS = "1.2 4.2"
WEIGHT, AHEAD = 2.6, 1.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """One stage on the thread.

    Parameters
    ----------
    name
        As it stands over the yarn.
    state
        ``done``, ``here`` or ``ahead``; at most one is here.
    hands_on
        What it hands to the next, in a few words; empty for nothing yet.
    note
        What it wants of a person; empty for nothing.
    short
        Name where there is less room; the name when empty.
    """

    name: str
    state: State
    hands_on: str = ""
    note: str = ""
    short: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where one stop stands.

    Parameters
    ----------
    x
        Its middle [px].
    left, wide
        Room for the pointer: of the name or the tape, whichever is wider [px].
    words
        The name as it fits.
    number
        In its ring, where names do not fit; 0 for none.
    state
        As stated.
    """

    x: float
    left: float
    wide: float
    words: str
    number: int
    state: State


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """Words on the yarn or under it.

    Parameters
    ----------
    stop
        Index of the stop they belong to.
    x
        Their middle [px].
    words
        What they say.
    """

    stop: int
    x: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """The thread laid out at one width.

    Parameters
    ----------
    width
        Of it [px].
    places
        One for each stop.
    lines
        Pieces of yarn: from, to [px], and whether solid.
    figures
        What is handed on, on the yarn.
    notes
        What is wanted, under the stops.
    left_out
        Indices of stops with words that found no room here.
    """

    width: float
    places: tuple[Place, ...]
    lines: tuple[tuple[float, float, bool], ...]
    figures: tuple[Written, ...]
    notes: tuple[Written, ...]
    left_out: tuple[int, ...]


def thread_laid(stops: Sequence[Stop], *, width: float) -> Thread:
    """Return where everything on a thread stands at one width.

    Parameters
    ----------
    stops
        In the order of the work; at least one.
    width
        Of the thread [px].

    Raises
    ------
    ValueError
        When there is no stop, a state is none of the three, two are here, or even numbers do not fit.
    """
    if not stops:
        raise ValueError("a thread needs a stop")
    for stop in stops:
        if stop.state not in STATES:
            raise ValueError(f"a stop is {', '.join(STATES)}, not {stop.state!r}")
    if sum(s.state == "here" for s in stops) > 1:
        raise ValueError("a thread is in one place at a time")
    full = [s.name for s in stops]
    short = [s.short or s.name for s in stops]
    numbers = [s.short or s.name if s.state == "here" else "" for s in stops]
    figures = [s.hands_on for s in stops]
    none = [""] * len(stops)
    for names, told in ((full, figures), (full, none), (short, none), (numbers, none)):
        numbered = names is numbers
        xs = _spread(stops, names, told, width, numbered=numbered)
        if xs is not None:
            return _laid(stops, names, xs, width, numbered=numbered)
    raise ValueError(f"{len(stops)} stops do not fit {width:.0f} px")


def _half(stop: Stop, name: str, *, numbered: bool) -> float:
    """Return half of what a stop takes over the yarn or on it [px]."""
    if stop.state == "here":
        return 0.5 * runs(name, HERE_SIZE, bold=True) + PAD
    return NUMBERED if numbered else max(0.5 * runs(name, NAME_SIZE), RING)


def _on_yarn(stop: Stop, name: str, *, numbered: bool) -> float:
    return _half(stop, name, numbered=numbered) if stop.state == "here" else NUMBERED if numbered else RING


def _spread(
    stops: Sequence[Stop], names: Sequence[str], told: Sequence[str], width: float, *, numbered: bool
) -> list[float] | None:
    """Return the middles of the stops; None when there is no room."""
    halves = [_half(s, n, numbered=numbered) for s, n in zip(stops, names, strict=True)]
    on_yarn = [_on_yarn(s, n, numbered=numbered) for s, n in zip(stops, names, strict=True)]
    gaps = []
    for k in range(len(stops) - 1):
        gap = halves[k] + halves[k + 1] + (6.0 if numbered else APART)
        if told[k]:
            gap = max(gap, on_yarn[k] + on_yarn[k + 1] + runs(told[k], SMALL) + 2 * SHOWN + 8.0)
        gaps.append(gap)
    spare = width - halves[0] - halves[-1] - sum(gaps)
    if spare < 0:
        return None
    # What is over goes between the stops alike, and half as much to the two ends.
    each = spare / len(stops)
    at = halves[0] + 0.5 * each
    xs = [at]
    for gap in gaps:
        at += gap + each
        xs.append(at)
    return xs


def _laid(stops: Sequence[Stop], names: Sequence[str], xs: Sequence[float], width: float, *, numbered: bool) -> Thread:
    places = []
    for k, (stop, name, x) in enumerate(zip(stops, names, xs, strict=True)):
        half = _half(stop, name, numbered=numbered)
        number = k + 1 if numbered and stop.state != "here" else 0
        places.append(Place(x=x, left=x - half, wide=2 * half, words=name, number=number, state=stop.state))
    ends = [_on_yarn(s, n, numbered=numbered) for s, n in zip(stops, names, strict=True)]
    lines: list[tuple[float, float, bool]] = [(0.0, xs[0] - ends[0], stops[0].state != "ahead")]
    figures = []
    for k, (one, other) in enumerate(pairwise(stops)):
        solid = other.state == "done" or (other.state == "here" and one.state == "done")
        a, b = xs[k] + ends[k], xs[k + 1] - ends[k + 1]
        wide = runs(one.hands_on, SMALL) + 8.0 if one.hands_on else 0.0
        if wide and b - a >= wide + 2 * SHOWN:
            middle = 0.5 * (a + b)
            figures.append(Written(stop=k, x=middle, words=one.hands_on))
            lines += [(a, middle - 0.5 * wide, solid), (middle + 0.5 * wide, b, solid)]
        else:
            lines.append((a, b, solid))
    lines.append((xs[-1] + ends[-1], width, stops[-1].state == "done"))
    notes = _notes(stops, xs, width)
    told = {w.stop for w in figures}, {w.stop for w in notes}
    left_out = [
        k for k, s in enumerate(stops) if (s.hands_on and k not in told[0] and k + 1 < len(stops)) or
        (s.note and k not in told[1])
    ]  # fmt: skip
    return Thread(
        width=width,
        places=tuple(places),
        lines=tuple(line for line in lines if line[1] > line[0]),
        figures=tuple(figures),
        notes=tuple(notes),
        left_out=tuple(left_out),
    )


def _notes(stops: Sequence[Stop], xs: Sequence[float], width: float) -> list[Written]:
    """Return the notes that find room: that of the stage in hand first, then from left to right."""
    taken: list[tuple[float, float]] = []
    found = []
    for k in sorted(range(len(stops)), key=lambda k: (stops[k].state != "here", k)):
        stop = stops[k]
        wide = runs(stop.note, SMALL, bold=stop.state == "here")
        if not stop.note or wide > width:
            continue
        x = min(max(xs[k], 0.5 * wide), width - 0.5 * wide)
        span = (x - 0.5 * wide - 6.0, x + 0.5 * wide + 6.0)
        if all(span[1] <= a or span[0] >= b for a, b in taken):
            taken.append(span)
            found.append(Written(stop=k, x=x, words=stop.note))
    return sorted(found, key=lambda w: w.stop)


def thread_view(stops: Sequence[Stop], *, width: float) -> str:
    """Return the thread as a drawing, for a page or a printed sheet.

    Parameters
    ----------
    stops
        In the order of the work; at least one.
    width
        Of the thread [px]; printed, 96 of them are an inch.
    """
    laid = thread_laid(stops, width=width)
    out = []
    for a, b, solid in laid.lines:
        ends = [(a, LINE), (b, LINE)]
        out.append(paper.line(ends, weight=WEIGHT if solid else AHEAD, dashes="" if solid else DOTS))
    for word in laid.figures:
        out.append(paper.text(word.x, LINE + 4.0, word.words, size=SMALL, anchor="middle", ink=colour.SECOND))
    for place in laid.places:
        out += _stop(place)
    for word in laid.notes:
        here = stops[word.stop].state == "here"
        ink = colour.INK if here else colour.SECOND
        out.append(paper.text(word.x, NOTE, word.words, size=SMALL, anchor="middle", ink=ink, bold=here))
    svg = paper.sheet(width, HEIGHT, out, title="; ".join(f"{s.name}: {_said(s)}" for s in stops))
    size = f'width="{paper.n(width * 25.4 / 96)}mm" height="{paper.n(HEIGHT * 25.4 / 96)}mm"'
    return svg.replace(f'width="{paper.n(width)}mm" height="{paper.n(HEIGHT)}mm"', size, 1)


def _stop(place: Place) -> list[str]:
    if place.state == "here":
        tape = paper.rect(place.left, LINE - 0.5 * BOX, place.wide, BOX, weight=1.6, fill=colour.TAPE)
        name = paper.text(place.x, LINE + 5.8, place.words, size=HERE_SIZE, bold=True, anchor="middle")
        return [on_tape([tape, name])]
    done = place.state == "done"
    radius = NUMBERED if place.number else RING
    ring = paper.circle(place.x, LINE, radius, weight=1.6, fill=colour.INK if done else colour.PAPER)
    if place.number:
        ink = colour.PAPER if done else colour.INK
        words = paper.text(place.x, LINE + 4.0, str(place.number), size=SMALL, bold=True, anchor="middle", ink=ink)
    else:
        words = paper.text(place.x, NAME, place.words, size=NAME_SIZE, anchor="middle")
    return [ring, words]


def _said(stop: Stop) -> str:
    state = {"done": "done", "here": "here", "ahead": "ahead"}[stop.state]
    return ", ".join(w for w in (state, stop.hands_on, stop.note) if w)
