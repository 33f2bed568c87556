"""How sure a cycle is, counted on all cores here or on a cluster; and a cycle that is as sure as was asked.

Draws are made here, once, and go out in blocks whose size hangs on the cycle only: the same seed gives the same numbers
bit for bit, however many compute them and wherever. Blocks that are finished when it is stopped are kept.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Generator, Sequence
from concurrent.futures import BrokenExecutor
from contextlib import closing, suppress
from dataclasses import dataclass
from threading import Event, current_thread, main_thread
from typing import Any

import numpy as np
from joblib import Parallel, delayed, parallel_config

from bagside.cure import CureResin, Oven
from bagside.cure.chance import Chance, Draws, Margins, Stage, chance_of, joined, margins
from bagside.cure.chance.margins import block_size, refuse
from bagside.findings import Basis, Finding, Severity
from bagside.planning.cluster import over_cluster

Progress = Callable[[int, int], None]
Stop = Callable[[], bool]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Counted:
    """How sure a cycle is, and how that was found out.

    Parameters
    ----------
    chance
        Counted on the draws that were finished.
    finished_here
        Blocks that a cluster did not finish and that were computed here instead.
    notes
        What a person should know about it.
    """

    chance: Chance
    finished_here: int
    notes: tuple[Finding, ...]


def counted(
    stages: Sequence[Stage],
    resin: CureResin,
    oven: Oven,
    draws: Draws,
    *,
    workers: int | None = None,
    cluster: str = "",
    progress: Progress | None = None,
    stop: Stop | None = None,
) -> Counted:
    """Return how sure a cycle is.

    Parameters
    ----------
    stages, resin, oven
        As for `bagside.cure.chance.margins`.
    draws
        What turns out otherwise.
    workers
        Processes here; as many as there are cores when None.
    cluster
        Address of a Dask scheduler that computes instead; empty: here.
    progress
        Told how many draws are finished, and of how many.
    stop
        Asked after each block whether to stop; what is begun is finished and kept, and the chance known less closely.

    Returns
    -------
    Counted
        The same for the same draws, whoever computes them.

    Raises
    ------
    InputError
        When the stages make no sense, or the cluster cannot be used.
    """
    refuse(stages, resin)
    size = block_size(stages)
    tasks = [(tuple(stages), resin, oven, draws.part(k, k + size)) for k in range(0, len(draws), size)]
    done: dict[int, Margins] = {}
    here = 0
    halt = Event()
    with closing(_blocks(tasks, workers, cluster, halt)) as blocks:
        for k, got, instead in blocks:
            done[k] = got
            here += instead
            if progress is not None:
                progress(sum(len(m.values) for m in done.values()), len(draws))
            if stop is not None and len(done) < len(tasks) and not halt.is_set() and stop():
                halt.set()
    rows = np.concatenate([np.arange(k * size, min((k + 1) * size, len(draws))) for k in sorted(done)])
    kept = draws if len(rows) == len(draws) else draws.picked(rows)
    return Counted(
        chance=chance_of(kept, joined([done[k] for k in sorted(done)]), asked=len(draws)),
        finished_here=here,
        notes=_lost(cluster, here, len(tasks)),
    )


def _blocks(
    tasks: Sequence[tuple[Any, ...]], workers: int | None, cluster: str, halt: Event
) -> Generator[tuple[int, Margins, bool]]:
    """Yield number and margins of each block as it is finished, and whether it was done here instead.

    When it is to halt no block is begun any more; those that run here are waited for.
    """
    left = dict(enumerate(tasks))
    if cluster:
        with closing(over_cluster(margins, tasks, cluster)) as remote:
            for k, got in remote:
                del left[k]
                yield k, got, False
                if halt.is_set():
                    return
    count = min(workers or os.cpu_count() or 1, len(left))
    if count > 1:
        waiting = ((k, task) for k, task in list(left.items()) if not halt.is_set())
        with parallel_config(backend="loky", n_jobs=count, inner_max_num_threads=1), suppress(BrokenExecutor):
            pool = Parallel(return_as="generator_unordered", batch_size=1, pre_dispatch=count)
            for k, got in pool(delayed(_numbered)(os.getpid(), k, *task) for k, task in waiting):
                del left[k]
                yield k, got, bool(cluster)
    for k, task in left.items():  # all of them, or what a process that was killed left undone
        if halt.is_set():
            return
        yield k, margins(*task), bool(cluster)


def _numbered(parent: int, k: int, *task: Any) -> tuple[int, Margins]:
    """Return a block and its number; Ctrl-C, which a terminal sends to every process, is the parent's to answer."""
    if os.getpid() != parent and current_thread() is main_thread():
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    return k, margins(*task)


def _lost(cluster: str, here: int, blocks: int) -> tuple[Finding, ...]:
    if not here:
        return ()
    return (
        Finding(
            severity=Severity.WATCH,
            stage="cure",
            place="cluster",
            what=f"the cluster at {cluster} was lost; {here} of {blocks} blocks of draws were computed here instead",
            why="its scheduler or all of its workers went away",
            do="nothing: the numbers are the same; look after the cluster before the next run",
            basis=Basis.MEASURED,
        ),
    )
