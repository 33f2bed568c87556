"""The board's desk: what stands in the records and the folders, looked at once for all windows that show it.

It is looked at anew when something was written into the records – by a phone on the floor, by a command, by another
window – and every twenty seconds, because clocks run. While nobody shows it nothing is looked at.
"""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import Callable
from weakref import WeakKeyDictionary

from bagside.errors import BagsideError
from bagside.web.house import House
from bagside.web.views.board import BoardView
from bagside.web.work.board_task import read_board
from bagside.web.work.child import Ended, Teller
from bagside.web.work.crew import Lane

EVERY = 20.0
"""How often it is looked at anew [s]."""
BEAT = 1.0
"""How often is asked whether something was written [s]."""
KEY = "board"
QUIET = Teller(lambda _: None, threading.Event())
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
        self._watchers: list[Callable[[], None]] = []
        self._beat: asyncio.Task[None] | None = None
        self._looked = 0.0
        self._stamp: tuple[tuple[str, int, int], ...] = ()

    def watch(self, watcher: Callable[[], None]) -> Callable[[], None]:
        """Tell a watcher when something has changed, and return how to end that.

        Parameters
        ----------
        watcher
            Called without arguments, in the loop that pages live in.
        """
        self._watchers.append(watcher)
        if self._beat is None or self._beat.done():
            self._beat = asyncio.get_running_loop().create_task(self._beats())

        def unwatch() -> None:
            if watcher in self._watchers:
                self._watchers.remove(watcher)

        return unwatch

    def look(self) -> None:
        """Look at everything anew, in a child process."""
        self._looked = time.monotonic()
        self._house.crew.ask(
            KEY, read_board, self._house.folder, heard=lambda _: None, ended=self._ended, lane=Lane.QUICK
        )  # fmt: skip

    def _ended(self, ended: Ended) -> None:
        self._stamp = self._stamps()  # only now: whoever opens the records touches their files
        if isinstance(ended.result, BoardView):
            self.view, self.trouble = ended.result, ""
        elif isinstance(ended.error, BagsideError):
            self.trouble = str(ended.error)
        elif ended.fault:
            self.trouble = ended.fault.strip().splitlines()[-1]
        for watcher in tuple(self._watchers):
            watcher()

    async def _first(self) -> None:
        """Look at the records alone in a thread of this process: a child would have to load everything first."""
        try:
            self._ended(Ended(result=await asyncio.to_thread(read_board, QUIET, self._house.folder, hasty=True)))
        except BagsideError as error:
            self._ended(Ended(error=error))

    async def _beats(self) -> None:
        """Look whenever something was written or the time has come, as long as somebody watches."""
        if self.view is None:
            await self._first()
        while self._watchers:
            due = time.monotonic() - self._looked >= EVERY or self._stamps() != self._stamp
            if due and not self._house.crew.busy(KEY):
                self.look()
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
