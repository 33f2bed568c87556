"""The section through the bag, what it is made of, and what proves it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from html import escape

from bagside.findings import Basis
from bagside.sheets.themed import themed
from bagside.web.parts.basis import mark
from bagside.web.parts.frame import rows
from bagside.web.parts.html import box, markup, words
from bagside.web.parts.plan_words import plan_html
from bagside.web.views.cure.section import Through
from bagside.web.views.cure.view import BagShown
from bagside.web.words.amounts import INCH
from bagside.web.words.tongue import Lengths, Tongue

RING = "ring without friction, after Hubert & Poursartip 2001"
FROM_ABOVE = "the bag from above: film dashed, tape bold, what is laid up"
_DRAWN = {
    "laid up": "sketch_laid",
    FROM_ABOVE: "sketch_title",
    "the line of tape and its pleats": "sketch_line",
}
_FIGURE = re.compile(r">(\d+)<(?=/text>)")
_OUTSIDE = re.compile(r">tape, (\d+)(?:<tspan[^>]*>|\s|</tspan>)*mm(?:</tspan>)? outside(?:</tspan>)?<")


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
            markup(themed(sketched(bag.picture, tongue)), tag="figure")
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
                    f"{mark(basis, tongue, how)}",
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
        words(say("cure.corners"), tag="h3", look="b note")
        markup(
            rows(
                ("", say("cure.corner_long"), say("cure.corner_radius"), say("cure.corner_presses"), ""),
                [
                    (
                        escape(name),
                        tongue.length(long, 0),
                        f"{tongue.length(radius)} ≥ {tongue.length(wanted)}{mark(Basis.COMMON, tongue)}",
                        f"{tongue.number(pressure / 100)} mbar{mark(Basis.PUBLISHED, tongue, RING)}",
                        escape(say(f"cure.corner_{verdict.replace(' ', '_')}")),
                    )
                    for name, long, radius, wanted, verdict, pressure in bag.corners
                ],
                right=(1, 2, 3),
                name=say("cure.corners"),
            ),
            look="wraps",
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
                    f"<span class='w'>{plan_html(why, tongue)}</span>",
                )
                for after, time, warm, why, basis in bag.debulks
            ],
            right=(1,),
            name=say("cure.debulks"),
        ),
        look="wraps",
    )
    if bag.advice:
        markup(" ".join(plan_html(a, tongue, full=True) for a in bag.advice), tag="p", look="note q")
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
                    f"{tongue.number(drop / 100)} mbar{mark(basis, tongue, source)}",
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


def sketched(svg: str, tongue: Tongue) -> str:
    """Return the picture of a bag with its words in the reader's language, its dimensions in the reader's units.

    Parameters
    ----------
    svg
        As planning draws it.
    tongue
        Of the reader.
    """
    if tongue.lengths is Lengths.INCH and f">{FROM_ABOVE}<" in svg:  # on a mould's picture figures number its pleats
        svg = _FIGURE.sub(lambda m: f">{tongue.number(1e-3 * float(m[1]) / INCH, 1)}<", svg)
    for text, key in _DRAWN.items():
        svg = svg.replace(f">{text}<", f">{escape(tongue.say(f'cure.{key}'))}<")
    return _OUTSIDE.sub(
        lambda m: f">{escape(tongue.say('cure.sketch_tape', out=tongue.length(1e-3 * float(m[1]), 0)))}<", svg
    )


def _film_of(bag: BagShown, item: str, tongue: Tongue) -> str:
    role = {"bag film": "film", "breather": "breather", "release film": "release", "sealant tape": "tape"}.get(item)
    film = next((f for f in bag.films if f.role == role), None)
    return "" if film is None else tongue.say("cure.bears", name=film.name, limit=tongue.temperature(film.limit))


def _criterion(name: str, tongue: Tongue) -> str:
    return tongue.say("cure.leak_" + name.replace(",", "").replace(" ", "_"))
