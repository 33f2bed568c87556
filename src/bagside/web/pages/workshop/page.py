"""The workshop: everything its file says, in groups, with a picture where that helps; and what one person prefers."""

from __future__ import annotations

import ipaddress
import tomllib
from collections.abc import Callable
from html import escape
from typing import Any

from fastapi import Request
from nicegui import ui

from bagside.errors import InputError
from bagside.sheets.themed import themed
from bagside.spec import workshop as spec
from bagside.spec.library import generic_times
from bagside.spec.opening import workshop_problems
from bagside.spec.reading import stated_from
from bagside.web.command import PORT
from bagside.web.house import House
from bagside.web.pages.workshop.lists import list_group, price_group
from bagside.web.parts.basis import key
from bagside.web.parts.controls import link, verb
from bagside.web.parts.form import Form
from bagside.web.parts.frame import house_sheet
from bagside.web.parts.history import history
from bagside.web.parts.html import box, figure, markup, words
from bagside.web.parts.shop_pictures import group_picture
from bagside.web.preferences import tongue_of
from bagside.web.starter import desktop, here, write_starters
from bagside.web.words.catalogue import LANGUAGES
from bagside.web.words.tongue import Heat, Lengths, Theme, Tongue

TOP = ("name", "note", "currency", "people", "labour", "overhead", "scrap", "profit")
PRINTED = ("paper", "ink", "labels", "address", "records")
MUCH = ("controller", "times")
"""Groups that stay folded until someone wants them."""


def check_workshop(house: House) -> Callable[[str], None]:
    """Return what refuses a text that is no workshop.

    Parameters
    ----------
    house
        Whose materials may be named.
    """

    def check(text: str) -> None:
        shop = stated_from(tomllib.loads(text), spec.Workshop, "workshop.toml")
        problems = tuple(workshop_problems(shop, "workshop.toml", house.library()))
        if problems:
            raise InputError(problems)

    return check


class WorkshopPage:
    """The page in one window.

    Parameters
    ----------
    house
        The workshop.
    request
        That asked for the page.
    """

    def __init__(self, house: House, request: Request) -> None:
        self.house = house
        self.is_here, self.port = _is_here(request), request.url.port or 0
        self.sheet = house_sheet(request, tongue_of(request).say("workshop.title"), here="workshop")
        ui.add_head_html('<link rel="stylesheet" href="/looks/begin.css">')
        with self.sheet.verbs:
            self.walk = ui.element("span").classes("walk")
        with self.sheet.root:
            words(self.sheet.say("workshop.lead"), tag="p", look="q note")
            self.body = ui.element("div")
            self._people()
            markup(key(self.sheet.tongue))
            words(self.sheet.say("common.safety"), tag="p", look="q s")
        self.form = Form(self.sheet, house.file("workshop.toml"), "workshop", check_workshop(house), self.drawn)
        self.form.wrote = self._wrote
        self.pictures: dict[str, ui.html] = {}

    def show(self) -> None:
        """Draw the page."""
        self.drawn()

    def drawn(self) -> None:
        """Draw everything that stands in the file."""
        form = self.form
        form.currency = str(form.value(("currency",)) or "EUR")
        form.verbs(self.walk)
        try:
            check_workshop(self.house)(self.house.file("workshop.toml").text)
        except (InputError, tomllib.TOMLDecodeError) as error:  # a hand has broken it: here is where it is mended
            self.sheet.tell(error if isinstance(error, InputError) else f"workshop.toml – {error}")
        self.body.clear()
        with self.body:
            with box("section", "shop-flow asked"):
                for group, cls in (("room", spec.Room), ("oven", spec.Oven), ("pump", spec.Pump)):
                    with self._group(group):
                        form.lines(cls, (group,), group=group)
                with self._group("controller"):
                    form.lines(spec.Controller, ("oven", "controller"), group="controller")
                with self._group("money"):
                    form.lines(spec.Workshop, only=TOP)
                with self._group("printed"):
                    form.lines(spec.Workshop, only=PRINTED)
                with self._group("table"):
                    form.lines(spec.CuttingTable, ("table",), group="table")
                with self._group("offcuts"):
                    form.lines(spec.OffcutRule, ("offcuts",), group="offcuts")
                with self._group("hours"):
                    form.lines(spec.Hours, ("hours",), group="hours")
                with self._group("times"):
                    form.lines(spec.Times, ("times",), group="times", usual=_usual(self.sheet.tongue))
                with self._group("prices"):
                    form.lines(spec.Prices, ("prices",), group="prices")
                    price_group(form, self.house.library())
            with box("section", "lists"):
                list_group(form, spec.Roll, "stock", self.house.library())
                list_group(form, spec.Offer, "offers", self.house.library())
                list_group(form, spec.Equipment, "equipment", None)
            history(form)

    def _wrote(self, path: tuple[str | int, ...]) -> None:
        """Draw anew what shows a value that was just written."""
        group = str(path[0])
        if group in self.pictures:
            self.pictures[group].set_content(themed(group_picture(group, self._values(group), self.sheet.tongue)))
        if path == ("currency",):
            self.drawn()

    def _group(self, group: str) -> Any:
        say = self.sheet.say
        element = ui.element("section").classes(f"shop-group of-{group}")
        element._props["aria-label"] = say(f"workshop.group_{group}")
        with element:
            if group in ("room", "oven", "pump"):
                self.pictures[group] = figure(group_picture(group, self._values(group), self.sheet.tongue))
            if group not in MUCH:
                words(say(f"workshop.group_{group}"), tag="h2", look="b")
                return element
            folded = ui.element("details")
            with folded, box("summary", "act"):
                words(say(f"workshop.group_{group}"), tag="h2", look="b")
            return folded

    def _values(self, group: str) -> dict[str, str]:
        table = self.form.value((group,)) or {}
        return {f"{group}_{name}": str(value) for name, value in table.items()}

    def _people(self) -> None:
        """Show what one person prefers, and what opens the workshop elsewhere."""
        say, tongue = self.sheet.say, self.sheet.tongue
        words(say("workshop.prefer"), tag="h2", look="b")
        words(say("workshop.prefer_is"), tag="p", look="q note")
        kinds: tuple[tuple[str, dict[str, str], str], ...] = (
            ("language", dict(LANGUAGES), tongue.language),
            ("lengths", {v.value: say(f"common.lengths_{v.value}") for v in Lengths}, tongue.lengths.value),
            ("heat", {v.value: say(f"common.heat_{v.value}") for v in Heat}, tongue.heat.value),
            ("theme", {v.value: say(f"common.theme_{v.value}") for v in Theme}, tongue.theme.value),
        )
        for name, options, now in kinds:
            with box("p", "ways"):
                words(say(f"common.{name}"), look="q")
                for value, text in options.items():
                    link(text, f"/prefer?{name}={value}&to=/workshop", look="chosen" if value == now else "",
                         here=value == now)  # fmt: skip
        words(say("workshop.elsewhere"), tag="h2", look="b")
        with box("p", "ways"):
            link(say("workshop.bring_phone"), "/join-code")
        self._starter()

    def _starter(self) -> None:
        """Offer the file that opens the workshop, where its desktop is: on the machine that serves it."""
        say = self.sheet.say
        words(say("workshop.starter"), tag="p", look="note")
        if not self.is_here:
            words(say("workshop.starter_elsewhere"), tag="p", look="q note")
            return
        with box("p", "ways"):
            verb(say("workshop.starter_write"), self.sheet.doing(self._write_starter))
            self.lies = words("", look="b note").props("role=status")

    def _write_starter(self) -> None:
        say, port = self.sheet.say, self.port
        options = ("--open", *(("--port", str(port)) if port != PORT else ()))
        (path,) = write_starters(self.house.folder, desktop(), *options, systems=[here()])
        text = say("workshop.starter_lies", path=path)
        self.lies.set_content(escape(f"{text} {say('workshop.starter_may')}" if path.suffix == ".desktop" else text))


def _is_here(request: Request) -> bool:
    """Return whether a page was asked for by the machine that serves it."""
    try:
        return request.client is not None and ipaddress.ip_address(request.client.host).is_loopback
    except ValueError:
        return False


def _usual(tongue: Tongue) -> Callable[[str], str]:
    """Return what the library takes for a time that is not stated, as a file would state it."""
    generic = generic_times()

    def usual(name: str) -> str:
        value = getattr(generic, name)
        if value is None:
            return ""
        if name.startswith("lay_") or name in ("fill", "coat", "polish"):
            return f"{3600 * value:.3g} m²/h"
        return f"{60 * value:.3g} m/min" if name == "trim" else f"{value / 60:.3g} min"

    return usual
