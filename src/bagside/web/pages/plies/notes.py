"""Findings of the ply in hand that have a place: short notes at it, with what can be done here."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from bagside.findings import Finding, Severity
from bagside.web.model import laying_edits as edits
from bagside.web.pages.plies.on_page import OnPage
from bagside.web.pages.plies.rows import Laid
from bagside.web.parts.basis import mark
from bagside.web.parts.controls import verb
from bagside.web.parts.html import box, markup, words
from bagside.web.parts.plan_words import plan_html
from bagside.web.scene.view import MeshView
from bagside.web.work.answer import answered

MM = 1000.0


class PlyNotes:
    """The notes on the picture.

    Parameters
    ----------
    page
        On which it stands.
    """

    def __init__(self, page: OnPage) -> None:
        self._page = page
        self._noted: object = None

    def show(self, mesh: MeshView, laid: Laid) -> None:
        """Show the notes of a ply.

        Parameters
        ----------
        mesh
            The picture.
        laid
            The ply.
        """
        placed = [] if laid.shown is None else [f for f in laid.shown.findings if f.point is not None]
        state = (tuple(placed), laid.fresh, laid.stated)
        if state == self._noted:
            return
        self._noted = state
        mesh.clear()
        with mesh:
            for one in placed:
                assert one.point is not None
                at = ",".join(f"{MM * c:.3f}" for c in one.point)
                look = f"ply-note find {one.severity.value}{'' if laid.fresh else ' stale'}"
                with box("div", look, data_at=at, role="note"):
                    self._note(one, self._verbs(one, laid) if one is placed[0] else [])

    def _note(self, found: Finding, verbs: list[tuple[str, Callable[[], Any]]]) -> None:
        """Write a finding short enough to stand beside its place; why, and what to do, can be opened."""
        tongue = self._page.sheet.tongue
        what, why, do = (plan_html(t, tongue, full=True) for t in (found.what, found.why, found.do))
        markup(f"<b>{what}</b>{mark(found.basis, tongue, found.source)}", tag="span")
        with box("details"):
            with box("summary", "act"):
                words(self._page.sheet.say("plies.why"))
            markup(" ".join(filter(None, (why, do))), tag="p")
        if verbs:
            with box("div", "ply-verbs"):
                for text, act in verbs[:2]:
                    verb(text, act)

    def _verbs(self, found: Finding, laid: Laid) -> list[tuple[str, Callable[[], Any]]]:
        """Return what can be done here about a finding of draping."""
        if laid.stated is None or found.severity not in (Severity.STOP, Severity.DECIDE) or not laid.fresh:
            return []
        sheet, stated, number = self._page.sheet, laid.stated, (self._page.hand or 0) + 1

        def find() -> None:
            sheet.edit(sheet.say("plies.did_pieces", number=number), lambda d: edits.put(d, stated, "pieces", "auto"))

        out: list[tuple[str, Callable[[], Any]]] = []
        if laid.ply.cuts:
            out.append((sheet.say("plies.try_whole"), self._try_whole))
        if laid.ply.pieces.value != "auto":
            out.append((sheet.say("plies.find_cuts"), sheet.doing(find)))
        return out

    async def _try_whole(self) -> None:
        """Say what the ply in hand comes to in one piece, before anything is changed."""
        from bagside.web.work.drape_task import tried_whole  # loads what works it out

        page, sheet = self._page, self._page.sheet
        number, laid = page.hand or 0, page.laid
        if laid is None:
            return
        sheet.tell(sheet.say("plies.trying", number=number + 1))
        ended = await answered(page.house.crew, f"tried:{page.desk.name}", tried_whole, page.desk.file.path, number)
        tongue = sheet.tongue
        with sheet.client:
            if ended.error is not None:
                sheet.tell(ended.error)
            elif ended.result is None:
                sheet.tell("")
            else:
                now = laid.shown.shear if laid.shown is not None else None
                sheet.tell(
                    sheet.say(
                        "plies.tried_whole", number=number + 1, shear=tongue.angle(ended.result.shear),
                        strain=tongue.share(ended.result.strain, 1),
                        now="–" if now is None else tongue.angle(now),
                    )
                )  # fmt: skip
