"""Heat and cure through every section, together.

Finite volumes through the thickness, the rate of cure in every reacting cell, RODAS4 in time. Each section is a lane
with its own time and step; all lanes of one step share one tridiagonal factorisation. Steps land on every break of the
programme. Error is measured per section: temperature against the tolerance, and degree of cure against a two-hundredth
of it per kelvin.

One-dimensional: heat along the part is neglected, which fails near edges and beside inserts; air on both faces by a
constant film, and by radiation from walls as hot as the air where a face is given an emissivity.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from bagside.cure.air import Air
from bagside.cure.history import SectionHistory
from bagside.cure.programme import Programme
from bagside.cure.resin import CureResin, start_problems
from bagside.cure.section import Section
from bagside.cure.stepping import Run
from bagside.errors import InputError

TOGETHER = 16_000
"""Temperatures and degrees of cure that are stepped at once; larger states no longer fit the processor's cache."""


def simulate(
    sections: Sequence[Section],
    resin: CureResin,
    air: Programme | Air | Sequence[Air],
    *,
    output_interval: float = 60.0,
    tolerance: float = 0.03,
    max_steps: int = 20_000,
) -> tuple[SectionHistory, ...]:
    """Return what every section goes through in a cure.

    Parameters
    ----------
    sections
        One or more; they may differ in layers and cells.
    resin
        What the reacting layers hold.
    air
        The programme, the air an oven really gives (`Oven.air`), or one air for each section.
    output_interval
        Time between outputs [s]; every break of the air is one as well.
    tolerance
        Error allowed in one step [K].
    max_steps
        Steps after which to give up.

    Returns
    -------
    tuple of SectionHistory
        In the order of the sections.

    Raises
    ------
    InputError
        When a section starts from a degree of cure from which it can never react, or the input makes no sense.
    NotSolved
        When the tolerance cannot be met; says where and how far it came.

    Notes
    -----
    A thin layer settles within seconds after a break of the programme, faster than a step: output that falls inside the
    first 30 s after a break may be off by 0.1 K; the steps themselves are not.

    The error over a whole cure is up to six times the tolerance, measured in ``benchmarks/cure.py``: 0.2 K and 0.002
    of cure at the tolerance that is set when none is given.

    References
    ----------
    Hairer, Wanner 1996, Solving Ordinary Differential Equations II, section IV.7 (the time steps).
    """
    airs = _airs(sections, air)
    _refuse(sections, resin, output_interval, tolerance)
    out: list[SectionHistory] = []
    for batch in _batches(sections):
        run = Run(sections[batch], resin, airs[batch], output_interval, tolerance, max_steps)
        with np.errstate(all="ignore"):  # a step that leaves the numbers is rejected and shortened
            run.to_the_end()
        out += run.histories()
    return tuple(out)


def _batches(sections: Sequence[Section]) -> list[slice]:
    """Return runs of sections whose state is small enough to stay near the processor."""
    sizes = np.array([len(c.widths) + len(c.reacting) for c in (s.cut for s in sections)])
    number = (np.cumsum(sizes) - sizes) // TOGETHER
    starts = np.flatnonzero(np.diff(number, prepend=-1)).tolist()
    return [slice(a, b) for a, b in zip(starts, [*starts[1:], len(sections)], strict=True)]


def _airs(sections: Sequence[Section], air: Programme | Air | Sequence[Air]) -> list[Air]:
    if isinstance(air, Programme):
        air = air.as_air
    if isinstance(air, Air):
        return [air] * len(sections)
    if len(air) != len(sections):
        raise InputError.one("air", str(len(air)), f"one air for each of {len(sections)} sections is wanted")
    return list(air)


def _refuse(sections: Sequence[Section], resin: CureResin, output_interval: float, tolerance: float) -> None:
    wrong = []
    for s in sections:
        if s.alpha0 is None:
            continue  # the resin has looked at its own
        for value in np.unique(s.alpha0):
            wrong += start_problems(float(value), resin.kinetics, f"{s.name}, alpha0")
    if wrong:
        raise InputError(wrong)
    if not sections:
        raise InputError.one("sections", "", "one section or more is wanted")
    if not 0.0 < output_interval < np.inf:
        raise InputError.one("output interval", repr(output_interval), "above zero is wanted")
    if not 0.0 < tolerance < np.inf:
        raise InputError.one("tolerance", repr(tolerance), "above zero is wanted")
