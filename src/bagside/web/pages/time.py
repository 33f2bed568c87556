"""Time: who does what when, as far as the plan knows, and how long each step takes."""

from __future__ import annotations

from html import escape

from bagside.web.house import House
from bagside.web.model.job_desk import Shown
from bagside.web.parts.controls import link
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import JobSheet, picture, rows, strip
from bagside.web.parts.html import markup, words
from bagside.web.parts.opened import job_page
from bagside.web.parts.plan_words import plan_words
from bagside.web.views.registry import BENCHES
from bagside.web.views.time.drawn import Said, calendar_drawn, stage_said
from bagside.web.views.time.view import TimeView


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """

    def opened(sheet: JobSheet, _: object) -> None:
        def told(sentence: str) -> str:
            return plan_words(sentence, sheet.tongue)

        def draw(shown: Shown) -> None:
            view: TimeView = shown.view
            with picture("calendar"):
                markup(f"<p class='q s'>{escape(sheet.say('time.how'))}</p>")
                markup(calendar_drawn(view, sheet.tongue, told))
            with strip() as (left, middle, right):
                with left:
                    words(sheet.say("time.by_stage"), tag="h2")
                    markup(_shares(view, sheet))
                    findings(sheet.desk.findings(*BENCHES["time"]), sheet.tongue)
                with middle:
                    words(sheet.say("time.steps"), tag="h2")
                    markup(_steps(view, sheet, told), look="scroll")
                with right:
                    tongue = sheet.tongue
                    words(sheet.say("time.hands_on_one"), tag="p", look="q")
                    words(tongue.duration(view.attended), tag="p", look="fig")
                    whole = tongue.duration(view.attended * view.quantity)
                    words(sheet.say("time.all", count=view.quantity, time=whole), tag="p")
                    words(sheet.say("time.from_to", start=tongue.day(view.start), finish=tongue.day(view.finish)),
                          tag="p", look="b")  # fmt: skip
                    words(sheet.say("time.days", days=view.days, people=view.people), tag="p", look="q")
                    link(sheet.say("time.hours_where"), "/workshop")

        sheet.draws(draw)

    job_page(house, "time", "board", opened=opened)


def _shares(view: TimeView, sheet: JobSheet) -> str:
    """Return hands on one part by stage as bars from one line."""
    most = max((seconds for _, seconds in view.by_stage), default=0.0) or 1.0
    lines = "".join(
        f'<li><span class="name">{escape(stage_said(stage, sheet.tongue))}</span>'
        f'<span class="track"><i style="width:{100.0 * seconds / most:.2f}%"></i></span>'
        f'<span class="value">{escape(sheet.tongue.duration(seconds))}</span></li>'
        for stage, seconds in view.by_stage
    )
    return f'<ul class="bars">{lines}</ul>'


def _steps(view: TimeView, sheet: JobSheet, told: Said) -> str:
    say, tongue = sheet.say, sheet.tongue
    head = ("", say("time.step"), say("time.hands_on"), say("time.waits"), say("time.for_what"))
    body = [
        [
            str(number),
            escape(told(step.name)),
            escape(tongue.duration(step.attended)) if step.attended else "",
            escape(tongue.duration(step.unattended)) if step.unattended else "",
            escape(say("time.each" if step.each else "time.one_off" if step.one_off else "time.once")),
        ]
        for number, step in enumerate(view.steps, 1)
    ]
    return rows(head, body, right=(0, 2, 3), name=say("time.steps"))
