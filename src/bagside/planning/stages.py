"""Stages: pure functions whose results are kept by the content of their inputs, with a log a person can follow.

A stage is called through `Stages.run`. When the same function has been called before with equal values, its result is
read from the store; otherwise it is computed and kept. The key holds a digest of this package's own source, so that a
changed program never shows an old result. The log says for each stage whether it was worked out or kept: tests hold
"a new cure does not drape again" against it, not against a clock.
"""

from __future__ import annotations

import hashlib
import os
import time
import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, fields, is_dataclass
from enum import Enum
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, ParamSpec, Protocol, TypeVar

import numpy as np
from joblib import Memory, Parallel, delayed, hashing

from bagside.errors import BagsideError

P = ParamSpec("P")
R = TypeVar("R")


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """One line of the stage log.

    Parameters
    ----------
    stage
        As a person would name it.
    kept
        Whether the result was there already.
    seconds
        Wall time it took.
    """

    stage: str
    kept: bool
    seconds: float


class Progress(Protocol):
    """What watches stages; the command line and pages each have their own."""

    def begins(self, stage: str) -> None:
        """Say that a stage begins."""

    def ended(self, done: Done) -> None:
        """Say that a stage has ended."""


class Silent:
    """A progress that shows nothing."""

    def begins(self, stage: str) -> None:
        """Say nothing."""

    def ended(self, done: Done) -> None:
        """Say nothing."""


ABOVE = ("sheets", "records", "ledger", "cli", "web")
"""Rooms above this one: nothing that is worked out here or below hangs on them."""


@cache
def program_digest(room: str = "") -> str:
    """Return a digest of this package's own source and data, so that results of another program are not taken.

    Parameters
    ----------
    room
        The one room to look at; every room but those in `ABOVE` when empty.
    """
    digest = hashlib.sha256()

    def walk(at: Traversable, path: str) -> None:
        for entry in sorted(at.iterdir(), key=lambda e: e.name):
            if entry.is_dir():
                if entry.name != "__pycache__" and f"{path}/{entry.name}" not in out:
                    walk(entry, f"{path}/{entry.name}")
            elif entry.name.endswith((".py", ".toml", ".typ")):
                digest.update(f"{path}/{entry.name}".encode())
                digest.update(entry.read_bytes())

    out = {f"/{name}" for name in ABOVE} if not room else set()
    walk(files("bagside") / room if room else files("bagside"), "")
    return digest.hexdigest()


def digest_of(value: object) -> str:
    """Return a digest of a value's content.

    Two values that are equal have the same digest, whatever they share inside: a pickle would tell one surface used
    twice from two equal ones, and so would forget what has been worked out.

    Parameters
    ----------
    value
        Made of frozen dataclasses, arrays, tuples, dicts, numbers, texts; anything else by its pickle.
    """
    digest = hashlib.sha256()
    _feed(digest, value)
    return digest.hexdigest()


def _feed(digest: Any, value: object) -> None:
    kind = type(value)
    digest.update(f"{kind.__module__}.{kind.__qualname__}:".encode())
    if value is None or isinstance(value, bool | int | float | str | Enum):
        digest.update(repr(value).encode())
    elif isinstance(value, bytes):
        digest.update(hashlib.sha256(value).digest())
    elif isinstance(value, np.ndarray) and value.dtype != object:
        digest.update(f"{value.dtype.str}{value.shape}".encode())
        digest.update(np.ascontiguousarray(value).data)
    elif hasattr(value, "__reduce_content__"):
        _feed(digest, value.__reduce_content__())
    elif is_dataclass(value) and not isinstance(value, type):
        for f in fields(value):
            digest.update(f.name.encode())
            _feed(digest, getattr(value, f.name))
    elif isinstance(value, tuple | list):
        digest.update(str(len(value)).encode())
        for item in value:
            _feed(digest, item)
    elif isinstance(value, dict):
        for key in sorted(value, key=repr):
            _feed(digest, key)
            _feed(digest, value[key])
    elif isinstance(value, set | frozenset):
        for item in sorted(value, key=repr):
            _feed(digest, item)
    else:
        digest.update(hashing.hash(value).encode())


@dataclass
class Stages:
    """Runs stages, keeps their results and their log.

    Parameters
    ----------
    store
        Folder where results are kept; nothing is kept when it is None.
    progress
        Who watches.
    log
        What has been done, in order.
    """

    store: Path | None = None
    progress: Progress = field(default_factory=Silent)
    log: list[Done] = field(default_factory=list)
    _seen: dict[str, Any] = field(default_factory=dict)

    def run(self, stage: str, function: Callable[P, R], *args: P.args, **kwargs: P.kwargs) -> R:
        """Return the function's result, from the store when its inputs are equal to an earlier call's.

        Parameters
        ----------
        stage
            Name for the log.
        function
            A pure function at the top of a module.
        """
        begin = time.perf_counter()
        self.progress.begins(stage)
        key = digest_of((*_named(function), args, kwargs))
        kept = key in self._seen
        if not kept:
            self._seen[key], kept = self._stored(function, key, args, kwargs)
        done = Done(stage=stage, kept=kept, seconds=time.perf_counter() - begin)
        self.log.append(done)
        self.progress.ended(done)
        result: R = self._seen[key]
        return result

    def run_many(self, function: Callable[..., R], tasks: Sequence[tuple[str, tuple[Any, ...]]]) -> list[R | Failed]:
        """Return the function's result for each task, those not kept worked out side by side.

        Parameters
        ----------
        function
            A pure function at the top of a module.
        tasks
            Name for the log and arguments of each.

        Returns
        -------
        list
            As many as tasks, in their order; `Failed` where a task raised an error of this package.

        Notes
        -----
        Tasks with equal arguments are worked out once. Results do not depend on how many run at a time.
        """
        keys = [digest_of((*_named(function), args, {})) for _, args in tasks]
        first = {key: k for k, key in reversed(list(enumerate(keys)))}
        missing = [k for k, key in enumerate(keys) if first[key] == k and key not in self._seen]
        todo = [k for k in missing if not self._is_kept(function, keys[k], tasks[k][1])]
        for k in todo:
            self.progress.begins(tasks[k][0])
        calls = [(self.store, function, keys[k], tasks[k][1]) for k in todo]
        if len(calls) > 1:
            worked = Parallel(n_jobs=min(len(calls), os.cpu_count() or 1))(delayed(_worked_out)(*c) for c in calls)
        else:
            worked = [_worked_out(*c) for c in calls]
        taken: dict[int, float] = {}
        for k, (result, seconds) in zip(todo, worked, strict=True):
            self._seen[keys[k]], taken[k] = result, seconds
        for k, (stage, args) in enumerate(tasks):
            begin = time.perf_counter()
            if k not in taken:
                self.progress.begins(stage)
                if keys[k] not in self._seen:
                    self._seen[keys[k]] = _stored(self.store, function, keys[k], args, {})
            seconds = taken.get(k, time.perf_counter() - begin)
            done = Done(stage=stage, kept=k not in taken, seconds=seconds)
            self.log.append(done)
            self.progress.ended(done)
        return [self._seen[key] for key in keys]

    def _is_kept(self, function: Callable[..., Any], key: str, args: Any) -> bool:
        return self.store is not None and bool(_cache(self.store).check_call_in_cache(key, function, args, {}))

    def _stored(self, function: Callable[..., R], key: str, args: Any, kwargs: Any) -> tuple[R, bool]:
        kept = self.store is not None and bool(_cache(self.store).check_call_in_cache(key, function, args, kwargs))
        return _stored(self.store, function, key, args, kwargs), kept

    def forget_old(self) -> None:
        """Drop what earlier versions of the program kept, so that the store does not grow without end."""
        if self.store is None or not self.store.is_dir():
            return
        import shutil

        for entry in self.store.iterdir():
            if entry.is_dir() and entry.name != program_digest()[:16]:
                shutil.rmtree(entry, ignore_errors=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Failed:
    """In place of a result: the error that a task of `Stages.run_many` raised."""

    error: BagsideError


def _named(function: Callable[..., Any]) -> tuple[str, ...]:
    """Return what a function is known by: one of a room above is known by that room's source too."""
    room = function.__module__.split(".")[1] if function.__module__.startswith("bagside.") else ""
    own = (program_digest(room),) if room in ABOVE else ()
    return (function.__module__, function.__qualname__, *own)


def _cache(store: Path) -> Any:
    memory = Memory(store / program_digest()[:16], verbose=0, mmap_mode=None, compress=False)
    return memory.cache(_call, ignore=["function", "args", "kwargs"])


def _stored(store: Path | None, function: Callable[..., R], key: str, args: Any, kwargs: Any) -> R:
    if store is None:
        return function(*args, **kwargs)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # a result that cannot be kept is worked out again, no more
        result: R = _cache(store)(key, function, args, kwargs)
        return result


def _worked_out(
    store: Path | None, function: Callable[..., R], key: str, args: tuple[Any, ...]
) -> tuple[R | Failed, float]:
    begin = time.perf_counter()
    try:
        result: R | Failed = _stored(store, function, key, args, {})
    except BagsideError as error:
        result = Failed(error=error)
    return result, time.perf_counter() - begin


def _call(key: str, function: Callable[..., R], args: Any, kwargs: Any) -> R:
    return function(*args, **kwargs)
