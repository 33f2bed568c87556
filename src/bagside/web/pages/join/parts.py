"""Pieces of the page of joining: a bond's numbers and its adhesive's time, holes, joins of plies."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from math import isfinite

from bagside.sheets.themed import themed
from bagside.web.parts.basis import mark
from bagside.web.parts.frame import rows
from bagside.web.parts.html import box, markup, words
from bagside.web.views.join.view import BondShown, HoleShown, JoinView
from bagside.web.words.tongue import Tongue

MEGA = 1e6


def bond_numbers(bond: BondShown, parts: int, tongue: Tongue) -> str:
    """Return what a bond bears and takes as a table.

    Parameters
    ----------
    bond
        The bond.
    parts
        That are bonded.
    tongue
        Of the reader.
    """

    say, plan = tongue.say, bond.plan
    basis = mark(bond.basis, tongue, bond.source)
    carries = say("join.times", times=tongue.number(plan.reserve, 1)) if isfinite(plan.reserve) else "–"
    heat = plan.heat_stress > plan.design
    lines = [
        (say("join.load"), f"{tongue.number(bond.stated.load)} N"),
        (say("join.bonded"), tongue.area(plan.area)),
        (say("join.needed"), tongue.area(plan.area_needed) + basis),
        (say("join.carries"), f"<b>{escape(carries)}</b>{basis}"),
        (say("join.heat_stress"), (f"<b>{mpa(plan.heat_stress, tongue)}</b>" if heat
                                   else mpa(plan.heat_stress, tongue)) + basis),
        (say("join.heat_margin"), tongue.difference(plan.heat_margin, 0) + basis),
        (say("join.mix"), tongue.mass(plan.adhesive_mass * parts) + basis),
        (say("join.beads"), f"{tongue.number(1e6 * plan.beads_mass * parts)} mg"),
    ]  # fmt: skip
    return rows(("", ""), [(escape(a), b) for a, b in lines], right=(1,), name=plan.name)


def adhesive_clock(bond: BondShown, tongue: Tongue) -> None:
    """Show how long the adhesive may be worked, and when it holds: hollow bars of time to come.

    Parameters
    ----------
    bond
        The bond.
    tongue
        Of the reader.
    """
    say, plan = tongue.say, bond.plan
    words(say("join.times_at", at=tongue.temperature(bond.adhesive.cure_temperature)), tag="h3", look="b note")
    parts = []
    for key, seconds in (("pot", plan.pot_life), ("fixed", plan.fixture_time), ("hard", plan.cure_time)):
        share = max(100.0 * seconds / plan.cure_time, 1.0)
        parts.append(
            f'<div class="span-row"><span class="q">{escape(say(f"join.{key}"))}</span>'
            f'<span class="span"><i style="width:{share:.1f}%"></i></span>'
            f"<span>{escape(tongue.duration(seconds))}</span></div>"
        )
    markup("".join(parts), look="spans note")
    if plan.slow > 0.5:
        words(say("join.slow", by=tongue.difference(plan.slow, 0)), tag="p", look="note b")
    if plan.cold_margin < 0.0:
        words(say("join.too_cold", by=tongue.difference(-plan.cold_margin, 0)), tag="p", look="find stop")


def holes_part(holes: tuple[HoleShown, ...], tongue: Tongue) -> None:
    """Show every hole with what the rules want round it.

    Parameters
    ----------
    holes
        In their order.
    tongue
        Of the reader.
    """
    if not holes:
        return
    say = tongue.say
    words(say("join.holes"), tag="h2", look="b lead")
    with box("div", "holes"):
        for k, hole in enumerate(holes):
            rule = hole.rule
            title = say("join.hole_title", name=rule.name, wanted=tongue.length(rule.edge_wanted))
            with box("div", "hole"):
                markup(themed(filled(hole.picture, {"hole_title": title}), key=f"hole{k}"), tag="figure")
                lines = [
                    (f"<b>{escape(rule.name)}</b>", tongue.length(hole.diameter, 1)),
                    (escape(say("join.edge")), _distance(rule.edge, rule.edge_wanted, tongue)),
                    (escape(say("join.pitch")), _distance(rule.pitch, rule.pitch_wanted, tongue)),
                    (escape(say("join.there")), tongue.thickness(rule.thickness)),
                    (escape(say("join.doubler")), tongue.length(2.0 * rule.doubler_radius)),
                ]
                markup(rows(("", ""), lines, right=(1,), name=rule.name))
    words(say("join.holes_key"), tag="p", look="q s")


def joins_part(view: JoinView, tongue: Tongue) -> None:
    """Show the joins of plies, and how far those of different plies stand apart.

    Parameters
    ----------
    view
        Of the page.
    tongue
        Of the reader.
    """
    say = tongue.say
    if not view.joins:
        return
    words(say("join.joins"), tag="h2", look="b lead")
    markup(
        rows(
            ("", say("join.of"), say("join.kind"), say("join.overlap"), say("join.length")),
            [
                (
                    escape(say("join.ply", number=j.ply, name=j.name)),
                    escape(say("join.dart", piece=j.pieces[0]) if len(j.pieces) < 2 else " – ".join(j.pieces)),
                    escape(say(f"join.kind_{j.kind.replace(' ', '_')}")),
                    tongue.length(j.width) if j.width else "–",
                    tongue.length(j.length),
                )
                for j in view.joins
            ],
            right=(3, 4),
            name=say("join.joins"),
        )
    )
    for lower, upper, distance in view.apart:
        text = say("join.apart", lower=lower, upper=upper, distance=tongue.length(distance))
        crossed = distance < 0.5e-3
        words(text + (" " + say("join.crossing") if crossed else ""), tag="p", look="note b" if crossed else "note")


def mpa(pascal: float, tongue: Tongue) -> str:
    """Return a stress.

    Parameters
    ----------
    pascal
        [Pa].
    tongue
        Of the reader.
    """
    return f"{tongue.number(pascal / MEGA, 1)} MPa"


def _distance(value: float, wanted: float, tongue: Tongue) -> str:
    has = tongue.length(value) if isfinite(value) else "–"
    text = f"{has} ≥ {tongue.length(wanted)}"
    return f"<b>{text}</b>" if isfinite(value) and value < wanted else text


def filled(svg: str, texts: Mapping[str, str]) -> str:
    """Return a drawing with its words in the places that stand in braces.

    Parameters
    ----------
    svg
        The drawing.
    texts
        By the name of the place.
    """
    for name, text in texts.items():
        svg = svg.replace(f"{{{name}}}", escape(text))
    return svg
