"""Chances counted on cores, on a real Dask scheduler and its workers, stopped, and with a worker killed on the way."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import psutil
import pytest

from bagside.cure import Oven, Programme, Segment
from bagside.cure.chance import Scatter, Stage, drawn, margins
from bagside.cure.chance.margins import block_size
from bagside.cure.design import Bounds
from bagside.errors import InputError
from bagside.planning.chances import counted
from bagside.planning.cluster import over_cluster
from luck import resin, thin

OVEN = Oven(hottest=473.15, heating=1.0, cooling=1.0, lag=240.0)
CYCLE = Programme(start=293.15, segments=(Segment(target=393.15, ramp=0.1, hold=3600.0),))
STAGES = (
    Stage(
        sections=tuple(thin(f"place {k}") for k in range(40)),
        programme=CYCLE,
        bounds=Bounds(hottest=394.0, target=0.965),
    ),
)
DRAWS = drawn(Scatter(), 70, seed=3)


@pytest.fixture(scope="module")
def alone() -> np.ndarray:
    return margins(STAGES, resin(), OVEN, DRAWS).values


def test_as_many_blocks_as_it_takes() -> None:
    assert block_size(STAGES) == 10


@pytest.mark.parametrize("workers", [1, 2])
def test_cores_do_not_change_a_bit(alone: np.ndarray, workers: int) -> None:
    seen: list[tuple[int, int]] = []
    got = counted(STAGES, resin(), OVEN, DRAWS, workers=workers, progress=lambda n, of: seen.append((n, of)))
    assert (got.chance.margins.values == alone).all()
    assert got.chance.all_hold.held == int((alone >= 0.0).all(axis=1).sum())
    assert [of for _, of in seen] == [70] * 7
    assert sorted(n for n, _ in seen)[-1] == 70
    assert got.notes == ()


@pytest.mark.parametrize("workers", [1, 2])
def test_what_is_finished_when_it_is_stopped_is_kept(alone: np.ndarray, workers: int) -> None:
    got = counted(STAGES, resin(), OVEN, DRAWS, workers=workers, stop=lambda: True)
    (rows,) = np.nonzero((DRAWS.values[:, None] == got.chance.draws.values[None]).all(axis=2).any(axis=1))
    assert len(rows) == got.chance.all_hold.draws < 70
    assert (got.chance.margins.values == alone[rows]).all()
    assert got.chance.asked == 70
    whole = counted(STAGES, resin(), OVEN, DRAWS, workers=1).chance.all_hold
    assert got.chance.all_hold.high - got.chance.all_hold.low > whole.high - whole.low


def works(process: psutil.Process) -> bool:
    """Return whether a child process counts draws; one that has just ended (a zombie has no command line) does not."""
    try:
        line = " ".join(process.cmdline())
    except psutil.Error:
        return False
    return "loky" in line and "resource_tracker" not in line


def test_a_process_that_is_killed_loses_nothing(alone: np.ndarray) -> None:
    killed: list[int] = []

    def kill(finished: int, _: int) -> None:
        here = [p for p in psutil.Process().children(recursive=True) if works(p)]
        if here and not killed:
            killed.append(here[0].pid)
            here[0].kill()

    got = counted(STAGES, resin(), OVEN, DRAWS, workers=2, progress=kill)
    assert killed
    assert (got.chance.margins.values == alone).all()


@dataclass
class Cluster:
    address: str
    scheduler: subprocess.Popen[bytes]
    workers: list[subprocess.Popen[bytes]]


@contextlib.contextmanager
def started(folder: Path, count: int) -> Iterator[Cluster]:
    """A scheduler and workers of one thread each, in processes of their own, on loopback."""
    told = folder / "scheduler.json"
    dask = [sys.executable, "-m", "dask"]
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "cwd": folder}
    environment = {**os.environ, "OPENBLAS_NUM_THREADS": "1"}
    scheduler = subprocess.Popen(
        [*dask, "scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", str(told)],
        env=environment,
        **quiet,  # type: ignore[call-overload]
    )
    workers = []
    try:
        for _ in range(count):
            workers.append(
                subprocess.Popen(
                    [*dask, "worker", "--scheduler-file", str(told), "--nthreads", "1", "--no-nanny", "--no-dashboard",
                     "--host", "127.0.0.1", "--local-directory", str(folder)],
                    env=environment,
                    **quiet,  # type: ignore[call-overload]
                )
            )  # fmt: skip
        address = _address(told)
        _wait_for(address, count)
        yield Cluster(address=address, scheduler=scheduler, workers=workers)
    finally:
        for process in (*workers, scheduler):
            process.kill()
            process.wait()


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cluster]:
    with started(tmp_path_factory.mktemp("dask"), 2) as both:
        yield both


def _address(told: Path) -> str:
    import json

    for _ in range(200):
        with contextlib.suppress(OSError, ValueError):
            return str(json.loads(told.read_text())["address"])
        time.sleep(0.1)
    raise AssertionError("the scheduler does not start")


def _wait_for(address: str, count: int) -> None:
    import distributed

    with distributed.Client(address, timeout=20, set_as_default=False) as client:
        client.wait_for_workers(count, timeout=20)


def test_a_cluster_gives_the_same_bits(alone: np.ndarray, cluster: Cluster) -> None:
    got = counted(STAGES, resin(), OVEN, DRAWS, cluster=cluster.address)
    assert (got.chance.margins.values == alone).all()
    assert got.finished_here == 0


def test_an_error_of_the_work_comes_back_as_it_is(cluster: Cluster) -> None:
    with pytest.raises(InputError) as refused:
        list(over_cluster(margins, [((), resin(), OVEN, DRAWS)], cluster.address))
    assert str(refused.value) == "chance – one oven run or more is wanted, with one section or more in each"


def test_a_killed_worker_loses_nothing(alone: np.ndarray, cluster: Cluster) -> None:
    killed: list[int] = []

    def kill(finished: int, _: int) -> None:
        if not killed:
            killed.append(finished)
            os.kill(cluster.workers[0].pid, signal.SIGKILL)

    got = counted(STAGES, resin(), OVEN, DRAWS, cluster=cluster.address, progress=kill)
    assert killed
    assert killed[0] < 70
    assert cluster.workers[0].wait(timeout=10) == -signal.SIGKILL
    assert (got.chance.margins.values == alone).all()
    assert got.chance.all_hold.draws == 70
    assert got.finished_here == 0


def test_a_lost_cluster_is_finished_here(alone: np.ndarray, cluster: Cluster, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bagside.planning.cluster.over_cluster.__kwdefaults__", {"patience": 1.0})

    def kill(finished: int, _: int) -> None:
        for worker in cluster.workers:
            worker.kill()

    got = counted(STAGES, resin(), OVEN, DRAWS, cluster=cluster.address, progress=kill)
    assert (got.chance.margins.values == alone).all()
    assert got.finished_here > 0
    (note,) = got.notes
    assert note.what == (
        f"the cluster at {cluster.address} was lost; "
        f"{got.finished_here} of 7 blocks of draws were computed here instead"
    )


def test_a_cluster_without_workers_is_refused(cluster: Cluster, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bagside.planning.cluster.REACHED_WITHIN", 0.5)
    for worker in cluster.workers:
        worker.kill()
        worker.wait()
    time.sleep(1.0)
    with pytest.raises(InputError) as refused:
        counted(STAGES, resin(), OVEN, DRAWS, cluster=cluster.address)
    assert str(refused.value) == (
        f"cluster: {cluster.address} – the scheduler is there but has no worker "
        f"(start some with: dask worker {cluster.address})"
    )


def test_a_scheduler_that_goes_away_is_replaced_here(
    alone: np.ndarray, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    with started(tmp_path, 1) as other:
        got = counted(
            STAGES, resin(), OVEN, DRAWS, cluster=other.address, progress=lambda *_: other.scheduler.kill(), workers=1
        )
    assert (got.chance.margins.values == alone).all()
    assert got.finished_here > 0
    assert capfd.readouterr().err == "", "what happened is a finding, not a log"


def test_an_address_where_nobody_answers_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bagside.planning.cluster.REACHED_WITHIN", 0.5)
    with pytest.raises(InputError) as refused:
        counted(STAGES, resin(), OVEN, DRAWS, cluster="tcp://127.0.0.1:9")
    (problem,) = refused.value.problems
    assert (problem.place, problem.came) == ("cluster", "tcp://127.0.0.1:9")
    assert problem.wanted.startswith("no Dask scheduler answers there: ")
    assert problem.hint == "start one with: dask scheduler; and workers with: dask worker tcp://127.0.0.1:9"
    with pytest.raises(InputError) as refused:
        counted(STAGES, resin(), OVEN, DRAWS, cluster="big machine")
    assert str(refused.value) == (
        'cluster: big machine – the address of a Dask scheduler is wanted, as in "tcp://192.168.1.20:8786"'
    )


def test_without_dask_it_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(InputError) as refused:
        counted(STAGES, resin(), OVEN, DRAWS, cluster="tcp://127.0.0.1:8786")
    assert str(refused.value) == (
        "cluster: tcp://127.0.0.1:8786 – running on a cluster wants Dask, which is not installed here "
        "(install it with: pip install 'bagside[cluster]')"
    )
