"""Days as bands: a line for each person, the mould, the oven; work with hands on it solid, what runs alone hollow."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, datetime, time, timedelta
from html import escape

from bagside.web.views.time.view import Busy, TimeView
from bagside.web.words.tongue import Tongue

HOURS = (6, 12, 18)
NAMED = 0.085
"""Share of a day from which on a bar is wide enough for its name."""
Said = Callable[[str], str]


def calendar_drawn(view: TimeView, tongue: Tongue, told: Said) -> str:
    """Return the calendar as HTML: a band for each day on which something happens.

    Parameters
    ----------
    view
        What was planned.
    tongue
        Of the reader.
    told
        Says a plan's sentence in the reader's language.
    """
    days = sorted({day for busy in view.busy for day, _, _ in _parts(busy)})
    bands = "".join(_band(day, view, tongue, told) for day in days)
    return f'<ol class="days">{bands}</ol>'


def _band(day: date, view: TimeView, tongue: Tongue, told: Said) -> str:
    rows = []
    for line in view.lines:
        bars = [
            (start, end, busy)
            for busy in view.busy
            if busy.line == line
            for on, start, end in _parts(busy)
            if on == day
        ]
        drawn = "".join(_bar(start, end, busy, tongue, told) for start, end, busy in bars)
        who = escape(line_said(line, tongue))
        look = "" if drawn else ' class="idle"'
        rows.append(f'<li{look}><span class="who">{who}</span><span class="track">{drawn}</span></li>')
    begins, ends = 100.0 * view.day_begins, 100.0 * view.day_ends
    hours = "".join(f'<span style="left:{100.0 * h / 24:.2f}%">{h:02d}</span>' for h in HOURS)
    work = f'<i class="shift" style="left:{begins:.2f}%;width:{ends - begins:.2f}%"></i>'
    name = escape(tongue.day(day))
    return (
        f'<li class="dayband"><h3>{name}</h3><div class="hours" aria-hidden="true">{work}{hours}</div>'
        f'<ul aria-label="{name}">{"".join(rows)}</ul></li>'
    )


def _bar(start: float, end: float, busy: Busy, tongue: Tongue, told: Said) -> str:
    name = busy_said(busy, tongue, told)
    look = "hands" if busy.attended else "alone"
    short = escape(short_said(busy, tongue)) if end - start > NAMED else ""
    return (
        f'<i class="{look}" style="left:{100.0 * start:.3f}%;width:{max(100.0 * (end - start), 0.4):.3f}%" '
        f'title="{escape(name)}" role="img" aria-label="{escape(name)}">{short}</i>'
    )


def _parts(busy: Busy) -> Iterator[tuple[date, float, float]]:
    """Yield a stretch day by day: the day, and from where to where of it."""
    at = busy.start
    while at < busy.end:
        midnight = datetime.combine(at.date(), time(0))
        end = min(busy.end, midnight + timedelta(days=1))
        yield at.date(), (at - midnight) / timedelta(days=1), (end - midnight) / timedelta(days=1)
        at = end


def line_said(line: str, tongue: Tongue) -> str:
    """Return the name of a line.

    Parameters
    ----------
    line
        Of a `Busy`.
    tongue
        Of the reader.
    """
    word, _, number = line.partition(" ")
    return tongue.say(f"time.line_{word}", number=number)


def short_said(busy: Busy, tongue: Tongue) -> str:
    """Return what a stretch is in a word or two.

    Parameters
    ----------
    busy
        Which.
    tongue
        Of the reader.
    """
    stage = stage_said(busy.stage, tongue)
    return f"{stage} {busy.part}" if busy.part else stage


def stage_said(stage: str, tongue: Tongue) -> str:
    """Return the name of a stage of a plan's steps.

    Parameters
    ----------
    stage
        As the plan has it.
    tongue
        Of the reader.
    """
    try:
        return tongue.say(f"board.stage_{stage.lower().replace(' ', '_')}")
    except KeyError:
        return stage


def busy_said(busy: Busy, tongue: Tongue, told: Said) -> str:
    """Return a stretch in words: what, which part, from when to when, with hands or alone.

    Parameters
    ----------
    busy
        Which.
    tongue
        Of the reader.
    told
        Says a plan's sentence in the reader's language.
    """
    what = told(busy.step)
    if busy.part:
        what = tongue.say("time.of_part", what=what, part=busy.part)
    end = tongue.clock(busy.end)
    if busy.end.date() != busy.start.date():
        end = f"{tongue.day(busy.end)} {end}"
    how = tongue.say("time.with_hands" if busy.attended else "time.alone")
    return f"{what}: {tongue.clock(busy.start)} – {end}, {how}"
