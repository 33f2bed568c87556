"""The flat pieces of the ply in hand, in the map that is chosen, and its findings that have no place."""

from __future__ import annotations

from nicegui import ui
from nicegui.element import Element

from bagside.sheets.themed import themed
from bagside.web.pages.plies.on_page import OnPage
from bagside.web.pages.plies.rows import Laid
from bagside.web.parts.findings import finding
from bagside.web.views.plies_shown import PlyShown
from bagside.web.words.drawings import drawn
from bagside.web.work.answer import answered


class PlyFlats:
    """The flat pieces; made where the page is being put together.

    Parameters
    ----------
    page
        On which they stand.
    """

    def __init__(self, page: OnPage) -> None:
        self._page = page
        self._flat = ui.html("", sanitize=False, tag="figure")
        self._says = Element("div")
        self._kept: tuple[object, ...] = ()

    def show(self, laid: Laid, field: str) -> None:
        """Show the pieces of a ply; those of another map than the one they come with are asked for.

        Parameters
        ----------
        laid
            The ply.
        field
            Key of the map.
        """
        shown = laid.shown
        asks = shown is not None and shown.shown != "" and not shown.tiles and field != shown.shown
        state = ("" if shown is None else shown.flats, field if asks else "", laid.fresh)
        if state == self._kept:
            return
        self._kept = state
        self._draw("" if shown is None else shown.flats)
        self._flat.classes(add="" if laid.fresh else "old", remove="old" if laid.fresh else "")
        if asks and laid.fresh and shown is not None:
            ui.timer(0.01, lambda: self._ask(shown, field), once=True)
        self._says.clear()
        with self._says:
            for found in () if shown is None else shown.findings:
                if found.point is None:
                    finding(found, self._page.sheet.tongue)

    def _draw(self, svg: str) -> None:
        self._flat.set_content(themed(drawn(svg, self._page.sheet.tongue)) if svg else "")

    async def _ask(self, shown: PlyShown, field: str) -> None:
        from bagside.web.work.drape_task import flats_by  # loads what works it out

        page = self._page
        view, number = page.view, page.hand
        if view is None or shown not in view.plies:
            return
        ended = await answered(
            page.house.crew, f"flats:{id(page)}", flats_by, page.desk.file.path, view.plies.index(shown), field
        )
        if isinstance(ended.result, str) and page.field == field and page.hand == number:
            with page.sheet.client:
                self._draw(ended.result)
