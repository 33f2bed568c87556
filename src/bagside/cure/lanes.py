"""All sections as one system: flat arrays, one tridiagonal matrix, every section a lane with its own clock.

The state of all lanes is one vector: first the temperature of every cell, then the degree of cure of every reacting
cell. Cells of different lanes meet with zero coupling, so one factorisation serves them all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.kinetics import Kinetics
from bagside.cure.section import Section

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lanes:
    """The sections that are still running, as flat arrays.

    Parameters
    ----------
    which
        Number of each lane's section, shape (s,).
    lane
        Lane of each entry of the state, shape (n + r,).
    mass
        Heat capacity of each cell, then ones, shape (n + r,).
    up
        Coupling of each cell to the next one; zero for the last of a lane, shape (n,).
    out
        Sum of each cell's couplings to its neighbours, shape (n,).
    first, last
        First and last cell of each lane, shape (s,).
    bag, tool
        Coupling of those cells to the air by film and half a cell, shape (s,).
    radiating
        Film, half conductance and emissivity at the bag's face and at the tool's, shape (2, 3, s); none when no face
        radiates.
    reacting
        Which cells react, shape (r,).
    freed
        Heat freed by each reacting cell at full cure, shape (r,) [J/m²].
    pace
        Factor on the rate in each reacting cell, shape (r,); none when it is one everywhere.
    """

    which: Ints
    lane: Ints
    mass: Floats
    up: Floats
    out: Floats
    first: Ints
    last: Ints
    bag: Floats
    tool: Floats
    radiating: Floats | None
    reacting: Ints
    freed: Floats
    pace: Floats | None

    @classmethod
    def of(cls, sections: Sequence[Section], heat: float) -> Lanes:
        """Return the lanes of sections whose resin has a heat of reaction [J/kg]."""
        cuts = [s.cut for s in sections]
        sizes = np.array([len(c.widths) for c in cuts], dtype=np.int64)
        counts = np.array([len(c.reacting) for c in cuts], dtype=np.int64)
        last = np.cumsum(sizes) - 1
        first = last - sizes + 1
        number = np.arange(len(sections), dtype=np.int64)
        up = np.zeros(int(sizes.sum()))
        for c, begin in zip(cuts, first.tolist(), strict=True):
            up[begin : begin + len(c.couplings)] = c.couplings
        faces = np.array([s.face_couplings for s in sections])
        return cls(
            which=number,
            lane=np.concatenate([np.repeat(number, sizes), np.repeat(number, counts)]),
            mass=np.concatenate([*(c.capacities for c in cuts), np.ones(int(counts.sum()))]),
            up=up,
            out=up + np.concatenate([[0.0], up[:-1]]),
            first=first,
            last=last,
            bag=faces[:, 0].copy(),
            tool=faces[:, 1].copy(),
            radiating=_radiating(sections),
            reacting=np.concatenate([c.reacting for c in cuts]) + np.repeat(first, counts),
            freed=np.concatenate(
                [heat * s.heat_factor * c.resin[c.reacting] for s, c in zip(sections, cuts, strict=True)]
            ),
            pace=(
                np.repeat([s.rate_factor for s in sections], counts)
                if any(s.rate_factor != 1.0 for s in sections)
                else None
            ),
        )

    @property
    def cells(self) -> int:
        """Number of cells."""
        return len(self.up)

    def kept(self, stay: Bools) -> tuple[Lanes, Bools]:
        """Return the lanes that stay, and which entries of the state those are."""
        n = self.cells
        entries = stay[self.lane]
        cells = entries[:n]
        lane_number = np.cumsum(stay) - 1
        cell_number = np.cumsum(cells) - 1
        react = entries[n:]
        return replace(
            self,
            which=self.which[stay],
            lane=lane_number[self.lane[entries]],
            mass=self.mass[entries],
            up=self.up[cells],
            out=self.out[cells],
            first=cell_number[self.first[stay]],
            last=cell_number[self.last[stay]],
            bag=self.bag[stay],
            tool=self.tool[stay],
            radiating=None if self.radiating is None else self.radiating[:, :, stay],
            reacting=cell_number[self.reacting[react]],
            freed=self.freed[react],
            pace=None if self.pace is None else self.pace[react],
        ), entries

    def rate(self, y: Floats, kinetics: Kinetics) -> Floats:
        """Return the rate of every reacting cell [1/s]."""
        n = self.cells
        rate = kinetics.rate(y[n:], y[:n].take(self.reacting))
        return rate if self.pace is None else self.pace * rate

    def rate_and_slopes(self, y: Floats, kinetics: Kinetics) -> tuple[Floats, Floats, Floats]:
        """Return the rate of every reacting cell [1/s] and its slopes by degree of cure and temperature."""
        n = self.cells
        out = kinetics.rate_and_slopes(y[n:], y[:n].take(self.reacting))
        if self.pace is None:
            return out
        rate, f_alpha, f_t = out
        return self.pace * rate, self.pace * f_alpha, self.pace * f_t


def _radiating(sections: Sequence[Section]) -> Floats | None:
    if not any(s.emissivity_bag or s.emissivity_tool for s in sections):
        return None
    return np.array(
        [
            [
                [s.film_bag for s in sections],
                [s.half_conductances[0] for s in sections],
                [s.emissivity_bag for s in sections],
            ],
            [
                [s.film_tool for s in sections],
                [s.half_conductances[-1] for s in sections],
                [s.emissivity_tool for s in sections],
            ],
        ]
    )
