"""Every limit of a cycle in every draw."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.chance.draws import Draws
from bagside.cure.chance.limits import WORDS, Reached, asked, margin, reached, worst_of
from bagside.cure.design import Bounds
from bagside.cure.history import SectionHistory, continued
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme
from bagside.cure.resin import CureResin
from bagside.cure.section import Section
from bagside.cure.solve import simulate
from bagside.errors import InputError, NotSolved

Floats = NDArray[np.float64]

OUTPUT = 120.0
"""Between outputs [s]; what is between them is read off by straight lines, peaks are kept over all steps."""

LANES = 400
"""Sections that are simulated at a time: enough that one more costs little, and memory stays small."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One oven run.

    Parameters
    ----------
    sections
        As stated, at the mean of the oven's air.
    programme
        What the oven is asked to do.
    bounds
        What must be kept to.
    name
        In words; may be empty when there is only one.
    """

    sections: tuple[Section, ...]
    programme: Programme
    bounds: Bounds
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Margins:
    """By how much each limit holds in each draw.

    Parameters
    ----------
    limits
        Names: the limit, after the stage's name when it has one.
    values
        Worst over places and time, below zero where the limit does not hold, shape (n, limits) [SI]; NaN throughout
        where the draw could not be computed.
    told
        Names of the quantities below.
    reached
        Worst over the places at the end of the last stage, shape (n, told) [SI].
    """

    limits: tuple[str, ...]
    values: Floats
    told: tuple[str, ...]
    reached: Floats


TOLD = ("alpha", "tg", "hottest", "tool", "gel")
"""Quantities that are told beside the margins: degree of cure and glass transition at the end, hottest laminate and
tool over all stages, when the last point gelled."""


def limits_of(stages: Sequence[Stage], each_void_free: bool) -> tuple[str, ...]:
    """Return the names of all limits of all stages.

    Parameters
    ----------
    stages
        In order.
    each_void_free
        Whether each draw has its own temperature for voids.
    """
    return tuple(
        f"{s.name}: {name}" if s.name else name
        for k, s in enumerate(stages)
        for name in asked(s.bounds, each_void_free and k == 0)
    )


def plain(limit: str) -> str:
    """Return the name of a limit without its stage.

    Parameters
    ----------
    limit
        As in `Margins.limits`.
    """
    return limit.rsplit(": ", 1)[-1]


def in_words(limit: str) -> str:
    """Return a limit in words, after its stage when it has one.

    Parameters
    ----------
    limit
        As in `Margins.limits`.
    """
    stage, _, name = limit.rpartition(": ")
    return f"{stage}: {WORDS[name]}" if stage else WORDS[name]


def refuse(stages: Sequence[Stage], resin: CureResin) -> None:
    """Refuse runs that do not go together, or a limit that cannot be told.

    Parameters
    ----------
    stages
        In order.
    resin
        The resin.

    Raises
    ------
    InputError
        When there is no stage, no section, a time to flow without a law for viscosity, or the runs differ in
        their number of sections.
    """
    if not stages or not all(s.sections for s in stages):
        raise InputError.one("chance", "", "one oven run or more is wanted, with one section or more in each")
    if len({len(s.sections) for s in stages}) > 1:
        raise InputError.one(
            "chance",
            ", ".join(str(len(s.sections)) for s in stages),
            "as many sections in each oven run are wanted, for each goes on from the run before",
        )
    if resin.viscosity is None and any(s.bounds.flow is not None for s in stages):
        raise InputError.one("chance, flow", "", "the resin has no law for viscosity, so its time to flow is not known")


def block_size(stages: Sequence[Stage]) -> int:
    """Return how many draws are simulated at a time.

    Parameters
    ----------
    stages
        In order.

    Notes
    -----
    It depends on the number of sections only. Who computes which block, and how many at a time, then cannot change a
    bit of the result.
    """
    return max(1, LANES // max(len(s.sections) for s in stages))


def margins(stages: Sequence[Stage], resin: CureResin, oven: Oven, draws: Draws) -> Margins:
    """Return by how much each limit holds in each draw.

    Parameters
    ----------
    stages
        In order. A later one starts cold from the degree of cure that the one before reached, section by section; the
        laminates must have the same cells.
    resin
        The resin.
    oven
        What it can do.
    draws
        What turns out otherwise.

    Returns
    -------
    Margins
        One row for each draw.

    Raises
    ------
    InputError
        When a stage, a section or a programme makes no sense.

    Notes
    -----
    A draw that cannot be computed, as when the reaction runs away faster than any step, is told as NaN, and every
    limit counts as broken in it.
    """
    refuse(stages, resin)
    size = block_size(stages)
    return joined([_block(stages, resin, oven, draws.part(k, k + size)) for k in range(0, len(draws), size)])


def joined(parts: Sequence[Margins]) -> Margins:
    """Return margins of several blocks as one, in their order.

    Parameters
    ----------
    parts
        One or more, of the same limits.
    """
    return replace(
        parts[0],
        values=np.concatenate([p.values for p in parts]),
        reached=np.concatenate([p.reached for p in parts]),
    )


def _block(stages: Sequence[Stage], resin: CureResin, oven: Oven, draws: Draws) -> Margins:
    try:
        return _computed(stages, resin, oven, draws)
    except NotSolved:
        names = limits_of(stages, draws.void_free is not None)
        if len(draws) == 1:
            return Margins(
                limits=names,
                values=np.full((1, len(names)), np.nan),
                told=TOLD,
                reached=np.full((1, len(TOLD)), np.nan),
            )
        half = len(draws) // 2
        return joined(
            [_block(stages, resin, oven, part) for part in (draws.part(0, half), draws.part(half, len(draws)))]
        )


def _computed(stages: Sequence[Stage], resin: CureResin, oven: Oven, draws: Draws) -> Margins:
    lags = draws.of("lag")
    before: list[SectionHistory] | None = None
    values: list[Floats] = []
    seen: list[Reached] = []
    for k, stage in enumerate(stages):
        count = len(stage.sections)
        lanes: list[Section] = []
        airs = []
        for i in range(len(draws)):
            here = draws.sections(i, stage.sections, resin)
            if before is not None:
                here = tuple(continued(s, h, warm=False) for s, h in zip(here, before[i * count :], strict=False))
            lanes += here
            airs += [replace(oven, lag=oven.lag * float(lags[i])).air(stage.programme)] * count
        histories = simulate(lanes, resin, airs, output_interval=OUTPUT)
        viscosity = None if stage.bounds.flow is None else stage.bounds.flow.viscosity
        got = worst_of([reached(histories[j::count], resin, viscosity) for j in range(count)])
        own = draws.void_free if k == 0 else None
        values += [margin(name, stage.bounds, got, own) for name in asked(stage.bounds, own is not None)]
        seen.append(got)
        before = list(histories)
    told = {
        "alpha": seen[-1].alpha,
        "tg": seen[-1].tg,
        "hottest": np.max([s.hottest for s in seen], axis=0),
        "tool": np.max([s.tool for s in seen], axis=0),
        "gel": seen[0].gel,
    }
    return Margins(
        limits=limits_of(stages, draws.void_free is not None),
        values=np.column_stack(values),
        told=TOLD,
        reached=np.column_stack([told[name] for name in TOLD]),
    )
