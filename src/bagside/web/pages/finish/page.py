"""Finish: what hurts first, then the day's air, the coats and their windows, what is mixed, the grits."""

from __future__ import annotations

from functools import partial
from html import escape
from typing import Any

from nicegui.element import Element

from bagside.sheets.themed import themed
from bagside.web.house import House
from bagside.web.model.job_desk import Shown
from bagside.web.pages.finish.air import DayAir
from bagside.web.pages.finish.wanted import Wanted
from bagside.web.pages.join.parts import filled
from bagside.web.parts.basis import mark
from bagside.web.parts.cautions import asks_first, caution
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import JobSheet, rows
from bagside.web.parts.html import box, markup, words
from bagside.web.parts.kept_parts import KeptParts
from bagside.web.views.finish.view import CoatShown, FinishView
from bagside.web.words.amounts import measured


class FinishPage:
    """The page of a part's face.

    Parameters
    ----------
    house
        The workshop.
    sheet
        The page.
    """

    def __init__(self, house: House, sheet: JobSheet) -> None:
        self.house, self.sheet = house, sheet
        self.say, self.tongue, self.desk = sheet.say, sheet.tongue, sheet.desk
        self.view: FinishView | None = None
        self.parts = KeptParts(sheet)
        with self.parts.holder:
            self._caution = Element("div")
            self._coats = Element("section").classes("picture finish")
            with box("section", "columns cure-columns"):
                self.air = DayAir(self, Element("div"))
                self._mix = Element("div")
            with box("section", "columns cure-columns"):
                self._fields, self._found = Element("div").classes("finish-fields"), Element("div")
        self.wanted = Wanted(self)
        self.parts.follow(self._draw)
        self.air.follow()

    def _draw(self, shown: Shown) -> None:
        view: FinishView = shown.view
        self.view = view
        sprayed = any(c.plan.isocyanate for c in view.coats)
        hazards = (*(("isocyanate",) if sprayed else ()), "solvent", "dust") if view.coats else ()
        if hazards:
            self.parts.part("caution", self._caution, hazards, partial(caution, self.tongue, hazards))
        self.parts.part("coats", self._coats, shown.digest, self._draw_coats)
        self.air.draw()
        self.parts.part("mix", self._mix, shown.digest, self._draw_mix)
        document = self.desk.file.document()
        stated = str(document.get("finish", ""))
        self.parts.part("fields", self._fields, (stated, view.coatings), self.wanted.draw)
        found = asks_first(self.desk.findings("finishing"))
        self.parts.part("found", self._found, tuple(found), partial(self._draw_findings, found))

    # --- coats

    def _draw_coats(self) -> None:
        view, say = self.view, self.say
        if view is None:
            return
        if not view.coats:
            words(say("finish.nothing"), tag="p", look="lead")
            return
        for k, coat in enumerate(view.coats):
            self._coat(k, coat)

    def _coat(self, k: int, coat: CoatShown) -> None:
        say, tongue, plan = self.say, self.tongue, coat.plan
        texts = {
            f"k{k}title": say("finish.window_title", name=plan.name, flash=tongue.duration(plan.flash),
                              latest=tongue.duration(plan.recoat_latest)),
            f"k{k}window": say("finish.window"),
            f"k{k}hard": tongue.duration(plan.cure_time),
        }  # fmt: skip
        texts |= {f"k{k}pass{n}": say("finish.pass", number=n) for n in range(1, plan.times + 1)}
        texts |= {f"t{round(t)}": tongue.duration(t) if t else "0" for t in coat.ticks}
        with box("article", "coat"):
            head = tongue.count("finish.fills" if coat.filler else "finish.coats", plan.times, name=plan.name)
            words(head, tag="h2", look="b lead")
            basis = mark(coat.basis, tongue, coat.source)
            says = [
                escape(say("finish.on_in", time=tongue.duration(plan.spray))),
                escape(say("finish.flash", time=tongue.duration(plan.flash))) + basis
                if plan.times > 1 and plan.flash
                else "",
                escape(say("finish.latest", time=tongue.duration(plan.recoat_latest))) + basis
                if plan.times > 1
                else "",
                escape(say("finish.hard", time=tongue.duration(plan.cure_time))) + basis,
            ]
            markup(" · ".join(filter(None, says)), tag="p", look="note")
            markup(themed(filled(coat.window, texts)), tag="figure", look="window on-desk")
            markup(themed(filled(coat.narrow, texts)), tag="figure", look="on-phone")
        if k == len(self.view.coats) - 1 if self.view else False:
            words(say("finish.window_key"), tag="p", look="q s")

    # --- what is mixed

    def _draw_mix(self) -> None:
        view, say, tongue = self.view, self.say, self.tongue
        if view is None or not view.coats:
            return
        words(say("finish.mix"), tag="h2", look="b lead")
        words(say("finish.mix_for", area=tongue.area(view.area), parts=view.parts), tag="p", look="note")
        body = []
        for coat in view.coats:
            p = coat.plan
            first, second = p.masses
            body.append(
                (
                    escape(p.name),
                    tongue.mass(first) + mark(coat.basis, tongue, coat.source),
                    tongue.mass(second) if second else "–",
                    tongue.number(p.pots),
                    tongue.duration(p.pot_life),
                    f"{_micron(p.wet, tongue)} / {_micron(p.dry, tongue)}",
                    tongue.mass(p.mass),
                )
            )
        head = ("", say("finish.first"), say("finish.second"), say("finish.pots"), say("finish.pot_life"),
                say("finish.wet_dry"), say("finish.whole"))  # fmt: skip
        markup(rows(head, body, right=(1, 2, 3, 4, 5, 6), name=say("finish.mix")), look="wide-table on-desk")
        turned = list(zip(head, *body, strict=True))  # a phone is narrow: a column for each coat
        many = range(1, len(body) + 1)
        markup(rows(turned[0], turned[1:], right=tuple(many), name=say("finish.mix")), look="wide-table on-phone")
        words(say("finish.mix_how", by=tongue.difference(10.0, 0)), tag="p", look="q s")
        with box("div", "build"):
            texts = {
                "laminate": say("finish.laminate"),
                "build_title": say("finish.build_title", total=_micron(sum(c.plan.build for c in view.coats), tongue)),
            }
            markup(themed(filled(view.build, texts)), tag="figure", look="bond-area")
            lines = [
                (escape(c.plan.name), f"{c.plan.times} × {_micron(c.plan.dry, tongue)}") for c in reversed(view.coats)
            ]
            markup(rows(("", ""), lines, right=(1,), name=say("finish.build")))
        if view.grits:
            words(say("finish.grits"), tag="h3", look="b note")
            markup(" <span class='q'>–</span> ".join(escape(g) for g in view.grits), tag="p", look="note")

    def _draw_findings(self, found: list[Any]) -> None:
        if found:
            words(self.say("finish.findings"), tag="h2", look="b lead")
            findings(found, self.tongue)


def _micron(metres: float, tongue: Any) -> str:
    return measured(f"{tongue.number(1e6 * metres)} µm", tongue)
