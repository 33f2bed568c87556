"""The page of the freezer: cloth by where it lies, the thing in hand, goods, places."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from datetime import datetime, timedelta
from functools import partial
from html import escape

from nicegui import ui
from nicegui.element import Element

from bagside.errors import BagsideError
from bagside.findings import Severity
from bagside.ledger.bodies import Sort
from bagside.ledger.clocks.due import Due
from bagside.spec.workshop import Workshop
from bagside.web.house import House
from bagside.web.model.shop_desk import shop_desk
from bagside.web.pages.freezer import acts
from bagside.web.pages.freezer.hand import Hand
from bagside.web.pages.freezer.places import place_lines
from bagside.web.pages.freezer.receive import receive
from bagside.web.parts.addresses import of_thing
from bagside.web.parts.asking import folded
from bagside.web.parts.basis import key, mark
from bagside.web.parts.frame import Sheet, now, rows
from bagside.web.parts.html import box, figure, markup, words
from bagside.web.parts.kept_parts import Parts
from bagside.web.parts.shop_pictures import group_picture
from bagside.web.views.shelf.drawn import cloth_drawn, moment_of
from bagside.web.views.shelf.view import ClothLine, GoodsLine, PlaceLine, Shelf
from bagside.web.views.thing import ThingView, thing_view

AHEAD = timedelta(days=60)
"""How far ahead the calendar of ends looks."""


class FreezerPage:
    """What the workshop has, and one thing of it in hand.

    Parameters
    ----------
    sheet, house, workshop
        The page, and whose it is.
    name
        Of the thing in hand; none when empty.
    """

    def __init__(self, sheet: Sheet, house: House, workshop: Workshop, name: str) -> None:
        self.sheet, self.house, self.workshop, self.name = sheet, house, workshop, name
        self.tongue, self.say = sheet.tongue, sheet.say
        self.desk = shop_desk(house)
        self.parts = Parts()
        self._lie: object = None
        with sheet.root:
            with box("section", "picture shelf in-hand" if name else "picture shelf"):
                with box("div"):
                    self.left, self.several = Element("div"), Element("div")
                self.right = Element("div")
            with box("section", "foot"):
                self.goods, self.places, self.new = Element("div"), Element("div"), Element("div")
            markup(key(self.tongue))
            words(self.say("common.safety"), tag="p", look="q s")
        sheet.leaving(self.desk.watch(self._heard))
        self._heard()
        ui.timer(0.01, self._look, once=True)
        with self.new:
            receive(sheet, house, workshop, self._done)

    async def _look(self) -> None:
        """Fetch the thing in hand, in a thread."""
        with self.right:
            if not self.name:
                return
        try:
            found = await asyncio.to_thread(self._fetched)
        except BagsideError as error:
            self.sheet.tell(error)
            return
        self.right.clear()
        with self.right:
            Hand(self.sheet, self.house, self.workshop, found, self._done)

    def _fetched(self) -> ThingView:
        with self.house.desk() as here:
            return thing_view(here.ledger, here.standing(), self.name, now())

    async def _done(self, sentence: str, *, go_to: str = "") -> None:
        """Say what was written down, and show how things stand now."""
        if go_to:
            ui.navigate.to(of_thing(go_to))
            return
        self.sheet.tell(sentence)
        self.desk.look()
        await self._look()

    def _heard(self) -> None:
        with self.sheet.client:
            view = self.desk.view
            if self.desk.trouble:
                self.sheet.tell(self.desk.trouble)
            shelf = None if view is None else view.shelf
            if shelf is None:
                reading = partial(words, self.say("board.reading"), tag="p", look="q")
                self.parts.part("cloth", self.left, "waiting", reading)
                return
            self.sheet.under.set_content(
                escape(self.say("freezer.under", cloth=len(shelf.cloth), goods=len(shelf.goods)))
            )  # fmt: skip
            longest = max((c.length for c in shelf.cloth if c.sort is Sort.ROLL), default=1.0)
            cloth = cloth_drawn(shelf.cloth, now(), self.tongue, longest=longest)
            warm = tuple(place_said(p, self) for p in shelf.places)
            self.parts.part("cloth", self.left, (cloth, warm), lambda: self._cloth(shelf))
            self.parts.part("goods", self.goods, shelf.goods, lambda: self._goods(shelf.goods))
            self.parts.part(
                "places", self.places, shelf.places,
                lambda: place_lines(self.sheet, self.house, shelf.places, self._done),
            )  # fmt: skip
            if not self.name:
                self.parts.part("due", self.right, cloth, lambda: self._due(shelf))
            lie = tuple((c.name, c.place) for c in shelf.cloth), tuple(p.name for p in shelf.places)
            if lie != self._lie:  # else what is ticked there stays ticked
                self._lie = lie
                self.several.clear()
                if len(shelf.cloth) > 1 and len(shelf.places) > 1:
                    with self.several:
                        acts.move_several(self.sheet, self.house, shelf.cloth, lie[1], self._done)

    def _cloth(self, shelf: Shelf) -> None:
        words(self.say("board.cloth_how"), tag="p", look="q s")
        if not shelf.cloth:
            words(self.say("freezer.nothing"), tag="p", look="lead b")
            words(self.say("freezer.nothing_do"), tag="p")
            figure(group_picture("roll", {}, self.tongue), look="meant")
            return
        longest = max((c.length for c in shelf.cloth if c.sort is Sort.ROLL), default=1.0)
        known = {p.name: p for p in shelf.places}
        names = [*known, *sorted({c.place for c in shelf.cloth} - set(known))]
        for name in names:
            lines = [c for c in shelf.cloth if c.place == name]
            if not lines:
                continue
            with box("div", "headline"):
                words(name or self.say("freezer.nowhere"), tag="h2")
                place = known.get(name)
                if place is not None:
                    words(place_said(place, self), look="q s")
            rolls = [c for c in lines if c.sort is Sort.ROLL]
            offcuts = [c for c in lines if c.sort is Sort.OFFCUT]
            kits = [c for c in lines if c.sort is Sort.KIT]
            with box("div", "pairs"):
                for group, title in ((rolls, "rolls"), (offcuts, "offcuts"), (kits, "kits")):
                    if group:
                        self._group(group, title, longest)

    def _group(self, lines: Sequence[ClothLine], title: str, longest: float) -> None:
        with box("div"):
            words(self.say(f"freezer.{title}"), tag="h3", look="q s")
            markup(cloth_drawn(lines, now(), self.tongue, longest=longest, here=self.name, where=False))

    def _due(self, shelf: Shelf) -> None:
        """Show what ends when, the first at the top."""
        words(self.say("freezer.due"), tag="h2")
        at = now()
        lines: list[ClothLine | GoodsLine] = [*shelf.cloth, *shelf.goods]
        ends: list[tuple[datetime, Due, ClothLine | GoodsLine]] = []
        for line in lines:
            for end in (line.ends, line.tack_ends if isinstance(line, ClothLine) else None):
                if end is not None and end.when is not None and end.when - at <= AHEAD:
                    ends.append((end.when, end, line))
        ends.sort(key=lambda found: found[0])
        if not ends:
            words(self.say("freezer.nothing_due", days=AHEAD.days), tag="p", look="q")
        body = [self._due_row(end, line) for _, end, line in ends]
        if body:
            head = ("", self.say("freezer.what_ends"), self.say("freezer.when"), self.say("freezer.where"))
            markup(rows(head, body, name=self.say("freezer.due")), look="scroll")
        words(self.say("freezer.due_how"), tag="p", look="q s")

    def _due_row(self, end: Due, line: ClothLine | GoodsLine) -> list[str]:
        when = escape(moment_of(end, now(), self.tongue))
        strong = end.severity in (Severity.STOP, Severity.DECIDE)
        unsure = "" if end.sure else f" {escape(self.say('freezer.not_sure'))}"
        return [
            f'<a href="{of_thing(line.name)}">{escape(line.name)}</a> {escape(line.material)}',
            escape(self.say(f"freezer.ends_{end.ends.name.lower()}")),
            (f"<b>{when}</b>" if strong else when) + mark(end.basis, self.tongue) + unsure,
            escape(end.place or "–"),
        ]

    def _goods(self, goods: Sequence[GoodsLine]) -> None:
        words(self.say("freezer.goods"), tag="h2")
        if not goods:
            words(self.say("freezer.no_goods"), tag="p", look="q")
            return
        body = []
        for line in goods:
            amount = amount_said(line, self)
            heats = ""
            if line.sort is Sort.CONSUMABLE and line.cures is not None:
                heats = self.say("freezer.cures_seen", seen=line.heats, may=line.cures)
            ends = "" if line.ends is None else moment_of(line.ends, now(), self.tongue)
            strong = line.severity in (Severity.STOP, Severity.DECIDE)
            body.append(
                [
                    f'<a href="{of_thing(line.name)}">{escape(line.name)}</a>',
                    escape(line.material or self.say(f"freezer.sort_{line.sort.value}")),
                    escape(amount or "–"),
                    escape(heats),
                    f"<b>{escape(ends)}</b>" if strong else escape(ends),
                ]
            )
        head = ("", self.say("freezer.material"), self.say("freezer.there"), "", self.say("freezer.ends"))
        markup(rows(head, body, right=(2,), name=self.say("freezer.goods")), look="scroll")
        with folded(self.say("freezer.goods_what")):
            words(self.say("freezer.goods_how"), tag="p", look="q s")


def amount_said(line: GoodsLine, page: FreezerPage) -> str:
    """Return how much there is of goods, in words.

    Parameters
    ----------
    line
        Which.
    page
        Of the reader.
    """
    parts = []
    if line.mass is not None:
        parts.append(page.tongue.mass(line.mass))
    if line.volume is not None:
        parts.append(page.tongue.volume(line.volume))
    if line.count is not None:
        parts.append(page.say("history.pieces", count=line.count))
    return ", ".join(parts)


def place_said(place: PlaceLine, page: FreezerPage) -> str:
    """Return how warm a place is, by what: read there, logged, or as it is set.

    Parameters
    ----------
    place
        Which.
    page
        Of the reader.
    """
    tongue, say = page.tongue, page.say
    parts = []
    if place.temperature is not None:
        parts.append(say("freezer.set", temperature=tongue.temperature(place.temperature)))
    if place.read is not None and place.read_at is not None:
        local = place.read_at.astimezone(now().tzinfo)
        read = tongue.temperature(place.read, 1)
        parts.append(say("freezer.read", temperature=read, when=f"{tongue.day(local)} {tongue.clock(local)}"))
    if place.logged_until is not None:
        parts.append(say("freezer.logged", day=tongue.day(place.logged_until)))
    return "; ".join(parts)
