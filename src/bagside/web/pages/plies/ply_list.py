"""The list of plies with the section it is the legend of."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from nicegui.element import Element


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One ply as the list says it; texts are ready to be read.

    Parameters
    ----------
    key
        The same for the same ply while it is carried about.
    number, name
        Of the ply, and how it is read out.
    glyph
        Its yarns' directions, drawn.
    angle, where, pieces, area, shear, time, state
        In the columns.
    moves
        What its handle does, for readers.
    movable
        Whether it can be laid elsewhere.
    stale
        Whether its numbers are from before the last change.
    weighty
        Whether its shear asks for a decision.
    """

    key: str
    number: str
    name: str
    glyph: str
    angle: str
    where: str
    pieces: str
    area: str
    shear: str
    time: str
    state: str
    moves: str
    movable: bool
    stale: bool
    weighty: bool


class PlyList(Element, component="ply_list.js"):
    """The list of plies, first at the bottom.

    Parameters
    ----------
    words
        Heads of the columns and what is read out.
    on_hand
        Called with the row that is taken in hand.
    on_move
        Called with the row that is carried, and the one whose place it takes.
    on_leave
        Called with the row that shall be left out.
    """

    def __init__(
        self,
        words: dict[str, str],
        *,
        on_hand: Callable[[int], Any],
        on_move: Callable[[int, int], Any],
        on_leave: Callable[[int], Any],
    ) -> None:
        super().__init__()
        self._props |= {"words": words, "rows": [], "hand": 0, "section": "", "ends": [], "movable": False}
        self._rows: Sequence[Row] = ()
        self.on("hand", lambda e: self._with_row(on_hand, e.args))
        self.on("leave", lambda e: self._with_row(on_leave, e.args))
        self.on("move", lambda e: self._carried(on_move, e.args))

    def show(
        self, rows: Sequence[Row], hand: int, section: str, ends: Sequence[tuple[float, float] | None]
    ) -> None:
        """Show plies.

        Parameters
        ----------
        rows
            In laying order.
        hand
            The one in hand.
        section
            The drawing beside it, in the page's own inks.
        ends
            Where each ply ends in it, in shares of its width and height.
        """
        self._rows = tuple(rows)
        self._props |= {
            "rows": [asdict(row) for row in rows],
            "hand": hand,
            "section": section,
            "ends": [None if e is None else list(e) for e in ends],
            "movable": any(row.movable for row in rows),
        }
        self.update()

    def _with_row(self, call: Callable[[int], Any], which: Any) -> Any:
        return call(which) if isinstance(which, int) and 0 <= which < len(self._rows) else None

    def _carried(self, call: Callable[[int, int], Any], args: Any) -> Any:
        which, to = (args.get("from"), args.get("to")) if isinstance(args, dict) else (None, None)
        inside = all(isinstance(k, int) and 0 <= k < len(self._rows) for k in (which, to))
        return call(which, to) if inside and which is not None and to is not None else None
