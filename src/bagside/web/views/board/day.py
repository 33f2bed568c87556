"""The day as a thread: what was done, what runs with the time that is left, and now."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from html import escape

from bagside.web.views.board.view import Spell
from bagside.web.words.tongue import Tongue

FIRST_HOUR, LAST_HOUR = 6, 24
RIGHT_OF, LEFT_OF = 62.0, 38.0
"""A label stands right of a bar that ends before the first, left of one that begins after the second [% of the day]."""
BESIDE_NOW = 4.5
"""An hour nearer than this to the moment gives its place to it [% of the day]."""
LEAST = 0.25
"""Width of the shortest bar [% of the day]."""
Said = Callable[[str], str]


def day_drawn(spells: Sequence[Spell], now: datetime, tongue: Tongue, *, told: Said, names: Mapping[str, str]) -> str:
    """Return the day as HTML.

    Parameters
    ----------
    spells
        What was done, then what runs.
    now
        The moment.
    tongue
        Of the reader.
    told
        Says a plan's sentence in the reader's language.
    names
        What each build makes, by its serial number.
    """
    scale = _Scale(spells, now)
    rows = []
    done: dict[str, list[Spell]] = {}
    for spell in spells:
        if not spell.running:
            done.setdefault(spell.build, []).append(spell)
    for build, parts in done.items():
        bars = "".join(_bar(scale, p.start, p.end or p.start, "gone", told(p.step)) for p in parts)
        last = max(parts, key=lambda p: p.end or p.start)
        words = tongue.say("board.done_today", build=build, step=told(last.step))
        start, end = scale.at(min(p.start for p in parts)), scale.at(last.end or last.start)
        rows.append(f'<li class="row">{bars}{_label(escape(words), start, end, "q s", left=True)}</li>')
    for spell in (s for s in spells if s.running):
        rows.append(_running(scale, spell, now, tongue, told, names))
    if not rows:
        rows.append(f'<li class="row none"><span class="q">{escape(tongue.say("board.nothing_today"))}</span></li>')
    at = scale.at(now)
    ticks = "".join(
        f'<span class="{"even" if hour % 6 == 0 else "odd"}" style="left:{scale.hour(hour):.2f}%">'
        f"{'' if abs(scale.hour(hour) - at) < BESIDE_NOW else f'{hour:02d}:00'}</span>"
        for hour in range(scale.first, scale.last + 1, 2)
    )
    line = f'<i class="now" style="left:{at:.2f}%" aria-hidden="true"></i>'
    box = f'<b class="nowbox" style="left:{at:.2f}%">{tongue.clock(now)}</b>'
    return (
        f'<div class="day"><div class="rows">{line}<ol>{"".join(rows)}</ol></div>'
        f'<div class="axis" aria-hidden="true">{ticks}</div><div class="nowat">{box}</div></div>'
    )


def _running(
    scale: _Scale, spell: Spell, now: datetime, tongue: Tongue, told: Said, names: Mapping[str, str]
) -> str:
    end = spell.end
    bars = _bar(scale, spell.start, min(now, end) if end is not None else now, "gone", "")
    if end is None:
        head, tail = "", tongue.say("board.thaw_damp", name=spell.build)
    else:
        left = (end - now).total_seconds()
        if left > 0.0:
            bars += _bar(scale, now, end, "left", "")
            head = tongue.say("board.left", time=tongue.duration(left))
        else:
            head = tongue.say("board.over", time=tongue.duration(-left))
        local = end.astimezone(now.tzinfo)
        until = tongue.clock(local) if local.date() == now.date() else f"{tongue.day(local)} {tongue.clock(local)}"
        if spell.step:
            words = {"what": names.get(spell.build, spell.build), "step": told(spell.step), "clock": until}
            tail = tongue.say("board.runs" if left > 0.0 else "board.ran", **words)
        else:
            tail = tongue.say("board.thaws", name=spell.build, clock=until)
    text = f"<b>{escape(head)}</b> {escape(tail)}" if head else escape(tail)
    stop = scale.at(max(now, end) if end is not None else now)
    return f'<li class="row">{bars}{_label(text, scale.at(spell.start), stop, "lead")}</li>'


def _label(html: str, start: float, end: float, look: str, *, left: bool = False) -> str:
    """Return a label beside its bar, where there is room; under it where there is none."""
    if end <= RIGHT_OF and not (left and start >= LEFT_OF):
        style = f"left:calc({end:.2f}% + 10px);max-width:calc({100.0 - end:.2f}% - 10px)"
    elif start >= LEFT_OF:
        style = f"right:calc({100.0 - start:.2f}% + 10px);max-width:calc({start:.2f}% - 10px)"
    else:
        return f'<span class="say under {look}">{html}</span>'
    return f'<span class="say {look}" style="{style}">{html}</span>'


def _bar(scale: _Scale, start: datetime, end: datetime, look: str, title: str) -> str:
    a, b = scale.at(start), scale.at(end)
    if b <= a and look == "left":
        return ""
    name = f' title="{escape(title)}"' if title else ""
    return f'<i class="{look}" style="left:{a:.2f}%;width:{max(b - a, LEAST):.2f}%"{name}></i>'


class _Scale:
    """From a moment to its place across the day."""

    def __init__(self, spells: Sequence[Spell], now: datetime) -> None:
        self._midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
        early = [now, *(s.start.astimezone(now.tzinfo) for s in spells)]
        first = min((t.hour for t in early if t >= self._midnight), default=FIRST_HOUR)
        self.first = min(FIRST_HOUR, first - first % 2)
        self.last = LAST_HOUR

    def hour(self, hour: float) -> float:
        return 100.0 * (hour - self.first) / (self.last - self.first)

    def at(self, moment: datetime) -> float:
        hours = (moment - self._midnight) / timedelta(hours=1)
        return min(max(self.hour(hours), 0.0), 100.0)
