"""How shared oven runs are shown: the answer in one sentence, each run with its cycle and its closest limits."""

from __future__ import annotations

import math
from typing import Any

from bagside.cli import show
from bagside.cure.chance.limits import SHORT, UNITS
from bagside.cure.chance.notes import margin_text
from bagside.cure.sharing import Common, Verdict
from bagside.planning.share_case import SharedCases
from bagside.quantity import shown

WORDS = (
    "no run",
    "one run",
    "two runs",
    "three runs",
    "four runs",
    "five runs",
    "six runs",
    "seven runs",
    "eight runs",
)
KEYS = {"%": ("margin", 1.0), "K": ("margin_k", 1.0), "min": ("margin_min", 1.0 / 60.0)}


def answer(found: SharedCases) -> str:
    """Return the answer in one sentence."""
    grouping = found.grouping
    runs = WORDS[len(grouping.runs)]
    who = "; ".join(
        " with ".join(run.parts) if len(run.parts) > 1 else f"{run.parts[0]} alone" for run in grouping.runs
    )
    head = f"{runs[0].upper()}{runs[1:]}"
    if not grouping.holds:
        lost = ", ".join(p for run in grouping.runs if not run.holds for p in run.parts)
        return f"{head}: {who}. No cycle that was tried serves {lost}."
    saved = grouping.alone - grouping.duration
    against = f"; each alone would take {shown(grouping.alone, 'h')}" if saved > 60.0 else ""
    return f"{head}, {shown(grouping.duration, 'h')} in all{against}: {who}."


def tables(found: SharedCases) -> None:
    """Print the runs."""
    show.OUT.print(answer(found), highlight=False)
    for k, run in enumerate(found.grouping.runs, 1):
        if run.trial is None:
            continue
        programme = run.trial.programme
        how = (
            "designed for them"
            if run.designed
            else f"{'the shortest' if run.holds else 'the closest'} of {run.tried} tried"
        )
        show.table(
            f"\nRun {k}: {', '.join(run.parts)}; {_time(run)}, {how}",
            ["segment", "to", "ramp", "hold"],
            [
                [str(n), shown(s.target, "°C", 0), shown(s.ramp, "°C/min", 2), shown(s.hold, "min", 0)]
                for n, s in enumerate(programme.segments, 1)
            ],
        )
        show.table(
            "",
            ["part", "reaches the last dwell", "closest limit", "margin"],
            [
                [part, _arrives(run, n), SHORT[v.limit], margin_text(v.limit, v.margin)]
                for n, part in enumerate(run.parts)
                for v in (_closest(run, part),)
            ],
        )


def _time(run: Common) -> str:
    if run.trial is None or math.isinf(run.trial.duration):
        return "it never cools enough"
    return f"{shown(run.trial.duration, 'h')} until all may come out"


def _arrives(run: Common, part: int) -> str:
    if run.trial is None or math.isinf(run.trial.arrivals[part]):
        return "never"
    return shown(run.trial.arrivals[part], "min", 0)


def _closest(run: Common, part: str) -> Verdict:
    verdicts = [] if run.trial is None else [v for v in run.trial.verdicts if v.part == part]
    scale = {"%": 0.05, "K": 5.0, "min": 600.0}
    return min(verdicts, key=lambda v: v.margin / scale[UNITS[v.limit]])


def data(found: SharedCases) -> dict[str, Any]:
    """Return the runs as JSON data; keys carry their unit, what never comes is null."""
    grouping = found.grouping
    return {
        "holds": grouping.holds,
        "duration_min": _minutes(grouping.duration),
        "alone_min": _minutes(grouping.alone),
        "runs": [_run(run) for run in grouping.runs],
        "apart": [_run(run) for run in grouping.apart],
    }


def _minutes(time: float) -> float | None:
    return time / 60.0 if math.isfinite(time) else None


def _run(run: Common) -> dict[str, Any]:
    trial = run.trial
    return {
        "parts": list(run.parts),
        "holds": run.holds,
        "clashes": [c.what for c in run.clashes],
        "tried": run.tried,
        "designed": run.designed,
        "duration_min": None if trial is None else _minutes(trial.duration),
        "programme": []
        if trial is None
        else [
            {"to_c": s.target - 273.15, "rate_c_per_min": s.ramp * 60.0, "hold_min": s.hold / 60.0}
            for s in trial.programme.segments
        ],
        "arrivals_min": [] if trial is None else [_minutes(t) for t in trial.arrivals],
        "limits": [] if trial is None else [_limit(v) for v in trial.verdicts],
    }


def _limit(v: Verdict) -> dict[str, Any]:
    key, scale = KEYS[UNITS[v.limit]]
    return {
        "part": v.part,
        "limit": v.limit,
        "place": v.place,
        key: v.margin * scale if math.isfinite(v.margin) else None,
    }
