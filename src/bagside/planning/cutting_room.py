"""Several jobs cut together: their pieces under names that tell them apart, and what goes back to stock after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting import FlatPiece, Offcuts, kit_names
from bagside.planning.kit import MaterialKit, RollKit
from bagside.spec.library import Library
from bagside.spec.stock import Offcut, Taken, Up, Used


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepted:
    """What a set of kits does to the stock when it is cut.

    Parameters
    ----------
    taken
        Lengths off rolls.
    used
        Offcuts cut from.
    offcuts
        New ones, named.
    """

    taken: tuple[Taken, ...]
    used: tuple[Used, ...]
    offcuts: tuple[Offcut, ...]


def initials(names: Sequence[str]) -> tuple[str, ...]:
    """Return a short name for each job, all different, to stand before the names of its pieces.

    Parameters
    ----------
    names
        Of the jobs.

    Examples
    --------
    >>> initials(["Day-hatch lid", "Right thigh brace", "Rear toggle block"])
    ('DHL', 'RTB', 'RTB2')
    """
    out: list[str] = []
    for name in names:
        words = "".join(c if c.isalnum() else " " for c in name).split()
        short = "".join(w[0] for w in words)[:4].upper() or "J"
        count = 1 + sum(1 for o in out if o.rstrip("0123456789") == short)
        out.append(short if count == 1 else f"{short}{count}")
    return tuple(out)


def together(jobs: Sequence[tuple[str, tuple[FlatPiece, ...]]]) -> tuple[FlatPiece, ...]:
    """Return the pieces of several jobs under names that tell them apart: ``DHL 3A``.

    Parameters
    ----------
    jobs
        Name and everything that is cut, of each. The pieces of a single job keep their names.
    """
    shorts = initials([name for name, _ in jobs])
    out: list[FlatPiece] = []
    for short, (name, pieces) in zip(shorts, jobs, strict=True):
        if len(jobs) == 1:
            out += [replace(p, job=name) for p in pieces]
            continue
        for p in pieces:
            kits = tuple(f"{short} {kit}" for kit in kit_names(p))
            out.append(replace(p, label=f"{short} {p.label}", kits=kits, job=name))
    return tuple(out)


def accepted(kits: Sequence[MaterialKit], library: Library, job: str, today: date, first: int) -> Accepted:
    """Return what cutting does to the stock: lengths off rolls, offcuts used up, and new ones with the life of theirs.

    Parameters
    ----------
    kits
        As they are cut.
    library
        Tells one-faced cloth, whose offcuts lie resin-rich face down.
    job
        What it is cut for.
    today
        The day.
    first
        Number of the first new offcut.
    """
    taken: list[Taken] = []
    used: list[Used] = []
    new: list[Offcut] = []

    def name() -> str:
        return f"O-{first + len(new)}"

    for kit in kits:
        up = Up.DRY if library.prepreg[kit.material].one_faced else Up.RICH
        for roll in kit.rolls:
            taken.append(Taken(roll=roll.roll.called, length=round(roll.take.pull + 5e-4, 3), job=job, on=today))
            for shapes in _shapes(roll.offcuts):
                new.append(_from_roll(shapes, roll, name(), up, today))
        for sheet in kit.sheets:
            used.append(Used(offcut=sheet.offcut.name, job=job, on=today))
            for shapes in _shapes(sheet.offcuts):
                outline, holes, flaws = shapes
                new.append(replace(sheet.offcut, name=name(), outline=outline, holes=holes, flaws=flaws, up=up))
    return Accepted(taken=tuple(taken), used=tuple(used), offcuts=tuple(new))


Loop = tuple[tuple[float, float], ...]
Shapes = tuple[Loop, tuple[Loop, ...], tuple[Loop, ...]]


def _from_roll(shapes: Shapes, kit: RollKit, name: str, up: Up, today: date) -> Offcut:
    outline, holes, flaws = shapes
    roll = kit.roll
    return Offcut(
        name=name,
        material=roll.material,
        outline=outline,
        holes=holes,
        flaws=flaws,
        roll=roll.called,
        batch=roll.batch,
        life_used=roll.life_used,
        up=up,
        made=today,
        use_by=roll.use_by,
    )


def _shapes(left: Offcuts) -> list[Shapes]:
    """Return outline, holes and flaws of each offcut, the lower left corner of the outline at zero."""
    out: list[Shapes] = []
    for polygon, flaws in zip(left.kept, left.flaws or ((),) * left.count, strict=True):
        low = np.array(polygon.bounds[:2])
        holes = tuple(_loop(ring, low) for ring in polygon.interiors)
        out.append((_loop(polygon.exterior, low), holes, tuple(_loop(f.exterior, low) for f in flaws)))
    return out


def _loop(ring: shapely.LinearRing, low: NDArray[np.float64]) -> Loop:
    points = np.asarray(ring.coords, dtype=np.float64)[:-1] - low
    return tuple((float(x), float(y)) for x, y in points)
