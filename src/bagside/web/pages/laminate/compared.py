"""A stack beside what it replaces, as bars, and the numbers of a zone."""

from __future__ import annotations

from html import escape

from bagside.laminate import Laminate
from bagside.web.pages.laminate.trial import beside
from bagside.web.parts.basis import mark
from bagside.web.parts.frame import rows
from bagside.web.scene.named import FieldUnit, FieldWords
from bagside.web.views.laminate.shown import LaminateView, ZoneShown
from bagside.web.words.amounts import INCH, measured
from bagside.web.words.tongue import Lengths, Tongue

WAYS = ("bending", "pushed", "in_plane")
LEAST = 1.6
"""Bars reach at least so many times the stiffness of what is replaced."""
SPREADS = 0.35
"""A direction that spreads more than this about its mean means little [rad]."""


def compared(now: Laminate | None, would: Laminate | None, view: LaminateView, plain: bool, tongue: Tongue) -> str:
    """Return three bars as HTML, with a tick where the part is as stiff as what it replaces.

    Parameters
    ----------
    now, would
        The stack as planned, and as it is tried; None when nothing is left of it.
    view
        What is replaced, and the basis of the cloths.
    plain
        Whether nothing is tried.
    tongue
        Of the reader.
    """
    say = tongue.say
    before, after = beside(now, view.original), beside(now if plain else would, view.original)
    if before is None:
        return f'<p class="note">{escape(say("laminate.no_weights"))}</p>'
    answers = [(getattr(before, way), None if after is None else getattr(after, way)) for way in WAYS]
    most = max(LEAST, *(a.ratio for pair in answers for a in pair if a is not None)) * 1.02
    lines = []
    for way, (old, new) in zip(WAYS, answers, strict=True):
        shown = 0.0 if new is None else new.ratio
        bars = [
            f'<i class="tick" style="left:{100 / most:.2f}%"></i>',
            f'<i class="solid" style="width:{100 * shown / most:.2f}%"></i>',
            "" if plain else f'<i class="hollow" style="width:{100 * old.ratio / most:.2f}%"></i>',
            f'<i class="weak" style="left:{100 * (0.0 if new is None else new.weakest) / most:.2f}%"></i>',
        ]
        was = "" if plain else f' <span class="q">({escape(say("laminate.was", share=tongue.share(old.ratio)))})</span>'
        much = "–" if new is None else f"{tongue.share(new.ratio)}{mark(view.basis, tongue)}"
        look = " b" if new is None or new.ratio < 1.0 else ""
        want = "" if new is None else say(
            "laminate.wants", thickness=tongue.thickness(new.thickness), saving=tongue.share(new.saving),
            weakest=tongue.share(new.weakest),
        )  # fmt: skip
        lines.append(
            f'<li><span class="lam-way">{escape(say(f"laminate.way_{way}"))}</span>'
            f'<span class="lam-much{look}">{much}{was}</span>'
            f'<span class="lam-bar" aria-hidden="true">{"".join(bars)}</span>'
            f'<span class="s q">{escape(want)}</span></li>'
        )
    return f'<ul class="lam-bars">{"".join(lines)}</ul><p class="m q">{escape(say("laminate.tick"))}</p>'


def zone_numbers(
    view: LaminateView, zone: ZoneShown, now: Laminate | None, would: Laminate | None, plain: bool, tongue: Tongue
) -> str:
    """Return the numbers of a zone and of the part as HTML.

    Parameters
    ----------
    view
        Of the part.
    zone
        In hand.
    now, would, plain, tongue
        See `compared`.
    """
    say = tongue.say
    basis = mark(view.basis, tongue)
    shown = now if plain else would
    head = "" if shown is None else (
        f'<p class="fig">{escape(tongue.thickness(shown.thickness))}{basis}</p>'
        f'<p class="note q">{escape(say("laminate.in_zone", number=zone.number))}</p>'
    )  # fmt: skip
    body: list[tuple[str, str]] = []

    def put(key: str, value: str, was: str = "") -> None:
        old = "" if plain or not was else f' <span class="q">({escape(say("laminate.was", share=was))})</span>'
        body.append((escape(say(f"laminate.{key}")), f"{escape(value)}{basis}{old}"))

    if shown is not None and now is not None:
        put("mass_area", _weight(shown, tongue), _weight(now, tongue))
        for key, attribute in (("ex", "Ex"), ("ey", "Ey"), ("gxy", "Gxy")):
            value, was = getattr(shown, attribute), getattr(now, attribute)
            put(key, f"{tongue.number(value / 1e9, 1)} GPa", f"{tongue.number(was / 1e9, 1)} GPa")
        for key, value in (("symmetry", shown.symmetry_error), ("balance", shown.balance_error)):
            body.append((escape(say(f"laminate.{key}")), escape(tongue.share(value))))
    body.append((escape(say("laminate.zone_area")), escape(tongue.area(zone.area))))
    body.append((escape(say("laminate.part_mass")), escape(tongue.mass(view.mass)) + basis))
    if view.bare > 0.0:
        body.append((escape(say("laminate.bare")), escape(tongue.area(view.bare))))
    spread = ""
    if zone.spread > SPREADS:
        spread = f'<p class="note q">{escape(say("laminate.spread"))}</p>'
    return head + rows(("", ""), body, right=(1,), name=say("laminate.numbers", number=zone.number)) + spread


def _weight(laminate: Laminate, tongue: Tongue) -> str:
    return measured(f"{tongue.number(1e3 * laminate.mass_per_area)} g/m²", tongue)


def thickness_words(tongue: Tongue) -> FieldWords:
    """Return what the map of thickness is called: in millimetres, or in thousandths of an inch.

    Parameters
    ----------
    tongue
        Of the reader.
    """
    if tongue.lengths is Lengths.INCH:
        return FieldWords(
            name=tongue.say("laminate.thickness_map_mil"),
            spoken=tongue.say("laminate.mils"),
            unit=FieldUnit(sign=" mil", digits=1, times=1.0 / INCH),
        )
    return FieldWords(name=tongue.say("laminate.thickness_map"), spoken=tongue.say("laminate.millimetres"))
