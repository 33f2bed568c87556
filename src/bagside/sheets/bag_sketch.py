"""The bag over a part of stated sizes, seen from above: what is laid up, the line of tape, the sheet of film."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.bagging import BagPlan
from bagside.quantity import shown
from bagside.sheets import colour, marks, paper
from bagside.sheets.typeface import NOTE
from bagside.spec.measured import Measured

Floats = NDArray[np.float64]

SIDE, EDGE = 12.0, 2.0  # [mm] of paper under and right of the sheet for its dimensions, and on its other sides


def bag_sketch(measured: Measured, bag: BagPlan, room: tuple[float, float]) -> str:
    """Return a sketch of the bag; the part stands as the rectangle round it.

    Parameters
    ----------
    measured
        As stated.
    bag
        Worked out from it.
    room
        On paper [mm].
    """
    long, short = max(measured.size), min(measured.size)
    film = (max(bag.sheet), min(bag.sheet))
    mould = (long + 2 * measured.flange, short + 2 * measured.flange)
    most = np.maximum(film, mould)
    unit = min((room[0] - SIDE - EDGE) / most[0], (room[1] - SIDE - EDGE) / most[1])
    middle = EDGE + 0.5 * unit * most

    def box(size: tuple[float, float], radius: float = 0.0) -> Floats:
        a, b = 0.5 * size[0] - radius, 0.5 * size[1] - radius
        turn = np.linspace(0.0, 0.5 * np.pi, 12) if radius else np.zeros(1)
        corners = []
        for k, (x, y) in enumerate(((a, b), (-a, b), (-a, -b), (a, -b))):
            at = turn + 0.5 * np.pi * k
            corners.append(np.column_stack([x + radius * np.cos(at), y + radius * np.sin(at)]))
        out: Floats = middle + unit * np.concatenate(corners) * (1.0, -1.0)
        return out

    out = [paper.line(box(mould), weight=paper.HAIR, ink=colour.EDGE, fill=colour.MOULD, closed=True)]
    out.append(paper.line(box((long, short)), weight=paper.THIN, dashes=marks.NET_EDGE, fill=colour.PAPER, closed=True))
    x, y = middle
    out.append(paper.text(x, y + 1.0, "laid up", size=NOTE, anchor="middle"))
    if bag.tape_distance:
        beyond = 2 * bag.tape_distance
        out.append(paper.line(box((long + beyond, short + beyond), bag.tape_distance), weight=paper.BOLD, closed=True))
        top = middle[1] - unit * (0.5 * short + bag.tape_distance)
        words = f"tape, {shown(bag.tape_distance, 'mm', 0)} outside"
        out.append(paper.text(x, top + 3.4, words, size=NOTE, anchor="middle"))
    sheet = box(film)
    out.append(paper.line(sheet, weight=paper.THIN, dashes=marks.TO_COME, closed=True))
    right, left = sheet[:, 0].max(), sheet[:, 0].min()
    bottom, upper = sheet[:, 1].max(), sheet[:, 1].min()
    along, across = (f"{1e3 * s:.0f}" for s in film)
    offset = 0.6 * SIDE + max(0.0, 0.5 * unit * (mould[1] - film[1]))
    out.append(marks.dimension(np.array([left, bottom]), np.array([right, bottom]), along, offset=offset))
    offset = 0.6 * SIDE + max(0.0, 0.5 * unit * (mould[0] - film[0]))
    out.append(marks.dimension(np.array([right, bottom]), np.array([right, upper]), across, offset=offset))
    size = 2 * (middle - EDGE) + EDGE + SIDE
    return paper.sheet(size[0], size[1], out, title="the bag from above: film dashed, tape bold, what is laid up")
