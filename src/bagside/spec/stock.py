"""Cloth in stock beside the rolls: offcuts, and what was taken from rolls, as ``stock.toml`` keeps them.

Rolls are stated in ``workshop.toml`` as they were received. Each time a nest is accepted, what it takes off a roll and
the offcuts it leaves are added here; nothing is taken away. An offcut that was cut from is named by a line under
``used``.
"""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from bagside.spec.fields import MoneyPerArea, Point2, PositiveLength, SomeTime, stated


class Up(StrEnum):
    """Which face of a one-faced cloth is up when it lies on the table as it comes off the roll."""

    RICH = "resin-rich"
    DRY = "dry"


@stated
class Offcut:
    """A piece of cloth that was kept.

    Parameters
    ----------
    name
        As on its label.
    material
        Name of a prepreg.
    outline
        Its corners, x along the warp [m].
    holes
        Corners of each hole [m].
    flaws
        Corners of each place not to be used [m].
    roll
        Name of the roll it came from; may be empty when nobody knows.
    batch
        Of the cloth.
    life_used
        Out of the freezer, until it was put away [s].
    up
        Which face is up, of a one-faced cloth.
    price
        What the cloth cost [money/m²]; the roll's when not stated.
    made
        When it was cut.
    use_by
        Last day that the maker of the cloth allows.
    """

    name: str
    material: str
    outline: tuple[Point2, ...]
    holes: tuple[tuple[Point2, ...], ...] = ()
    flaws: tuple[tuple[Point2, ...], ...] = ()
    roll: str = ""
    batch: str = ""
    life_used: SomeTime = 0.0
    up: Up = Up.RICH
    price: MoneyPerArea | None = None
    made: date | None = None
    use_by: date | None = None


@stated
class Taken:
    """A length that was cut off a roll.

    Parameters
    ----------
    roll
        Its name.
    length
        [m].
    job
        What it was cut for.
    on
        When.
    """

    roll: str
    length: PositiveLength
    job: str = ""
    on: date | None = None


@stated
class Used:
    """An offcut that was cut from: what is left of it stands as new offcuts."""

    offcut: str
    job: str = ""
    on: date | None = None


@stated
class Stock:
    """What ``stock.toml`` holds."""

    offcuts: tuple[Offcut, ...] = ()
    taken: tuple[Taken, ...] = ()
    used: tuple[Used, ...] = ()

    @property
    def there(self) -> tuple[Offcut, ...]:
        """Offcuts that have not been cut from."""
        gone = {u.offcut for u in self.used}
        return tuple(o for o in self.offcuts if o.name not in gone)
