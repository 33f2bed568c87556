"""What a person sees of a search for a nest while it runs, and how it is stopped."""

from __future__ import annotations

import signal
from types import FrameType, TracebackType
from typing import TYPE_CHECKING, Any

from bagside.cli.show import ERR

if TYPE_CHECKING:
    from bagside.cutting.stock import StockProgress


class Watcher:
    """Shows how far a nest has come, and stops it at the first Ctrl-C with the best so far kept.

    A second Ctrl-C ends the command, as everywhere.
    """

    def __init__(self) -> None:
        self._stopped = False
        self._before: Any = None
        self._status: Any = None

    def __enter__(self) -> Watcher:
        """Begin to listen."""
        try:
            self._before = signal.signal(signal.SIGINT, self._told)
        except ValueError:
            self._before = None  # not in the main thread: then nobody types Ctrl-C here
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """End listening and clear the line."""
        if self._before is not None:
            signal.signal(signal.SIGINT, self._before)
        if self._status is not None:
            self._status.stop()

    def _told(self, number: int, frame: FrameType | None) -> None:
        if self._stopped:
            raise KeyboardInterrupt
        self._stopped = True

    def __call__(self, now: StockProgress) -> bool:
        """Show the progress and return whether to go on."""
        if ERR.is_terminal:
            if self._status is None:
                self._status = ERR.status("", spinner="line")
                self._status.start()
            fresh = "" if now.length is None else f", {now.length:.2f} m fresh"
            money = "" if now.money is None else f", {now.money:.2f}"
            words = f"{now.on_sheets} of {now.copies} on offcuts{fresh}{money}, {now.seconds:.0f} s (Ctrl-C keeps this)"
            self._status.update(f"Nesting: {words}")
        return not self._stopped
