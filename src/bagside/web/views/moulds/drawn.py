"""A mould's life as a thread: releases as bars across it, pulls as stops, what is left until the next release."""

from __future__ import annotations

from html import escape

from bagside.web.parts.basis import mark
from bagside.web.views.moulds.view import MouldLine
from bagside.web.words.tongue import Tongue

SHOWN = 24
"""Pulls that are drawn; those before are counted."""
COLDEST = 293.15
"""Where the bar of heat begins [K]."""


def thread_drawn(line: MouldLine, tongue: Tongue) -> str:
    """Return a mould's pulls and coats as HTML, with the one next thing in tape.

    Parameters
    ----------
    line
        The mould.
    tongue
        Of the reader.
    """
    say = tongue.say
    first = max(0, len(line.pulls) - SHOWN)
    items = []
    if first:
        items.append(f'<li class="before">{escape(say("moulds.before", count=first))}</li>')
    coats: dict[int, list[tuple[str, int]]] = {}
    for agent, number, at in line.coats:
        coats.setdefault(at, []).append((agent, number))
    for at in range(first, len(line.pulls) + 1):
        for agent, number in coats.get(at, ()):
            name = escape(tongue.count("history.released", number, agent=agent))
            items.append(f'<li class="coat" title="{name}"><b>{number}×</b><span class="sr">{name}</span></li>')
        if at < len(line.pulls):
            name = escape(say("moulds.pull", number=at + 1, build=line.pulls[at]))
            items.append(f'<li class="pull" title="{name}"><i></i><span class="sr">{name}</span></li>')
    items.append(f'<li class="here"><b>{escape(next_said(line, tongue))}</b></li>')
    left = line.left or 0
    items += ['<li class="ahead" aria-hidden="true"><i></i></li>'] * min(max(left - 1, 0), SHOWN)
    return f'<ol class="pulls" aria-label="{escape(say("moulds.thread_of", name=line.name))}">{"".join(items)}</ol>'


def next_said(line: MouldLine, tongue: Tongue) -> str:
    """Return the one next thing that a mould wants.

    Parameters
    ----------
    line
        The mould.
    tongue
        Of the reader.
    """
    if line.untested:
        return tongue.say("moulds.next_test")
    if line.wanted or line.left in (0, None):
        return tongue.say("moulds.next_release")
    return tongue.say("moulds.next_pull", number=len(line.pulls) + 1)


def state_said(line: MouldLine, tongue: Tongue) -> list[tuple[str, bool]]:
    """Return how a mould stands, in HTML sentences, each with whether it asks for something.

    Parameters
    ----------
    line
        The mould.
    tongue
        Of the reader.
    """
    say = tongue.say
    each = mark(line.each_basis, tongue)
    out: list[tuple[str, bool]] = []
    if line.wanted:
        out.append((escape(tongue.count("moulds.new_coats", line.wanted)), True))
    elif line.left is None:
        out.append((escape(say("moulds.never_released")), True))
    elif line.left == 0:
        out.append((escape(tongue.count("moulds.release_now", line.since, each=line.each)) + each, True))
    else:
        out.append((escape(tongue.count("moulds.pulls_left", line.left, each=line.each)) + each, False))
    if line.tested is None:
        out.append((escape(say("moulds.never_tested")), True))
    elif line.untested:
        out.append((escape(say("moulds.repaired_since")), True))
    elif line.rise is not None and line.seconds is not None:
        values = {
            "day": tongue.day(line.tested), "rise": tongue.pressure(60.0 * line.rise, 1),
            "time": tongue.duration(line.seconds),
        }  # fmt: skip
        out.append((escape(say("moulds.tested", **values)), False))
    if line.stuck:
        out.append((escape(tongue.count("moulds.stuck", line.stuck)), False))
    return out


def heat_drawn(line: MouldLine, tongue: Tongue) -> str:
    """Return the hottest a mould has seen against what it may see, as a bar in HTML; empty when neither is known.

    Parameters
    ----------
    line
        The mould.
    tongue
        Of the reader.
    """
    if line.limit is None and line.hottest is None:
        return ""
    seen = "" if line.hottest is None else tongue.say("moulds.hottest", temperature=tongue.temperature(line.hottest))
    may = "" if line.limit is None else tongue.say("moulds.may_see", temperature=tongue.temperature(line.limit))
    words = escape("; ".join(w for w in (seen, may) if w))
    over = line.limit is not None and line.hottest is not None and line.hottest > line.limit
    share = 0.0
    if line.limit is not None and line.hottest is not None:
        share = min(max((line.hottest - COLDEST) / max(line.limit - COLDEST, 1.0), 0.0), 1.0)
    bar = f'<span class="gone-left" aria-hidden="true"><i style="width:{100.0 * share:.1f}%"></i></span>'
    return f'{bar if line.limit is not None else ""}<span class="s">{f"<b>{words}</b>" if over else words}</span>'
