"""Freezers, fridges and rooms: how warm they are, readings, and what a logger saw."""

from __future__ import annotations

import asyncio
import shutil
from collections.abc import Awaitable, Callable, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from bagside.ledger.bodies import Discarded, Found, Measured, Received, Sort
from bagside.quantity import Quantity
from bagside.records.attachments import Attachments
from bagside.web.guard import LOGS, parsed
from bagside.web.house import House
from bagside.web.parts.asking import Form, folded
from bagside.web.parts.drop import Drop
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import Sheet, who_of
from bagside.web.parts.html import box, words
from bagside.web.parts.records import keep
from bagside.web.parts.typed import degrees
from bagside.web.views.shelf.view import PlaceLine

if TYPE_CHECKING:
    from bagside.records.freezer_log import FreezerLog

Done = Callable[..., Awaitable[None]]


def place_lines(sheet: Sheet, house: House, places: Sequence[PlaceLine], done: Done) -> None:
    """Show the places with what can be done there, and how a new one is made known.

    Parameters
    ----------
    sheet, house
        The page and the workshop.
    places
        That are there.
    done
        Called with a sentence when something was written down.
    """
    say, tongue = sheet.say, sheet.tongue
    words(say("freezer.places"), tag="h2")
    for place in places:
        with box("div", "place"):
            warm = "–" if place.temperature is None else tongue.temperature(place.temperature)
            words(f"{place.name}, {warm}", tag="h3", look="b")
            words(say("freezer.things_there", count=place.things), tag="p", look="q s")
            _reading(sheet, house, place, done)
            _log(sheet, house, place, done)
            if not place.things:
                _given_up(sheet, house, place, done)
    with folded(say("freezer.new_place"), open_=not places):
        form = Form(sheet)
        form.text("name", say("freezer.name"), hint=say("freezer.place_name_hint"))
        form.number("temperature", say("freezer.temperature_set"), Quantity.TEMPERATURE, degrees(tongue))

        async def made() -> None:
            name = form.said("name", wanted=say("freezer.name_wanted"))
            warm = form.amount("temperature", wanted=say("freezer.temperature_wanted"), least=None)
            await keep(house, sheet, Received(name=name, sort=Sort.PLACE, temperature=warm))
            await done(say("freezer.place_known", name=name))

        form.done(say("freezer.make_known"), made)


def _reading(sheet: Sheet, house: House, place: PlaceLine, done: Done) -> None:
    say = sheet.say
    with folded(say("freezer.write_reading")):
        form = Form(sheet)
        form.number("temperature", say("board.temperature"), Quantity.TEMPERATURE, degrees(sheet.tongue))
        if not place.cold:
            form.number("humidity", say("board.humidity"), Quantity.HUMIDITY, "%")

        async def read() -> None:
            warm = form.amount("temperature", wanted=say("freezer.temperature_wanted"), least=None)
            damp = None if place.cold else form.amount("humidity")
            if damp is not None and not 0.0 <= damp <= 1.0:
                form.wrong("humidity", say("board.humidity_range"))
            assert warm is not None
            await keep(house, sheet, Measured(subject=place.name, found=Found.CLIMATE, value=warm, humidity=damp))
            await done(say("freezer.reading_kept", name=place.name))

        form.done(say("board.write_down"), read, name=f"{place.name}: {say('board.write_down')}")


def _log(sheet: Sheet, house: House, place: PlaceLine, done: Done) -> None:
    say, tongue = sheet.say, sheet.tongue

    async def took(path: Path, called: str) -> None:
        found = await asyncio.to_thread(_kept_log, house, place.name, path, called, who_of(sheet.client))
        cold, warm = tongue.temperature(found.coldest, 1), tongue.temperature(found.warmest, 1)
        mean = tongue.temperature(found.mean_kinetic, 1)
        await done(say("freezer.log_kept", name=place.name, count=found.readings, cold=cold, warm=warm, mean=mean))
        with sheet.root:
            findings(found.noticed, tongue)

    with folded(say("freezer.add_log")):
        words(say("freezer.add_log_how"), tag="p", look="q s")
        Drop(sheet, say("freezer.log_of", name=place.name), kinds=LOGS, most=MOST_LOG, took=took)


MOST_LOG = 30_000_000
"""Bytes of a logger's file that are taken; a year of minutes has 20 MB."""


def _kept_log(house: House, place: str, path: Path, called: str, who: str) -> FreezerLog:
    """Keep a logger's file, and what it saw as an event; its name is the one its sender gave it."""
    from bagside.records.freezer_log import logged_body  # what reads loggers is loaded when a log comes

    with TemporaryDirectory() as folder:
        own = Path(folder) / (Path(called).name or path.name)
        shutil.copyfile(path, own)
        found = parsed(logged_body, own, place, called=own.name)
        with house.desk(who, "desk") as here:
            Attachments(here.folder).put(own)
            here.ledger.add([here.event(found.body, found.at, late=True)])
    return found


def _given_up(sheet: Sheet, house: House, place: PlaceLine, done: Done) -> None:
    say = sheet.say
    with folded(say("freezer.give_up")):
        form = Form(sheet)
        form.text("why", say("freezer.why"))

        async def gone() -> None:
            why = form.said("why", wanted=say("freezer.why_wanted"))
            await keep(house, sheet, Discarded(thing=place.name, why=why))
            await done(say("freezer.gone", name=place.name))

        form.done(say("board.write_down"), gone, name=f"{place.name}: {say('freezer.give_up')}")
