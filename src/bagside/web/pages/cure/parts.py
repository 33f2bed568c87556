"""Pieces of the page of bag and cure: margins, the section through the bag, the bag list, the cautions."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from html import escape
from typing import Any

from nicegui import ui

from bagside.findings import Basis, Finding, Severity, sentence
from bagside.sheets.themed import themed
from bagside.web.pages.cure.said import place_words, sentence_words
from bagside.web.parts.basis import mark
from bagside.web.parts.frame import rows
from bagside.web.parts.html import box, markup, words
from bagside.web.views.cure.run import Kept, RunShown
from bagside.web.views.cure.section import Through
from bagside.web.views.cure.view import BagShown
from bagside.web.words.tongue import Tongue
from bagside.web.work.cure_log import LogJudged

RING = "ring without friction, after Hubert & Poursartip 2001"
_OUTSIDE = re.compile(r">tape, (\d+)(?:<tspan[^>]*>|\s|</tspan>)*mm(?:</tspan>)? outside(?:</tspan>)?<")


def caution(tongue: Tongue, hazards: Sequence[str]) -> ui.html:
    """Show cautions before anything else, and return a line among them for what this job alone must be warned of.

    Parameters
    ----------
    tongue
        Of the reader.
    hazards
        As `bagside.planning.cautions` names them.
    """
    with box("section", "caution note cautions", aria_label=tongue.say("cure.cautions")):
        for hazard in hazards:
            head, text = tongue.say(f"floor_steps.c_{hazard}"), tongue.say(f"floor_steps.c_{hazard}_t")
            markup(f"<b>{escape(head)}</b> {escape(text)}", tag="p")
        own = words("", tag="p", look="b own")
        words(tongue.say("floor_steps.c_defers"), tag="p", look="s")
    return own


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


def through(seen: Through, tongue: Tongue) -> None:
    """Show the section through the bag, named beside it.

    Parameters
    ----------
    seen
        The drawing and its names.
    tongue
        Of the reader.
    """
    say = tongue.say
    words(say("cure.through"), tag="h2", look="b note")
    svg = seen.svg
    for name, text in (
        ("leading", say("cure.leads")), ("lagging", say("cure.lags")), ("scale", say("cure.through_scale")),
        ("title", say("cure.through")),
    ):  # fmt: skip
        svg = svg.replace(f"{{{name}}}", escape(text))
    with box("div", "through"):
        markup(themed(svg), tag="figure")
        lines = []
        for role, name, thickness in seen.rows:
            thick = ""
            if thickness is not None:
                low, high = (tongue.thickness(t) for t in thickness)
                unit = high.rsplit(" ", 1)[-1]
                thick = high if low == high else f"{low.rsplit(' ', 1)[0]} … {high.rsplit(' ', 1)[0]} {unit}"
            lines.append((f"{escape(say(f'cure.layer_{role}'))} <span class='q'>{escape(name)}</span>", thick))
        markup(rows(("", ""), lines, right=(1,), name=say("cure.through")))


def bag_list(bag: BagShown, hottest: float, tongue: Tongue, *, stale: bool = False) -> None:
    """Show the bag and what goes in.

    Parameters
    ----------
    bag
        As planned.
    hottest
        The air of the cure [K].
    tongue
        Of the reader.
    stale
        Whether it was worked out before the last change.
    """
    say = tongue.say
    kind = say("cure.envelope") if bag.envelope else say("cure.surface_bag")
    words(say("cure.bag", kind=kind), tag="h2", look="b lead")
    if stale:
        words(say("common.stale"), tag="p", look="q s")
    if bag.picture:
        with box("div", "bag-picture"):
            markup(themed(_sketched(bag.picture, tongue)), tag="figure")
    facts = [
        say("cure.bag_sheet", long=tongue.length(bag.sheet[0]), wide=tongue.length(bag.sheet[1])),
        say("cure.bag_tape", run=tongue.length(bag.tape_run), out=tongue.length(bag.tape_distance, 0))
        if bag.tape_distance
        else "",
        say("cure.bag_pleats", heights=_counted([tongue.length(h, 0) for h in bag.pleats])) if bag.pleats else "",
        say("cure.bag_ports", count=bag.ports),
    ]
    words(" · ".join(filter(None, facts)), tag="p", look="note")
    markup(
        rows(
            (say("cure.goes_in"), "", ""),
            [
                (
                    escape(say(f"cure.item_{name.replace(' ', '_')}")),
                    f"{tongue.area(q) if unit == 'm²' else tongue.length(q) if unit == 'm' else tongue.number(q)}"
                    f"{mark(basis, tongue, sentence_words(how, tongue))}",
                    escape(_film_of(bag, name, tongue)),
                )
                for name, q, unit, how, basis in bag.items
            ],
            right=(1,),
            name=say("cure.goes_in"),
        ),
        look="wraps",
    )
    for film in bag.films:
        if film.limit < hottest:
            words(
                say("cure.film_too_cold", name=film.name, limit=tongue.temperature(film.limit),
                    air=tongue.temperature(hottest)),
                tag="p", look="find stop",
            )  # fmt: skip
    if bag.corners:
        ring = sentence_words(RING, tongue)
        words(say("cure.corners"), tag="h3", look="b note")
        markup(
            rows(
                ("", say("cure.corner_long"), say("cure.corner_radius"), say("cure.corner_presses"), ""),
                [
                    (
                        escape(name),
                        tongue.length(long, 0),
                        f"{tongue.length(radius)} ≥ {tongue.length(wanted)}{mark(Basis.COMMON, tongue)}",
                        f"{tongue.number(pressure / 100)} mbar{mark(Basis.PUBLISHED, tongue, ring)}",
                        escape(say(f"cure.corner_{verdict.replace(' ', '_')}")),
                    )
                    for name, long, radius, wanted, verdict, pressure in bag.corners
                ],
                right=(1, 2, 3),
                name=say("cure.corners"),
            )
        )


def bag_proved(bag: BagShown, tongue: Tongue) -> None:
    """Show when to debulk, and how tight the bag must be.

    Parameters
    ----------
    bag
        As planned.
    tongue
        Of the reader.
    """
    say = tongue.say
    words(say("cure.debulks"), tag="h2", look="b lead")
    markup(
        rows(
            (say("cure.after"), say("cure.under_vacuum"), ""),
            [
                (
                    escape(say("cure.ply", number=after)),
                    tongue.duration(time) + (f" {escape(say('cure.warm'))}" if warm else "") + mark(basis, tongue),
                    f"<span class='w'>{escape(sentence_words(why, tongue))}</span>",
                )
                for after, time, warm, why, basis in bag.debulks
            ],
            right=(1,),
            name=say("cure.debulks"),
        ),
        look="wraps",
    )
    if bag.advice:
        words(" ".join(sentence(sentence_words(a, tongue)) for a in bag.advice), tag="p", look="note q")
    words(
        say(
            "cure.pump_down",
            time=tongue.duration(bag.pump_down),
            pressure=f"{tongue.number(bag.pressure / 100)} mbar",
            left=f"{tongue.number(bag.left / 100)} mbar",
            hold=tongue.duration(bag.hold),
        ),
        tag="p",
        look="note",
    )
    words(say("cure.leak"), tag="h2", look="b lead")
    markup(
        rows(
            (say("cure.criterion"), say("cure.may_lose"), say("cure.in_time"), ""),
            [
                (
                    escape(_criterion(name, tongue)),
                    f"{tongue.number(drop / 100)} mbar{mark(basis, tongue, sentence_words(source, tongue))}",
                    tongue.duration(time),
                    "" if reachable else escape(say("cure.not_reachable")),
                )
                for name, drop, time, reachable, basis, source in bag.leaks
            ],
            right=(1, 2),
            name=say("cure.leak"),
        )
    )


def _counted(texts: Sequence[str]) -> str:
    """Return texts as a list in which equal ones are counted: 4 × 50 mm."""
    return ", ".join(f"{n} × {text}" if n > 1 else text for text, n in Counter(texts).items())


def _sketched(svg: str, tongue: Tongue) -> str:
    """Return the sketch of a bag with its words in the reader's language."""
    svg = svg.replace(">laid up<", f">{escape(tongue.say('cure.sketch_laid'))}<")
    return _OUTSIDE.sub(
        lambda m: f">{escape(tongue.say('cure.sketch_tape', out=tongue.length(1e-3 * float(m[1]), 0)))}<", svg
    )


def _film_of(bag: BagShown, item: str, tongue: Tongue) -> str:
    role = {"bag film": "film", "breather": "breather", "release film": "release", "sealant tape": "tape"}.get(item)
    film = next((f for f in bag.films if f.role == role), None)
    return "" if film is None else tongue.say("cure.bears", name=film.name, limit=tongue.temperature(film.limit))


def _criterion(name: str, tongue: Tongue) -> str:
    return tongue.say("cure.leak_" + name.replace(",", "").replace(" ", "_"))


def asks_first(all_of_them: Sequence[Finding]) -> list[Finding]:
    """Return findings, weightiest first.

    Parameters
    ----------
    all_of_them
        Of one page.
    """
    order = list(Severity)
    return sorted(all_of_them, key=lambda f: order.index(f.severity))


def log_message(log: LogJudged) -> Mapping[str, Any]:
    """Return a log as the chart takes it.

    Parameters
    ----------
    log
        Judged.
    """
    from bagside.web.pages.cure.chart import rounded

    return {
        "lines": [
            {"name": line.name, "kind": line.kind, "time": rounded(line.time, 0), "values": rounded(line.values, 2)}
            for line in log.lines
        ],
        "cure": {"time": rounded(log.time, 0), "values": rounded(log.cure, 4)},
    }
