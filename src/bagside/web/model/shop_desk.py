"""The board's desk: what stands in the records and the folders, looked at once for all windows that show it.

It is looked at anew when something was written into the records – by a phone on the floor, by a command, by another
window – and every twenty seconds, because clocks run. While nobody shows it nothing is looked at.
"""

from __future__ import annotations

import asyncio
import math
import time
from collections.abc import Callable
from weakref import WeakKeyDictionary

from bagside.errors import BagsideError
from bagside.web.house import House
from bagside.web.model.watchers import Watchers
from bagside.web.views.board.view import BoardView, JobTold
from bagside.web.work.board_task import read_hastily, read_jobs, read_records
from bagside.web.work.child import Ended
from bagside.web.work.crew import Lane

EVERY = 20.0
"""How often it is looked at anew [s]."""
BEAT = 0.5
"""How often is asked whether something was written [s]."""
KEY = "jobs of the board"
_DESKS: WeakKeyDictionary[House, ShopDesk] = WeakKeyDictionary()


class ShopDesk:
    """What the workshop looks like now.

    Parameters
    ----------
    house
        The workshop.
    """

    def __init__(self, house: House) -> None:
        self._house = house
        self.view: BoardView | None = None
        self.trouble = ""
        self._jobs: tuple[JobTold, ...] = ()
        self._watchers = Watchers[[]]()
        self._beat: asyncio.Task[None] | None = None
        self._looked = -math.inf
        self._asked = -math.inf
        self._stamp: tuple[tuple[str, int, int], ...] = ()
        self._again = False

    def watch(self, watcher: Callable[[], None]) -> Callable[[], None]:
        """Tell a watcher when something has changed, and return how to end that.

        Parameters
        ----------
        watcher
            Called without arguments, in the loop that pages live in.
        """
        if self._beat is None or self._beat.done():
            self._beat = asyncio.get_running_loop().create_task(self._beats())
        return self._watchers.add(watcher)

    def look(self) -> None:
        """Look at the records anew, at the next beat."""
        self._again = True

    async def _look(self) -> None:
        """Look at the records in a thread: that is quick, and long work in the child processes never holds it up."""
        self._again, self._looked = False, time.monotonic()
        try:
            if self.view is None:
                self._jobs = await asyncio.to_thread(read_hastily, self._house.folder)
            self.view = await asyncio.to_thread(read_records, self._house.folder, self._jobs)
            self.trouble = ""
        except BagsideError as error:
            self.trouble = str(error)
        self._stamp = self._stamps()  # only now: whoever opens the records touches their files
        self._watchers.tell()

    def _ask(self) -> None:
        """Have the jobs looked at by a child process: that may mean reading meshes."""
        self._asked = time.monotonic()
        self._house.crew.ask(
            KEY, read_jobs, self._house.folder, heard=lambda _: None, ended=self._ended, lane=Lane.QUICK
        )  # fmt: skip

    def _ended(self, ended: Ended) -> None:
        if isinstance(ended.result, tuple) and ended.result != self._jobs:
            self._jobs = ended.result
            self.look()

    async def _beats(self) -> None:
        """Look whenever something was written or the time has come, as long as somebody watches."""
        while self._watchers:
            now = time.monotonic()
            if self._again or now - self._looked >= EVERY or self._stamps() != self._stamp:
                await self._look()
            if now - self._asked >= EVERY and not self._house.crew.busy(KEY):
                self._ask()
            await asyncio.sleep(BEAT)

    def _stamps(self) -> tuple[tuple[str, int, int], ...]:
        """Return what tells whether something was written: the files of the records and the workshop's own.

        Records on a server have no file here; they are seen with the next regular look.
        """
        out = []
        for name in ("records.sqlite", "records.sqlite-wal", "workshop.toml", "jobs"):
            try:
                stat = (self._house.folder / name).stat()
            except OSError:
                continue
            out.append((name, stat.st_mtime_ns, stat.st_size))
        return tuple(out)


def shop_desk(house: House) -> ShopDesk:
    """Return the desk of a workshop, the same for every window.

    Parameters
    ----------
    house
        The workshop.
    """
    if house not in _DESKS:
        _DESKS[house] = ShopDesk(house)
    return _DESKS[house]
