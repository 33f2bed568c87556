"""One sheet as it fills: where a form may still come, and which of these places it takes.

The places left to a form are worked out once and only lose what each further piece takes; a form for which nothing is
left is never tried again. It takes the corner of what is left that lies furthest in one direction.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from bagside.cutting.forms import Form, Forms, Ground, Pose
from bagside.cutting.nofit import Paths, without

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Item:
    """One copy on a sheet.

    Parameters
    ----------
    copy
        Its number among all copies.
    pose
        How it lies.
    place
        Where the origin of its form lies [units].
    """

    copy: int
    pose: Pose
    place: tuple[int, int]


ROUNDED = 1e-6
"""Share of an area by which it may seem too small for want of digits."""
Direction = tuple[float, float]
"""How much less x and less y are wished for; negative where more is."""

DIRECTIONS: tuple[Direction, ...] = tuple(
    (sx * a, sy * b) for a, b in ((1.0, 0.1), (0.1, 1.0), (1.0, 0.6), (0.6, 1.0)) for sx in (1, -1) for sy in (1, -1)
)


@dataclass(slots=True)
class Filling:
    """What lies on one sheet.

    Parameters
    ----------
    number
        Of the sheet.
    ground
        The sheet on the grid.
    items
        What lies there.
    room
        Area not taken [m²].
    regions
        For each form met, how many items it takes account of and the places left.
    cost
        Of what was cut, None when it is not known yet [money].
    radius
        Of the largest circle in what is free, or a little more; None when it is not known yet [m].
    """

    number: int
    ground: Ground
    room: float
    items: list[Item] = field(default_factory=list)
    regions: dict[int, tuple[int, Paths]] = field(default_factory=dict)
    cost: float | None = None
    radius: float | None = None

    @classmethod
    def empty(cls, number: int, ground: Ground) -> Filling:
        """Return a sheet with nothing on it.

        Parameters
        ----------
        number, ground
            Of the sheet.
        """
        return cls(number=number, ground=ground, room=ground.area, cost=0.0)

    def copied(self) -> Filling:
        """Return a filling that changes by itself."""
        return Filling(
            number=self.number,
            ground=self.ground,
            room=self.room,
            items=list(self.items),
            regions=dict(self.regions),
            cost=self.cost,
            radius=self.radius,
        )

    def region(self, forms: Forms, form: Form) -> Paths:
        """Return the places left to a form.

        Parameters
        ----------
        forms
            What was worked out so far.
        form
            What is to lie here.
        """
        known = self.regions.get(form.key)
        taken, paths = known or (0, forms.inside(self.number, self.ground, form))
        if paths and taken < len(self.items):
            gap = self.ground.gap
            clip = [p for i in self.items[taken:] for p in forms.beside(i.pose.form, form, gap, i.place)]
            paths = without(paths, clip)
        self.regions[form.key] = (len(self.items), paths)
        return paths

    def find(self, forms: Forms, poses: tuple[Pose, ...], first: int, towards: Direction) -> tuple[Pose, Ints] | None:
        """Return how and where a piece lies furthest in a direction, or None when it has no place here.

        Parameters
        ----------
        forms
            What was worked out so far.
        poses
            Ways in which it may lie.
        first
            How many of these are tried before the others, which are tried one by one only when none of them goes.
        towards
            The direction.
        """
        if self.room < poses[0].form.area * (1.0 - ROUNDED):
            return None
        best: tuple[float, Pose, Ints] | None = None
        for n, pose in enumerate(poses):
            if n >= first and best is not None:
                break
            form = pose.form
            if form.size[0] > self.ground.size[0] + 1 or form.size[1] > self.ground.size[1] + 1:
                continue
            paths = self.region(forms, form)
            if not paths:
                continue
            corners: Ints = np.array([c for p in paths for c in p], dtype=np.int64)
            # Its far side counts, so that of two turns the one that reaches less far wins.
            reach = towards[0] * corners[:, 0] + towards[1] * corners[:, 1]
            far = max(towards[0], 0.0) * form.size[0] + max(towards[1], 0.0) * form.size[1]
            at = int(np.argmin(reach))
            if best is None or float(reach[at]) + far < best[0]:
                best = (float(reach[at]) + far, pose, corners[at])
        return None if best is None else best[1:]

    def add(self, copy: int, pose: Pose, place: Ints) -> None:
        """Lay a copy.

        Parameters
        ----------
        copy
            Its number.
        pose, place
            How and where.
        """
        self.items.append(Item(copy, pose, (int(place[0]), int(place[1]))))
        self.room -= pose.form.area
        self.cost = self.radius = None

    def take_off(self, copies: set[int]) -> None:
        """Take copies off.

        Parameters
        ----------
        copies
            Their numbers; those that do not lie here are passed over.
        """
        kept = [i for i in self.items if i.copy not in copies]
        if len(kept) == len(self.items):
            return
        self.room += sum(i.pose.form.area for i in self.items if i.copy in copies)
        first = next(k for k, i in enumerate(self.items) if i.copy in copies)
        # What was worked out before the first of these was laid still holds.
        self.regions = {key: r for key, r in self.regions.items() if r[0] <= first}
        self.items = kept
        self.cost = None if kept else 0.0
        self.radius = None
