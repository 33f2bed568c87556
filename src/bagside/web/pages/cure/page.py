"""Bag and cure: the cycle under the hand, what it does to the part, the log of the oven over it, and the bag."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

from nicegui import ui
from nicegui.element import Element

from bagside.errors import BagsideError
from bagside.web.guard import LOGS, MOST
from bagside.web.house import House
from bagside.web.model.job_desk import Shown
from bagside.web.pages.cure.bag import bag_list, bag_proved, through
from bagside.web.pages.cure.chart import CycleChart, Segments, log_message
from bagside.web.pages.cure.design import DesignPart
from bagside.web.pages.cure.edit import put_cycle
from bagside.web.pages.cure.logged import LogPart
from bagside.web.pages.cure.margins import margins_table, notes_of, value_text
from bagside.web.pages.cure.missing import ask_for_cycle, cycle_missing
from bagside.web.pages.cure.table import SegmentTable
from bagside.web.pages.cure.tried import Tried
from bagside.web.pages.cure.wanted import wanted_fields, wanted_state
from bagside.web.parts.cautions import asks_first, caution
from bagside.web.parts.controls import verb
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.html import box, markup, words
from bagside.web.parts.kept_parts import KeptParts
from bagside.web.uploads import Wait, wait_for, wait_no_more
from bagside.web.views.cure.run import RunShown
from bagside.web.views.cure.view import CureView
from bagside.web.work.cure_log import LogJudged
from bagside.web.work.cure_task import CycleFound


class CurePage:
    """The page of one job's cure, as one person sees it.

    What it shows hangs in elements of its own that outlast a new plan, so that a handle is not lost under the hand.

    Parameters
    ----------
    house
        The workshop.
    sheet
        The page.
    name
        ``cure`` or ``post-cure``: which run is shown first.
    """

    def __init__(self, house: House, sheet: JobSheet, name: str) -> None:
        self.house, self.sheet, self.name = house, sheet, name
        self.say, self.tongue, self.desk = sheet.say, sheet.tongue, sheet.desk
        self.view: CureView | None = None
        self.table: SegmentTable | None = None
        self.tried = Tried(self)
        self._drawn: dict[str, object] = {}
        self._before_change = False
        self._warm = False
        self._upload = wait_for(Wait(kinds=LOGS, most=MOST["log"], took=self._took, client=sheet.client))
        sheet.leaving(lambda: wait_no_more(self._upload))
        self._asked = Element("div")
        self.parts = KeptParts(sheet)
        self._asked.move(sheet.root, sheet.root.default_slot.children.index(self.parts.holder))
        self.holder = self.parts.holder
        self.part = self.parts.part
        with self.holder:
            self._skeleton()
        self.parts.follow(self._draw)
        sheet.leaving(self.desk.watch(self._heard))
        self._heard("text")

    def _skeleton(self) -> None:
        self._mould_words = caution(self.tongue, ("oven", "exotherm"))
        with box("section", "picture cure-picture"):
            self._runs = Element("nav").classes("runs note")
            self.chart = CycleChart(
                self.tongue,
                label=self.say("cure.chart"),
                on_move=lambda seq, segments: self.tried.ask(segments, seq),
                on_settle=self._settle,
            )
        with box("section", "strip cure-strip"):
            self._through, self._margins, self._result = Element("div"), Element("div"), Element("div")
        with self._margins:
            self._table = markup("")
            self._table_note = words("", tag="p", look="q s")
        with box("section", "cure-lower"):
            with box("div"):
                self._segments = Element("div")
                self._wanted = Element("div")
            self._bag = Element("div")
            with box("div"):
                self._found = Element("div")
                self._proved = Element("div")
        self.design = DesignPart(self)
        self.logged = LogPart(self)

    # --- what is shown

    @property
    def runs(self) -> tuple[RunShown, ...]:
        """The runs as they are shown: moved by hand, or planned."""
        if self.tried.runs is not None:
            return self.tried.runs
        return () if self.view is None else self.view.runs

    @property
    def run(self) -> RunShown:
        """The run that is shown."""
        return next((r for r in self.runs if r.name == self.name), self.runs[0])

    @property
    def log(self) -> LogJudged | None:
        """The log of the run that is shown."""
        found = self.logged.judged
        return found if found is not None and found.post is (self.name == "post-cure") else None

    @property
    def case(self) -> Any:
        """What is cured, with the cycle that is offered when one was looked for."""
        if self.design.found is not None:
            return self.design.found.case
        return None if self.view is None else self.view.case

    def _heard(self, what: str) -> None:
        """Ask for a cycle where none is stated: nothing can be worked out until then."""
        if what == "text":
            missing = cycle_missing(self.desk.file.document())
            with self.sheet.client:
                self.part("asked", self._asked, missing, self._ask_for_cycle if missing else lambda: None)

    def _ask_for_cycle(self) -> None:
        ask_for_cycle(self.sheet, self.write)

    def _draw(self, shown: Shown) -> None:
        view: CureView = shown.view
        self._before_change = shown.early
        if view.bag is None and self.view is not None:  # the plan is on its way: its day and its bag are still those
            view = replace(view, bag=self.view.bag, heat_on=self.view.heat_on)
        anew = self.view is None or shown.digest != self._drawn.get("digest")
        self._drawn["digest"] = shown.digest
        self.view = view
        self.tried.follow()
        if self.name not in [r.name for r in view.runs]:
            self.name = "cure"
        if not self._warm:  # the child that simulates is started before the hand needs it
            self._warm = True
            self.tried.ask(self.run.segments)
        if anew or self._drawn.get("fresh") != self.desk.is_fresh("cure"):
            self.show()
        self._drawn["fresh"] = self.desk.is_fresh("cure")
        self._lower()

    def show(self) -> None:
        """Show the run and everything that hangs on it."""
        view = self.view
        if view is None:
            return
        self._switch()
        k = 1 if self.name == "post-cure" else 0
        clock = view.heat_on[k] if k < len(view.heat_on) else None
        log = self.log
        if log is not None:
            clock = self.logged.heat_on or clock
        self.chart.may(drag=self.may_edit, upload=self._upload, clock=clock, oven=view.case.oven)
        self.chart.overlay(None if log is None else log_message(log))
        self.show_numbers()

    def show_numbers(self, seq: int = 0) -> None:
        """Show what a run comes to: the chart, its margins, the result.

        Parameters
        ----------
        seq
            Of the move of the hand that asked for it; 0 for none.
        """
        run, tongue = self.run, self.tongue
        self.chart.show(run, notes=notes_of(run, tongue), seq=seq, label=self._label(run))
        self._table.set_content(margins_table(run, self.log, tongue))
        self._table_note.set_content(self._says_whose())
        self.part("result", self._result, (self.name, run.segments, self._sums(run), self.logged.state,
                                           self.design.state, self.may_edit), self._results)  # fmt: skip
        if self.table is not None:
            self.table.show(run)

    def _says_whose(self) -> str:
        if self.tried.runs is None:
            return ""
        return self.say("cure.as_found" if self.design.offers else "cure.moved_by_hand")

    @property
    def may_edit(self) -> bool:
        """Whether this job states its own cure."""
        return "cure" in self.desk.file.document()

    def _label(self, run: RunShown) -> str:
        kept = {k.key: k for k in run.kept}
        return self.say(
            "cure.chart_of",
            run=self.say(f"cure.run_{run.name.replace('-', '_')}"),
            duration=self.tongue.duration(run.duration),
            cure=value_text("cure", kept["cure"].value, self.tongue),
            hottest=value_text("laminate", kept["laminate"].value, self.tongue),
        )

    def _sums(self, run: RunShown) -> tuple[float, ...]:
        return tuple(round(k.value, 3) for k in run.kept)

    def _switch(self) -> None:
        def build() -> None:
            for run in self.runs if len(self.runs) > 1 else ():
                text = self.say(f"cure.run_{run.name.replace('-', '_')}")
                button = verb(text, partial(self.turn_to, run.name))
                if run.name == self.name:
                    button.classes("b here")
                    button._props["aria-pressed"] = "true"

        self.part("runs", self._runs, (self.name, len(self.runs)), build)

    def turn_to(self, name: str) -> None:
        """Show another run.

        Parameters
        ----------
        name
            ``cure`` or ``post-cure``.
        """
        self.name = name
        query = "" if name == "cure" else f"?run={name}"
        ui.navigate.history.replace(f"/job/{self.desk.name}/cure{query}")
        self.show()
        self._lower()

    def _lower(self) -> None:
        view, tongue = self.view, self.tongue
        if view is None:
            return
        digest = self._drawn["digest"]
        limit = None if view.case.limits.tool is None else tongue.temperature(view.case.limits.tool)
        self._mould_words.set_content("" if limit is None else self.say("cure.mould_softens", at=limit))
        self.part("through", self._through, digest, lambda: through(view.through, tongue))
        document = self.desk.file.document()
        self.part("segments", self._segments, (self.name, self.may_edit), self._segment_table)
        self.part(
            "wanted",
            self._wanted,
            str(wanted_state(document)),
            lambda: wanted_fields(self.sheet, document, self.parts),
        )
        bag = view.bag
        if bag is not None:
            old = self._before_change
            self.part("bag", self._bag, (digest, old), lambda: bag_list(bag, _hottest_air(view), tongue, stale=old))
            self.part("proved", self._proved, digest, lambda: bag_proved(bag, tongue))
        found = asks_first(self.desk.findings("bagging", "cure", "resin"))
        self.part("found", self._found, tuple(found), lambda: self._findings(found))
        if self.table is not None:
            self.table.show(self.run)

    def _findings(self, found: list[Any]) -> None:
        if found:
            words(self.say("cure.findings"), tag="h2", look="b lead")
            findings(found, self.tongue)

    def _segment_table(self) -> None:
        self.table = SegmentTable(self)
        self.table.show(self.run)

    def _results(self) -> None:
        run, tongue = self.run, self.tongue
        log = self.log
        if log is not None:
            self.logged.result()
            return
        broken = [k for k in run.kept if not k.holds]
        key = ("all_kept", "not_kept_one", "not_kept_count")[min(len(broken), 2)]
        head = self.say(f"cure.{key}", count=len(broken))
        words(head, tag="p", look="lead b")
        text = self.say("cure.lasts", duration=tongue.duration(run.duration), at=tongue.temperature(self._demould()))
        words(text, tag="p", look="note")
        self.design.result()
        self.logged.ask()

    def _demould(self) -> float:
        return 0.0 if self.view is None else self.view.demould

    # --- what is written

    def _settle(self, segments: Segments) -> None:
        """Write what the hand has let go of."""
        self.write_segments(self.say("cure.moved", run=self.say(f"cure.run_{self.name.replace('-', '_')}")), segments)

    def write_segments(self, what: str, segments: Segments) -> None:
        """Write the segments of the run that is shown.

        Parameters
        ----------
        what
            As a person reads it in the history.
        segments
            Target [K], ramp [K/s] and hold [s] of each.
        """
        name, runs = self.name, {run.name: run.segments for run in self.runs}
        self.write(what, lambda d: put_cycle(d, name, segments, runs))

    def write(self, what: str, change: Callable[[Any], None]) -> None:
        """Change the job's file, and go back to what stands there when that is refused.

        Parameters
        ----------
        what
            As a person reads it in the history.
        change
            Changes the document.
        """
        try:
            self.sheet.edit(what, change)
        except BagsideError as error:
            self.tried.runs = None
            self.chart.again()
            self.show()
            self.sheet.tell(error)

    def found(self, found: CycleFound | None) -> None:
        """Show a cycle that was looked for, or let go of it.

        Parameters
        ----------
        found
            None lets go.
        """
        self.tried.runs = None if found is None else found.runs
        if found is not None and self.name not in [r.name for r in found.runs]:
            self.name = "cure"
        self.show()
        self._lower()

    async def _took(self, path: Any, name: str) -> None:
        await self.logged.took(path, name)


def _hottest_air(view: CureView) -> float:
    return view.case.programme.hottest + 0.5 * view.case.spread
