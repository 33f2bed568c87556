"""What runs in the process of its own in which a file from a request is parsed.

It is started by its path, not as a module, so that nothing of the server is in it: no key, no session, no open file. It
takes its limits on itself before it touches the file: memory over what the program itself takes, seconds of computing,
size of files written, a clock that ends it when the server is gone. Its answer goes back as a pickle, of which the
server takes only plain values (`bagside.web.guard.parsed`).
"""

from __future__ import annotations

import contextlib
import importlib
import os
import pickle
import signal
import subprocess
import sys
import threading
import time
import traceback
from typing import Any

try:
    import resource
except ImportError:  # Windows has none: there only the server's clock ends it
    resource = None  # type: ignore[assignment]

MEGA = 1_000_000
TOO_LARGE = 77
"""Exit code: more memory than it may have."""
_FILES = 64  # open at a time
_WRITTEN = 64 * MEGA  # bytes of any file it writes


def main() -> None:
    """Read what to do from standard input, do it, and write what came of it to standard output."""
    answer = os.fdopen(os.dup(1), "wb")
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 1)  # what a parser prints is no answer
    os.dup2(nothing, 2)
    module, name, args, kwargs, seconds, megabytes = pickle.load(sys.stdin.buffer)
    _limit_time(seconds)
    function = getattr(importlib.import_module(module), name)
    _limit_memory(megabytes)
    try:
        said: tuple[str, Any] = ("result", function(*args, **kwargs))
    except MemoryError:
        os._exit(TOO_LARGE)
    except BaseException as error:
        expected = any(k.__module__ == "bagside.errors" for k in type(error).__mro__)
        said = ("error", error) if expected else ("fault", traceback.format_exc(limit=20)[-8000:])
    try:
        data = pickle.dumps(said, protocol=5)
    except MemoryError:
        os._exit(TOO_LARGE)
    with contextlib.suppress(OSError):
        answer.write(data)
        answer.flush()
    os._exit(0)  # what threads of libraries still hold is let go


def _limit_time(seconds: float) -> None:
    if resource is None:
        return
    whole = max(1, round(seconds + 0.5))
    resource.setrlimit(resource.RLIMIT_CPU, (whole, whole + 1))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_FSIZE, (_WRITTEN, _WRITTEN))
    resource.setrlimit(resource.RLIMIT_NOFILE, (_FILES, _FILES))
    signal.alarm(whole + 5)  # should the server be gone that would have ended it


def _limit_memory(megabytes: float) -> None:
    """Take no more memory from here on than this; the program itself and its libraries do not count."""
    if resource is None:
        return
    if sys.platform == "linux":
        with open("/proc/self/statm", encoding="ascii") as file:
            taken = int(file.read().split()[0]) * os.sysconf("SC_PAGE_SIZE")
        most = taken + int(megabytes * MEGA)
        resource.setrlimit(resource.RLIMIT_AS, (most, most))
        return
    start = _resident()

    def watch() -> None:  # other systems do not keep to the limit of addresses: what is resident is looked at
        while _resident() - start < megabytes * MEGA:
            time.sleep(0.1)
        os._exit(TOO_LARGE)

    threading.Thread(target=watch, daemon=True).start()


def _resident() -> float:
    """Return what is resident now [bytes]. The most that ever was is no measure: it is handed down from the server."""
    try:
        said = subprocess.run(["ps", "-o", "rss=", "-p", str(os.getpid())], capture_output=True, check=True).stdout
        return 1024.0 * float(said)
    except (OSError, ValueError, subprocess.CalledProcessError):
        return 0.0


if __name__ == "__main__":
    main()
