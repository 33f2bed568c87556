"""What the page of cutting holds: values alone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from bagside.findings import Basis
from bagside.planning.layouts import StoredLayout

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CopyView:
    """One copy as it lies.

    Parameters
    ----------
    piece, kit
        Which.
    turn, x, y, flipped
        Where, as a layout says it [rad], [m].
    loops
        Its edges on the cloth, each shape (k, 2) [m].
    turns
        It may lie in [rad]; None for any.
    area
        [m²].
    number
        In the order of cutting.
    pinned
        Whether a person has put it there.
    """

    piece: str
    kit: str
    turn: float
    x: float
    y: float
    flipped: bool
    loops: tuple[Floats, ...]
    turns: tuple[float, ...] | None
    area: float
    number: int
    pinned: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClothView:
    """A roll or an offcut on the table.

    Parameters
    ----------
    name
        On its label.
    roll
        Whether it is a roll.
    batch
        Of it; may be empty.
    outline
        Its edge, shape (k, 2) [m].
    inner
        Holes and flaws, each shape (k, 2) [m].
    margins, selvedges
        Lines nothing is nested over; inner sides of selvedges [m].
    copies
        What lies on it.
    left
        Area [m²] and loops [m] of each offcut that is kept.
    pull
        Off the roll [m]; 0 for an offcut.
    rest
        Left on the roll after the cut [m]; None when it is still to be bought, 0 for an offcut.
    cost
        Of its cloth [money].
    life_used, life
        Out of the freezer, and how long it may be [s].
    """

    name: str
    roll: bool
    batch: str
    outline: Floats
    inner: tuple[Floats, ...]
    margins: tuple[Floats, ...]
    selvedges: tuple[Floats, ...]
    copies: tuple[CopyView, ...]
    left: tuple[tuple[float, tuple[Floats, ...]], ...]
    pull: float
    rest: float | None
    cost: float
    life_used: float
    life: float

    @property
    def width(self) -> float:
        """Across the warp [m]."""
        return float(np.ptp(self.outline[:, 1]))

    @property
    def length(self) -> float:
        """Along the warp [m]."""
        return float(np.ptp(self.outline[:, 0]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KitView:
    """What is cut from one cloth.

    Parameters
    ----------
    material
        Its name.
    cloths
        Rolls first.
    used
        Share of the cloth that becomes pieces.
    pieces_area
        [m²].
    cost, saved
        Of the cloth, and what offcuts save against the roll alone [money]; None when none was looked at, or pieces
        are pinned, for nobody knows what the roll alone would take then.
    seconds
        At the table [s].
    knife
        Way of the knife [m].
    scrap
        Neither pieces nor kept [m²].
    stored
        The layout as it is stored.
    cut_on
        The day it was cut.
    basis
        On what the life of the cloth rests.
    """

    material: str
    cloths: tuple[ClothView, ...]
    used: float
    pieces_area: float
    cost: float
    saved: float | None
    seconds: float
    knife: float
    scrap: float
    stored: StoredLayout | None
    cut_on: date | None
    basis: Basis

    @property
    def parts(self) -> tuple[str, ...]:
        """Names of the parts that copies are for, in their order."""
        return tuple(sorted({c.kit for cloth in self.cloths for c in cloth.copies}, key=lambda k: (len(k), k)))

    @property
    def pull(self) -> float:
        """Off rolls [m]."""
        return sum(c.pull for c in self.cloths)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutView:
    """What the page of cutting shows.

    Parameters
    ----------
    kits
        One for each cloth.
    currency
        Of all money.
    nest_time
        The job gives to the search [s].
    turned_over
        Whether its layouts are those of the part it mirrors; nothing is pinned here then.
    """

    kits: tuple[KitView, ...]
    currency: str
    nest_time: float
    turned_over: bool
