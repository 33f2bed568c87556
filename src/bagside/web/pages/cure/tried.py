"""Segments under the hand: worked out as they are moved, and shown over what is planned until they are written."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bagside.web.pages.cure.chart import Segments
from bagside.web.pages.cure.edit import alike, segments_in
from bagside.web.views.cure.run import RunShown
from bagside.web.work.child import Ended
from bagside.web.work.crew import Lane
from bagside.web.work.cure_task import CycleShown, simulate_cycle

if TYPE_CHECKING:
    from bagside.web.pages.cure.page import CurePage


class Tried:
    """The runs as one person moves them.

    Parameters
    ----------
    page
        Which shows them.
    """

    def __init__(self, page: CurePage) -> None:
        self.page = page
        self.runs: tuple[RunShown, ...] | None = None
        self._under: tuple[int, str, Segments] | None = None
        self._next: tuple[int, str, Segments] | None = None
        self._key = f"cycle:{page.desk.name}:{page.sheet.client.id}"
        page.sheet.leaving(lambda: page.house.crew.stop(self._key))

    def ask(self, segments: Segments, seq: int = 0) -> None:
        """Work out what segments come to, without writing them; while one is under way only the last one asked waits.

        Parameters
        ----------
        segments
            Of the run that is shown.
        seq
            Of the move of the hand, by which the chart knows the answer; 0 for none.
        """
        self._next = (seq, self.page.name, segments)
        self._ask()

    def follow(self) -> None:
        """Go with the file: what stands in it is shown at once, simulated, until the plan is there."""
        page = self.page
        if page.design.offers or self._under is not None:
            return
        if page.desk.is_fresh("cure"):
            self.runs = None
            return
        stated = segments_in(page.desk.file.document(), page.name)
        if stated and not alike(stated, page.run.segments):
            self.ask(stated)

    def _ask(self) -> None:
        page = self.page
        if self._under is not None or self._next is None or page.view is None:
            return
        self._under, self._next = self._next, None
        _, name, segments = self._under
        page.house.crew.ask(
            self._key, simulate_cycle, page.case, name, segments,
            heard=lambda _: None, ended=self._answered, lane=Lane.QUICK,
        )  # fmt: skip

    def _answered(self, ended: Ended) -> None:
        page = self.page
        asked, self._under = self._under, None
        with page.holder:
            if isinstance(ended.result, CycleShown) and asked is not None:
                if not asked[0] and asked[2] == self._planned(asked[1]):  # the child is warm, and that was all
                    self._ask()
                    return
                moved = {r.name: r for r in ended.result.runs}
                self.runs = tuple(moved.get(r.name, r) for r in page.runs)
                if not page.design.offers and self._as_planned():
                    self.runs = None
                if asked[1] == page.name:
                    page.show_numbers(asked[0])
            elif ended.error is not None:
                page.sheet.tell(ended.error)
                page.chart.again()
            self._ask()

    def _as_planned(self) -> bool:
        """Return whether what the hand has set is what is planned: it went back."""
        return all(alike(run.segments, self._planned(run.name)) for run in self.page.runs)

    def _planned(self, name: str) -> Segments:
        view = self.page.view
        return () if view is None else next((r.segments for r in view.runs if r.name == name), ())
