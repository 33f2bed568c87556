"""What is cut for a job from one cloth: from rolls, from offcuts, and what is left."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from bagside.cutting import Nest, Offcuts, SheetNest, Take
from bagside.findings import Finding
from bagside.planning.layouts import StoredLayout
from bagside.planning.shelf import RollLeft
from bagside.spec.stock import Offcut
from bagside.spec.workshop import Roll


@dataclass(frozen=True, slots=True, kw_only=True)
class RollKit:
    """What is cut from one roll.

    Parameters
    ----------
    left
        The roll and what is left of it.
    nest
        Where pieces lie.
    take
        Length, cost, knife path and time.
    offcuts
        What is left and worth keeping.
    """

    left: RollLeft
    nest: Nest
    take: Take
    offcuts: Offcuts

    @property
    def roll(self) -> Roll:
        """The roll."""
        return self.left.roll


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetKit:
    """What is cut from one offcut.

    Parameters
    ----------
    offcut
        As it is in stock.
    nest
        Where pieces lie.
    area
        Cloth used up: pieces and scrap [m²].
    cost
        Of that cloth at its worth, in the workshop's money.
    knife_path
        Length of all cuts [m].
    seconds
        Attended time at the table [s].
    offcuts
        What is left of it and worth keeping.
    """

    offcut: Offcut
    nest: SheetNest
    area: float
    cost: float
    knife_path: float
    seconds: float
    offcuts: Offcuts


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialKit:
    """All pieces of one cloth, for every part of the job.

    Parameters
    ----------
    material
        Its name.
    rolls
        What is cut from rolls; empty when offcuts take everything.
    sheets
        What is cut from offcuts.
    alone
        What cloth and cutting would cost from the roll alone; None when no offcut was looked at.
    weighed
        What they cost as planned, offcuts at their worth.
    findings
        Cloth that is not used, and what a person should know of the layouts.
    cut_on
        The day it was cut; None while it is planned.
    stored
        The layout as it is stored with the job.
    """

    material: str
    rolls: tuple[RollKit, ...]
    sheets: tuple[SheetKit, ...] = ()
    alone: float | None = None
    weighed: float = 0.0
    findings: tuple[Finding, ...] = ()
    cut_on: date | None = None
    stored: StoredLayout | None = None

    @property
    def pull(self) -> float:
        """Length to pull off rolls [m]."""
        return sum(r.take.pull for r in self.rolls)

    @property
    def fresh_area(self) -> float:
        """Area of the cloth pulled off rolls, over their full width [m²]."""
        return sum(r.take.cloth_area for r in self.rolls)

    @property
    def pieces_area(self) -> float:
        """Area of all pieces [m²]."""
        return sum(r.take.pieces_area for r in self.rolls) + sum(s.nest.area_of_pieces for s in self.sheets)

    @property
    def utilisation(self) -> float:
        """Area of pieces over the cloth that is used up or pulled."""
        return self.pieces_area / (self.fresh_area + sum(s.area for s in self.sheets))

    @property
    def fresh_cost(self) -> float:
        """Of the cloth pulled off rolls, in the workshop's money."""
        return sum(r.take.cost or 0.0 for r in self.rolls)

    @property
    def cost(self) -> float:
        """Of all cloth, offcuts at their worth, in the workshop's money."""
        return self.fresh_cost + sum(s.cost for s in self.sheets)

    @property
    def knife_path(self) -> float:
        """Length of all cuts [m]."""
        return sum(r.take.knife_path for r in self.rolls) + sum(s.knife_path for s in self.sheets)

    @property
    def seconds(self) -> float:
        """Attended time at the table [s]."""
        return sum(r.take.seconds for r in self.rolls) + sum(s.seconds for s in self.sheets)

    @property
    def kept(self) -> int:
        """How many offcuts are left and worth keeping."""
        return sum(r.offcuts.count for r in self.rolls) + sum(s.offcuts.count for s in self.sheets)

    @property
    def kept_area(self) -> float:
        """Area of the offcuts that are kept [m²]."""
        return sum(r.offcuts.area for r in self.rolls) + sum(s.offcuts.area for s in self.sheets)

    @property
    def source(self) -> str:
        """Where it is cut from, for people: ``roll K-114, offcuts O-2, O-5``."""
        rolls = [r.roll.called for r in self.rolls if r.roll.called != self.material]
        sheets = [s.offcut.name for s in self.sheets]
        words = [f"roll{'s' if len(rolls) > 1 else ''} {', '.join(rolls)}"] if rolls else []
        words += [f"offcut{'s' if len(sheets) > 1 else ''} {', '.join(sheets)}"] if sheets else []
        return ", ".join(words)
