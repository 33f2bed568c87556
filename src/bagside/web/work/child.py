"""What runs inside a child process: one task after another, told what to do through a pipe.

A task is a function at the top of a module. It is given a `Teller` first, through which it says how far it has come
and hears whether to stop; then its own arguments. A child ends by itself when its parent is gone.
"""

from __future__ import annotations

import os
import threading
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from multiprocessing.connection import Connection
from multiprocessing.synchronize import Event
from typing import Any

from bagside.errors import BagsideError


@dataclass(frozen=True, slots=True)
class Told:
    """Something a task says while it runs."""

    value: Any


@dataclass(frozen=True, slots=True)
class Ended:
    """A task has ended: with a result, an error of this package, or a fault of the program."""

    result: Any = None
    error: BagsideError | None = None
    fault: str = ""


class Stopped(BagsideError):  # noqa: N818 - not an error: somebody asked for it
    """A task has come to its end because it was asked to."""


class Teller:
    """How a task speaks to who asked for it.

    Parameters
    ----------
    say
        Takes what it says.
    stop
        Set when it shall stop.
    """

    def __init__(self, say: Callable[[Any], None], stop: Event | threading.Event) -> None:
        self._say = say
        self._stop = stop

    def __call__(self, value: Any) -> None:
        """Say something; it must pickle."""
        self._say(value)

    @property
    def stopping(self) -> bool:
        """Whether the task shall come to an end and hand over what it has."""
        return self._stop.is_set()

    def go_on(self) -> None:
        """Do nothing, or end the task here when it shall come to an end and has nothing to hand over.

        Raises
        ------
        Stopped
            When it shall stop.
        """
        if self._stop.is_set():
            raise Stopped


def run_tasks(pipe: Connection, stop: Event, parent: int) -> None:
    """Run tasks as they come until the pipe closes.

    Parameters
    ----------
    pipe
        Gives ``(function, arguments)``, takes `Told` and `Ended`.
    stop
        Set when the task under way shall stop.
    parent
        Process id of who started this one; it ends when that is gone.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    threading.Thread(target=_watch, args=(parent,), daemon=True).start()
    teller = Teller(lambda value: pipe.send(Told(value)), stop)
    while True:
        try:
            function, arguments = pipe.recv()
        except (EOFError, OSError):
            return
        try:
            ended = Ended(result=_named(function)(teller, *arguments))
        except Stopped:
            ended = Ended()
        except BagsideError as error:
            ended = Ended(error=error)
        except BaseException as error:
            ended = Ended(fault="".join(traceback.format_exception(error)))
        try:
            pipe.send(ended)
        except (OSError, BrokenPipeError):
            return
        except Exception as error:  # what came back cannot be sent: say that, or the asker waits for ever
            pipe.send(Ended(fault="".join(traceback.format_exception(error))))


def _named(function: Callable[..., Any] | str) -> Callable[..., Any]:
    """Return a function that may be given as ``module:name``, so that who asks need not load it."""
    if not isinstance(function, str):
        return function
    module, _, name = function.partition(":")
    found: Callable[..., Any] = getattr(import_module(module), name)
    return found


def _watch(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(1.0)
    os._exit(1)
