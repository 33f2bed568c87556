"""Parsers that a hostile file has talked into something; run in a child process by the tests of `parsed`."""

from __future__ import annotations

import ctypes
import os
import resource
import socket
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np


def contents(path: Path, more: str = "") -> tuple[str, str]:
    return path.read_text(), more


def for_ever(path: Path) -> None:
    time.sleep(3600)


def computing_for_ever(path: Path) -> None:
    while True:
        pass


def greedy(path: Path, megabytes: int) -> int:
    held = [bytearray(os.urandom(1) * 1_000_000) for _ in range(megabytes)]
    return len(held)


def falling(path: Path) -> None:
    ctypes.string_at(0)


def raising(path: Path) -> None:
    raise ZeroDivisionError("a secret of the file")


def printing(path: Path) -> str:
    print("x" * 100_000)
    sys.stderr.write("y" * 100_000)
    os.write(1, b"z" * 100_000)
    return "said"


def surroundings(path: Path) -> dict[str, Any]:
    soft = {name: resource.getrlimit(getattr(resource, name))[0] for name in ("RLIMIT_CORE", "RLIMIT_NOFILE")}
    opened = sorted(int(n) for n in os.listdir("/proc/self/fd")) if sys.platform == "linux" else []
    return {
        "environment": dict(os.environ),
        "modules": sorted(m for m in sys.modules if m.startswith(("bagside.web", "nicegui", "uvicorn"))),
        "limits": soft,
        "opened": opened,
        "session": os.getsid(0) == os.getpid(),
    }


def leaving_a_child(path: Path) -> None:
    subprocess.Popen(["sleep", "3600"])
    (path.parent / "pid").write_text(str(os.getpid()))
    time.sleep(3600)


def writing_much(path: Path) -> None:
    with (path.parent / "much").open("wb") as file:
        for _ in range(200):
            file.write(bytes(1_000_000))


def answering_without_end(path: Path) -> bytes:
    return bytes(30_000_000)


class Hostile:
    """What runs a command when it is unpickled."""

    def __init__(self, mark: str) -> None:
        self.mark = mark

    def __reduce__(self) -> tuple[Any, ...]:
        return os.system, (f"touch {self.mark}",)


class Sneaky:
    """What calls a function of this package when it is unpickled."""

    def __init__(self, mark: str) -> None:
        self.mark = mark

    def __reduce__(self) -> tuple[Any, ...]:
        from bagside.records.writing import replaced

        return replaced, (Path(self.mark), "x")


def hostile(path: Path) -> Any:
    return Hostile(str(path.parent / "owned"))


def sneaky(path: Path) -> Any:
    return [np.zeros(3), Sneaky(str(path.parent / "owned"))]


@dataclass
class Foreign:
    """A value of another package."""

    x: int = 1


def foreign(path: Path) -> Foreign:
    return Foreign()


def arrays(path: Path) -> dict[str, Any]:
    return {"a": np.arange(6.0).reshape(2, 3), "b": np.float32(1.5), "c": np.array(["x"], dtype=object), "d": {1, 2}}


def waiting(path: Path) -> str:
    with socket.socket():
        time.sleep(0.4)
    return "waited"
