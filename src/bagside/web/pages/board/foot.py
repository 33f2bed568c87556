"""The foot of the board: what is to decide, cloth by its length, the air with a reading to write down."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from bagside.errors import InputError
from bagside.findings import Finding, Severity
from bagside.ledger.bodies import Found, Measured, Sort
from bagside.quantity import Quantity
from bagside.web.house import House
from bagside.web.model.shop_desk import ShopDesk
from bagside.web.parts.addresses import of_thing
from bagside.web.parts.basis import mark
from bagside.web.parts.controls import button, choice, entry, link
from bagside.web.parts.frame import Sheet, now
from bagside.web.parts.html import box, figure, markup, words
from bagside.web.parts.plan_words import plan_html
from bagside.web.parts.records import acting, keep
from bagside.web.parts.shop_pictures import group_picture
from bagside.web.parts.typed import degrees, typed
from bagside.web.views.air.drawn import air_chart, air_said, reading_said
from bagside.web.views.board.view import BoardView, JobTold
from bagside.web.views.registry import stage_of
from bagside.web.views.shelf.drawn import cloth_drawn
from bagside.web.views.shelf.view import ClothLine

MOST_CLOTH = 5
MOST_DECISIONS = 3


class Foot:
    """What stands under the jobs.

    Parameters
    ----------
    sheet, house, desk
        The page, the workshop, and what it looks like.
    written
        Called when a reading was written down.
    """

    def __init__(self, sheet: Sheet, house: House, desk: ShopDesk, written: Callable[[], None]) -> None:
        self.sheet, self.house, self.desk, self._written = sheet, house, desk, written
        self.tongue, self.say = sheet.tongue, sheet.say

    def _told(self, sentence: str) -> str:
        return plan_html(sentence, self.tongue, full=True)

    def decide(self, view: BoardView) -> None:
        """Show what asks for a decision: cloth that is dead, findings of plans.

        Parameters
        ----------
        view
            Of the board.
        """
        words(self.say("board.to_decide"), tag="h2")
        items = [*self._of_cloth(view), *self._of_plans(view)]
        for draw in items[:MOST_DECISIONS]:
            draw()
        rest = items[MOST_DECISIONS:]
        if rest:
            with box("details"):
                with box("summary", "act"):
                    words(self.say("common.further", count=len(rest)))
                for draw in rest:
                    draw()
        if not items:
            words(self.say("board.nothing_to_decide"), tag="p", look="q")

    def _of_plans(self, view: BoardView) -> list[Callable[[], None]]:
        out: list[Callable[[], None]] = []
        for line in view.jobs:
            for found in line.told.findings:
                if found.severity in (Severity.STOP, Severity.DECIDE):
                    out.append(lambda line=line, found=found: self._finding(line.told, found))  # type: ignore[misc]
        return out

    def _finding(self, told: JobTold, found: Finding) -> None:
        stop = self.say("common.stop") + " " if found.severity is Severity.STOP else ""
        with box("div", f"find {found.severity.value}", role="note"):
            markup(f"{escape(told.name)}, {plan_html(found.place, self.tongue)}", tag="span", look="place s")
            markup(
                f"<b>{escape(stop)}{self._told(found.what)}</b>{mark(found.basis, self.tongue, found.source)} "
                f"{self._told(found.do)}",
                tag="span",
            )
            with box("div", "verbs"):
                link(self.say("board.look_there"), f"/job/{told.folder}/{stage_of(found.stage)}")

    def _of_cloth(self, view: BoardView) -> list[Callable[[], None]]:
        if view.shelf is None:
            return []
        dead = [c for c in view.shelf.cloth if c.out is not None and c.out.share >= 1.0]
        tackless = [
            c for c in view.shelf.cloth if c not in dead and c.tack is not None and c.tack.share >= 1.0
        ]  # fmt: skip
        out: list[Callable[[], None]] = []
        for cloth, what, do in (
            *((c, "board.cloth_dead", "board.cloth_dead_do") for c in dead),
            *((c, "board.cloth_dry", "board.cloth_dry_do") for c in tackless),
        ):
            def draw(name: str = cloth.name, what: str = what, do: str = do) -> None:
                with box("div", "find decide", role="note"):
                    words(name, look="place s")
                    markup(f"<b>{escape(self.say(what, name=name))}</b> {escape(self.say(do))}", tag="span")
                    with box("div", "verbs"):
                        link(self.say("board.see_it"), of_thing(name))

            out.append(draw)
        return out

    def decisions(self, view: BoardView) -> object:
        """Return what asks for a decision, to be compared.

        Parameters
        ----------
        view
            Of the board.
        """
        used = [] if view.shelf is None else [
            (c.name, c.out.share >= 1.0) for c in view.shelf.cloth if c.out is not None and _used_up(c)
        ]  # fmt: skip
        return used, [(line.told.folder, line.told.findings) for line in view.jobs]

    def cloth_told(self, view: BoardView) -> str:
        """Return the cloth that asks most, then the rolls, as HTML; empty without records.

        Parameters
        ----------
        view
            Of the board.
        """
        if view.shelf is None:
            return ""
        alive = [c for c in view.shelf.cloth if c.out is None or c.out.share < 1.0]
        asks = [c for c in alive if c.severity is not Severity.SEEN]
        rolls = [c for c in alive if c not in asks and c.sort is Sort.ROLL]
        lines = [*asks, *rolls, *(c for c in alive if c not in asks and c not in rolls)]
        longest = max((c.length for c in alive if c.sort is Sort.ROLL), default=1.0)
        return cloth_drawn(lines[:MOST_CLOTH], now(), self.tongue, longest=longest)

    def cloth(self, view: BoardView) -> None:
        """Show the cloth that asks most, then the rolls.

        Parameters
        ----------
        view
            Of the board.
        """
        with box("div", "headline"):
            words(self.say("board.cloth"), tag="h2")
            words(self.say("board.cloth_how"), look="q s")
        if view.shelf is None or not view.shelf.cloth:
            words(self.say("board.no_records" if view.shelf is None else "board.no_cloth"), tag="p")
            figure(group_picture("roll", {}, self.tongue), look="meant")
            link(self.say("board.to_freezer"), "/freezer")
            return
        markup(self.cloth_told(view))
        if len(view.shelf.cloth) > MOST_CLOTH:
            link(self.say("board.all_cloth", count=len(view.shelf.cloth)), "/freezer")

    def air(self, view: BoardView) -> None:
        """Show whether one may spray and lay now, and the readings of the day.

        Parameters
        ----------
        view
            Of the board.
        """
        words(self.say("board.air"), tag="h2")
        if view.air is None:
            words(self.say("board.air_no_records"), tag="p")
            return
        air = view.air
        if air.isocyanate:
            words(self.say("board.isocyanate", names=", ".join(air.isocyanate)), tag="p", look="caution s")
        markup(air_said(air, now(), self.tongue))
        if air.last is None:
            figure(group_picture("room", {}, self.tongue), look="meant")
        if air.last is not None:
            markup(f'<p class="q">{escape(reading_said(air.last, now(), self.tongue))}</p>')
        wants = self.say(
            "board.coat_wants",
            coldest="–" if air.coat_coldest is None else self.tongue.temperature(air.coat_coldest),
            wettest="–" if air.coat_wettest is None else self.tongue.share(air.coat_wettest),
            margin=self.tongue.difference(air.coat_margin, 0),
        )
        markup(f'<p class="q s">{escape(wants)}{mark(air.coat_basis, self.tongue, ", ".join(air.coats))}</p>')
        chart = air_chart(air, now(), self.tongue)
        figure(chart)
        if chart:
            margin = self.tongue.difference(air.coat_margin, 0)
            words(self.say("board.hatched", margin=margin), tag="p", look="q s")

    def form(self, view: BoardView) -> None:
        """Ask for a reading of the room: three short answers, and one button.

        Parameters
        ----------
        view
            Of the board.
        """
        if view.air is None:
            return
        say, unit = self.say, degrees(self.tongue)
        rooms = view.air.rooms
        if not rooms:
            words(say("board.no_room"), tag="p")
            link(say("board.to_freezer"), "/freezer")
            return
        with box("details", "reading"):
            with box("summary", "act"):
                words(say("board.write_reading"))
            given = {"place": rooms[0], "temperature": "", "humidity": ""}
            if len(rooms) > 1:
                choice(say("board.where"), {r: r for r in rooms}, rooms[0], lambda v: given.update(place=v))
            warm = entry(say("board.temperature"), "", lambda v: given.update(temperature=v), unit=unit, mode="decimal",
                         wide="6em")  # fmt: skip
            damp = entry(say("board.humidity"), "", lambda v: given.update(humidity=v), unit="%", mode="decimal",
                         wide="6em")  # fmt: skip

            async def write() -> None:
                values = {}
                for field, name, kind, shown in (
                    (warm, "temperature", Quantity.TEMPERATURE, unit), (damp, "humidity", Quantity.HUMIDITY, "%"),
                ):  # fmt: skip
                    try:
                        values[name] = typed(given[name], kind, shown, self.tongue)
                        field.wrong("")
                    except InputError as error:
                        field.wrong(error.problems[0].wanted)
                        return
                if not 0.0 < values["humidity"] <= 1.0:
                    damp.wrong(say("board.humidity_range"))
                    return
                body = Measured(
                    subject=given["place"], found=Found.CLIMATE, value=values["temperature"],
                    humidity=values["humidity"],
                )  # fmt: skip
                await keep(self.house, self.sheet, body)
                self._written()
                self.desk.look()

            button(say("board.write_down"), acting(self.sheet, write))


def _used_up(line: ClothLine) -> bool:
    """Return whether one of its clocks has run out."""
    return any(clock is not None and clock.share >= 1.0 for clock in (line.out, line.tack))
