"""A run in numbers and words: what is kept and by how much, and what the chart's marks say."""

from __future__ import annotations

from dataclasses import replace
from html import escape
from typing import Any

from bagside.web.pages.cure.said import place_words
from bagside.web.parts.basis import mark
from bagside.web.parts.frame import rows
from bagside.web.views.cure.run import Kept, RunShown
from bagside.web.words.tongue import Tongue
from bagside.web.work.cure_log import LogJudged


def value_text(key: str, value: float, tongue: Tongue) -> str:
    """Return a value of a run in its unit.

    Parameters
    ----------
    key
        See `bagside.web.views.cure.run.Kept`.
    value
        [SI].
    tongue
        Of the reader.
    """
    if key == "cure":
        return tongue.number(value, 3)
    if key in ("tg", "laminate", "tool"):
        return tongue.temperature(value)
    if key in ("apart", "over", "stiff"):
        return tongue.difference(value)
    if key in ("dwell", "duration"):
        return tongue.duration(value)
    if key == "energy":
        return f"{tongue.number(value / 3.6e6, 1)} kWh"
    return f"{tongue.number(value / 100.0)} mbar"


def margins_table(run: RunShown, log: LogJudged | None, tongue: Tongue) -> str:
    """Return what a run is held to as a table: planned, from the log, wanted, kept.

    Parameters
    ----------
    run
        As planned, or as moved by hand.
    log
        The log of this run; None when there is none.
    tongue
        Of the reader.
    """
    say = tongue.say
    logged = {} if log is None else log.values
    body = []
    for kept in run.kept:
        seen = logged.get(kept.key)
        body.append(
            (
                escape(say(f"cure.margin_{kept.key}")),
                value_text(kept.key, kept.value, tongue) + mark(kept.basis, tongue),
                "" if seen is None else f"<b>{value_text(kept.key, seen[0], tongue)}</b>",
                _wanted(kept, tongue),
                _says(kept, seen, tongue),
            )
        )
    if "bag" in logged:
        left = value_text("bag", logged["bag"][0], tongue)
        body.append((escape(say("cure.margin_bag")), "", f"<b>{left}</b>", "", ""))
    head = (
        say("cure.margins"),
        say("cure.planned"),
        "" if log is None else say("cure.from_log"),
        say("cure.wanted"),
        "",
    )
    return rows(head, body, right=(1, 2, 3), name=say("cure.margins"))


def _wanted(kept: Kept, tongue: Tongue) -> str:
    if kept.wanted is None:
        return ""
    sign = "≤" if kept.most else "≥"
    basis = "" if kept.wanted_basis is None else mark(kept.wanted_basis, tongue)
    return f"{sign} {value_text(kept.key, kept.wanted, tongue)}{basis}"


def _says(kept: Kept, seen: tuple[float, float, float] | None, tongue: Tongue) -> str:
    if kept.wanted is None:
        return ""
    ends = (kept.value,) if seen is None else (kept.value, seen[2] if kept.most else seen[1])
    holds = all(replace(kept, value=v).holds for v in ends)
    return escape(tongue.say("cure.kept")) if holds else f"<b>{escape(tongue.say('cure.not_kept'))}</b>"


def notes_of(run: RunShown, tongue: Tongue, log: LogJudged | None = None) -> list[dict[str, Any]]:
    """Return the notes beside their places on the chart: the hottest place, and every limit that is not kept.

    Parameters
    ----------
    run
        Worked out.
    tongue
        Of the reader.
    log
        Laid over it; None for none.
    """
    say = tongue.say
    kept = {k.key: k for k in run.kept}
    when, hottest = run.hottest
    limits = [k.wanted for k in (kept.get("tool"), kept["laminate"]) if k is not None and k.wanted is not None]
    limit = min(limits, default=None)
    at = tongue.temperature(hottest)
    head = say("cure.note_hottest", at=at, place=place_words(run.lead_place, tongue))
    if limit is not None:
        key = "cure.note_inside" if hottest <= limit else "cure.note_over"
        head = say(key, at=at, by=tongue.difference(abs(limit - hottest), 0 if abs(limit - hottest) >= 1.0 else 1))
    over = kept["over"].value
    notes: list[dict[str, Any]] = [
        {
            "t": when,
            "kelvin": hottest,
            "head": head,
            "text": say("cure.note_own_heat", over=tongue.difference(over)) if over >= 0.5 else "",
            "weight": "watch" if limit is None or hottest <= limit else "stop",
        }
    ]
    end = float(run.time[-1])
    for row in run.kept:
        if row.holds or row.key in ("laminate", "tool") or row.wanted is None:
            continue
        place: dict[str, Any] = {"t": end, "cure": float(run.cure[-1])}
        if row.key == "tg":
            place = {"t": end, "kelvin": float(run.tg[-1])}
        elif row.key in ("over", "stiff", "dwell"):
            place = {"t": when, "kelvin": hottest}
        notes.append(
            place
            | {
                "head": say(
                    f"cure.note_{row.key}",
                    value=value_text(row.key, row.value, tongue),
                    wanted=value_text(row.key, row.wanted, tongue),
                ),
                "text": say(f"cure.note_{row.key}_do"),
                "weight": "decide",
            }
        )
    return notes[:4]
