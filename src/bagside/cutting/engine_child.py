"""What runs in the child process: the nesting engine, alone, with nothing else of this package imported.

It is started as a file, not as a module, so that it begins within a tenth of a second, needs no guard in the program
that started it, and dies without harm to it. One JSON object comes in on standard input; a JSON line goes out for each
feasible layout shorter than the one before, now and then one for a still shorter layout in which pieces overlap, and
``{"done": true}`` at the end. When standard input closes, because the parent stopped it or is gone, the process ends
at once.
"""

from __future__ import annotations

import json
import math
import os
import sys
import threading
from typing import Any

import spyrrow

POLL = 0.2  # [s]
EVERY = 2  # polls between two layouts with overlaps
SEARCH = 0.85
"""Share of the time for new arrangements; the rest is for drawing the best one together, which the parent does too."""


class Reporter:
    """Writes each feasible layout that is shorter than all before it."""

    def __init__(self) -> None:
        self.shortest = float("inf")
        self.lock = threading.Lock()

    def tell(self, solution: Any) -> None:
        """Write a layout when it is shorter.

        Parameters
        ----------
        solution
            As the engine gives it.
        """
        with self.lock:
            if solution.width >= self.shortest:
                return
            self.shortest = solution.width
            print(json.dumps({"width": solution.width, "placed": _placed(solution)}), flush=True)

    def tell_nearly(self, solution: Any) -> None:
        """Write a layout in which pieces overlap, when it is no longer than the best without.

        Parameters
        ----------
        solution
            As the engine gives it.
        """
        with self.lock:
            if solution.width <= self.shortest:
                print(json.dumps({"nearly": _placed(solution)}), flush=True)


def _placed(solution: Any) -> list[list[Any]]:
    return [[p.id, p.rotation, *p.translation] for p in solution.placed_items]


def _end_with_the_parent() -> None:
    sys.stdin.read()
    os._exit(3)


def _watch(queue: Any, done: threading.Event, reporter: Reporter) -> None:
    kind = spyrrow.ReportType
    feasible = (int(kind.ExplFeas), int(kind.CmprFeas))
    wait = 0
    while not done.wait(POLL):
        reports = queue.drain()
        good = [s for k, s in reports if int(k) in feasible]
        if good:
            reporter.tell(min(good, key=lambda s: s.width))
        nearly = [s for k, s in reports if int(k) == int(kind.ExplImproving)]
        wait -= 1
        if nearly and wait <= 0:
            reporter.tell_nearly(nearly[-1])
            wait = EVERY


def main() -> None:
    """Solve the one instance that standard input holds."""
    task = json.loads(sys.stdin.readline())
    threading.Thread(target=_end_with_the_parent, daemon=True).start()
    items = [spyrrow.Item(i["id"], [(x, y) for x, y in i["points"]], i["demand"], i["turns"]) for i in task["items"]]
    instance = spyrrow.StripPackingInstance("nest", task["height"], items)
    search = max(1, round(SEARCH * task["seconds"]))
    config = spyrrow.StripPackingConfig(
        total_computation_time=None,
        exploration_time=search,
        compression_time=max(1, math.ceil(task["seconds"]) - search),
        seed=task["seed"],
        min_items_separation=task["separation"],
    )
    queue, done, reporter = spyrrow.ProgressQueue(), threading.Event(), Reporter()
    threading.Thread(target=_watch, args=(queue, done, reporter), daemon=True).start()
    solution = instance.solve(config, queue)
    done.set()
    reporter.tell(solution)
    print(json.dumps({"done": True}), flush=True)


if __name__ == "__main__":
    main()
