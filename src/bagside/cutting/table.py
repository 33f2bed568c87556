"""All sheets of a stock as they fill: copies laid and taken off, what that costs, and which layouts are sound."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from bagside.cutting.copies import Copy, Part, copies_of, layout_of
from bagside.cutting.forms import ROUGH, Forms, Ground
from bagside.cutting.nofit import UNIT
from bagside.cutting.offcuts import KeepRule
from bagside.cutting.overlay import overlaid, together
from bagside.cutting.piece import FlatPiece
from bagside.cutting.place import DIRECTIONS, Direction, Filling, Item
from bagside.cutting.sheet import Sheet, SheetNest
from bagside.cutting.spent import Account
from bagside.cutting.verify import verify
from bagside.errors import NotSolved


@dataclass(frozen=True, slots=True, eq=False)
class State:
    """The layouts of all sheets at one time.

    Parameters
    ----------
    fillings
        Of each sheet; not to be changed.
    where
        For each copy the number of its sheet, -1 when it lies on none.
    batch
        Of each part that shows.
    money
        Used up of sheets, and fresh cloth for the copies that lie on none.
    """

    fillings: tuple[Filling, ...]
    where: tuple[int, ...]
    batch: dict[Part, str]
    money: float


class Table:
    """The sheets, and what lies on them now.

    Parameters
    ----------
    sheets, pieces, fresh, rule, must, batch, up
        As `bagside.cutting.place_on` takes them.
    """

    def __init__(
        self,
        sheets: Sequence[Sheet],
        pieces: Sequence[FlatPiece],
        fresh: float,
        rule: KeepRule | None,
        must: Collection[str],
        batch: str,
        up: str,
    ) -> None:
        self.pieces, self.up, self.forms = pieces, up, Forms()
        self.grounds = tuple(Ground.of(s) for s in sheets)
        self.accounts = tuple(Account.of(s, rule) for s in sheets)
        lie = [(s.up != up, g.askew) for s, g in zip(sheets, self.grounds, strict=True)]
        # A piece that fits no roll is worth more than all other pieces and sheets together.
        most = 1.0 + fresh * sum(p.area * p.quantity for p in pieces) + sum(a.rate * a.area for a in self.accounts)
        self.copies = copies_of(pieces, self.forms, fresh, dict.fromkeys(must, most), lie)
        self.none = sum(c.value for c in self.copies)
        # Cloth of unknown batch is a batch of its own.
        self.roll = batch or "\0roll"
        self.batches = tuple(s.batch or f"\0sheet {s.name}" for s in sheets)
        self.parts: dict[Part, list[int]] = {}
        for copy in self.copies:
            if copy.part is not None:
                self.parts.setdefault(copy.part, []).append(copy.number)
        self.fillings = [Filling.empty(k, g) for k, g in enumerate(self.grounds)]
        self.where = [-1] * len(self.copies)
        self.batch = dict.fromkeys(self.parts, self.roll)
        self.towards: list[Direction] = [DIRECTIONS[0]] * len(sheets)
        self.owned: set[int] = set(range(len(sheets)))

    def begin(self) -> None:
        """Leave the fillings there are as they are: from now on, whatever changes is a copy of its own."""
        self.owned = set()

    def fullest(self, sheets: Sequence[int]) -> list[int]:
        """Return sheets, those that cost nothing and then the one with least room first.

        Parameters
        ----------
        sheets
            Their numbers.
        """
        return sorted(sheets, key=lambda k: (self.accounts[k].rate > 0.0, self.fillings[k].room, k))

    def roomy(self, copy: Copy, sheets: Sequence[int]) -> list[int]:
        """Return the sheets on which a circle as large as the largest in a copy still finds room.

        Parameters
        ----------
        copy
            Which copy.
        sheets
            Their numbers.
        """
        return [k for k in sheets if self._radius(k) >= copy.poses[k][0].form.radius]

    def of_batch(self, batch: str) -> list[int]:
        """Return the numbers of the sheets of a batch.

        Parameters
        ----------
        batch
            Its name.
        """
        return [k for k, b in enumerate(self.batches) if b == batch]

    def lay(self, copy: Copy, sheets: Sequence[int], towards: Direction | None = None) -> bool:
        """Lay a copy on the first of some sheets that takes it, and return whether one did.

        Parameters
        ----------
        copy
            Which copy.
        sheets
            Their numbers.
        towards
            The corner it goes to; that of the sheet when None.
        """
        for k in sheets:
            if copy.part is not None and self.batches[k] != self.batch[copy.part]:
                continue
            corner = self.towards[k] if towards is None else towards
            found = self.fillings[k].find(self.forms, copy.poses[k], copy.stated[k], corner)
            if found is not None:
                self._own(k).add(copy.number, *found)
                self.where[copy.number] = k
                return True
        return False

    def take_off(self, copies: Sequence[int]) -> None:
        """Take copies off their sheets.

        Parameters
        ----------
        copies
            Their numbers.
        """
        gone = set(copies)
        for k in sorted({self.where[c] for c in copies} - {-1}):
            self._own(k).take_off(gone)
        for c in copies:
            self.where[c] = -1

    def least(self) -> float:
        """Return what the money of everything cannot be less than, without asking what remains of a sheet."""
        money = sum(c.value for c in self.copies if self.where[c.number] < 0)
        for account, filling in zip(self.accounts, self.fillings, strict=True):
            known = filling.cost
            money += account.rate * (account.area - filling.room) if known is None else known
        return money

    def settle(self) -> float:
        """Leave to the roll what is not whole or does not pay, and return the money of everything."""
        for part, copies in self.parts.items():
            if self.batch[part] != self.roll and any(self.where[c] < 0 for c in copies):
                self.take_off(copies)
                self.batch[part] = self.roll
        for k, filling in enumerate(self.fillings):
            if filling.cost is None:
                filling.cost = self.accounts[k].spent([_outline(filling, i) for i in filling.items])
                here = [self.copies[i.copy] for i in filling.items]
                whole = any(c.part is not None and self.batch[c.part] != self.roll for c in here)
                if not whole and filling.cost > sum(c.value for c in here):
                    self.take_off([c.number for c in here])
        return sum(f.cost or 0.0 for f in self.fillings) + sum(c.value for c in self.copies if self.where[c.number] < 0)

    def sound(self) -> bool:
        """Empty every changed sheet whose layout fails the check, and return whether none did."""
        sound = True
        for k in sorted(self.owned):
            if not self.fillings[k].items:
                continue
            try:
                verify(self.layout(self.fillings[k]))
            except (NotSolved, shapely.GEOSException):
                sound = False
                self.take_off([i.copy for i in self.fillings[k].items])
        if not sound:
            self.settle()
        return sound

    def layout(self, filling: Filling) -> SheetNest:
        """Return what lies on a sheet as a layout of its own.

        Parameters
        ----------
        filling
            Of the sheet.
        """
        return layout_of(filling, self.copies, self.pieces, self.up)

    def state(self) -> State:
        """Return the layouts as they are now."""
        return State(tuple(self.fillings), tuple(self.where), dict(self.batch), self.settle())

    def restore(self, state: State) -> None:
        """Bring back the layouts of another time.

        Parameters
        ----------
        state
            As they were then.
        """
        self.fillings, self.where, self.batch = list(state.fillings), list(state.where), dict(state.batch)

    def _radius(self, k: int) -> float:
        """Return the radius of the largest circle in what is free of a sheet, or a little more [m]."""
        filling = self.fillings[k]
        if filling.radius is None:
            try:
                taken = together([_outline(filling, i) for i in filling.items])
                free = overlaid(shapely.difference, self.accounts[k].usable, taken)
                filling.radius = (
                    shapely.maximum_inscribed_circle(free, tolerance=ROUGH).length + ROUGH if free.area else 0.0
                )
            except shapely.GEOSException:
                filling.radius = math.inf  # nobody knows, so everything is tried
        return filling.radius

    def _own(self, k: int) -> Filling:
        if k not in self.owned:
            self.owned.add(k)
            self.fillings[k] = self.fillings[k].copied()
        return self.fillings[k]


def _outline(filling: Filling, item: Item) -> shapely.Polygon:
    return shapely.Polygon(filling.ground.origin + UNIT * (item.pose.form.outline + np.array(item.place)))
