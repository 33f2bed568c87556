"""Looking for a cycle from the page: what is wanted of it, how far the search has come, and whether to take it."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any

from nicegui.element import Element

from bagside.quantity import Quantity, read
from bagside.spec.job import CycleAim, CycleWanted
from bagside.web.pages.cure.edit import put_segments
from bagside.web.pages.cure.said import limit_words, search_words
from bagside.web.parts.amount import amount
from bagside.web.parts.controls import button, choice, tick, verb
from bagside.web.parts.html import box, words
from bagside.web.parts.plan_words import plan_words
from bagside.web.words.tongue import Tongue
from bagside.web.work.child import Ended
from bagside.web.work.crew import Lane
from bagside.web.work.cure_task import CycleFound, CycleNews, count_chance, design_cycle

if TYPE_CHECKING:
    from bagside.web.pages.cure.page import CurePage


class DesignPart:
    """Looks for a cycle, and counts how sure one is.

    Parameters
    ----------
    page
        On which it stands.
    """

    def __init__(self, page: CurePage) -> None:
        self.page = page
        self.found: CycleFound | None = None
        self.busy = ""
        self.wanted: CycleWanted | None = None
        self._odds = ""
        self._odds_of: object = None
        self._told = ""
        self._bar: Element | None = None
        self._says: Any = None
        self._keys = {what: f"{what}:{page.desk.name}:{page.sheet.client.id}" for what in ("design", "chance")}
        for key in self._keys.values():
            page.sheet.leaving(partial(page.house.crew.stop, key))

    @property
    def offers(self) -> bool:
        """Whether a cycle that was found waits to be taken."""
        return self.found is not None

    @property
    def state(self) -> object:
        """What the result part shows of it."""
        return (self.busy, self.offers, self._odds, self._told)

    def reasons(self, name: str) -> tuple[str, ...]:
        """Return what holds back each segment of the cycle that is shown; nothing when it was stated.

        Parameters
        ----------
        name
            ``cure`` or ``post-cure``.
        """
        source: Any = self.found if self.found is not None else self.page.view
        if source is None or (self.found is None and self.page.tried.runs is not None):
            return ()
        found: tuple[str, ...] = source.reasons if name == "cure" else source.post_reasons
        return found

    def result(self) -> None:
        """Show what can be done: look for a cycle, take the one found, count how sure it is."""
        page, say = self.page, self.page.say
        if self._told:
            words(self._told, tag="p", look="find")
        if self.busy:
            self._progress()
            return
        if self.found is not None:
            words(say("cure.found" if self.found.whole else "cure.found_so_far"), tag="p", look="note")
            with box("div", "verbs-row"):
                button(say("cure.take"), self._take, go=True)
                button(say("cure.leave"), self._leave)
            return
        if page.view is not None and not page.view.stated:
            words(say("cure.was_found"), tag="p", look="note q")
        if self._odds and self._odds_of == page.run.segments:
            words(self._odds, tag="p", look="note")
        elif page.view is not None and page.view.chance is not None and page.tried.runs is None:
            low, high = page.view.chance
            words(say("cure.odds", low=page.tongue.share(low), high=page.tongue.share(high)), tag="p", look="note")
        if page.view is not None and page.tried.runs is None:
            with box("div"):
                verb(say("cure.how_sure"), self._count)
        if page.may_edit:
            with box("details", "design"):
                with box("summary", "act"):
                    words(say("cure.design"))
                self._asked()

    def _asked(self) -> None:
        page, say = self.page, self.page.say
        if self.wanted is None:
            two = page.view is not None and page.view.case.post is not None
            self.wanted = CycleWanted(two_stage=two)
        wanted = self.wanted

        def put(**changes: Any) -> None:
            self.wanted = replace(self.wanted or wanted, **changes)

        choice(say("cure.aim"), {a.value: say(f"cure.aim_{a.value}") for a in CycleAim}, wanted.aim.value,
               lambda v: put(aim=CycleAim(v)))  # fmt: skip
        tick(say("cure.two_stage"), wanted.two_stage, lambda on: put(two_stage=on))
        amount(page.tongue, say("cure.longest"), "24 h", Quantity.TIME, "h",
               lambda text: put(longest=read(text, Quantity.TIME)))  # fmt: skip
        button(say("cure.look"), self._look)

    def _progress(self) -> None:
        say = self.page.say
        with box("p", "note", role="status"):
            self._says = words(say(f"cure.busy_{self.busy}", what="", seconds=0))
        with box("div", "verbs-row"):
            with box("span", "busy", aria_hidden="true"):
                self._bar = Element("i")
            key = self._keys[self.busy]
            verb(say("common.stop_work"), lambda: self.page.house.crew.stop(key))

    def _heard(self, news: object) -> None:
        if not isinstance(news, CycleNews) or self._bar is None:
            return
        with self.page.holder:
            self._bar.style(f"width:{100 * news.done:.0f}%")
            self._says.set_content(
                self.page.say(
                    f"cure.busy_{self.busy}",
                    what=search_words(news.what, self.page.tongue),
                    seconds=self.page.tongue.number(news.seconds),
                )
            )

    def _look(self) -> None:
        view = self.page.view
        if view is None or self.wanted is None:
            return
        self.busy, self._told = "design", ""
        self.page.house.crew.ask(
            self._keys["design"], design_cycle, view.case, self.wanted, view.energy_price, view.oven_price,
            heard=self._heard, ended=self._designed, lane=Lane.LONG,
        )  # fmt: skip
        self.page.show()

    def _designed(self, ended: Ended) -> None:
        self.busy, self._bar = "", None
        with self.page.holder:
            if isinstance(ended.result, CycleFound):
                self.found = ended.result
                self.page.found(self.found)
                return
            self._told = _why(ended, self.page.tongue) or self.page.say("cure.stopped")
            self.page.show()

    def _take(self) -> None:
        found = self.found
        if found is None:
            return
        runs = {r.name: r.segments for r in found.runs}

        def change(document: Any) -> None:
            put_segments(document, "cure", runs["cure"], found.reasons)
            if "post-cure" in runs:
                put_segments(document, "post-cure", runs["post-cure"], found.post_reasons)
            else:
                document["cure"].pop("post_cure", None)

        self.found = None
        self.page.write(self.page.say("cure.taken"), change)
        self.page.show()

    def _leave(self) -> None:
        self.found = None
        self.page.found(None)

    def _count(self) -> None:
        view = self.page.view
        if view is None:
            return
        self.busy, self._told = "chance", ""
        run = self.page.run
        self._odds_of = run.segments
        self.page.house.crew.ask(
            self._keys["chance"], count_chance, view.case, run.name, run.segments,
            heard=self._heard, ended=self._counted, lane=Lane.LONG,
        )  # fmt: skip
        self.page.show()

    def _counted(self, ended: Ended) -> None:
        self.busy, self._bar = "", None
        tongue = self.page.tongue
        with self.page.holder:
            if ended.result is None:
                self._told = _why(ended, self.page.tongue) or self.page.say("cure.stopped")
            else:
                chance = ended.result[0]
                odds = chance.all_hold
                self._odds = self.page.say("cure.odds", low=tongue.share(odds.low), high=tongue.share(odds.high))
                weak = chance.limits[0] if chance.limits and odds.held < odds.draws else None
                if weak is not None:
                    self._odds += " " + self.page.say("cure.weakest", limit=limit_words(weak.name, self.page.tongue))
            self.page.show()


def _why(ended: Ended, tongue: Tongue) -> str:
    """Return why nothing was found, and what would free it."""
    if ended.error is not None:
        problems = getattr(ended.error, "problems", ())
        said = (plan_words(t, tongue, full=True) for p in problems for t in (p.wanted, p.hint))
        return " ".join(filter(None, said)) or str(ended.error)
    return ended.fault.strip().splitlines()[-1] if ended.fault else ""
