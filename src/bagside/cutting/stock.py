"""What a kit takes from the stock of one cloth: layouts on offcuts, a layout on the roll, and the money."""

from __future__ import annotations

from dataclasses import dataclass

from bagside.cutting.layout import Nest
from bagside.cutting.sheet import SheetNest


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StockNest:
    """Every copy of a kit on the stock of one cloth.

    Parameters
    ----------
    material
        Name of the cloth.
    sheets
        Layouts on the sheets that are cut from, none on the others.
    rolls
        Layouts on rolls: usually one, none when the sheets take all.
    money
        Fresh cloth, what of the sheets is used up, and the cutting.
    money_roll_alone
        The same without sheets; None when no roll takes every piece.
    seconds
        Time the search took [s].
    stopped
        Whether it was stopped before its time.
    """

    material: str
    sheets: tuple[SheetNest, ...]
    rolls: tuple[Nest, ...]
    money: float
    money_roll_alone: float | None
    seconds: float
    stopped: bool

    @property
    def layouts(self) -> tuple[SheetNest | Nest, ...]:
        """All layouts, sheets first."""
        return (*self.sheets, *self.rolls)

    @property
    def length(self) -> float:
        """Of all rolls together [m]."""
        return sum(n.length for n in self.rolls)

    @property
    def area_of_pieces(self) -> float:
        """Area of all copies without their holes [m²]."""
        return sum(n.area_of_pieces for n in self.layouts)


@dataclass(frozen=True, slots=True, kw_only=True)
class StockProgress:
    """How far the nest on a stock has come.

    Parameters
    ----------
    seconds
        Since it began [s].
    money
        Of the best so far [money]; None while no layout is whole.
    on_sheets, copies
        Copies on sheets, and in all.
    length
        Of fresh cloth in the best so far [m]; None while it is not known.
    layouts
        The best so far, sheets first; none while no layout is whole.
    """

    seconds: float
    money: float | None
    on_sheets: int
    copies: int
    length: float | None
    layouts: tuple[SheetNest | Nest, ...] = ()
