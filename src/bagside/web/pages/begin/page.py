"""The first page in a folder without a workshop: play with an invented one, or set up one's own."""

from __future__ import annotations

from typing import Any

from fastapi import Request
from nicegui import ui

from bagside.web.founding.answers import Answers
from bagside.web.house import House
from bagside.web.parts.controls import button, link, verb
from bagside.web.parts.frame import Sheet
from bagside.web.parts.html import box, figure, words
from bagside.web.parts.shop_pictures import group_picture
from bagside.web.words.catalogue import LANGUAGES
from bagside.web.work.child import Ended
from bagside.web.work.demo_task import set_up_demo


def languages(sheet: Sheet, to: str) -> None:
    """Show the languages as links.

    Parameters
    ----------
    sheet
        The page.
    to
        Where the reader is.
    """
    for key, name in LANGUAGES.items():
        link(name, f"/prefer?language={key}&to={to}", here=key == sheet.tongue.language)


def begin_page(house: House, request: Request, answers: Answers) -> None:
    """Show the choice.

    Parameters
    ----------
    house
        The workshop, whose folder is still empty.
    request
        That asked for the page.
    answers
        Given so far about one's own workshop.
    """
    sheet = Sheet(request, sheet_title(request), str(house.folder))
    ui.add_head_html('<link rel="stylesheet" href="/looks/begin.css">')
    say = sheet.say
    with sheet.verbs:
        languages(sheet, "/begin")
    with sheet.root:
        with box("section", "shop-row picture"):
            for group in ("room", "oven", "pump", "freezer"):
                figure(group_picture(group, answers.values, sheet.tongue))
        words(say("begin.empty"), tag="p", look="lead b")
        with box("section", "two-ways"):
            with box("div", "way"):
                words(say("begin.mine"), tag="h2", look="b lead")
                words(say("begin.mine_is"), tag="p")
                button(say("begin.mine_go"), lambda: ui.navigate.to("/begin/workshop"), go=True)
            with box("div", "way"):
                words(say("begin.demo"), tag="h2", look="b lead")
                words(say("begin.demo_is"), tag="p")
                place = box("div", "doing")
                with place as doing:
                    button(say("begin.demo_go"), lambda: _play(house, sheet, doing))
        words(say("common.safety"), tag="p", look="q s")


def sheet_title(request: Request) -> str:
    """Return the title of the first page, in the reader's language.

    Parameters
    ----------
    request
        That asked for it.
    """
    from bagside.web.preferences import tongue_of

    return tongue_of(request).say("begin.title")


def _play(house: House, sheet: Sheet, doing: Any) -> None:
    doing.clear()
    with doing:
        words(sheet.say("begin.demo_making"), tag="p").props("role=status")
        verb(sheet.say("common.stop_work"), lambda: house.crew.stop("demo"))

    def ended(value: Ended) -> None:
        with sheet.client:
            if (house.folder / "workshop.toml").is_file():
                ui.navigate.to("/")
                return
            sheet.tell(value.error or value.fault.strip().splitlines()[-1] if value.error or value.fault else "")
            doing.clear()
            with doing:
                button(sheet.say("begin.demo_go"), lambda: _play(house, sheet, doing))

    house.crew.ask("demo", set_up_demo, house.folder, heard=lambda _: None, ended=ended)
