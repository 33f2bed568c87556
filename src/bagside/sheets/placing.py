"""Where a label may stand: beside its line, on nothing else.

Labels are tried in order at a few places each; the first that touches no box and no line taken before wins. When every
place is taken the least bad one is used and the label gets a halo, so that it can still be read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from bagside.sheets.typeface import ASCENT, width

Floats = NDArray[np.float64]
Box = tuple[float, float, float, float]


@dataclass(slots=True)
class Places:
    """What is taken on a drawing.

    Parameters
    ----------
    bounds
        Left, top, right, bottom of the drawing [mm].
    boxes
        Taken by letters and marks.
    points
        Points along lines that letters should not cover.
    """

    bounds: Box
    boxes: list[Box] = field(default_factory=list)
    points: list[Floats] = field(default_factory=list)

    def line(self, points: Floats) -> None:
        """Take the places along a line.

        Parameters
        ----------
        points
            Shape (k, 2) [mm].
        """
        step = np.hypot(*np.diff(points, axis=0).T)
        along = np.concatenate([[0.0], np.cumsum(step)])
        dense = np.arange(0.0, along[-1] + 0.6, 0.6)
        self.points.append(np.column_stack([np.interp(dense, along, points[:, k]) for k in range(2)]))

    def cost(self, box: Box) -> float:
        """Return how much a box covers: letters weigh more than lines, the edge most.

        Parameters
        ----------
        box
            Left, top, right, bottom [mm].
        """
        left, top, right, bottom = box
        out = 0.0
        for a, b, c, d in self.boxes:
            out += 20.0 * max(min(right, c) - max(left, a), 0.0) * max(min(bottom, d) - max(top, b), 0.0)
        for p in self.points:
            out += float(((p[:, 0] > left) & (p[:, 0] < right) & (p[:, 1] > top) & (p[:, 1] < bottom)).sum())
        over = max(self.bounds[0] - left, 0) + max(self.bounds[1] - top, 0)
        over += max(right - self.bounds[2], 0) + max(bottom - self.bounds[3], 0)
        return out + 200.0 * over

    def label(
        self, words: str, size: float, anchors: Sequence[tuple[float, float]], *, bold: bool = False, gap: float = 1.2
    ) -> tuple[float, float, bool]:
        """Return where a label's baseline starts, and whether it stands free.

        Parameters
        ----------
        words
            One line.
        size
            Type size [mm].
        anchors
            Points it may stand beside, the best first [mm].
        bold
            Whether it is set bold.
        gap
            Between the letters and their point [mm].
        """
        wide, tall = width(words, size, bold=bold), ASCENT * size
        best: tuple[float, float, float, Box] | None = None
        for x, y in anchors:
            ways = (
                (x - 0.5 * wide, y - gap),
                (x - 0.5 * wide, y + gap + tall),
                (x + gap, y + 0.5 * tall),
                (x - gap - wide, y + 0.5 * tall),
                (x + gap, y - gap),
                (x - gap - wide, y - gap),
                (x + gap, y + gap + tall),
                (x - gap - wide, y + gap + tall),
            )
            for left, base in ways:
                box = (left - 0.4, base - tall - 0.4, left + wide + 0.4, base + 0.5)
                cost = self.cost(box)
                if best is None or cost < best[0] - 1e-9:
                    best = (cost, left, base, box)
            if best is not None and best[0] == 0:
                break
        if best is None:
            raise ValueError(f"the label {words!r} has no place to stand beside")
        self.boxes.append(best[3])
        return best[1], best[2], best[0] == 0
