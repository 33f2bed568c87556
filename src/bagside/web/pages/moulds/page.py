"""The page of the moulds: each as a thread of its pulls, and one of them in hand."""

from __future__ import annotations

import asyncio
from html import escape

from nicegui import ui
from nicegui.element import Element

from bagside.errors import BagsideError, InputError
from bagside.ledger.bodies import Sort
from bagside.records.database.ledger import Ledger
from bagside.spec.workshop import Workshop
from bagside.web.house import House
from bagside.web.model.shop_desk import shop_desk
from bagside.web.pages.moulds import acts
from bagside.web.parts.addresses import of_mould
from bagside.web.parts.asking import folded
from bagside.web.parts.basis import key
from bagside.web.parts.controls import link
from bagside.web.parts.frame import Sheet, now
from bagside.web.parts.happened import happened_lines
from bagside.web.parts.html import box, figure, markup, words
from bagside.web.views.board.view import BoardView
from bagside.web.views.moulds.drawn import heat_drawn, state_said, thread_drawn
from bagside.web.views.moulds.meant import life_meant
from bagside.web.views.moulds.view import MouldLine
from bagside.web.views.thing import ThingView, thing_view


class MouldsPage:
    """Every mould, and one of them in hand.

    Parameters
    ----------
    sheet, house, workshop
        The page, and whose it is.
    name
        Of the mould in hand; none when empty.
    """

    def __init__(self, sheet: Sheet, house: House, workshop: Workshop, name: str) -> None:
        self.sheet, self.house, self.workshop, self.name = sheet, house, workshop, name
        self.say, self.tongue = sheet.say, sheet.tongue
        self.desk = shop_desk(house)
        self._drawn: object = None
        if not Ledger.kept_for(house.folder, workshop.records):
            with sheet.root, box("section", "empty"):
                words(self.say("moulds.no_records"), tag="p", look="lead b")
                words(self.say("moulds.no_records_why"), tag="p")
                figure(life_meant(self.tongue), look="meant")
                link(self.say("board.to_freezer"), "/freezer")
            return
        with sheet.root:
            with box("section", "picture shelf in-hand" if name else "picture shelf"):
                self.left, self.right = Element("div"), Element("div")
            markup(key(self.tongue))
            words(self.say("common.safety"), tag="p", look="q s")
        sheet.leaving(self.desk.watch(self._heard))
        self._heard()
        if name:
            ui.timer(0.01, self._look, once=True)
        else:
            with self.right:
                self._new()

    async def _look(self) -> None:
        try:
            found = await asyncio.to_thread(self._fetched)
        except BagsideError as error:
            self.sheet.tell(error)
            return
        self.right.clear()
        with self.right:
            self._hand(found)

    def _fetched(self) -> ThingView:
        with self.house.desk() as here:
            found = thing_view(here.ledger, here.standing(), self.name, now())
        if found.thing.sort is not Sort.MOULD:
            raise InputError.one("mould", f'"{self.name}"', "there is no mould of this name")
        return found

    async def _done(self, sentence: str, *, go_to: str = "") -> None:
        if go_to:
            ui.navigate.to(of_mould(go_to))
            return
        self.sheet.tell(sentence)
        self.desk.look()
        await self._look()

    def _heard(self) -> None:
        with self.sheet.client:
            view = self.desk.view
            if self.desk.trouble:
                self.sheet.tell(self.desk.trouble)
            shown = None if view is None else view.moulds
            if view is None:
                if self._drawn is None:
                    with self.left:
                        words(self.say("board.reading"), tag="p", look="q")
                    self._drawn = "waiting"
                return
            if self._drawn == shown:
                return
            self._drawn = shown
            self.left.clear()
            with self.left:
                self._moulds(view)

    def _moulds(self, view: BoardView) -> None:
        if not view.moulds:
            words(self.say("moulds.none"), tag="p", look="lead b")
            words(self.say("moulds.none_why"), tag="p")
            return
        words(self.say("moulds.how"), tag="p", look="q s")
        for line in view.moulds:
            self._mould(line)

    def _mould(self, line: MouldLine) -> None:
        with box("article", "mould here" if line.name == self.name else "mould"):
            with box("div", "headline"):
                link(line.name, of_mould(line.name), look="lead b", here=line.name == self.name)
                words(line.material, look="q")
                if line.builds:
                    words(self.say("moulds.now_on", builds=", ".join(line.builds)), look="q s")
            markup(thread_drawn(line, self.tongue))
            for sentence, asks in state_said(line, self.tongue):
                markup(f"<p>{f'<b>{sentence}</b>' if asks else sentence}</p>", look="note")
            markup(heat_drawn(line, self.tongue), look="heat")

    def _new(self) -> None:
        words(self.say("moulds.new"), tag="h2")
        acts.receive(self.sheet, self.house, self._done)

    def _hand(self, view: ThingView) -> None:
        with box("div", "headline"):
            words(view.thing.name, tag="h2", look="inhand")
            link(self.say("freezer.put_down"), "/moulds")
        gone = getattr(view.thing, "gone", None)
        if gone is not None:
            words(self.say("freezer.is_gone", day=self.tongue.day(gone), why=getattr(view.thing, "why", "")), tag="p",
                  look="b")  # fmt: skip
        note = getattr(view.thing, "note", "")
        if note:
            markup(f"<p>{escape(note)}</p>")
        if view.thing.there:
            with box("div", "acts"):
                acts.release(self.sheet, self.house, view, self._done)
                acts.repair(self.sheet, self.house, view, self._done)
                acts.test(self.sheet, self.house, self.workshop, view, self._done)
                acts.give_up(self.sheet, self.house, view, self._done)
        with folded(self.say("freezer.history"), open_=True):
            happened_lines(self.sheet, self.house, view, self._done)
