"""The demo's footrest plate as a build begun in a workshop of its own, and a clock that the test sets."""

from __future__ import annotations

import io
import json
import shutil
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from bagside.cli import desk
from bagside.cli.app import outcome
from bagside.ledger.bodies import Body, Debulked, Finished, Laid
from bagside.ledger.event import new_event
from bagside.records.database import Ledger

DEMO = Path(__file__).parents[1] / "demo" / "workshop"
JOB = "footrest-plate"
DEVICE = "phone"


@dataclass
class Floor:
    """A workshop, its clock, and what a person there types.

    Parameters
    ----------
    folder
        Of the workshop.
    now
        What the clock shows; every command takes a minute.
    who
        Types.
    real
        Whether the machine's own clock counts instead.
    """

    folder: Path
    now: datetime
    who: str = "Ann"
    real: bool = False
    out: str = ""
    err: str = ""

    def __call__(self, *arguments: object, code: int = 0) -> str:
        """Type ``bagside build …`` and return what is said, on one line; the exit code must be as stated (−1: any)."""
        out, err = io.StringIO(), io.StringIO()
        words = [str(a) for a in arguments]
        options = [] if words[0] in ("list", "show", "gates") else ["--who", self.who]
        with redirect_stdout(out), redirect_stderr(err):
            ended = outcome(["build", *words, *options, "--workshop", str(self.folder)])
        self.now += timedelta(minutes=1)
        self.out, self.err = out.getvalue(), err.getvalue()
        told = " ".join((self.out + self.err).split())
        assert code in (ended, -1), told
        return told

    def data(self, *arguments: object, code: int = 0) -> dict[str, Any]:
        """Type it with ``--json`` and return the object."""
        self(*arguments, "--json", code=code)
        found: dict[str, Any] = json.loads(self.out)
        return found

    def count(self) -> int:
        """Return how many events there are."""
        with Ledger.opened(self.folder) as ledger:
            return ledger.count

    def refused(self, *arguments: object, code: int = 2) -> str:
        """Type what must be refused: nothing may have been written."""
        before = self.count()
        told = self(*arguments, code=code)
        assert self.count() == before
        return told.removeprefix("bagside: this cannot be used ")

    def keeps(self, *bodies: Body) -> None:
        """Write down what happened without typing it: what is typed elsewhere, many times over."""
        events = []
        for body in bodies:
            at = datetime.now().astimezone() if self.real else self.now
            events.append(new_event(body, who=self.who, device=DEVICE, at=at))
            self.now += timedelta(minutes=1)
        with Ledger.opened(self.folder) as ledger:
            ledger.add(events)

    def later(self, **time: float) -> None:
        """Let time go by."""
        self.now += timedelta(**time)

    def passes(self, step: str) -> list[str]:
        """Pass every gate that stops a step, by Ben, and return which they were."""
        found = self.data("gates", "FP26-1", "--step", step, code=-1)
        keys = [g["key"] for g in found["gates"] if g["stops"]]
        if keys:
            self("pass", "FP26-1", ",".join(keys), "--step", step, "--by", "Ben", "--why", "both looked")
        return keys


def set_clock(floor: Floor, patch: pytest.MonkeyPatch) -> None:
    """Make commands take the floor's time as the present."""

    class Clock(datetime):
        @classmethod
        def now(cls, tz: Any = None) -> datetime:  # type: ignore[override]
            return floor.now.astimezone(tz)

    patch.setattr(desk, "datetime", Clock)


def begun_in(root: Path) -> Floor:
    """Begin the footrest plate in a copy of the demo's workshop, three weeks ago."""
    folder = root / "shop"
    job = folder / "jobs" / JOB
    job.mkdir(parents=True)
    shutil.copy(DEMO / "workshop.toml", folder)
    text = (DEMO / "jobs" / JOB / "job.toml").read_text(encoding="utf-8")
    assert 'nest_time = "4 s"' in text
    (job / "job.toml").write_text(text.replace('nest_time = "4 s"', 'nest_time = "0.5 s"'), encoding="utf-8")
    Ledger.opened(folder).close()
    day = datetime.now() - timedelta(days=21)
    start = day.replace(hour=8, minute=0, second=0, microsecond=0).astimezone()  # in the summer time of that day
    floor = Floor(folder=folder, now=start)
    with pytest.MonkeyPatch.context() as patch:
        set_clock(floor, patch)
        said = floor("begin", JOB, "--serial", "FP26-1")
    assert "FP26-1: Footrest plate, part 1 of 6; 10 plies, 30 steps" in said
    return floor


def released_in(begun: Floor, root: Path) -> Floor:
    """Go on until ply 1 may be laid: thawed, cut, the mould released, the room read."""
    floor = copied(begun, root)
    with pytest.MonkeyPatch.context() as patch:
        set_clock(floor, patch)
        for step in ("thaw", "templates", "cut", "release"):
            floor.passes(step)
            floor("start", 1, step)
            floor("finish", 1, "--tick", "all")
        floor("climate", "19 °C", "52 %")
        floor.passes("ply-1")
    return floor


def laid_in(released: Floor, root: Path) -> Floor:
    """Go on until the leak test: every ply is laid and debulked, the part is bagged."""
    floor = copied(released, root)
    with pytest.MonkeyPatch.context() as patch:
        set_clock(floor, patch)
        for ply in range(1, 11):
            pieces = 2 if ply == 3 else 1
            floor.keeps(
                *(Laid(build="FP26-1", ply=ply, piece=str(ply), films=2) for _ in range(pieces)),
                Finished(build="FP26-1", step=f"ply-{ply}", boxes=tuple(range(4 if ply in (3, 10) else 3))),
            )
            if ply in (1, 5, 9):
                floor.keeps(
                    Debulked(build="FP26-1", after=ply, seconds=1200.0, pressure=4000.0),
                    Finished(build="FP26-1", step=f"debulk-{ply}", boxes=(0, 1)),
                )
        floor.passes("bag")
        floor("bag", 1, "--note", "new bag, off the roll")
        floor("finish", 1, "bag", "--tick", "all")
        floor.passes("leak")
        floor("start", 1, "leak")
    return floor


def copied(floor: Floor, root: Path) -> Floor:
    """Return a workshop of its own that is as another one is now."""
    folder = root / "shop"
    shutil.copytree(floor.folder, folder)
    return Floor(folder=folder, now=floor.now, who=floor.who)
