"""Watching long work: one live line on standard error, a time limit, and Ctrl-C that keeps what is finished."""

from __future__ import annotations

import signal
import time
from types import FrameType, TracebackType
from typing import Any


class Watched:
    """Tells how far work has come, and when it shall stop.

    Parameters
    ----------
    limit
        Longest time [s]; none when None.
    """

    def __init__(self, limit: float | None = None) -> None:
        self.limit = limit
        self.begin = time.monotonic()
        self.interrupted = False
        self._status: Any = None
        self._before: Any = None

    def __enter__(self) -> Watched:
        """Begin to watch."""
        from bagside.cli.show import ERR

        if ERR.is_terminal:
            self._status = ERR.status("…", spinner="line")
            self._status.start()
        try:
            self._before = signal.signal(signal.SIGINT, self._interrupt)
        except ValueError:  # not in the main thread: whoever runs it there stops it
            self._before = None
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """End watching."""
        if self._status is not None:
            self._status.stop()
        if self._before is not None:
            signal.signal(signal.SIGINT, self._before)

    def _interrupt(self, number: int, frame: FrameType | None) -> None:
        """Take the first Ctrl-C as a wish to stop, the second as one to stop now."""
        if self.interrupted:
            raise KeyboardInterrupt
        self.interrupted = True
        self.say("stopping; what is begun is finished (Ctrl-C again: at once)")

    def say(self, what: str, share: float = 0.0) -> None:
        """Show what is being done.

        Parameters
        ----------
        what
            In words.
        share
            Not shown: each step tells its own.
        """
        if self._status is not None:
            self._status.update(f"{what} …")

    def draws(self, finished: int, asked: int) -> None:
        """Show how many draws are finished.

        Parameters
        ----------
        finished, asked
            Numbers of draws.
        """
        if not self.interrupted:
            self.say(f"{finished} of {asked} draws")

    def stop(self) -> bool:
        """Return whether to stop."""
        return self.interrupted or (self.limit is not None and time.monotonic() - self.begin > self.limit)
