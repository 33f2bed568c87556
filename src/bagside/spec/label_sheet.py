"""Sheets of labels for the printer: how many there are on a sheet, and where."""

from __future__ import annotations

from bagside.spec.fields import PositiveLength, SomeLength, stated
from bagside.spec.material import Told
from bagside.spec.workshop import Paper


@stated
class LabelSheet:
    """A sheet of equal labels in columns and rows.

    Parameters
    ----------
    paper
        The sheet's own size.
    columns, rows
        How many labels lie side by side, and one under the other.
    width, height
        Of one label [m].
    left, top
        From the sheet's edges to the first label [m].
    across, down
        From one label's left edge to the next one's, and from top edge to top edge [m].
    basis
        On what the sizes rest.

    Raises
    ------
    ValueError
        When a count is below one, labels lie over each other, or the last one is off the paper.
    """

    paper: Paper
    columns: int
    rows: int
    width: PositiveLength
    height: PositiveLength
    left: SomeLength
    top: SomeLength
    across: PositiveLength
    down: PositiveLength
    basis: Told

    def __post_init__(self) -> None:
        """Refuse labels that cannot lie on the paper."""
        if self.columns < 1 or self.rows < 1:
            raise ValueError(f"{self.columns} columns and {self.rows} rows hold no label")
        if (self.columns > 1 and self.across < self.width - 1e-9) or (self.rows > 1 and self.down < self.height - 1e-9):
            raise ValueError("labels lie over each other: across and down are measured from edge to same edge")
        wide, high = PAPER_SIZES[self.paper]
        right = self.left + (self.columns - 1) * self.across + self.width
        bottom = self.top + (self.rows - 1) * self.down + self.height
        if right > wide + SLACK or bottom > high + SLACK:
            came = f"{1e3 * right:.1f} × {1e3 * bottom:.1f} mm"
            raise ValueError(f"the last label ends at {came}, off paper of {1e3 * wide:g} × {1e3 * high:g} mm")

    @property
    def count(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.rows

    def place(self, number: int) -> tuple[float, float]:
        """Return left and top of a label on its sheet [m], counted along the rows from 0.

        Parameters
        ----------
        number
            Of the label, from 0; it may lie on a later sheet.
        """
        row, column = divmod(number % self.count, self.columns)
        return self.left + column * self.across, self.top + row * self.down


PAPER_SIZES = {Paper.A4: (0.210, 0.297), Paper.LETTER: (0.2159, 0.2794)}
"""Width and height of each paper [m]."""
SLACK = 2e-4
"""Labels may end this far off the paper [m]: sheets without margins are given rounded."""
