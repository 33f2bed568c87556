"""Who does the work: a few child processes, a queue for each lane, and a stop for every task.

A task has a key, usually the job and what is done for it. Asking again with a key puts the new task in place of the old
one: who drags a handle wants the last answer, not all of them. A task that is stopped may hand over its best; one that
does not listen is ended with its process, and a new process takes its place.
"""

from __future__ import annotations

import multiprocessing
import os
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from bagside.web.work.child import Ended, Told, run_tasks

GRACE = 3.0
"""Time a stopped task has to hand over its best [s]."""
SOON = 1.5
"""Time a dropped task has to come to its end; then its process is ended, and another takes its place [s]."""


class Lane(StrEnum):
    """Where a task waits: long work must not hold up a quick answer."""

    LONG = "long"
    QUICK = "quick"


@dataclass(slots=True, kw_only=True)
class _Task:
    key: str
    function: Callable[..., Any] | str
    arguments: tuple[Any, ...]
    heard: Callable[[Any], None]
    ended: Callable[[Ended], None]
    dropped: bool = False


class Crew:
    """Child processes that work.

    Parameters
    ----------
    back
        Hands a call over to the thread that pages live in, such as ``loop.call_soon_threadsafe``.
    warm
        A task that loads what others need: every process does it first, and a second process of the long lane waits
        with it done, so that one that has to be ended is replaced at once. None starts processes when they are asked.
    """

    def __init__(self, back: Callable[..., object], warm: Callable[..., Any] | None = None) -> None:
        self._lanes = {lane: _Worker(back, warm, spare=lane is Lane.LONG) for lane in Lane}

    def ask(
        self,
        key: str,
        function: Callable[..., Any] | str,
        *arguments: Any,
        heard: Callable[[Any], None],
        ended: Callable[[Ended], None],
        lane: Lane = Lane.LONG,
    ) -> None:
        """Ask for a task; one with the same key that waits or runs is dropped, and says nothing any more.

        Parameters
        ----------
        key
            See above.
        function
            At the top of a module, or ``module:name`` of one that is loaded in the child alone; called with a `Teller`,
            then the arguments.
        arguments
            Must pickle.
        heard
            Called with what the task says.
        ended
            Called once when it has ended.
        lane
            Where it waits.
        """
        task = _Task(key=key, function=function, arguments=arguments, heard=heard, ended=ended)
        self._lanes[lane].put(task)

    def stop(self, key: str) -> None:
        """Tell a task to come to an end; it hands over its best if it can, and one that waits is dropped."""
        for worker in self._lanes.values():
            worker.stop(key)

    def busy(self, key: str) -> bool:
        """Return whether a task waits or runs under a key."""
        return any(worker.busy(key) for worker in self._lanes.values())

    def close(self) -> None:
        """End every process."""
        for worker in self._lanes.values():
            worker.close()


class _Worker:
    """One lane: a thread that feeds one process, and perhaps a second one that has loaded all it needs and waits."""

    def __init__(self, back: Callable[..., object], warm: Callable[..., Any] | None, *, spare: bool) -> None:
        self._back = back
        self._warm = warm
        self._keeps_spare = spare and warm is not None
        self._loaded = False
        self._spare: tuple[Any, Any, Any] | None = None
        self._started_ones: list[Any] = []  # every process that may still live: none outlasts the crew
        self._context = multiprocessing.get_context("spawn")
        self._waiting: OrderedDict[str, _Task] = OrderedDict()
        self._now: _Task | None = None
        self._process: Any = None
        self._pipe: Any = None
        self._stop: Any = self._context.Event()
        self._ready = threading.Condition()
        self._closed = False
        self._thread = threading.Thread(target=self._work, daemon=True)
        self._thread.start()

    def put(self, task: _Task) -> None:
        with self._ready:
            if self._now is not None and self._now.key == task.key:
                self._now.dropped = True
                self._end_soon(self._now)
            self._waiting.pop(task.key, None)
            self._waiting[task.key] = task
            self._ready.notify()

    def stop(self, key: str) -> None:
        with self._ready:
            waiting = self._waiting.pop(key, None)
            if waiting is not None:
                self._back(waiting.ended, Ended())
            if self._now is not None and self._now.key == key:
                self._end_soon(self._now)

    def busy(self, key: str) -> bool:
        with self._ready:
            return key in self._waiting or (self._now is not None and self._now.key == key and not self._now.dropped)

    def close(self) -> None:
        with self._ready:
            self._closed = True
            self._ready.notify()
            for process in self._started_ones:
                process.kill()

    def _end_soon(self, task: _Task) -> None:
        """Ask the running task to stop, and end its process if it does not."""
        self._stop.set()
        timer = threading.Timer(SOON if task.dropped else GRACE, self._kill, (task,))
        timer.daemon = True
        timer.start()

    def _kill(self, task: _Task) -> None:
        with self._ready:
            if self._now is task and self._process is not None:
                self._process.kill()

    def _work(self) -> None:
        while True:
            with self._ready:
                while not self._waiting and not self._closed:
                    if self._warm is not None and not self._loaded:
                        break  # idle at the very start: load what will be needed
                    self._ready.wait()
                if self._closed:
                    return
                task = self._waiting.popitem(last=False)[1] if self._waiting else None
                self._now = task
                self._stop.clear()
            if task is None:
                self._load()
                continue
            ended = self._run(task)
            with self._ready:
                self._now = None
            if not task.dropped:
                self._back(task.ended, ended)

    def _load(self) -> None:
        """Have a process ready before anybody asks; one that fails is tried again when somebody does."""
        self._loaded = True
        try:
            self._begin()
            self._fill_up()
        except (EOFError, OSError):
            self._gone()

    def _run(self, task: _Task) -> Ended:
        try:
            if self._process is None or not self._process.is_alive():
                self._begin()
            self._pipe.send((task.function, task.arguments))
            while True:
                message = self._pipe.recv()
                if isinstance(message, Ended):
                    self._fill_up()
                    return message
                if isinstance(message, Told) and not task.dropped:
                    self._back(task.heard, message.value)
        except (EOFError, OSError):
            stopped = self._stop.is_set() or self._closed
            self._gone()
            return Ended() if stopped else Ended(fault="the process that worked on this has ended by itself")

    def _begin(self) -> None:
        """Take the process that waits, or start one."""
        with self._ready:
            taken, self._spare = self._spare, None
        self._process, self._pipe, self._stop = taken or self._started()
        if self._warm is not None:  # it may still be loading
            while not isinstance(self._pipe.recv(), Ended):
                pass

    def _fill_up(self) -> None:
        """Start a second process, unless one waits."""
        if not self._keeps_spare or self._spare is not None:
            return
        try:
            spare = self._started()
        except (EOFError, OSError):
            return  # it is closed, or there is no room for one more: the next task starts its own
        with self._ready:
            self._spare = spare

    def _started(self) -> tuple[Any, Any, Any]:
        here, there = self._context.Pipe()
        stop = self._context.Event()
        process = self._context.Process(target=run_tasks, args=(there, stop, os.getpid()))
        with self._ready:
            if self._closed:
                raise EOFError
            process.start()
            self._started_ones = [p for p in self._started_ones if p.is_alive()] + [process]
        there.close()
        if self._warm is not None:
            here.send((self._warm, ()))
        return process, here, stop

    def _gone(self) -> None:
        if self._process is not None:
            self._process.join(1.0)
        if self._pipe is not None:
            self._pipe.close()
        self._process = self._pipe = None
