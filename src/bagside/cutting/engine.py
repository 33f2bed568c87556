"""The strip-packing engine behind a wall: a child process that is watched, stopped and outlived.

The engine panics on input it does not like and cannot be stopped from a thread. Both end here: what leaves this module
are placements on the cloth, not yet verified, and a sentence when the engine gave none. The child is a plain program
started by its file, so it needs nothing from the program that asked: no guarded main module, no fork, no pickling.
"""

from __future__ import annotations

import json
import os
import queue
import subprocess
import sys
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from bagside.cutting.instance import Instance, as_wide
from bagside.cutting.layout import Cloth, Placement
from bagside.cutting.piece import FlatPiece

CHILD = Path(__file__).with_name("engine_child.py")
GRACE = 1.5
"""Time past its limit for which an engine that has given nothing yet is waited for [s]."""
NEARLY = 8
"""How many of the last layouts with overlaps are kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineRun:
    """What one run of the engine gave.

    Parameters
    ----------
    layouts
        How many it gave.
    seconds
        Wall time [s].
    stopped
        Whether the watcher stopped it.
    failure
        Why it ended without finishing; empty when it finished or was stopped.
    nearly
        The last layouts in which pieces still overlap, shorter than any without.
    """

    layouts: int
    seconds: float
    stopped: bool
    failure: str
    nearly: tuple[tuple[Placement, ...], ...] = ()


def run_engine(
    pieces: tuple[FlatPiece, ...],
    cloth: Cloth,
    *,
    seconds: float,
    seed: int,
    going: Callable[[tuple[Placement, ...] | None], bool],
    face_down: Mapping[str, int] | None = None,
) -> EngineRun:
    """Run the engine once in a child process.

    Parameters
    ----------
    pieces, cloth
        What is nested on what.
    seconds
        Time for the engine [s]; it is ended then, its best layout being here already.
    seed
        Of its random numbers; under a time limit the same seed does not give the same layout twice.
    going
        Called several times a second with a new layout, not yet verified, or None; the engine is ended when it
        returns False.
    face_down
        By label, how many copies of a piece are cut face down.

    Returns
    -------
    EngineRun
        How it ended; no failure of the engine is raised.

    Notes
    -----
    When the engine gives nothing and a piece is nearly as wide as the cloth, it is run once more with such pieces as
    the rectangles round them.
    """
    run = _run(Instance(pieces, cloth, face_down=face_down), seconds, seed, going)
    left = max(seconds - run.seconds, 0.5 * seconds)  # it fails at once, but a busy machine makes that long
    if run.failure and not run.layouts and any(as_wide(p, cloth) for p in pieces):
        again = _run(Instance(pieces, cloth, face_down=face_down, blocks=True), left, seed, going)
        return replace(again, seconds=run.seconds + again.seconds)
    return run


def _run(
    instance: Instance, seconds: float, seed: int, going: Callable[[tuple[Placement, ...] | None], bool]
) -> EngineRun:
    layouts = 0
    nearly: deque[list[list[Any]]] = deque(maxlen=NEARLY)
    said: list[str] = []
    began = time.perf_counter()
    stopped = finished = False
    code: int | None = None
    with _child({**instance.message, "seconds": seconds, "seed": seed}) as (process, lines):
        while process is not None:
            line = _next(lines)
            if line is None:
                code = process.wait()
                break
            answer = _answer(line, said)
            layout = instance.placements(answer["placed"]) if "placed" in answer else None
            layouts += layout is not None
            nearly.extend([answer["nearly"]] if "nearly" in answer else [])
            finished = finished or bool(answer.get("done"))
            if not going(layout):
                stopped = True
                break
            late = time.perf_counter() - began - seconds
            if late > 0.0 and layouts > 0:
                finished = True
                break
            if late > GRACE:
                said.append("it did not end in time")
                break
        if process is None:
            said.append("it could not be started")
    took = time.perf_counter() - began
    failure = "" if finished or stopped else _why(said, code)
    return EngineRun(
        layouts=layouts,
        seconds=took,
        stopped=stopped and not finished,
        failure=failure,
        nearly=tuple(instance.placements(n) for n in nearly),
    )


@contextmanager
def _child(message: dict[str, Any]) -> Iterator[tuple[subprocess.Popen[str] | None, queue.SimpleQueue[str | None]]]:
    lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
    try:
        process = subprocess.Popen(
            [sys.executable, "-P", str(CHILD)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            errors="replace",
            env={**os.environ, "RUST_BACKTRACE": "0"},  # its last line is the reason, not a stack
        )
    except OSError:
        yield None, lines
        return
    assert process.stdin is not None
    assert process.stdout is not None
    reader = threading.Thread(target=_read, args=(process.stdout, lines), daemon=True)
    reader.start()
    try:
        with suppress(OSError):  # it may have died at once; its last words are read all the same
            process.stdin.write(json.dumps(message) + "\n")
            process.stdin.flush()
        yield process, lines
    finally:
        process.kill()
        process.wait()
        reader.join()
        process.stdout.close()
        with suppress(OSError):  # what was left to write has no reader any more
            process.stdin.close()


def _read(stream: Any, lines: queue.SimpleQueue[str | None]) -> None:
    for line in stream:
        lines.put(line)
    lines.put(None)


def _next(lines: queue.SimpleQueue[str | None]) -> str | None:
    """Return the next line, an empty one when there is none yet, None when no more will come."""
    try:
        return lines.get(timeout=0.2)
    except queue.Empty:
        return ""


def _answer(line: str, said: list[str]) -> dict[str, Any]:
    try:
        answer = json.loads(line)
    except json.JSONDecodeError:
        answer = None
    if isinstance(answer, dict):
        return answer
    if line.strip():
        said.append(line.strip())
    return {}


def _why(said: list[str], code: int | None) -> str:
    words = [s for s in said if not s.startswith(("File ", "^", "Traceback", "note:", "thread "))]
    last = words[-1] if words else "it said nothing"
    return f"the nesting engine ended early{f' with code {code}' if code is not None else ''}: {last}"
