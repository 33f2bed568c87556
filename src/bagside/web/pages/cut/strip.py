"""Under the nest: how it grows, what is cut where, what goes back to stock, and the one yellow button."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Sequence
from html import escape
from typing import Protocol

from nicegui import ui
from nicegui.element import Element

from bagside.sheets.growth import growth
from bagside.sheets.themed import themed
from bagside.web.model.cut_bench import CutBench
from bagside.web.pages.cut.drawn import in_metres
from bagside.web.parts.basis import mark
from bagside.web.parts.controls import button, choice, verb
from bagside.web.parts.did import did
from bagside.web.parts.frame import JobSheet, rows, strip
from bagside.web.parts.html import box, figure, markup, words
from bagside.web.views.cut.shown import CutView, KitView
from bagside.web.words.tongue import Tongue
from bagside.web.work.accept_task import Taken

TIMES = (3, 8, 30, 120, 600)
"""For a search [s]."""
SIZE = (330.0, 170.0)
"""Of the curve [px]."""


def curve_drawn(points: Sequence[tuple[float, float]], tongue: Tongue, *, running: bool) -> str:
    """Return how the use of a cloth grew, for a page.

    Parameters
    ----------
    points
        Time [s] and share.
    tongue
        Of the reader.
    running
        Whether it still grows.
    """
    title = tongue.say("cut.growth_title")
    return themed(growth(points, SIZE, running=running, share=tongue.share, seconds=tongue.duration, title=title))


class Hands(Protocol):
    """What people do on the page."""

    seconds: float

    def again(self) -> None:
        """Nest again."""

    def loosen(self, piece: str, kit: str) -> None:
        """Take a pin off, or all."""

    def who(self) -> tuple[str, str]:
        """Return who sits here, and on what."""


class Strip:
    """What stands under the picture.

    Parameters
    ----------
    sheet
        Of the page.
    bench
        The cutting table.
    hands
        What is done.
    """

    def __init__(self, sheet: JobSheet, bench: CutBench, hands: Hands) -> None:
        self.sheet, self.bench, self.hands, self.tongue = sheet, bench, hands, sheet.tongue
        self.material = ""
        self._now: Element | None = None
        self._curve: ui.html | None = None
        self._share: ui.html | None = None
        self._running: ui.html | None = None
        self._used = 0.0

    def build(self, kit: KitView, view: CutView) -> None:
        """Build it.

        Parameters
        ----------
        kit
            The cloth that is looked at.
        view
            Of the page.
        """
        self.material = kit.material
        with strip() as (left, middle, right):
            with left:
                self._growing(kit, view)
            with middle:
                markup(self._table(kit))
            with right:
                self._back(kit, view)
        self.grow()

    # --- left: the curve

    def _growing(self, kit: KitView, view: CutView) -> None:
        say = self.sheet.say
        markup(f"<b>{escape(say('cut.growth'))}</b> <span class=q>{escape(say('cut.growth_says'))}</span>", tag="p")
        with box("div", "cut-growth"):
            self._curve = figure("")
            with box("div"):
                self._share = words("", look="fig")
                words(say("cut.used_of"), tag="div", look="q s")
        self._now = Element("div").classes("cut-now")
        with self._now:
            if self.bench.nesting:
                self._running = words("", look="note")
                verb(say("cut.stop_here"), self.bench.stop)
            elif not view.turned_over and kit.cut_on is None:
                verb(say("cut.again"), self.hands.again)
                choice(
                    say("cut.for_time"),
                    {str(s): say(f"cut.seconds_{s}") for s in TIMES},
                    str(min(TIMES, key=lambda s: abs(s - self.hands.seconds))),
                    self._time,
                )
                if any(c.pinned for cloth in kit.cloths for c in cloth.copies):
                    verb(say("cut.pins_off"), lambda: self.hands.loosen("", ""))
                for word, what, act in (
                    ("undo", self.bench.undo_next, self.bench.undo),
                    ("redo", self.bench.redo_next, self.bench.redo),
                ):
                    if what:
                        verb(say(f"cut.{word}", what=did(what, self.tongue)), self.sheet.doing(act))
        self._used = kit.used

    def _time(self, seconds: str) -> None:
        if seconds in {str(s) for s in TIMES}:
            self.hands.seconds = float(seconds)

    def grow(self) -> None:
        """Draw the curve as far as it has come."""
        bench, tongue = self.bench, self.tongue
        running = bench.nesting == self.material
        grown = bench.grown.get(self.material)
        used = grown.used if running and grown is not None else None if running else self._used
        if self._share is not None:
            self._share.set_content("…" if used is None else escape(tongue.share(used, 1)))
        points = bench.curve.get(self.material) or []
        if self._curve is not None:
            still = "" if running else f'<p class="q s">{escape(tongue.say("cut.growth_none"))}</p>'
            self._curve.set_content(curve_drawn(points, self.tongue, running=running) if points else still)
        if bench.nesting and self._running is not None:
            since = tongue.duration(time.monotonic() - bench.since)
            self._running.set_content(escape(tongue.say("cut.nested_now", seconds=since)))

    # --- middle: what is cut where

    def _table(self, kit: KitView) -> str:
        say, tongue = self.sheet.say, self.tongue
        count: Counter[str] = Counter()
        on: dict[str, dict[str, None]] = {}
        area: dict[str, float] = {}
        for cloth in kit.cloths:
            for c in cloth.copies:
                count[c.piece] += 1
                on.setdefault(c.piece, {})[cloth.name] = None
                area[c.piece] = c.area
        body = [
            [f"<b>{escape(p)}</b>", escape(", ".join(on[p])), str(count[p]), escape(tongue.area(area[p]))]
            for p in sorted(count)
        ]
        head = [escape(say(f"cut.{k}")) for k in ("piece", "on", "each", "area")]
        return rows(head, body, right=(2, 3), name=say("cut.nest_on", name=kit.material))

    # --- right: what goes back, what it costs, the one button

    def _back(self, kit: KitView, view: CutView) -> None:
        say, tongue = self.sheet.say, self.tongue
        words(say("cut.back_cut" if kit.cut_on is not None else "cut.back"), tag="p", look="q s")
        for cloth in kit.cloths:
            if cloth.roll and cloth.rest:
                said = [say("cut.back_roll", name=cloth.name, length=in_metres(cloth.rest, tongue))]
                if cloth.life:
                    left = tongue.duration(max(cloth.life - cloth.life_used, 0.0))
                    said.append(say("cut.life_left", left=left, life=tongue.duration(cloth.life)))
                basis = mark(kit.basis, tongue) if cloth.life else ""
                markup(f"<b>{escape(said[0])}</b> {escape(' '.join(said[1:]))}{basis}", tag="p", look="note")
            if cloth.left:
                areas = ", ".join(tongue.area(area) for area, _ in cloth.left)
                words(say("cut.back_offcut", name=cloth.name, area=areas), tag="p", look="note")
        if not any(cloth.left for cloth in kit.cloths):
            words(say("cut.back_none"), tag="p", look="q note")
        words(say("cut.scrap", area=tongue.area(kit.scrap)), tag="p", look="q note")
        copies = sum(len(c.copies) for c in kit.cloths)
        told = say("cut.copies", copies=copies, parts=len(kit.parts), time=tongue.duration(kit.seconds))
        words(told, tag="p", look="q note")
        money = [[escape(say("cut.cost")), f"<b>{escape(tongue.money(kit.cost, view.currency))}</b>"]]
        if kit.saved is not None and kit.saved > 0.0:
            money.append([escape(say("cut.saved")), escape(tongue.money(kit.saved, view.currency))])
        money.append([escape(say("cut.knife")), escape(tongue.length(kit.knife, 1))])
        markup(rows(["", ""], money, right=(1,), name=say("cut.cost")))
        self._accept(kit, view)

    def _accept(self, kit: KitView, view: CutView) -> None:
        say, bench = self.sheet.say, self.bench
        if view.turned_over:
            words(say("cut.turned_accept"), tag="p", look="q note")
        elif bench.took is not None:
            names = ", ".join(bench.took.kits)
            words(say("cut.taken") + (" " + say("cut.kits", names=names) if names else ""), tag="p", look="b note")
        elif bench.taking is not None:
            words(self._sentence(bench.taking), tag="p", look="note")
            with box("div", "cut-now"):
                button(say("cut.take"), lambda: bench.accept(*self.hands.who()), go=True)
                verb(say("cut.not_yet"), bench.leave)
        elif kit.cut_on is None:
            why = say("cut.accept_waits") if bench.nesting else say("cut.accepting") if bench.asking else ""
            button(say("cut.accept"), lambda: bench.ask(*self.hands.who()), go=True, why=why)

    def _sentence(self, taken: Taken) -> str:
        say, tongue = self.sheet.say, self.tongue
        off = [say("cut.takes_roll", length=in_metres(length, tongue), roll=roll) for roll, length in taken.lengths]
        off += [say("cut.takes_offcut", name=name) for name in taken.used]
        into = [say("cut.puts_offcut", name=name, area=tongue.area(area)) for name, _, area in taken.kept]
        kept = say("cut.puts", what=", ".join(into)) if into else say("cut.puts_nothing")
        return say("cut.takes", what=", ".join(off)) + " " + kept
