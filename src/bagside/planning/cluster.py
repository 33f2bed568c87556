"""The same work on a Dask cluster, known by its address.

Work goes out in pieces that hold all they need, so that a worker that dies takes nothing with it: its pieces go to
another. What the cluster cannot finish is left for the caller. Workers run this very program and the same numeric
libraries, or they are refused: else the same seed would not give the same numbers.

A Dask cluster runs whatever it is sent; it belongs into a network that is trusted.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import CancelledError
from contextlib import contextmanager
from typing import Any, TypeVar

import numpy as np
import scipy

from bagside.errors import BagsideError, InputError
from bagside.planning.stages import program_digest

R = TypeVar("R")

REACHED_WITHIN = 10.0  # [s] for the scheduler to answer and a worker to be there
PATIENCE = 20.0  # [s] without any worker until the cluster counts as lost
CLOSING = 2.0  # [s] to say good-bye
LOOK = 0.5  # [s] between looks at whether it still stands
EXAMPLE = "tcp://192.168.1.20:8786"


def over_cluster(
    function: Callable[..., R], tasks: Sequence[tuple[Any, ...]], address: str, *, patience: float = PATIENCE
) -> Generator[tuple[int, R]]:
    """Yield number and result of each task as the cluster finishes it.

    Parameters
    ----------
    function
        A pure function at the top of a module.
    tasks
        Arguments of each call.
    address
        Of the cluster's scheduler: ``tcp://192.168.1.20:8786``.
    patience
        How long it may be without any worker [s].

    Yields
    ------
    tuple
        In the order they are finished. When it ends before all are there the cluster was lost.

    Raises
    ------
    InputError
        When Dask is not installed here, the address cannot be reached, there is no worker, or a worker runs another
        program.
    BagsideError
        What the function raised.
    """
    distributed = _distributed(address)
    with _quiet():
        client = _client(distributed, address)
        try:
            _refuse_others(client, address)
            futures = {client.submit(function, *task, pure=False): k for k, task in enumerate(tasks)}
            yield from _finished(distributed, client, futures, patience)
        finally:
            client.close(timeout=CLOSING)  # what is still running there is dropped with its last listener


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep Dask from logging what is told to people in other words: a scheduler that went away."""
    log = logging.getLogger("distributed.client")
    before = log.level
    log.setLevel(logging.CRITICAL + 1)
    try:
        yield
    finally:
        log.setLevel(before)


def _finished(distributed: Any, client: Any, futures: dict[Any, int], patience: float) -> Generator[tuple[int, Any]]:
    alone_since: float | None = None
    while futures:
        try:
            with client.as_current():
                done = distributed.wait(list(futures), timeout=LOOK, return_when="FIRST_COMPLETED").done
        except TimeoutError:
            done = set()
        except CancelledError:  # the scheduler went away, and with it what it was asked
            return
        if client.status != "running":
            return
        for future in done:
            k = futures.pop(future)
            if future.status == "finished":
                try:
                    result = future.result(timeout=REACHED_WITHIN)
                except (CancelledError, OSError):  # finished, but its worker or the scheduler went away with it
                    continue
                yield k, result
            elif future.status == "error":
                error = future.exception()
                if isinstance(error, BagsideError):
                    raise error
                if not isinstance(error, distributed.KilledWorker):
                    raise error  # a fault of the program itself
        if done or _has_workers(client):
            alone_since = None
        elif alone_since is None:
            alone_since = time.monotonic()
        elif time.monotonic() - alone_since > patience:
            return


def _has_workers(client: Any) -> bool:
    try:
        return bool(client.scheduler_info(n_workers=1)["workers"])
    except OSError:
        return False


def _distributed(address: str) -> Any:
    try:
        import distributed
    except ImportError:
        raise InputError.one(
            "cluster",
            address,
            "running on a cluster wants Dask, which is not installed here",
            "install it with: pip install 'bagside[cluster]'",
        ) from None
    return distributed


def _client(distributed: Any, address: str) -> Any:
    if "://" not in address:
        raise InputError.one("cluster", address, f'the address of a Dask scheduler is wanted, as in "{EXAMPLE}"')
    try:
        client = distributed.Client(address, timeout=REACHED_WITHIN, set_as_default=False)
    except (OSError, ValueError) as error:  # TimeoutError is an OSError
        raise InputError.one(
            "cluster",
            address,
            f"no Dask scheduler answers there: {_first_line(error)}",
            "start one with: dask scheduler; and workers with: dask worker " + address,
        ) from None
    try:
        client.wait_for_workers(1, timeout=REACHED_WITHIN)
    except TimeoutError:
        client.close()
        raise InputError.one(
            "cluster", address, "the scheduler is there but has no worker", f"start some with: dask worker {address}"
        ) from None
    return client


def _first_line(error: Exception) -> str:
    return (str(error) or type(error).__name__).splitlines()[0]


def program() -> tuple[str, str, str]:
    """Return what numbers hang on: digest of this program, versions of numpy and scipy."""
    return program_digest(), np.__version__, scipy.__version__


def _refuse_others(client: Any, address: str) -> None:
    """Refuse workers that would compute other numbers."""
    try:
        theirs = client.run(program)
    except ImportError as error:
        raise InputError.one(
            "cluster", address, f"its workers cannot run this program: {error}", "install bagside for them as well"
        ) from None
    others = sorted(worker for worker, it in theirs.items() if it != program())
    if others:
        raise InputError.one(
            "cluster",
            ", ".join(others),
            "workers with the same bagside, numpy and scipy as here are wanted",
            "install the same versions for them and start them again",
        )
