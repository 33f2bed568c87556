"""What stands on the page of a job that states no cycle yet: the two ways to come to one."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import tomlkit
from tomlkit import TOMLDocument

from bagside.web.parts.controls import button
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.html import box, words


def cycle_missing(document: TOMLDocument) -> bool:
    """Return whether a job states a cure, but neither segments nor what is wanted of a cycle.

    Parameters
    ----------
    document
        Of the job.
    """
    cure = document.get("cure")
    return cure is not None and not cure.get("segments") and "design" not in cure


def wanted_cycle(document: TOMLDocument, *, two_stage: bool) -> None:
    """Have a cycle looked for with the next plan.

    Parameters
    ----------
    document
        Of the job.
    two_stage
        Whether the part is cured to the end off its mould.
    """
    design = tomlkit.table()
    design["aim"] = "fastest"
    if two_stage:
        design["two_stage"] = True
    design.add(tomlkit.nl())
    document["cure"]["design"] = design


def ask_for_cycle(sheet: JobSheet, doing: Callable[[str, Callable[[Any], None]], object]) -> None:
    """Offer to have a cycle looked for.

    Parameters
    ----------
    sheet
        The page.
    doing
        Changes the job's file; given what is done, and the change.
    """
    say = sheet.say
    words(say("cure.no_cycle"), tag="p", look="lead b")
    words(say("cure.no_cycle_how"), tag="p", look="note")
    with box("div", "verbs-row"):
        for two_stage, key in ((False, "look_on_mould"), (True, "look_two_stage")):
            change = partial(wanted_cycle, two_stage=two_stage)
            button(say(f"cure.{key}"), partial(doing, say("cure.cycle_wanted"), change), go=not two_stage)
