"""The cutting table of one job as all windows see it: what is nested now, how it grows, what was pinned, what to undo.

The layout file beside the job is the truth. A page asks for a change; a child process nests and writes the file; then
the job is planned, which takes the layout as it lies.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from weakref import WeakKeyDictionary, ref

from bagside.errors import BagsideError, InputError
from bagside.planning.layouts import StoredCopy, StoredLayout
from bagside.records.layout_file import LAYOUT_FILE, layouts_text, read_layouts
from bagside.web.model.job_desk import JobDesk
from bagside.web.model.text_file import TextFile
from bagside.web.model.watchers import Watchers
from bagside.web.views.cut.shown import KitView
from bagside.web.work.accept_task import Taken, take_off, what_it_takes
from bagside.web.work.child import Ended
from bagside.web.work.crew import Lane
from bagside.web.work.nest_task import Grown, Nested, nest_cloth

MOST = 50
"""States of the layouts that can be gone back to; they are on the disk and outlast a restart."""
HISTORY = Path(".history") / "layout"
"""Their folder, beside the job."""
_BENCHES: WeakKeyDictionary[JobDesk, CutBench] = WeakKeyDictionary()


@dataclass(frozen=True, slots=True, kw_only=True)
class Put:
    """Where a person has put a copy.

    Parameters
    ----------
    cloth
        Name of the roll or offcut.
    piece, kit
        Which copy.
    turn, x, y, flipped
        Where [rad], [m].
    """

    cloth: str
    piece: str
    kit: str
    turn: float
    x: float
    y: float
    flipped: bool = False


def cut_bench(desk: JobDesk) -> CutBench:
    """Return the cutting table of a job, the same for every window.

    Parameters
    ----------
    desk
        The job.
    """
    if desk not in _BENCHES:
        _BENCHES[desk] = CutBench(desk)
    return _BENCHES[desk]


class CutBench:
    """The cutting table of one job.

    Parameters
    ----------
    desk
        The job.

    Attributes
    ----------
    nesting, since
        Cloth that is nested now, and since when on the clock of `time.monotonic` [s].
    grown, curve, done
        By cloth: how far its nest has come, how its use grew, and how it lies when a page may not know yet.
    trouble, left
        What went wrong last; whether the last nest was stopped before it had anything.
    taking, took, asking
        What accepting would do, what it did, and whether that is being looked at.
    """

    def __init__(self, desk: JobDesk) -> None:
        self.folder, self.path, self.name, self.crew = desk.folder, desk.file.path, desk.name, desk.crew
        self._desk = ref(desk)  # which holds this one
        self._halted = False
        self.left = False
        self.nesting = ""
        self.since = 0.0
        self.grown: dict[str, Grown] = {}
        self.curve: dict[str, list[tuple[float, float]]] = {}
        self.done: dict[str, KitView] = {}
        self.trouble: BagsideError | str = ""
        self.taking: Taken | None = None
        self.took: Taken | None = None
        self.asking = False
        self._kept: TextFile | None = None
        self._watchers = Watchers[str]()
        desk.hearers.append(self._heard)  # the first nest grows while the job is planned

    # --- what pages look at

    def watch(self, watcher: Callable[[str], None]) -> Callable[[], None]:
        """Tell a watcher what changes, and return how to end that.

        Parameters
        ----------
        watcher
            Called with ``grown`` while a nest grows, ``cut`` for anything else.
        """
        return self._watchers.add(watcher)

    @property
    def undo_next(self) -> str:
        """What would be taken back; empty when nothing."""
        return self._step(-1)

    @property
    def redo_next(self) -> str:
        """What would be done again; empty when nothing."""
        return self._step(1)

    # --- what people do

    def pin(self, kit: KitView, put: Put, seconds: float, what: str) -> None:
        """Pin a copy where it was put, and nest the rest again.

        Parameters
        ----------
        kit
            As the page shows it.
        put
            Which copy, where.
        seconds
            For the search [s].
        what
            Is done, as a person reads it.

        Raises
        ------
        InputError
            When the copy or the cloth is no longer there.
        """
        layout = self._stored(kit)
        copy = self._copy(layout, put.piece, put.kit)
        moved = replace(copy, turn=put.turn, x=put.x, y=put.y, flipped=put.flipped, pinned=True)
        cloths = [replace(c, copies=tuple(k for k in c.copies if k is not copy)) for c in layout.cloths]
        at = next((k for k, c in enumerate(cloths) if put.cloth in (c.roll, c.offcut)), None)
        if at is None:
            raise InputError.one("nest", put.cloth, "nothing lies on this cloth any more", "look at the nest again")
        cloths[at] = replace(cloths[at], copies=(*cloths[at].copies, moved))
        self._nest(replace(layout, cloths=tuple(cloths), cut_on=None), seconds, what)

    def loosen(self, kit: KitView, piece: str, part: str, what: str) -> None:
        """Take a pin off; the copy stays until the next nest.

        Parameters
        ----------
        kit
            As the page shows it.
        piece, part
            Which copy; all when both are empty.
        what
            Is done.
        """
        layout = self._stored(kit)

        def free(c: StoredCopy) -> StoredCopy:
            return replace(c, pinned=False) if not piece or (c.piece, c.kit) == (piece, part) else c

        cloths = tuple(replace(c, copies=tuple(map(free, c.copies))) for c in layout.cloths)
        self._written(replace(layout, cloths=cloths), what)

    def nest(self, kit: KitView, seconds: float, what: str) -> None:
        """Nest all that is not pinned again.

        Parameters
        ----------
        kit, seconds, what
            See `pin`.
        """
        self._nest(replace(self._stored(kit), cut_on=None), seconds, what)

    def stop(self) -> None:
        """Stop nesting; the best so far is taken."""
        self.crew.stop(self._key)

    def undo(self) -> None:
        """Take the last change of a layout back; nothing happens where `undo_next` has nothing."""
        if self.undo_next:
            self._states.undo()
            self._changed()

    def redo(self) -> None:
        """Do again what was taken back."""
        if self.redo_next:
            self._states.redo()
            self._changed()

    def ask(self, who: str, device: str) -> None:
        """Ask what accepting the nest does to the stock.

        Parameters
        ----------
        who, device
            Who asks.
        """
        self._off(what_it_takes, who, device)

    def accept(self, who: str, device: str) -> None:
        """Take off the stock what was asked for last.

        Parameters
        ----------
        who, device
            Who says so.
        """
        if self.taking is not None:
            self._off(take_off, who, device, self.taking.digest)

    def leave(self) -> None:
        """Do not take anything off the stock."""
        self.taking = None
        self._watchers.tell("cut")

    # --- how it is done

    @property
    def _states(self) -> TextFile:
        if self._kept is None:  # a file that is no text raises each time, until it is taken away
            self._kept = TextFile(self.folder / LAYOUT_FILE, self.folder / HISTORY, MOST)
        return self._kept

    @property
    def _key(self) -> str:
        return f"nest:{self.name}"

    def _stored(self, kit: KitView) -> StoredLayout:
        kept = next((k for k in read_layouts(self.folder) if k.material == kit.material), kit.stored)
        if kept is None:
            raise InputError.one("nest", kit.material, "there is no layout of it yet", "wait until it is nested")
        return kept

    @staticmethod
    def _copy(layout: StoredLayout, piece: str, kit: str) -> StoredCopy:
        for cloth in layout.cloths:
            for copy in cloth.copies:
                if (copy.piece, copy.kit) == (piece, kit):
                    return copy
        raise InputError.one("nest", f"{piece}, {kit}", "this copy is no longer there", "look at the nest again")

    def _nest(self, layout: StoredLayout, seconds: float, what: str) -> None:
        self._states.look()  # what lies now is a state of its own, whoever laid it
        self.trouble, self.nesting, self.since, self.left = "", layout.material, time.monotonic(), False
        desk = self._desk()
        if desk is not None and desk.working is not None:  # it plans what is about to change; the hand comes first
            desk.stop()
            self._halted = True
        self.taking = self.took = None
        self.curve[layout.material] = []
        self.grown.pop(layout.material, None)
        self.crew.ask(
            self._key,
            nest_cloth,
            self.path,
            layout,
            seconds,
            heard=self._heard,
            ended=lambda ended: self._nested(ended, what),
            lane=Lane.LONG,
        )
        self._watchers.tell("cut")

    def _heard(self, value: object) -> None:
        if not isinstance(value, Grown):
            return
        last = self.grown.get(value.material)
        self.grown[value.material] = replace(value, cloths=last.cloths) if value.cloths is None and last else value
        if value.used is not None:
            curve = self.curve.setdefault(value.material, [])
            if curve and curve[-1][0] > value.seconds:
                curve.clear()  # another search
            curve.append((value.seconds, value.used))
        self._watchers.tell("grown")

    def _nested(self, ended: Ended, what: str) -> None:
        self.nesting = ""
        self.grown.clear()
        halted, self._halted = self._halted, False
        if isinstance(ended.result, Nested):
            done = ended.result
            self.done[done.kit.material] = done.kit
            self._states.written(what)
        elif ended.error is not None:
            self.trouble = ended.error
        elif ended.fault:
            self.trouble = ended.fault.strip().splitlines()[-1]
        else:
            self.left = True
        if halted or isinstance(ended.result, Nested):
            self._plan()
        self._watchers.tell("cut")

    def _plan(self) -> None:
        desk = self._desk()
        if desk is not None:
            desk.plan()

    def _written(self, layout: StoredLayout, what: str) -> None:
        stored = read_layouts(self.folder)
        self._states.look()
        text = layouts_text([layout if k.material == layout.material else k for k in stored])
        self._states.write(what, text)
        self._changed(layout.material)

    def _changed(self, material: str = "") -> None:
        """Let go of what is shown of one layout, or of all, and plan with what lies now."""
        if material:
            self.done.pop(material, None)
        else:
            self.done.clear()
        self._plan()
        self._watchers.tell("cut")

    def _step(self, by: int) -> str:
        """Return what a step back or on would change; empty when there is none, or it leads to other pieces."""
        try:
            self._states.look()
            change = self._states.undone_next if by < 0 else self._states.redone_next
            if change is None or _copies(self._states.beside(by)) != _copies(self._states.text):
                return ""
        except (BagsideError, ValueError, KeyError, TypeError):  # it is no layout any more: the plan says so
            return ""
        return change.what

    def _off(self, task: Callable[..., Taken], *arguments: str) -> None:
        self.trouble, self.asking = "", True
        self.crew.ask(
            f"off:{self.name}",
            task,
            self.path,
            *arguments,
            heard=lambda _: None,
            ended=lambda ended: self._off_ended(ended, task),
            lane=Lane.LONG,
        )
        self._watchers.tell("cut")

    def _off_ended(self, ended: Ended, task: Callable[..., Taken]) -> None:
        self.asking = False
        if isinstance(ended.result, Taken) and task is take_off:
            self.taking, self.took = None, ended.result
            self._states.look()
            self._states.forget()  # what is cut cannot be laid otherwise
            self.done.clear()
            self._plan()
        elif isinstance(ended.result, Taken):
            self.taking = ended.result
        else:
            self.taking = None
            self.trouble = ended.error or (ended.fault.strip().splitlines() or [""])[-1]
        self._watchers.tell("cut")



def _copies(text: str) -> set[tuple[str, str, str]]:
    """Return the copies that a text of layouts lays: with others than are cut now it would be laid anew at once."""
    return {
        (layout["material"], copy["piece"], copy["kit"])
        for layout in json.loads(text)["layouts"]
        for cloth in layout["cloths"]
        for copy in cloth["copies"]
    }
