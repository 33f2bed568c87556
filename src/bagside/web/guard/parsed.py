"""Parsers run on files from requests, each in a process of its own with little time and memory.

What comes back is taken as plain values only: numbers, text, arrays, and the values of this package. A parser that was
talked into something by a file can then lie about the file, and no more.
"""

from __future__ import annotations

import asyncio
import contextlib
import io
import logging
import os
import pickle
import selectors
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import is_dataclass
from enum import Enum
from pathlib import Path
from typing import Any, ParamSpec, TypeVar, cast

from bagside.errors import BagsideError, InputError
from bagside.web.guard import child

P = ParamSpec("P")
R = TypeVar("R")
LOG = logging.getLogger("bagside.web")
SECONDS = 60.0
MEGABYTES = 1500.0
"""Over what the program itself takes; a scan of two million triangles needs about 700."""
MOST_ANSWER = 800_000_000  # bytes of what comes back
MOST_TASK = 32_000  # bytes of what is handed over: a path and a few words, never the file
AT_ONCE = 2
_PLACES = threading.BoundedSemaphore(AT_ONCE)
_PLAIN: Mapping[str, frozenset[str]] = {
    "builtins": frozenset({"dict", "list", "set", "frozenset", "tuple", "bytearray", "complex", "range", "slice"}),
    "collections": frozenset({"OrderedDict"}),
    "datetime": frozenset({"date", "datetime", "time", "timedelta", "timezone"}),
    "zoneinfo": frozenset(),
    "decimal": frozenset({"Decimal"}),
    "fractions": frozenset({"Fraction"}),
    "pathlib": frozenset({"PosixPath", "PurePosixPath", "WindowsPath", "PureWindowsPath", "Path"}),
    "numpy": frozenset({"ndarray", "dtype"}),
    "numpy._core.multiarray": frozenset({"_reconstruct", "scalar"}),
    "numpy._core.numeric": frozenset({"_frombuffer"}),
    "numpy.core.multiarray": frozenset({"_reconstruct", "scalar"}),
}


class _Plain(pickle.Unpickler):
    """Takes plain values and this package's own; nothing that is called when it is read."""

    def find_class(self, module: str, name: str) -> Any:
        if name in _PLAIN.get(module, ()):
            return super().find_class(module, name)
        if module.startswith("bagside.") and "." not in name and module in sys.modules:
            found = getattr(sys.modules[module], name, None)
            if isinstance(found, type) and (is_dataclass(found) or issubclass(found, (Enum, BagsideError))):
                return found
        raise pickle.UnpicklingError(f"{module}.{name} is no plain value")


def parsed(
    function: Callable[P, R],
    path: Path,
    *args: Any,
    seconds: float = SECONDS,
    megabytes: float = MEGABYTES,
    called: str = "",
    **kwargs: Any,
) -> R:
    """Return what a parser makes of a file, from a process of its own.

    Parameters
    ----------
    function
        At the top of a module of this package; is given the path first.
    path
        Of the file.
    args, kwargs
        Its further arguments, plain values.
    seconds
        It may take [s].
    megabytes
        It may take [MB].
    called
        Name of the file for messages; its own when empty.

    Raises
    ------
    InputError
        As the parser says; or when it takes longer, or more memory, or falls over.
    """
    name = called or path.name
    task = pickle.dumps(
        (function.__module__, function.__qualname__, (path, *args), kwargs, seconds, megabytes), protocol=5
    )
    if len(task) > MOST_TASK:
        raise ValueError("a parser is given a path, not the file")
    with _PLACES:
        status, answer = _run(task, path.parent, seconds)
    if status == _LATE or status == -getattr(signal, "SIGXCPU", 1000):
        wanted = f"a file that is read within {seconds:.0f} s is wanted"
        raise InputError.one(name, "", wanted, "send a smaller one, or save it again from where it came from")
    if status in (child.TOO_LARGE, -9):
        wanted = f"a file that is read with {megabytes:.0f} MB of memory is wanted"
        raise InputError.one(name, "", wanted, "send a smaller one")
    if status != 0 or not answer:
        LOG.warning("the reader of %s fell over with status %s", name, status)
        raise InputError.one(name, "", "this file brings its reader to a fall", "save it again from where it came from")
    return cast("R", _said(answer, name))


async def parsed_aside(
    function: Callable[..., R],
    path: Path,
    *args: Any,
    seconds: float = SECONDS,
    megabytes: float = MEGABYTES,
    called: str = "",
    **kwargs: Any,
) -> R:
    """Return what a parser makes of a file, while the server goes on; see `parsed`.

    Parameters
    ----------
    function, path, args, kwargs, seconds, megabytes, called
        See `parsed`.

    Raises
    ------
    InputError
        See `parsed`.
    """
    return await asyncio.to_thread(
        lambda: parsed(function, path, *args, seconds=seconds, megabytes=megabytes, called=called, **kwargs)
    )


_LATE = 1001


def _run(task: bytes, folder: Path, seconds: float) -> tuple[int, bytes]:
    """Return a child's exit status and what it answered."""
    until = time.monotonic() + seconds
    process = subprocess.Popen(
        [sys.executable, "-P", str(Path(child.__file__).resolve())],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        cwd=folder,
        env=_environment(),
        start_new_session=True,
        close_fds=True,
    )
    answer = io.BytesIO()
    late = False
    try:
        assert process.stdin is not None
        assert process.stdout is not None
        with contextlib.suppress(BrokenPipeError):
            process.stdin.write(task)
            process.stdin.close()
        late = not _drained(process.stdout.fileno(), answer, until)
        if not late:
            process.wait(timeout=max(0.1, until - time.monotonic()))
    except subprocess.TimeoutExpired:
        late = True
    finally:
        _killed(process)
    if answer.tell() > MOST_ANSWER:
        return child.TOO_LARGE, b""
    return (_LATE, b"") if late else (process.returncode, answer.getvalue())


def _drained(pipe: int, into: io.BytesIO, until: float) -> bool:
    """Take what comes until the pipe closes; False when the time is over or too much comes."""
    if os.name != "posix":  # pipes cannot be waited for there: a thread reads, and is let go when the child is ended
        return _drained_aside(pipe, into, until)
    with selectors.DefaultSelector() as selector:
        selector.register(pipe, selectors.EVENT_READ)
        while True:
            left = until - time.monotonic()
            if left <= 0.0 or into.tell() > MOST_ANSWER:
                return False
            if selector.select(left):
                part = os.read(pipe, 1 << 20)
                if not part:
                    return True
                into.write(part)


def _drained_aside(pipe: int, into: io.BytesIO, until: float) -> bool:
    def read() -> None:
        with contextlib.suppress(OSError):
            while (part := os.read(pipe, 1 << 20)) and into.tell() <= MOST_ANSWER:
                into.write(part)

    thread = threading.Thread(target=read, daemon=True)
    thread.start()
    thread.join(max(0.0, until - time.monotonic()))
    return not thread.is_alive()


def _killed(process: subprocess.Popen[bytes]) -> None:
    """End a child with all it started, and give its pipes back."""
    if process.poll() is None:
        with contextlib.suppress(OSError):
            if os.name == "posix":
                os.killpg(process.pid, signal.SIGKILL)
            else:
                process.kill()
    for pipe in (process.stdin, process.stdout):
        if pipe is not None:
            with contextlib.suppress(OSError):
                pipe.close()
    process.wait()


def _environment() -> dict[str, str]:
    """Return what a child is told of its surroundings: nothing that is a secret."""
    kept = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT", "LANG", "LC_ALL") if name in os.environ}
    return kept | {
        "PYTHONPATH": os.pathsep.join(p for p in sys.path if p),
        "PYTHONDONTWRITEBYTECODE": "1",
        "OPENBLAS_NUM_THREADS": "1",
        "OMP_NUM_THREADS": "1",
        "TMPDIR": tempfile.gettempdir(),
    }


def _said(answer: bytes, name: str) -> object:
    """Return what a child answered; raises what it raised."""
    try:
        how, value = _Plain(io.BytesIO(answer)).load()
    except Exception as error:
        LOG.warning("the reader of %s answered with %s", name, error)
        raise InputError.one(name, "", "this file brings its reader to a fall", "save it again") from None
    if how == "error" and isinstance(value, BagsideError):
        raise value
    if how == "fault":
        LOG.warning("the reader of %s fell over:\n%s", name, value)
        raise InputError.one(name, "", "this file brings its reader to a fall", "save it again from where it came from")
    return value
