"""Several cloths laid side by side: the same results as one by one, an error kept with the piece it belongs to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from joblib import Parallel, delayed
from numpy.typing import NDArray

from bagside.drape.laid import Drape
from bagside.drape.law import ClothLaw
from bagside.drape.solve import drape
from bagside.errors import InputError, NotSolved
from bagside.geometry import Surface

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrapeTask:
    """One cloth to lay.

    Parameters
    ----------
    surface
        The surface.
    start
        Where the first contact is made, shape (3,) [m].
    direction
        Wanted direction of the warp there, shape (3,).
    law
        How the cloth resists.
    refine
        Whether to solve to the last digits.
    first
        Corners of a line that is laid first, shape (k, 3) [m].
    """

    surface: Surface
    start: Floats
    direction: Floats
    law: ClothLaw
    refine: bool = False
    first: Floats | None = None


def draped_many(tasks: Sequence[DrapeTask], jobs: int = 1) -> list[Drape | NotSolved | InputError]:
    """Return what each task came to, in their order.

    Parameters
    ----------
    tasks
        Cloths to lay.
    jobs
        How many are worked on at once; one stays in this process.

    Returns
    -------
    list
        For each task its drape, or the error that draping it raised.

    Notes
    -----
    Equal bit for bit whatever ``jobs`` is. Each runs in a process of its own, because solving holds the interpreter
    for most of its time; starting the processes costs a second or two once, so that a few small pieces are quicker
    one by one.
    """
    if jobs == 1 or len(tasks) < 2:
        return [_outcome(task) for task in tasks]
    out: list[Drape | NotSolved | InputError] = Parallel(n_jobs=min(jobs, len(tasks)), max_nbytes=None)(
        delayed(_outcome)(task) for task in tasks
    )
    return out


def _outcome(task: DrapeTask) -> Drape | NotSolved | InputError:
    try:
        return drape(
            task.surface,
            start=task.start,
            direction=task.direction,
            law=task.law,
            refine=task.refine,
            first=task.first,
        )
    except (NotSolved, InputError) as error:
        return error
