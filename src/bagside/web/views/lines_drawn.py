"""Jobs as lines of a timetable: the stages of the work as stops, what is done solid, what is ahead dotted."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from html import escape

import numpy as np

from bagside.sheets import paper
from bagside.web.views.board.view import STAGES, BuildLine, JobTold, PlanState
from bagside.web.words.tongue import Tongue

SIZE = (20.0, 16.0)
"""Of a small picture [mm]."""
COLUMNS = ("plan", *STAGES)
_KEYS = {stage: f"board.stage_{stage.lower().replace(' ', '_')}" for stage in STAGES} | {"plan": "board.stage_plan"}


def columns_drawn(tongue: Tongue) -> str:
    """Return the names of the stops as HTML, to stand over all lines.

    Parameters
    ----------
    tongue
        Of the reader.
    """
    cells = "".join(f"<span>{escape(tongue.say(_KEYS[c]))}</span>" for c in COLUMNS)
    return f'<div class="stops names" aria-hidden="true">{cells}</div>'


def build_drawn(line: BuildLine, told: JobTold, now: datetime, tongue: Tongue) -> str:
    """Return the stops of a build as HTML.

    Parameters
    ----------
    line
        The build.
    told
        Its job.
    now
        The moment.
    tongue
        Of the reader.
    """
    by_stage = {s.stage: s for s in line.stops}
    items = [_stop("done", tongue.say("board.stage_plan"), "", _day(told.planned, now, tongue))]
    seen_here = False
    for stage in STAGES:
        name = tongue.say(_KEYS[stage])
        stop = by_stage.get(stage)
        if stop is None:
            items.append(_stop("none", name, "", ""))
            continue
        if stop.here:
            seen_here = True
            box = tongue.say("board.now") if line.since is not None else tongue.say("board.next")
            below = tongue.say("board.of_steps", done=stop.done, steps=stop.steps) if stop.steps > 1 else ""
            items.append(_stop("here", name, box, below))
        elif stop.done == stop.steps:
            items.append(_stop("done", name, "", _day(stop.last, now, tongue)))
        elif stop.done and not seen_here:
            items.append(_stop("part", name, "", tongue.say("board.of_steps", done=stop.done, steps=stop.steps)))
        else:
            items.append(_stop("ahead", name, "", ""))
    return _line(items, line.name, tongue)


def job_drawn(told: JobTold, now: datetime, tongue: Tongue, *, made: bool) -> str:
    """Return the stops of a job of which no part is being made.

    Parameters
    ----------
    told
        The job.
    now
        The moment.
    tongue
        Of the reader.
    made
        Whether all its parts are made.
    """
    items = []
    planned = told.state is PlanState.CURRENT
    for column in COLUMNS:
        name = tongue.say(_KEYS[column])
        if made:
            items.append(_stop("done", name, "", ""))
        elif told.state is PlanState.LOOKING:
            items.append(_stop("ahead", name, "", ""))
        elif column == "plan":
            below = _day(told.planned, now, tongue) if planned else ""
            items.append(_stop("done" if planned else "here", name, "" if planned else tongue.say("board.next"), below))
        elif column == STAGES[0] and planned:
            items.append(_stop("here", name, tongue.say("board.next"), ""))
        else:
            items.append(_stop("ahead", name, "", ""))
    return _line(items, told.name, tongue)


def _line(items: Sequence[str], whose: str, tongue: Tongue) -> str:
    name = escape(tongue.say("board.stages_of", build=whose))
    return f'<ol class="stops" aria-label="{name}">{"".join(items)}</ol>'


def _stop(state: str, name: str, box: str, below: str) -> str:
    mark = f"<b>{escape(box)}</b>" if state == "here" else '<i aria-hidden="true"></i>'
    look = "stage" if state == "here" else "sr"
    return (
        f'<li class="{state}"><span class="{look}">{escape(name)}</span>{mark}'
        f'<span class="below">{escape(below)}</span></li>'
    )


def _day(when: datetime | None, now: datetime, tongue: Tongue) -> str:
    if when is None:
        return ""
    local = when.astimezone(now.tzinfo)
    return tongue.clock(local) if local.date() == now.date() else tongue.day(local).split(" ", 1)[1]


def small_picture(told: JobTold) -> str:
    """Return the outline of a job's part, small, as SVG; empty when nobody knows it.

    Parameters
    ----------
    told
        The job.
    """
    if len(told.outline) < 3:
        return ""
    points = np.array(told.outline)
    low, high = points.min(axis=0), points.max(axis=0)
    room = np.array(SIZE) - 1.2
    scale = float((room / np.maximum(high - low, 1e-6)).min())
    placed = (points - 0.5 * (low + high)) * scale * np.array([1.0, -1.0]) + 0.5 * np.array(SIZE)
    return paper.sheet(*SIZE, [paper.line(placed, weight=paper.EDGE, closed=True)], title=told.name)
