"""One job as all windows see it: its file, what its pages show, and what is being worked out.

A page holds nothing: it draws what stands here, and is told when that changes. Two windows on one job look at the same
desk; what one does the other sees.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tomlkit import TOMLDocument

from bagside.errors import BagsideError, InputError, Problem
from bagside.findings import Finding
from bagside.spec.library import Library
from bagside.web.model.job_check import problems_of_job, worse
from bagside.web.model.text_file import TextFile, Version
from bagside.web.model.watchers import Watchers
from bagside.web.work.child import Ended
from bagside.web.work.crew import Crew, Lane
from bagside.web.work.messages import Planned, StageNews, ViewNews

PLAN = "bagside.web.work.planning_task:plan_job"
"""Not loaded here: what plans takes seconds to load, and a page shall be there at once."""


@dataclass(slots=True)
class Working:
    """What is being worked out.

    Parameters
    ----------
    since
        On the clock of `time.monotonic` [s].
    stages
        Name and seconds of each stage that has ended, and whether it was kept.
    now
        The stage under way; empty between two.
    """

    since: float
    stages: list[tuple[str, float, bool]] = field(default_factory=list)
    now: str = ""


@dataclass(slots=True)
class Shown:
    """What a page shows.

    Parameters
    ----------
    view
        From `bagside.web.views`.
    digest
        Of it.
    revision
        Of the job's file when it was made.
    early
        Whether it was made before the plan was whole.
    """

    view: Any
    digest: str
    revision: str
    early: bool


class JobDesk:
    """One open job.

    Parameters
    ----------
    name
        Of its folder.
    folder
        Of the job.
    crew
        Works things out.
    library
        Gives the workshop's materials; None when they cannot be read.
    """

    def __init__(self, name: str, folder: Path, crew: Crew, library: Callable[[], Library | None]) -> None:
        self.name = name
        self.folder = folder
        self.crew = crew
        self.file = TextFile(folder / "job.toml", folder / ".history")
        self.shown: dict[str, Shown] = {}
        self.planned: Planned | None = None
        self.planned_revision = ""
        self.working: Working | None = None
        self.problems: tuple[Problem, ...] = ()
        self.trouble = ""
        self._library = library
        self._watchers = Watchers[str]()
        self.hearers: list[Callable[[object], None]] = []
        """Told what else a plan says while it is made: how its nest grows."""
        self._begun = False
        self._lost: tuple[Problem, ...] = ()
        self.problems = self._problems(self.file.text)

    # --- what pages look at

    @property
    def fresh(self) -> bool:
        """Whether the plan that is shown was made from the file as it stands."""
        return self.planned is not None and self.planned_revision == self.file.revision

    def is_fresh(self, stage: str) -> bool:
        """Return whether what a stage's page shows was made from the file as it stands.

        Parameters
        ----------
        stage
            See `bagside.web.views.registry.STAGES`.
        """
        shown = self.shown.get(stage)
        return shown is not None and shown.revision == self.file.revision

    def findings(self, *benches: str) -> tuple[Finding, ...]:
        """Return the findings of some benches, weightiest first; of all when none is named.

        Parameters
        ----------
        benches
            As findings name them.
        """
        all_of_them = () if self.planned is None else self.planned.findings
        return tuple(f for f in all_of_them if not benches or f.stage in benches)

    def watch(self, watcher: Callable[[str], None]) -> Callable[[], None]:
        """Tell a watcher what changes, and return how to end that.

        Parameters
        ----------
        watcher
            Called with ``text``, ``working``, ``view:STAGE`` or ``planned``.
        """
        return self._watchers.add(watcher)

    # --- what people do

    def edit(
        self, what: str, change: Callable[[TOMLDocument], None], *, who: str = "", seen: str = "", plan: bool = True
    ) -> None:
        """Change the job's file and plan it anew.

        Parameters
        ----------
        what
            What is done, as a person reads it in the history.
        change
            Changes the document it is given.
        who
            Does it.
        seen
            Revision that the page had before it.
        plan
            Whether to plan at once.

        Raises
        ------
        Conflict
            When the file is no longer what the page showed.
        InputError
            When the change brings a fault into the job; nothing is written then.
        OutputError
            When the file cannot be written.
        """
        wrong = self._unread()
        if wrong:
            raise InputError(wrong)

        def check(text: str) -> None:
            brought = worse(self.file.text, text, self.folder, self._library())
            if brought:
                raise InputError(brought)

        try:
            self.file.edit(what, change, who=who, seen=seen, check=check)
        finally:
            self._text_is_new()
        if plan:
            self.plan()

    def undo(self) -> Version:
        """Take the last change back; see `TextFile.undo`."""
        try:
            return self.file.undo()
        finally:
            self._text_is_new()
            self.plan()

    def redo(self) -> Version:
        """Do again what was taken back; see `TextFile.redo`."""
        try:
            return self.file.redo()
        finally:
            self._text_is_new()
            self.plan()

    def look(self) -> None:
        """See whether the file was changed outside, and plan when nothing that stands here was made from it.

        A file that is gone, or is no text any more, is told like any other fault of it, and is looked for again.
        """
        wrong = self._unread()
        if wrong != self._lost:
            self._lost = wrong
            if wrong:
                self.stop()
                self.problems = wrong
                self._tell("text")
                return
            self.file.look()
            self._text_is_new()
            self.plan()
        elif wrong:
            return
        elif self.file.look():
            self._text_is_new()
            self.plan()
        elif not self._begun:
            self.plan()

    def _unread(self) -> tuple[Problem, ...]:
        """Return why the file cannot be read at all; nothing when it can."""
        if not self.file.path.is_file():
            place, hint = f"jobs/{self.name}/job.toml", "put it back, or look on the board for what it is called now"
            return (Problem(place=place, came="", wanted="it is no longer there: deleted, or renamed", hint=hint),)
        try:
            self.file.path.read_bytes().decode("utf-8")
        except UnicodeDecodeError:
            hint = "save it as UTF-8 in an editor"
            return (Problem(place="job.toml", came="", wanted="this is not UTF-8 text", hint=hint),)
        except OSError as error:
            why = f"it cannot be read: {(error.strerror or str(error)).lower()}"
            return (Problem(place="job.toml", came="", wanted=why),)
        return ()

    def plan(self) -> None:
        """Plan the job as it stands; a plan under way is dropped, and what it has worked out is kept."""
        self._begun = True
        revision = self.file.revision
        self.trouble = ""
        if self.problems:
            self.stop()
            self._tell("planned")
            return
        self.working = Working(since=time.monotonic())
        self._tell("working")
        self.crew.ask(
            f"plan:{self.name}",
            PLAN,
            self.file.path,
            heard=lambda value: self._heard(value, revision),
            ended=lambda ended: self._ended(ended, revision),
            lane=Lane.LONG,
        )

    def stop(self) -> None:
        """Stop planning; what is worked out already is kept."""
        self.crew.stop(f"plan:{self.name}")
        self.working = None
        self._tell("working")

    # --- what comes back

    def _heard(self, value: object, revision: str) -> None:
        if isinstance(value, StageNews):
            if self.working is not None:
                if value.ended:
                    self.working.stages.append((value.stage, value.seconds, value.kept))
                    self.working.now = ""
                else:
                    self.working.now = value.stage
                if not value.ended or not value.kept:
                    self._tell("working")
        elif isinstance(value, ViewNews):
            self.shown[value.stage] = Shown(
                view=value.view, digest=value.digest, revision=revision, early=value.early
            )
            self._tell(f"view:{value.stage}")
        else:
            for hear in tuple(self.hearers):
                hear(value)

    def _ended(self, ended: Ended, revision: str) -> None:
        self.working = None
        if isinstance(ended.result, Planned):
            self.planned, self.planned_revision = ended.result, revision
        elif isinstance(ended.error, InputError):
            self.problems = ended.error.problems
        elif isinstance(ended.error, BagsideError):
            self.trouble = str(ended.error)
        elif ended.fault:
            self.trouble = ended.fault.strip().splitlines()[-1]
        self._tell("working")
        self._tell("planned")

    def _text_is_new(self) -> None:
        self.problems = self._problems(self.file.text)
        self._tell("text")

    def _problems(self, text: str) -> tuple[Problem, ...]:
        return problems_of_job(text, self.folder, self._library())

    def _tell(self, what: str) -> None:
        for watcher in self._watchers:
            try:
                watcher(what)
            except InputError:  # a page cannot show a file that is broken; what is wrong with it is told already
                if not self.problems:
                    raise
