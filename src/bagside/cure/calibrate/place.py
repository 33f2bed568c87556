"""Where in a section a thermocouple sits, and what it would read there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from bagside.cure.log import Sensor
from bagside.cure.section import Section

Floats = NDArray[np.float64]


class Where(StrEnum):
    """Where in a section a thermocouple sits."""

    BAG = "under the bag"
    LAMINATE = "in the laminate"
    FACE = "between laminate and mould"
    BACK = "on the back of the mould"


def usual(sensor: Sensor) -> Where:
    """Return where a sensor sits of which it is not stated.

    Parameters
    ----------
    sensor
        On the part or on the tool.
    """
    return Where.BACK if sensor is Sensor.TOOL else Where.LAMINATE


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Eye:
    """What a thermocouple reads: a mean of cells and of the air.

    Parameters
    ----------
    cells
        Share of each cell, shape (n,).
    air
        Share of the air.
    """

    cells: Floats
    air: float

    def seen(self, temperature: Floats, air: Floats) -> Floats:
        """Return what it reads, shape (k,) [K].

        Parameters
        ----------
        temperature
            Of the cells, shape (k, n) [K].
        air
            Shape (k,) [K].
        """
        out: Floats = temperature @ self.cells + self.air * air
        return out


def eye(section: Section, where: Where) -> Eye:
    """Return what a thermocouple at a place reads.

    Parameters
    ----------
    section
        With its resin, so that laminate and mould are told apart.
    where
        In it; without a mould its face and its back are those of the laminate.

    Notes
    -----
    At a face the film and half a cell pass the same heat. Between laminate and mould two half cells do.
    """
    n, g = len(section.widths), section.half_conductances
    cells = np.zeros(n)
    tool = section.tool_cells
    if where is Where.BAG:
        share = section.film_bag / (section.film_bag + g[0])
        cells[0] = 1.0 - share
        return Eye(cells=cells, air=share)
    if where is Where.BACK or (where is Where.FACE and not len(tool)):
        share = section.film_tool / (section.film_tool + g[-1])
        cells[-1] = 1.0 - share
        return Eye(cells=cells, air=share)
    if where is Where.FACE:
        i = int(tool[0])
        share = g[i] / (g[i - 1] + g[i])
        cells[i - 1], cells[i] = 1.0 - share, share
        return Eye(cells=cells, air=0.0)
    reacting = section.reacting
    cells[reacting] = section.widths[reacting] / section.widths[reacting].sum()
    return Eye(cells=cells, air=0.0)


def without_reaction(section: Section) -> Section:
    """Return a section whose laminate does not react: cured before, or not of resin.

    Parameters
    ----------
    section
        As laid.
    """
    return replace(section, layers=tuple(replace(layer, resin=0.0) for layer in section.layers), alpha0=None)
