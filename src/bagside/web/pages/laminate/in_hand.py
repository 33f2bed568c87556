"""The stack of the zone in hand: what is left out of it, what is tried on top, and how that is written into the job."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from nicegui.element import Element

from bagside.errors import InputError
from bagside.spec.material import ClothKind
from bagside.web.model import laying_edits as edits
from bagside.web.pages.laminate.trial import More, Trial
from bagside.web.pages.plies.rows import angle_text, glyph
from bagside.web.parts.controls import button, choice, entry, link, verb
from bagside.web.parts.html import box, markup, words
from bagside.web.views.laminate.shown import LaminateView, ZoneShown

if TYPE_CHECKING:
    from bagside.web.pages.laminate.page import LaminatePage


class InHand:
    """The table of the stack in hand.

    Parameters
    ----------
    page
        Which shows what a trial comes to.
    place
        Holds the table.
    """

    def __init__(self, page: LaminatePage, place: Element) -> None:
        self.page, self.place, self.sheet = page, place, page.sheet
        self.trial = Trial()

    def show(self, view: LaminateView, zone: ZoneShown) -> None:
        """Show the stack of a zone.

        Parameters
        ----------
        view
            What the page shows.
        zone
            The one in hand.
        """
        say, tongue, library = self.sheet.say, self.sheet.tongue, self.page.house.library()
        self.place.clear()
        with self.place:
            words(say("laminate.stack", number=zone.number), tag="h2", look="b")
            with box("table", aria_label=say("laminate.stack", number=zone.number)), box("tbody"):
                for n, more in reversed(list(enumerate(self.trial.more))):
                    kind = _kind(library, more.material)
                    with box("tr", "hand"):
                        angle = angle_text(more.angle, kind)
                        self._cells(f"+{n + 1}", glyph(more.angle, kind), angle, more.material)
                        with box("td", "r"):
                            verb(say("laminate.take_off"), lambda n=n: self._take_off(n))  # type: ignore[misc]
                for k, ply in reversed(list(zip(zone.layers, zone.plies, strict=True))):
                    material, out = view.job.plies[k].material, k in self.trial.out
                    with box("tr", "lam-out" if out else ""):
                        self._cells(
                            str(k + 1), glyph(ply.angle, _kind(library, material)), tongue.angle(ply.angle, 0),
                            f"{material}, {view.job.plies[k].region}", tongue.thickness(ply.thickness),
                        )  # fmt: skip
                        with box("td", "r"):
                            if view.stated[k] is not None:
                                self._leave_verb(k, out)
            if view.job.mirror is not None:
                words(say("laminate.twin"), tag="p", look="note q")
                return
            self._more(view)
            if not self.trial.empty:
                button(say("laminate.write"), self.sheet.doing(self._write), go=True)
                verb(say("laminate.drop"), self._drop)
                words(say("laminate.trial_note"), tag="p", look="note q")
            link(say("laminate.to_plies"), f"/job/{self.page.desk.name}/plies")

    def _leave_verb(self, k: int, out: bool) -> None:
        text = self.sheet.say("laminate.put_back" if out else "laminate.leave_out")
        verb(text, lambda: self._leave(k), name=f"{text}: {self.sheet.say('laminate.ply', number=k + 1)}")

    def _cells(self, number: str, way: str, angle: str, cloth: str, thickness: str = "") -> None:
        with box("td"):
            words(number, look="b")
        with box("td", "ply-way"):
            markup(way, tag="span")
        for text, look in ((angle, ""), (cloth, ""), (thickness, "r")):
            with box("td", look):
                words(text)

    def _more(self, view: LaminateView) -> None:
        """Ask which ply is tried on top."""
        say, library = self.sheet.say, self.page.house.library()
        if library is None:
            return
        last = view.job.plies[-1]
        cloths = list(dict.fromkeys(ply.material for ply in view.job.plies))
        shop = self.page.house.workshop()
        if shop is not None:
            bought = [roll.material for roll in shop.stock] + [offer.material for offer in shop.offers]
            cloths = list(dict.fromkeys([*cloths, *bought]))
        wanted = {"material": last.material, "angle": "45"}

        def add() -> None:
            word = wanted["angle"].strip().replace(",", ".").replace("\u2212", "-").removesuffix("°")
            try:
                degrees = float(word)
            except ValueError:
                degrees = math.nan
            if not math.isfinite(degrees) or abs(degrees) > 360.0:
                raise InputError.one("", wanted["angle"], say("plies.angle_wanted"))
            more = More(material=wanted["material"], angle=math.radians(degrees))
            self.trial = Trial(out=self.trial.out, more=(*self.trial.more, more))
            self._tried_anew()

        with box("div", "lam-more"):
            choice(
                say("plies.material"), {name: name for name in cloths if name in library.prepreg}, last.material,
                lambda value: wanted.update(material=value),
            )  # fmt: skip
            entry(
                say("plies.angle"), "45", lambda text: wanted.update(angle=text), unit="°", wide="5em", mode="decimal"
            )
            verb(say("laminate.add"), self.sheet.doing(add))

    def _take_off(self, n: int) -> None:
        self.trial = Trial(out=self.trial.out, more=(*self.trial.more[:n], *self.trial.more[n + 1 :]))
        self._tried_anew()

    def _leave(self, k: int) -> None:
        self.trial = Trial(out=self.trial.out ^ {k}, more=self.trial.more)
        self._tried_anew()

    def _drop(self) -> None:
        self.trial = Trial()
        self._tried_anew()

    def _tried_anew(self) -> None:
        view, zone = self.page.view, self.page.zone
        if view is not None and zone is not None:
            self.page.show_tried()
            self.show(view, zone)

    def _write(self) -> None:
        """Write what is tried into the job: plies left out, others laid over what is there."""
        view, zone = self.page.view, self.page.zone
        if view is None or zone is None:
            return
        gone = sorted((k for k in map(view.stated.__getitem__, self.trial.out) if k is not None), reverse=True)
        where = view.job.plies[zone.layers[0]].region  # where the ply on the mould lies, the rest lies too
        like = next((view.job.plies[k] for k in zone.layers if view.job.plies[k].templates), None)
        more = self.trial.more

        def change(document: Any) -> None:
            for one in more:
                ply = {"material": one.material, "angle": f"{math.degrees(one.angle):g}°", "region": where}
                edits.added(document, ply, len(document["plies"]))
                if like is not None and not view.job.mould.mesh:
                    edits.put(document, len(document["plies"]) - 1, "templates", [like.templates[0].template])
            for stated in gone:
                edits.removed(document, stated)

        self.sheet.edit(self.sheet.say("laminate.did_stack", out=len(gone), more=len(more)), change)
        self.trial = Trial()


def _kind(library: Any, material: str) -> ClothKind:
    cloth = None if library is None else library.prepreg.get(material)
    return ClothKind.WOVEN if cloth is None else cloth.kind
