"""The strip-packing engine behind a wall: a child process that is watched, stopped and outlived.

The engine panics on input it does not like, cannot be stopped from a thread, keeps the gap from the strip's edges as
well as between pieces, and refuses a piece exactly as wide as the strip. All of that ends here: what leaves this module
are placements on the cloth, not yet verified, and a sentence when the engine gave none.
"""

from __future__ import annotations

import json
import math
import os
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting.layout import Cloth, Placement
from bagside.cutting.piece import FlatPiece, turned

Floats = NDArray[np.float64]

CHILD = Path(__file__).with_name("engine_child.py")
MM = 1e3
GRACE = 1.5
"""Time past the engine's own limit after which it is ended [s]; its best layout is here by then."""
SIMPLER = 0.25e-3
"""How far a simplified outline may lie outside the true one, twice [m]."""
FEW_POINTS = 40
EXACT = 1e-4
"""Share of the width by which a strip must exceed its widest piece for the engine to take it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineRun:
    """What one run of the engine gave.

    Parameters
    ----------
    layouts
        Each shorter than the one before; not yet verified.
    seconds
        Wall time [s].
    stopped
        Whether the watcher stopped it.
    failure
        Why it ended without finishing; empty when it finished or was stopped.
    """

    layouts: tuple[tuple[Placement, ...], ...]
    seconds: float
    stopped: bool
    failure: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Task:
    """The instance as the engine wants it, and what brings its answer back to the cloth."""

    message: dict[str, Any]
    separation: float
    excess: float


def run_engine(
    pieces: tuple[FlatPiece, ...],
    cloth: Cloth,
    *,
    seconds: int,
    seed: int,
    going: Callable[[float | None], bool],
) -> EngineRun:
    """Run the engine once in a child process.

    Parameters
    ----------
    pieces, cloth
        What is nested on what.
    seconds
        Time for the engine, whole [s].
    seed
        Of its random numbers; under a time limit the same seed does not give the same layout twice.
    going
        Called several times a second with the length of a new layout [m] or None; the engine is ended when it
        returns False.

    Returns
    -------
    EngineRun
        Its layouts and how it ended; no failure of the engine is raised.
    """
    task = _task(pieces, cloth, seconds, seed)
    layouts: list[tuple[Placement, ...]] = []
    said: list[str] = []
    began = time.perf_counter()
    stopped = finished = False
    code: int | None = None
    with _child(task.message) as (process, lines):
        while process is not None:
            line = _next(lines)
            if line is None:
                code = process.wait()
                break
            answer = _answer(line, said)
            layout = _placements(answer["placed"], pieces, cloth, task) if "placed" in answer else None
            if layout is not None:
                layouts.append(layout)
            finished = finished or bool(answer.get("done"))
            # The engine's strip begins and ends with a separation; the cloth begins with its margin.
            length = answer["width"] / MM - 2.0 * task.separation + cloth.margin if layout is not None else None
            if not going(length):
                stopped = True
                break
            if time.perf_counter() - began > seconds + GRACE:
                said.append("it did not end in time")
                break
        if process is None:
            said.append("it could not be started")
    took = time.perf_counter() - began
    failure = "" if finished or stopped else _why(said, code)
    return EngineRun(layouts=tuple(layouts), seconds=took, stopped=stopped and not finished, failure=failure)


def simpler(outline: Floats, tolerance: float = SIMPLER) -> Floats:
    """Return an outline of fewer points that contains the given one.

    Parameters
    ----------
    outline
        Shape (k, 2) [m].
    tolerance
        Half of how far it may lie outside [m].

    Returns
    -------
    array
        Shape (j, 2) [m]; the outline itself when it has few points or a simpler one would not contain it.
    """
    if len(outline) <= FEW_POINTS:
        return outline
    true = shapely.Polygon(outline)
    grown = true.buffer(tolerance, join_style="mitre", mitre_limit=2.0).simplify(tolerance)
    if not isinstance(grown, shapely.Polygon):
        return outline
    filled = shapely.Polygon(grown.exterior)
    if not (filled.is_valid and filled.covers(true)) or len(filled.exterior.coords) > len(outline):
        return outline
    out: Floats = np.asarray(filled.exterior.coords, dtype=np.float64)[:-1]
    return out


def _task(pieces: tuple[FlatPiece, ...], cloth: Cloth, seconds: int, seed: int) -> _Task:
    items = []
    widest = 0.0
    for index, piece in enumerate(pieces):
        true = piece.loops[0]
        outline = simpler(true)
        if len(outline) < len(true) and _narrow(piece, outline) > cloth.usable * (1.0 - EXACT):
            outline = true  # the simpler outline would not fit where the true one does
        widest = max(widest, _narrow(piece, outline))
        turns = None if piece.turns is None else [math.degrees(t) for t in piece.turns]
        points = (MM * outline).tolist()
        items.append({"id": str(index), "points": points, "demand": piece.quantity, "turns": turns})
    # A piece as wide as the strip: the strip is made wider by a little, and pieces are pushed back by at most half of
    # that from either edge, so two may come closer by all of it; the gap asked of the engine is larger by as much.
    excess = max(0.0, widest * (1.0 + EXACT) - cloth.usable)
    separation = cloth.gap + excess
    message = {
        "items": items,
        "height": MM * (cloth.usable + excess + 2.0 * separation),
        "separation": MM * separation if separation > 0.0 else None,
        "seconds": seconds,
        "seed": seed,
    }
    return _Task(message=message, separation=separation, excess=excess)


def _narrow(piece: FlatPiece, outline: Floats) -> float:
    if piece.turns is None:
        return piece.narrowest()[0]
    return min(float(np.ptp(turned(outline, t)[:, 1])) for t in piece.turns)


def _placements(
    placed: list[list[Any]], pieces: tuple[FlatPiece, ...], cloth: Cloth, task: _Task
) -> tuple[Placement, ...]:
    copies = [0] * len(pieces)
    out = []
    for name, degrees, x, y in sorted(placed, key=lambda p: (p[2], p[3])):
        index = int(name)
        piece = pieces[index]
        copies[index] += 1
        turn = _allowed(piece, math.radians(degrees))
        points = turned(piece.loops[0], turn)
        move = x / MM - task.separation + cloth.margin
        up = y / MM - task.separation - 0.5 * task.excess + cloth.margin
        low, high = float(points[:, 1].min()), float(points[:, 1].max())
        up = min(max(up, cloth.margin - low), cloth.width - cloth.margin - high)
        move = max(move, cloth.margin - float(points[:, 0].min()))
        out.append(Placement(label=piece.label, copy=copies[index], turn=turn, x=move, y=up))
    return tuple(out)


def _allowed(piece: FlatPiece, turn: float) -> float:
    """Return the stated turn the engine's single-precision answer means."""
    if piece.turns is None:
        return turn
    return min(piece.turns, key=lambda t: abs(math.remainder(turn - t, math.tau)))


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
