"""What cutting from a sheet costs: the part of its worth that does not come back."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from bagside.cutting.offcuts import KeepRule, kept_parts
from bagside.cutting.overlay import overlaid, together
from bagside.cutting.sheet import Sheet, SheetNest
from bagside.cutting.worth import ROOMY, shape_share


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Account:
    """What a sheet counts, ready to be asked for many layouts.

    Parameters
    ----------
    usable
        The sheet without holes and flaws [m].
    area
        Of that [m²].
    rate
        Its price times its worth [money/m²].
    shape
        Share of its worth that it has for its shape.
    rule
        When a remainder is kept.
    fetch
        What getting it out and putting the rest away costs [money].
    """

    usable: shapely.Geometry
    area: float
    rate: float
    shape: float
    rule: KeepRule
    fetch: float = 0.0

    @classmethod
    def of(cls, sheet: Sheet, rule: KeepRule | None = None) -> Account:
        """Return the account of a sheet.

        Parameters
        ----------
        sheet
            With nothing cut from it.
        rule
            When a remainder is kept; the common one when None.
        """
        rule = KeepRule() if rule is None else rule
        usable = sheet.usable
        rate = sheet.price * sheet.worth
        shape = shape_share(usable, rule.strip)
        return cls(usable=usable, area=sheet.area, rate=rate, shape=shape, rule=rule, fetch=sheet.fetch)

    def spent(self, outlines: Sequence[shapely.Polygon]) -> float:
        """Return what is used up by outlines cut from the sheet, fetching it included [money].

        Parameters
        ----------
        outlines
            As they lie on it [m].

        Notes
        -----
        The sheet counts at its worth, area of pieces and scrap alike, holes of pieces too. What remains and is kept
        counts back at the same worth, less where it is smaller (`bagside.cutting.worth`).
        """
        return self.fetch + self._cloth(outlines) if outlines else 0.0

    def _cloth(self, outlines: Sequence[shapely.Polygon]) -> float:
        if not self.rate:
            return 0.0
        room = self.area - float(shapely.area(outlines).sum())
        if room < min(self.rule.area, self.rule.square**2):
            return self.rate * self.area
        try:
            kept = kept_parts(overlaid(shapely.difference, self.usable, together(outlines)), self.rule)
        except shapely.GEOSException:
            kept = ()  # the library cannot tell what remains; the dearer answer is the safe one
        # Those parts have no narrow place, so only their size counts.
        shapes = [min(1.0, math.sqrt(p.area / ROOMY)) for p in kept]
        back = sum(p.area * min(1.0, s / self.shape) for p, s in zip(kept, shapes, strict=True)) if self.shape else 0.0
        return float(self.rate * max(self.area - back, 0.0))


def spent(nest: SheetNest, rule: KeepRule | None = None) -> float:
    """Return what a layout uses up of its sheet [money].

    Parameters
    ----------
    nest
        The layout.
    rule
        When a remainder is kept; the common one when None.
    """
    return Account.of(nest.sheet, rule).spent([nest.placed_outline(p) for p in nest.placements])
