"""What a page warns of before anything else, and findings weightiest first."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from nicegui import ui

from bagside.findings import Finding, Severity
from bagside.web.parts.html import box, markup, words
from bagside.web.words.amounts import measured
from bagside.web.words.tongue import Tongue


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
            head, text = (measured(tongue.say(f"floor_steps.c_{hazard}{part}"), tongue) for part in ("", "_t"))
            markup(f"<b>{escape(head)}</b> {escape(text)}", tag="p")
        own = words("", tag="p", look="b own")
        words(tongue.say("floor_steps.c_defers"), tag="p", look="s")
    return own


def asks_first(all_of_them: Sequence[Finding]) -> list[Finding]:
    """Return findings, weightiest first.

    Parameters
    ----------
    all_of_them
        Of one page.
    """
    order = list(Severity)
    return sorted(all_of_them, key=lambda f: order.index(f.severity))
