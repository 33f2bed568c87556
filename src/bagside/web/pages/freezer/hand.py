"""The thing in hand: its life, its thaw, its line, what can be done with it, and everything that happened to it."""

from __future__ import annotations

import math
from collections.abc import Awaitable, Callable
from html import escape

import numpy as np

from bagside.findings import Severity
from bagside.ledger.bodies import CLOTH, GOODS, Sort
from bagside.ledger.clocks.life_now import Clock
from bagside.ledger.clocks.thaw import Thaw
from bagside.ledger.things import Cloth, Goods, Place
from bagside.sheets import colour, paper
from bagside.sheets.marks import warp_arrow
from bagside.spec.workshop import Workshop
from bagside.web.house import House
from bagside.web.pages.freezer import acts
from bagside.web.pages.freezer.makeable import makeable
from bagside.web.parts.addresses import of_build, of_label, of_thing
from bagside.web.parts.asking import folded
from bagside.web.parts.basis import mark
from bagside.web.parts.controls import download, link
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import Sheet, now
from bagside.web.parts.happened import happened_lines
from bagside.web.parts.html import box, figure, markup, words
from bagside.web.views.thing import ThingView
from bagside.web.views.told import own_words

Done = Callable[..., Awaitable[None]]
OUTLINE = (60.0, 40.0)
"""Room for the outline of an offcut [mm]."""
DAY = 86400.0


class Hand:
    """One thing, looked at closely, and what can be done with it.

    Parameters
    ----------
    sheet, house, workshop
        The page, and whose it is.
    view
        Of the thing.
    done
        Called with a sentence when something was written down.
    """

    def __init__(self, sheet: Sheet, house: House, workshop: Workshop, view: ThingView, done: Done) -> None:
        self.sheet, self.house, self.workshop, self.view, self.done = sheet, house, workshop, view, done
        self.say, self.tongue = sheet.say, sheet.tongue
        thing = view.thing
        with box("div", "headline"):
            words(thing.name, tag="h2", look="inhand")
            words(self._what(), look="q")
            link(self.say("freezer.put_down"), "/freezer")
        gone = getattr(thing, "gone", None)
        if gone is not None:
            when = self.tongue.day(gone)
            words(self.say("freezer.is_gone", day=when, why=own_words(getattr(thing, "why", ""), self.tongue)),
                  tag="p", look="b")  # fmt: skip
        if view.life is not None:
            self._life()
        if isinstance(thing, Cloth) and thing.outline:
            figure(_outline(thing))
        if isinstance(thing, Cloth) and thing.pieces:
            self._pieces(thing)
        if view.thaw is not None:
            self._thaw(view.thaw)
        self._line()
        if thing.there:
            self._acts()
        with folded(self.say("freezer.history"), open_=True):
            happened_lines(sheet, house, view, done)

    def _what(self) -> str:
        thing = self.view.thing
        parts = [self.say(f"freezer.sort_{thing.sort.value}"), getattr(thing, "material", "")]
        batch = getattr(thing, "batch", "")
        if batch:
            parts.append(self.say("history.batch", batch=batch))
        if self.view.place:
            parts.append(self.view.place)
        return ", ".join(p for p in parts if p)

    def _life(self) -> None:
        """Show each clock as a bar, solid what is used, hollow what is left, and what it rests on."""
        life = self.view.life
        if life is None:
            return
        lines = [self._clock(self.say("freezer.out_life"), life.out)]
        if life.tack is not None:
            lines.append(self._clock(self.say("freezer.tack"), life.tack))
        markup(f'<ul class="clocks">{"".join(lines)}</ul>')
        if life.use_by is not None:
            day = f"{self.tongue.day(life.use_by)} {life.use_by.year}"
            words(self.say("freezer.last_day", day=day), tag="p", look="s")
        if life.worst:
            words(self.say("freezer.worst", name=life.worst), tag="p", look="s")
        findings([f for f in life.findings if f.severity is not Severity.SEEN], self.tongue)
        seen = [f for f in life.findings if f.severity is Severity.SEEN]
        if seen:
            with folded(self.say("freezer.rests_on")):
                findings(seen, self.tongue)

    def _clock(self, name: str, clock: Clock) -> str:
        used = 100.0 * min(max(clock.share, 0.0), 1.0)
        tongue = self.tongue
        left = self.say(
            "freezer.clock_left", room=self._days(clock.left_room), cold=self._days(clock.left_cold),
            used=tongue.share(clock.share),
        )  # fmt: skip
        unsure = "" if clock.sure else f" {escape(self.say('freezer.unsure'))}"
        return (
            f'<li><span class="name">{escape(name)}</span>'
            f'<span class="gone-left"><i style="width:{used:.1f}%"></i></span>'
            f'<span class="s">{escape(left)}{mark(clock.basis, tongue, clock.source)}{unsure}</span></li>'
        )

    def _days(self, seconds: float) -> str:
        return self.say("freezer.days", count=self.tongue.number(seconds / DAY, 0 if seconds >= 3 * DAY else 1))

    def _pieces(self, thing: Cloth) -> None:
        left = [p for p in thing.pieces if not p.laid_in]
        names = ", ".join(f"{p.piece.label}" for p in left) or "–"
        words(self.say("freezer.pieces_left", count=len(left), of=len(thing.pieces), names=names), tag="p")

    def _thaw(self, thaw: Thaw) -> None:
        """Say whether the bag may be opened, with the number: the gate before opening."""
        tongue, say = self.tongue, self.say
        values = {
            "core": tongue.temperature(thaw.core, 0), "needed": tongue.temperature(thaw.needed, 1),
            "room": tongue.temperature(thaw.room, 1), "humidity": tongue.share(thaw.humidity),
            "dew": tongue.temperature(thaw.dew_point, 1),
        }  # fmt: skip
        if math.isinf(thaw.takes):
            text = say("freezer.thaw_never", **values)
        elif thaw.cold:
            text = say("freezer.thaw_cold", time=tongue.duration(thaw.takes), **values)
        elif thaw.openable:
            text = say("freezer.thaw_may", **values)
        else:
            opens = thaw.opens_at
            at = "–" if opens is None else tongue.clock(opens.astimezone(now().tzinfo))
            text = say("freezer.thaw_wait", time=tongue.duration(thaw.takes), clock=at, **values)
        stops = not thaw.cold and not thaw.openable
        words(text, tag="p", look="find stop" if stops else "note")

    def _line(self) -> None:
        line = self.view.line
        for names, key in ((line.up, "came_from"), (line.down, "became"), (line.further, "further")):
            if not names:
                continue
            with box("p", "note"):
                words(self.say(f"freezer.{key}") + " ", look="q")
                for name in names:
                    if name.startswith("build "):
                        link(own_words(name, self.tongue), of_build(name.removeprefix("build ")), look="off")
                    else:
                        link(name, of_thing(name), look="off")

    def _acts(self) -> None:
        thing = self.view.thing
        sheet, house, view, done = self.sheet, self.house, self.view, self.done
        with box("div", "acts"):
            if thing.sort in (*CLOTH, *GOODS):
                acts.move(sheet, house, view, done)
            if isinstance(thing, Cloth) and view.thaw is not None and not view.thaw.cold:
                acts.open_bag(sheet, house, view, done)
            if thing.sort in (Sort.ROLL, Sort.OFFCUT) and view.life is not None:
                makeable(sheet, house, view)
            if thing.sort is Sort.ROLL or isinstance(thing, Goods):
                acts.count(sheet, house, view, done)
            if isinstance(thing, Goods):
                acts.spend(sheet, house, view, done)
            if not isinstance(thing, Place) or not view.places:
                acts.discard(sheet, house, view, done)
            if thing.sort is Sort.OFFCUT:
                download(self.say("freezer.print_label"), of_label(thing.name))


def _outline(thing: Cloth) -> str:
    """Return an offcut as it lies, its warp across, with its flaws hatched."""
    xs = [p[0] for p in thing.outline]
    ys = [p[1] for p in thing.outline]
    wide, tall = max(xs) - min(xs), max(ys) - min(ys)
    scale = min((OUTLINE[0] - 2.0) / max(wide, 1e-6), (OUTLINE[1] - 8.0) / max(tall, 1e-6))

    def placed(loop: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
        return [(1.0 + (x - min(xs)) * scale, 1.0 + (max(ys) - y) * scale) for x, y in loop]

    out = [paper.line(placed(thing.outline), weight=paper.EDGE, closed=True)]
    out += [paper.line(placed(hole), weight=paper.THIN, closed=True) for hole in thing.holes]
    out += [
        paper.line(placed(flaw), weight=paper.THIN, closed=True, dashes="0.8 0.6", ink=colour.SECOND)
        for flaw in thing.flaws
    ]
    y = 1.0 + tall * scale + 4.0
    out.append(warp_arrow(np.array([1.0, y]), np.array([1.0 + min(14.0, wide * scale), y])))
    return paper.sheet(OUTLINE[0], y + 2.0, out, title=thing.name)
