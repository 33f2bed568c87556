"""Open strip-packing instances: ours, the engine alone for the same time, and a plain bottom-left, under one load.

The data is not part of this project: five instances that ESICUP collected, as JSON. Run it with the folder that holds
``albano.json`` … as argument, ``python -m benchmarks.nest_open FOLDER [SECONDS …]``, or with ``BAGSIDE_OPEN_INSTANCES``
naming it. Contenders take turns for each instance and seed, so that all meet the same other work on the machine. Best
known densities are those of the table in arXiv 2509.13329.
"""

from __future__ import annotations

import json
import math
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting import Cloth, FlatPiece, nest_roll, verify
from bagside.cutting.convex import convex_parts
from bagside.cutting.piece import turned

BEST_KNOWN = {"albano": 0.898, "shapes0": 0.700, "swim": 0.798, "marques": 0.920, "jakobs1": 0.893}
SEEDS = (1, 2, 3)
SECONDS = (30,)

ALONE = """
import json, os, sys, threading, time
import spyrrow
task = json.loads(sys.stdin.read())
began, best, queue = time.perf_counter(), 1e30, spyrrow.ProgressQueue()
def watch():
    global best
    while time.perf_counter() - began < task["seconds"]:
        time.sleep(0.1)
        best = min([best, *(s.width for kind, s in queue.drain() if int(kind) in (0, 3))])
    print(best, flush=True)
    os._exit(0)
items = [spyrrow.Item(str(k), [tuple(p) for p in i["points"]], i["demand"], i["turns"])
         for k, i in enumerate(task["items"])]
instance = spyrrow.StripPackingInstance("open", task["height"], items)
threading.Thread(target=watch).start()
solved = instance.solve(
    spyrrow.StripPackingConfig(total_computation_time=task["seconds"], seed=task["seed"]), queue)
best = min(best, solved.width)
"""
"""The engine with nothing round it: its best layout when the time is over, or when it ends before."""


def pieces_of(data: dict[str, Any]) -> tuple[FlatPiece, ...]:
    """Return the items of an instance as pieces on a cloth of 1 m."""
    scale = 1.0 / data["strip_height"]
    return tuple(
        FlatPiece(
            label=str(item["id"]),
            material="open",
            loops=(scale * np.array(item["shape"]["data"], dtype=np.float64),),
            turns=tuple(math.radians(a) for a in item["allowed_orientations"]),
            quantity=item["demand"],
        )
        for item in data["items"]
    )


def ours(pieces: tuple[FlatPiece, ...], seconds: int, seed: int) -> float:
    """Return the density of our nest, proven to be one that can be cut."""
    nest = nest_roll(
        pieces, Cloth(material="open", width=1.0), seconds=seconds, seeds=tuple(range(seed, seed + 30, 10))
    )
    verify(nest)
    return nest.utilisation


def alone(data: dict[str, Any], seconds: int, seed: int) -> float:
    """Return the density that the engine alone reaches in a process of its own."""
    items = [
        {"points": i["shape"]["data"], "demand": i["demand"], "turns": i["allowed_orientations"]} for i in data["items"]
    ]
    task = {"items": items, "height": data["strip_height"], "seconds": seconds, "seed": seed}
    done = subprocess.run(
        [sys.executable, "-c", ALONE], input=json.dumps(task), capture_output=True, text=True, check=True
    )
    area = sum(shapely.Polygon(i["points"]).area * i["demand"] for i in items)
    return float(area / (data["strip_height"] * float(done.stdout)))


class BottomLeft:
    """The plain peer: each copy as far left, then as low, as no-fit polygons allow, in many orders; for here only."""

    def __init__(self, pieces: tuple[FlatPiece, ...]) -> None:
        self.shapes = [[turned(p.loops[0], t) for t in p.turns or (0.0,)] for p in pieces]
        self.parts = [[convex_parts(shapely.Polygon(s)) for s in turns] for turns in self.shapes]
        self.copies = [k for k, p in enumerate(pieces) for _ in range(p.quantity)]
        self.area = [p.area for p in pieces]
        self.known: dict[tuple[int, int, int, int], shapely.Geometry] = {}

    def no_fit(self, a: int, s: int, b: int, t: int) -> shapely.Geometry:
        """Return where shape (b, t) may not be moved to because of (a, s) at its own place."""
        if (a, s, b, t) not in self.known:
            sums = [
                shapely.convex_hull(shapely.MultiPoint((p[:, None] - q[None]).reshape(-1, 2)))
                for p in self.parts[a][s]
                for q in self.parts[b][t]
            ]
            self.known[a, s, b, t] = shapely.union_all(sums)
        return self.known[a, s, b, t]

    def length(self, order: list[int]) -> float:
        """Return the length of the layout of one order."""
        lying: list[tuple[int, int, NDArray[np.float64]]] = []
        reach = 0.0
        for k in order:
            best = (math.inf, 0.0, 0.0, 0)  # far reach, y, x, turn
            for t, shape in enumerate(self.shapes[k]):
                low, high = shape.min(axis=0), shape.max(axis=0)
                if high[1] - low[1] > 1.0 + 1e-9:
                    continue
                top = max(1.0 - float(high[1]), -float(low[1]) + 1e-9)
                room = shapely.box(-low[0], -low[1], reach + 1.0 + high[0] - low[0], top)
                taken = [shapely.transform(self.no_fit(a, s, k, t), lambda p, m=m: p + m) for a, s, m in lying]
                free = room.difference(shapely.union_all(taken).buffer(-1e-7, join_style="mitre"))
                corners = shapely.get_coordinates(free)
                x, y = corners[np.lexsort((corners[:, 1], corners[:, 0]))[0]].tolist()
                best = min(best, (x + float(high[0]), y, x, t))
            far, y, x, turn = best
            lying.append((k, turn, np.array([x, y])))
            reach = max(reach, far)
        return reach

    def density(self, seconds: float, seed: int) -> float:
        """Return the density of the best order found in so much time, by swaps from largest first."""
        random = np.random.default_rng(seed)
        end = time.perf_counter() + seconds
        order = sorted(self.copies, key=lambda k: -self.area[k])
        shortest = self.length(order)
        while time.perf_counter() < end:
            changed = list(order)
            i, j = random.integers(len(order), size=2)
            changed[i], changed[j] = changed[j], changed[i]
            length = self.length(changed)
            if length <= shortest:
                order, shortest = changed, length
        return sum(self.area[k] for k in self.copies) / shortest


def run(arguments: list[str] | None = None) -> None:
    """Print a line for each instance and time: mean and spread over the seeds."""
    given = arguments or []
    folder = Path(given[0] if given else os.environ.get("BAGSIDE_OPEN_INSTANCES", "nowhere"))
    if not (folder / "albano.json").is_file():
        print("no open instances: give their folder as argument or in BAGSIDE_OPEN_INSTANCES")
        return
    for seconds in [int(s) for s in given[1:]] or SECONDS:
        for name, best in BEST_KNOWN.items():
            data = json.loads((folder / f"{name}.json").read_text(encoding="utf-8"))
            pieces = pieces_of(data)
            found: dict[str, list[float]] = {"ours": [], "engine alone": []}
            for seed in SEEDS:
                found["ours"].append(ours(pieces, seconds, seed))
                found["engine alone"].append(alone(data, seconds, seed))
            found["bottom-left"] = [BottomLeft(pieces).density(seconds, 1)]
            words = [
                f"{who} {100 * statistics.mean(d):.2f} ({100 * min(d):.2f} to {100 * max(d):.2f})"
                for who, d in found.items()
            ]
            print(f"{name} at {seconds} s: {'; '.join(words)}; best known {100 * best:.1f} %", flush=True)


if __name__ == "__main__":
    run(sys.argv[1:])
