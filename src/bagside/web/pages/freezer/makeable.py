"""What can still be made of a roll or an offcut before it dies: asked of the nest, told in sentences."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from nicegui.element import Element

from bagside.web.house import House
from bagside.web.parts.asking import folded
from bagside.web.parts.controls import button, verb
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import Sheet
from bagside.web.parts.html import words
from bagside.web.parts.plan_words import plan_words
from bagside.web.views.thing import ThingView
from bagside.web.work.child import Ended
from bagside.web.work.messages import StageNews

if TYPE_CHECKING:
    from bagside.ledger.stock.makeable import Makeable

SECONDS = 6.0
"""For the nests, as on the command line [s]."""


def makeable(sheet: Sheet, house: House, view: ThingView) -> None:
    """Offer to ask what can be made of cloth.

    Parameters
    ----------
    sheet, house, view
        The page, the workshop, and the roll or offcut.
    """
    say, name = sheet.say, view.thing.name
    key = f"makeable:{name}"
    left: list[bool] = []
    sheet.leaving(lambda: left.append(True))
    with folded(say("freezer.make")):
        words(say("freezer.make_how"), tag="p", look="q s")
        place = Element("div")

        def heard(value: object) -> None:
            if left or not isinstance(value, StageNews) or value.ended:
                return
            with sheet.client:
                place.clear()
                with place:
                    words(say("common.working", stage=plan_words(value.stage, sheet.tongue)), tag="p", look="s")
                    verb(say("common.stop_work"), lambda: house.crew.stop(key))

        def ended(found: Ended) -> None:
            from bagside.web.work.makeable_task import MadeOf

            if left:
                return
            with sheet.client:
                place.clear()
                with place:
                    if isinstance(found.result, MadeOf):
                        if found.result.made is None:
                            words(say("freezer.make_no_job"), tag="p")
                        else:
                            for sentence in told(found.result.made, sheet):
                                words(sentence, tag="p", look="note")
                        findings(found.result.findings, sheet.tongue)
                    elif found.error is not None:
                        sheet.tell(found.error)
                    elif found.fault:
                        sheet.tell(say("common.went_wrong", why=found.fault.strip().splitlines()[-1]))

        def ask() -> None:
            from bagside.web.work.makeable_task import ask_makeable  # the nest is loaded by who asks it

            place.clear()
            with place:
                words(say("common.working_now"), tag="p", look="s")
            house.crew.ask(key, ask_makeable, house.folder, name, SECONDS, heard=heard, ended=ended)

        button(say("freezer.make_ask"), ask, name=f"{name}: {say('freezer.make_ask')}")
        place.move()


def told(found: Makeable, sheet: Sheet) -> Sequence[str]:
    """Return what can be made of a cloth, in sentences of the reader's language.

    Parameters
    ----------
    found
        From the nest.
    sheet
        Of the reader.
    """
    say, tongue = sheet.say, sheet.tongue
    out: list[str] = []
    fit = [p for p in found.parts if p.fit]
    if not found.area:
        return (say("freezer.make_nothing"),)
    if not found.parts:
        return (say("freezer.make_nobody", material=found.dying.cloth.material, area=tongue.area(found.area)),)
    if fit:
        parts = ", ".join(say("freezer.make_of", fit=p.fit, wanted=p.wanted, job=p.job) for p in fit)
        last = max(p.done for p in fit if p.done is not None)
        pulled = "" if found.length is None else say("freezer.make_pulled", length=tongue.length(found.length))
        when = f"{tongue.day(last)} {tongue.clock(last)}"
        out.append(say("freezer.make_gives", parts=parts, pulled=pulled, when=when))
        longest = max(p.out for p in fit)
        out.append(
            say("freezer.make_life", out=tongue.duration(longest), left=tongue.duration(found.dying.left_room),
                clock=say("freezer.tack" if found.dying.clock == "tack" else "freezer.out_life"))
        )  # fmt: skip
    else:
        out.append(say("freezer.make_none", jobs=", ".join(p.job for p in found.parts)))
    for p in found.parts:
        if p.out > found.dying.left_room:
            out.append(say("freezer.make_too_long", job=p.job, out=tongue.duration(p.out)))
        elif 0 < p.on_cloth < p.wanted:
            out.append(say("freezer.make_no_room", job=p.job, fit=p.on_cloth, wanted=p.wanted))
        elif p.fit < p.on_cloth:
            out.append(say("freezer.make_late", job=p.job, count=p.on_cloth - p.fit))
    others = sorted({m for p in fit for m in p.others})
    if others:
        out.append(say("freezer.make_besides", materials=", ".join(others)))
    unused = tongue.area(max(found.unused, 0.0))
    if found.width:
        unused = f"{tongue.length(max(found.unused, 0.0) / found.width)} ({unused})"
    out.append(say("freezer.make_unused", unused=unused, seconds=tongue.duration(found.seconds)))
    return out
