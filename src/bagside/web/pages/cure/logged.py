"""The logger's file on the page: dropped, asked about, judged, and accepted into the records."""

from __future__ import annotations

import re
import shutil
import tempfile
from collections.abc import Sequence
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bagside.errors import BagsideError, InputError, Problem
from bagside.web.guard import LOGS, MOST, device_of, parsed_aside
from bagside.web.guard.received import PREFIX, thrown_away
from bagside.web.pages.cure.said import place_words
from bagside.web.parts.controls import button, entry, tick, verb
from bagside.web.parts.drop import Drop
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import now, who_of
from bagside.web.parts.html import box, markup, words
from bagside.web.parts.plan_words import plan_html, plan_words
from bagside.web.work.child import Ended
from bagside.web.work.crew import Lane
from bagside.web.work.cure_accept import (
    Accepted,
    Held,
    HeldGate,
    OpenBuild,
    OpenBuilds,
    Passing,
    accept_log,
    heat_on_at,
    open_builds,
)
from bagside.web.work.cure_log import LogJudged, judge_log

if TYPE_CHECKING:
    from bagside.web.pages.cure.page import CurePage

SECONDS = 60.0
ASKED = re.compile(r"--([a-z][a-z-]*)")
"""An option of the command line in a sentence: the line to write on has its name here."""
LINES = ("column", "at", "unit", "pressure", "ambient", "time", "time-column", "date-order", "every", "jumps",
         "decimal", "separator", "sheet")  # fmt: skip
VERDICTS = {
    "good": "good",
    "good with a note": "note",
    "finish it like this": "finish",
    "scrap for structure": "scrap_structure",
    "scrap": "scrap",
}


class LogPart:
    """The log of the run that is shown.

    Parameters
    ----------
    page
        On which it stands.
    """

    def __init__(self, page: CurePage) -> None:
        self.page = page
        self.judged: LogJudged | None = None
        self._path: Path | None = None
        self._problems: tuple[Problem, ...] = ()
        self._texts: dict[str, str] = {}
        self._builds: OpenBuilds | None = None
        self._chosen: set[str] = set()
        self._at: datetime | None = None
        self._accepted: Accepted | None = None
        self._refused = ""
        self._held: tuple[HeldGate, ...] = ()
        self._by = self._why = ""
        self._key = f"log:{page.desk.name}:{page.sheet.client.id}"
        page.sheet.leaving(self._throw)
        page.sheet.leaving(lambda: page.house.crew.stop(self._key))

    @property
    def state(self) -> object:
        """What the result part shows of it."""
        return (
            id(self.judged), self._problems, self._builds, tuple(sorted(self._chosen)), self._accepted, self._refused,
            self._held, None if self._path is None else str(self._path),
        )  # fmt: skip

    # --- a file comes in

    async def took(self, path: Path, name: str) -> None:
        """Judge a file that was dropped.

        Parameters
        ----------
        path
            Where it lies; it is moved to where this page keeps it.
        name
            As its sender called it.

        Raises
        ------
        InputError
            When it cannot be read as a log, whatever is settled.
        """
        own = Path(tempfile.mkdtemp(prefix=PREFIX)) / path.name
        shutil.move(path, own)
        self._throw()
        self._path, self._texts, self._accepted, self._refused, self._held = own, {}, None, "", ()
        await self._judge()

    async def _judge(self) -> None:
        page, path = self.page, self._path
        if path is None or page.view is None:
            return
        post = page.name == "post-cure"
        self._problems = ()
        try:
            self.judged = await parsed_aside(judge_log, path, page.view.case, post, dict(self._texts), seconds=SECONDS)
        except InputError as error:
            self.judged = None
            asked = _asked(error.problems)
            if not asked:
                self._throw()
                page.show()
                raise
            self._problems = error.problems
        page.show()
        if self.judged is not None:
            self._look_for_builds()

    def _throw(self) -> None:
        if self._path is not None:
            thrown_away(self._path)
        self._path, self.judged, self._problems, self._builds = None, None, (), None
        self._chosen = set()

    def _look_for_builds(self) -> None:
        page, judged = self.page, self.judged
        if judged is None:
            return
        planned = page.desk.planned
        names = tuple(dict.fromkeys(filter(None, (page.desk.name, "" if planned is None else planned.name))))
        page.house.crew.ask(
            self._key, open_builds, page.house.folder, names, judged.post,
            heard=lambda _: None, ended=self._know_builds, lane=Lane.QUICK,
        )  # fmt: skip

    def _know_builds(self, ended: Ended) -> None:
        with self.page.holder:
            self._builds = ended.result if isinstance(ended.result, OpenBuilds) else OpenBuilds(kept=False, builds=())
            self._chosen = {b.name for b in self._builds.builds if b.waits and not b.cured}
            self.page.show()

    # --- what is shown

    def ask(self) -> None:
        """Ask for the logger's file, or for what it does not tell itself."""
        page, say = self.page, self.page.say
        if self._problems:
            self._settle()
            return
        Drop(page.sheet, say("cure.log_wanted"), kinds=LOGS, most=MOST["log"], took=self.took)
        if self._path is not None and self.judged is not None:
            verb(say(f"cure.judge_as_{'post_cure' if page.name == 'post-cure' else 'cure'}"), self._again)

    def _settle(self) -> None:
        say = self.page.say
        words(say("cure.log_asks"), tag="p", look="b")
        for problem in self._problems:
            said = (plan_words(t, self.page.tongue, full=True) for t in (problem.wanted, problem.hint) if t)
            text = ASKED.sub(lambda m: f"“{self._line(m[1])}”", " ".join(said))
            words(f"{plan_words(problem.place, self.page.tongue)}: {text}", tag="p", look="find")
        self._lines(_asked(self._problems))
        with box("div", "verbs-row"):
            button(say("cure.read_again"), self._again, go=True)
            verb(say("cure.other_file"), self._other)

    def _lines(self, names: Sequence[str]) -> None:
        """Show a line for each thing that may be settled."""
        for name in names:
            key = name.replace("-", "_")
            entry(
                self._line(name),
                self._texts.get(key, ""),
                partial(self._texts.__setitem__, key),
                hint=self.page.say(f"cure.option_{key}_how"),
            )

    def _how_read(self) -> None:
        """Offer to settle how the file was read, although it could be read."""
        say, view = self.page.say, self.page.view
        with box("details", "design"):
            with box("summary", "act"):
                words(say("cure.how_read"))
            if view is not None:
                words(say("cure.places", names="; ".join(view.case.places)), tag="p", look="q s")
            self._lines(LINES)
            button(say("cure.read_again"), self._again)

    async def _again(self) -> None:
        self.page.sheet.tell("")
        try:
            await self._judge()
        except BagsideError as error:
            self.page.sheet.tell(error)

    def _line(self, name: str) -> str:
        known = name if name in LINES else "column"
        return self.page.say(f"cure.option_{known.replace('-', '_')}")

    def _other(self) -> None:
        self._throw()
        self._accepted, self._refused, self._held = None, "", ()
        self.page.show()

    def result(self) -> None:
        """Show the verdict and what becomes of the log."""
        say, tongue, log = self.page.say, self.page.tongue, self.judged
        if log is None:
            return
        verdict = VERDICTS.get(log.verdict, "note")
        words(
            say(f"cure.verdict_{verdict}"), tag="p", look="lead b" if verdict in ("good", "note") else "find stop lead"
        )
        words(
            say(
                "cure.least_cured",
                place=place_words(log.lagging, tongue),
                cure=tongue.number(log.values["cure"][1], 3),
                wanted=tongue.number(log.wanted, 3),
                tg=tongue.temperature(log.values["tg"][1]),
                wanted_tg=tongue.temperature(log.wanted_tg),
            ),
            tag="p",
            look="note",
        )
        for way in log.finish:
            words(
                say("cure.finish_it", where=plan_words(way.where, tongue),
                    how=plan_words(way.words, tongue), duration=tongue.duration(way.duration),
                    cure=tongue.number(way.cure, 3), tg=tongue.temperature(way.tg)),
                tag="p", look="note b",
            )  # fmt: skip
        if log.measure:
            words(say("cure.one_measurement", what=plan_words(log.measure, tongue)), tag="p", look="note")
        findings(log.findings, tongue, most=3)
        self._accept()
        words(say("cure.log_name", name=log.name, air=", ".join(log.sensors)), tag="p", look="q s")
        self._how_read()
        with box("div", "verbs-row"):
            verb(say("cure.other_file"), self._other)

    def _accept(self) -> None:
        say, tongue = self.page.say, self.page.tongue
        if self._accepted is not None:
            done = self._accepted
            words(
                say(
                    "cure.accepted",
                    parts=", ".join(done.builds),
                    clock=tongue.clock(done.at),
                    day=tongue.day(done.at),
                ),
                tag="p",
                look="b note",
            )
            if done.moved_on:
                words(say("cure.moved_on", parts=", ".join(done.moved_on)), tag="p", look="find")
            return
        known = self._builds
        if known is None:
            return
        if not known.kept:
            words(say("cure.no_records"), tag="p", look="note")
            return
        if not known.builds:
            words(say("cure.no_builds"), tag="p", look="note")
            return
        words(say("cure.in_the_oven"), tag="p", look="note b")
        for build in known.builds:
            self._tick(build)
        self._clock()
        if self._refused:
            words(self._refused, tag="p", look="find stop")
        if self._held:
            self._pass()
            return
        button(say("cure.accept"), self._write, go=True, why="" if self._chosen else say("cure.choose_parts"))

    def _pass(self) -> None:
        """Show what gates hold back, and let somebody take it on by name and reason, as at the bench."""
        say, tongue = self.page.say, self.page.tongue
        words(say("cure.held"), tag="p", look="b")
        for gate in self._held:
            with box("div", "find stop", role="note"):
                words(gate.build, look="place s")
                markup(
                    f"<b>{plan_html(gate.what, tongue, full=True)}</b> {plan_html(gate.why, tongue, full=True)} "
                    f"{plan_html(gate.do, tongue, full=True)}",
                    tag="span",
                )
        entry(say("cure.passed_by"), self._by, partial(setattr, self, "_by"))
        entry(say("cure.passed_why"), self._why, partial(setattr, self, "_why"), hint=say("cure.passed_why_how"),
              wide="100%")  # fmt: skip
        with box("div", "verbs-row"):
            button(say("cure.pass_and_accept"), self._take_on)
            verb(say("cure.look_again"), self._write)

    def _take_on(self) -> None:
        if not self._by.strip() or not self._why.strip():
            self._refused = self.page.say("cure.passed_wants")
            self.page.show()
            return
        gates = frozenset((gate.build, gate.key) for gate in self._held)
        self._write(Passing(gates=gates, by=self._by, why=self._why))

    def _tick(self, build: OpenBuild) -> None:
        say = self.page.say
        hint = say("cure.build_waits") if build.waits else say("cure.build_cured") if build.cured else ""

        def chosen(on: bool) -> None:
            self._chosen = (self._chosen | {build.name}) if on else (self._chosen - {build.name})
            self._held = ()
            self.page.show()

        tick(build.name, build.name in self._chosen, chosen, hint=hint)

    def _clock(self) -> None:
        say, log = self.page.say, self.judged
        if log is None or log.started is not None:
            return

        def typed(text: str) -> None:
            try:
                self._at = datetime.fromisoformat(text).astimezone()
            except ValueError:
                raise InputError.one("", text, say("cure.no_moment")) from None

        entry(say("cure.heat_on"), "" if self._at is None else f"{self._at:%Y-%m-%d %H:%M}", typed,
              hint=say("cure.heat_on_how", example=f"{now():%Y-%m-%d %H:%M}"))  # fmt: skip

    def _write(self, passing: Passing | None = None) -> None:
        page, log, path = self.page, self.judged, self._path
        if log is None or path is None:
            return
        self._refused = ""
        page.house.crew.ask(
            self._key, accept_log, page.house.folder, who_of(page.sheet.client),
            device_of(page.sheet.client.request) or "desk", page.desk.file.path, tuple(sorted(self._chosen)), path, log,
            self._at, passing, heard=lambda _: None, ended=self._written, lane=Lane.QUICK,
        )  # fmt: skip

    def _written(self, ended: Ended) -> None:
        with self.page.holder:
            if isinstance(ended.result, Accepted):
                self._accepted, self._held = ended.result, ()
            elif isinstance(ended.result, Held):
                self._held = ended.result.gates
            elif isinstance(ended.error, InputError):
                self._refused = " ".join(str(p) + "." for p in ended.error.problems)
            elif isinstance(ended.error, BagsideError):
                self._refused = str(ended.error)
            else:
                self._refused = ended.fault.strip().splitlines()[-1] if ended.fault else self.page.say("cure.stopped")
            self.page.show()

    @property
    def heat_on(self) -> datetime | None:
        """When heat came on, as far as that is known."""
        if self.judged is None:
            return None
        try:
            return heat_on_at(self.judged, self._at)
        except InputError:
            return None


def _asked(problems: tuple[Problem, ...]) -> list[str]:
    """Return which lines answer the problems of a log, each once."""
    found: dict[str, Any] = {}
    for problem in problems:
        for name in ASKED.findall(f"{problem.wanted} {problem.hint}"):
            if name in LINES:
                found[name] = None
    return list(found)
