"""What a data sheet tells about a cure, row by row, and what a parameter set would have told instead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from bagside.cure.fit.course import along
from bagside.cure.fit.family import GEL, LN_LATENT, tg_of
from bagside.cure.fit.isotherm import Isotherms

Floats = NDArray[np.float64]

ROOM = 293.15
"""From where a stated heating rate starts [K]."""
LONGER, GAIN = 4.0, 8.0
"""What "full cure" is taken to mean: holding so many times as long would raise Tg by about so much [K]. Common
practice."""


class Kind(StrEnum):
    """What a row states."""

    GEL = "gel time"
    TG = "Tg"
    CURE = "degree of cure"
    FULL = "full cure"
    LIFE = "out-life"


USUAL_SD = {Kind.GEL: 0.15, Kind.TG: 4.0, Kind.CURE: 0.03, Kind.FULL: 5.0, Kind.LIFE: 0.2}
"""How far a stated value is usually off: times as a share, temperatures in K. Common practice."""
USUAL_ADVANCE = 0.05
"""Rise of the degree of cure at which tack is lost. Common practice: 0.03 to 0.08."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of a data sheet.

    Parameters
    ----------
    name
        As people say it: ``cure 2``.
    kind
        What it states.
    temperature
        Of the hold [K].
    time
        Of the hold; with gel time and out-life what is stated [s].
    value
        The glass transition [K] or the degree of cure that is stated; not used by other kinds.
    sd
        How far the stated value may be off: a share of a time, K, or degree of cure.
    ramp
        Heating rate from the room up to the hold [K/s]; None when the hold starts at once.
    advance
        Rise of the degree of cure that ends the out-life.
    """

    name: str
    kind: Kind
    temperature: float
    time: float
    value: float = float("nan")
    sd: float
    ramp: float | None = None
    advance: float = USUAL_ADVANCE

    @property
    def stated(self) -> float:
        """The number that a fit is held against: ln time, K or degree of cure."""
        if self.kind in (Kind.GEL, Kind.LIFE):
            return float(np.log(self.time))
        return GAIN if self.kind is Kind.FULL else self.value


def predicted(theta: Floats, middle: float, start: float, rows: Sequence[Row]) -> Floats:
    """Return what each parameter set says for each row.

    Parameters
    ----------
    theta
        Parameter sets, shape (lanes, 12).
    middle
        Temperature at which their rate constants are stated [K].
    start
        Degree of cure when fresh.
    rows
        The rows; what they state is not used.

    Returns
    -------
    Floats
        Shape (lanes, rows), in the unit of `Row.stated`.
    """
    lanes, count = len(theta), len(rows)
    each = np.repeat(theta, count, axis=0)
    table = Isotherms(each, middle, np.tile([r.temperature for r in rows], lanes), start)
    kinds = np.tile([r.kind for r in rows], lanes)
    time = np.tile([r.time for r in rows], lanes)
    worn = start + np.tile([r.advance for r in rows], lanes)
    life = kinds == Kind.LIFE
    gel = np.clip(each[:, GEL], 1.05 * start, 0.98)  # a trial may leave what makes sense; the prior brings it back
    ln_time = np.log(np.maximum(table.time_to(np.where(life, worn, gel)), 1e-12))
    ln_time = ln_time + np.where(life, each[:, LN_LATENT], 0.0)
    ahead = _ahead(theta, middle, start, rows, table)
    alpha = table.alpha_at(ahead + time)
    tg = tg_of(each, alpha)
    out = np.select([kinds == Kind.TG, kinds == Kind.CURE], [tg, alpha], ln_time)
    full = kinds == Kind.FULL
    if full.any():
        later = tg_of(each, table.alpha_at(ahead + LONGER * time))
        out = np.where(full, later - tg, out)
    shaped: Floats = out.reshape(lanes, count)
    return shaped


def _ahead(theta: Floats, middle: float, start: float, rows: Sequence[Row], table: Isotherms) -> Floats:
    """Return by how much each hold is ahead of its time, by what the heating up has cured [s]."""
    held = [k for k, r in enumerate(rows) if r.ramp is not None and r.kind not in (Kind.GEL, Kind.LIFE)]
    alpha = np.full((len(theta), len(rows)), start)
    for ramp in {rows[k].ramp for k in held}:
        those = [k for k in held if rows[k].ramp == ramp and rows[k].temperature > ROOM]
        heats = sorted({rows[k].temperature for k in those})
        corners = np.array([ROOM, *heats])
        course = along(theta, middle, (corners - ROOM) / (ramp or 1.0), corners, start)
        for k in those:
            alpha[:, k] = course.alpha[:, np.argmin(np.abs(course.temperature[0] - rows[k].temperature))]
    if not held:
        return np.zeros(alpha.size)
    return table.time_to(alpha.ravel())
