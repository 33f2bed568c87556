"""The look at one job's mould, shared by all windows on it, and done anew when its file says something else of it.

An edit that comes while the mould is being looked at does not throw that away: it is looked at again after, so that
who drags a point is not kept waiting for a new process each time.
"""

from __future__ import annotations

import time
import tomllib
from collections.abc import Callable
from weakref import WeakKeyDictionary

from bagside.errors import BagsideError, Problem
from bagside.planning.stages import digest_of
from bagside.web.house import House
from bagside.web.model.job_desk import JobDesk
from bagside.web.model.watchers import Watchers
from bagside.web.scene.named import FieldUnit, FieldWords, named
from bagside.web.views.mould.survey import MouldSeen, survey
from bagside.web.words.tongue import Lengths, Tongue
from bagside.web.work.child import Ended
from bagside.web.work.crew import Lane
from bagside.web.work.messages import StageNews

ABOUT = ("mould", "regions", "lines", "holes", "plies", "laying", "part", "structural")
"""Tables and lines of a job that a look at its mould hangs on."""
MAPS = ("draft", "lean", "hollow", "raised", "corner")
IN_LENGTHS = ("hollow", "raised", "corner")
"""Maps of radii: packed in millimetres."""

_OF: WeakKeyDictionary[JobDesk, MouldWatch] = WeakKeyDictionary()


class MouldWatch:
    """The look at one job's mould.

    Parameters
    ----------
    house
        Keeps what pages fetch.
    desk
        The job.
    """

    def __init__(self, house: House, desk: JobDesk) -> None:
        self._house = house
        self._file = desk.file
        self._crew = desk.crew
        self._key = f"mould:{desk.name}"
        self._asked = ""
        self._again = False
        self._addresses: dict[tuple[str, Lengths], str] = {}
        self._before: set[str] = set()
        self._watchers = Watchers[[]]()
        self.seen: MouldSeen | None = None
        self.problems: tuple[Problem, ...] = ()
        self.trouble = ""
        self.busy = False
        self.since = 0.0
        self.now = ""
        self.stopped = False
        desk.watch(self._heard_of)

    def watch(self, watcher: Callable[[], None]) -> Callable[[], None]:
        """Tell a watcher when something is seen anew, and return how to end that.

        Parameters
        ----------
        watcher
            Called without anything.
        """
        return self._watchers.add(watcher)

    def look(self) -> None:
        """Look at the mould if what is stated of it has changed since it was last looked at."""
        about = self._about()
        if about == self._asked:
            return
        if self.busy:
            self._again = True
            return
        self._asked = about
        self.busy, self.stopped, self.trouble, self.problems = True, False, "", ()
        self.since, self.now = time.monotonic(), ""
        self._watchers.tell()
        self._crew.ask(self._key, survey, self._file.path, heard=self._saw, ended=self._ended, lane=Lane.QUICK)

    def stop(self) -> None:
        """Stop looking; what is seen already stays."""
        if self.busy:
            self.stopped = True
            self._crew.stop(self._key)

    def again(self) -> None:
        """Look at the mould once more, though nothing that is stated of it has changed."""
        self._asked = ""
        self.look()

    def address(self, tongue: Tongue) -> str:
        """Return where the surface is fetched, its maps called as a reader calls them; empty when there is none.

        Parameters
        ----------
        tongue
            Of the reader.
        """
        if self.seen is None:
            return ""
        key = (tongue.language, tongue.lengths)
        if key not in self._addresses:
            words = {name: _words(name, self.seen.scale, tongue) for name in MAPS}
            self._addresses[key] = self._house.blob(named(self.seen.mesh, words))
        return self._addresses[key]

    def _heard_of(self, what: str) -> None:
        if what == "text" and self._watchers:
            self.look()

    def _about(self) -> str:
        try:
            data = tomllib.loads(self._file.text)
        except tomllib.TOMLDecodeError:
            return "no TOML" + self._file.revision
        mesh = data.get("mould", {}).get("mesh", "") if isinstance(data.get("mould"), dict) else ""
        path = self._file.path.parent / str(mesh) if mesh else None
        stamp = path.stat().st_mtime_ns if path is not None and path.is_file() else 0
        return digest_of(({k: repr(data[k]) for k in ABOUT if k in data}, stamp))

    def _saw(self, value: object) -> None:
        if isinstance(value, StageNews):
            self.now = value.stage
        if not isinstance(value, MouldSeen):
            return
        if self.seen is None or not self.seen.whole or _other_mould(self.seen, value):
            self._take(value)
            self._watchers.tell()

    def _ended(self, ended: Ended) -> None:
        self.busy = False
        if isinstance(ended.result, MouldSeen):
            self._take(ended.result)
        elif ended.error is not None:
            self.problems = getattr(ended.error, "problems", ())
            self.trouble = "" if self.problems else str(ended.error)
            if isinstance(ended.error, BagsideError) and not self._has_mesh():
                self.seen = None
        elif ended.fault:
            self.trouble = ended.fault.strip().splitlines()[-1]
        elif not self.stopped:
            self.seen = None
        if self._again:
            self._again = False
            self.look()
        self._watchers.tell()

    def _take(self, seen: MouldSeen) -> None:
        """Show what is seen now; what was seen before the last time is not kept for pages to fetch any more."""
        self.seen = seen
        now = set(self._addresses.values())
        for address in self._before - now:
            self._house.blobs.pop(address.rsplit("/", 1)[-1], None)
        self._before = now
        self._addresses.clear()

    def _has_mesh(self) -> bool:
        return self.seen is not None and (self._file.path.parent / self.seen.report.name).is_file()


def mould_watch(house: House, desk: JobDesk) -> MouldWatch:
    """Return the look at a job's mould, the same for every window.

    Parameters
    ----------
    house
        The workshop.
    desk
        The job.
    """
    if desk not in _OF:
        _OF[desk] = MouldWatch(house, desk)
    return _OF[desk]


def _words(name: str, over: float, tongue: Tongue) -> FieldWords:
    """Return what a map is called, radii in the reader's unit.

    Parameters
    ----------
    name
        One of `MAPS`.
    over
        Length over which radii are read [m].
    tongue
        Of the reader.
    """
    inches = name in IN_LENGTHS and tongue.lengths is Lengths.INCH
    return FieldWords(
        name=tongue.say(f"mould.map_{name}_scale", over=tongue.length(over), unit="in" if inches else "mm"),
        spoken=tongue.say("mould.map_inches" if inches else f"mould.map_{name}_spoken"),
        limit_says=tongue.say(f"mould.map_{name}_limit"),
        unit=FieldUnit(sign=" in", digits=2, times=1.0 / 25.4) if inches else None,
    )


def _other_mould(one: MouldSeen, other: MouldSeen) -> bool:
    """Return whether another surface is seen: then its picture is shown before it is measured."""
    return (one.report.name, one.report.unit, one.triangles, one.towards) != (
        other.report.name, other.report.unit, other.triangles, other.towards,
    )  # fmt: skip
