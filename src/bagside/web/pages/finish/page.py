"""Finish: what hurts first, then the day's air, the coats and their windows, what is mixed, the grits."""

from __future__ import annotations

from functools import partial
from html import escape
from typing import Any

import tomlkit
from nicegui.element import Element

from bagside.errors import BagsideError, InputError
from bagside.finishing import climate_findings, climate_of
from bagside.finishing.climate import ABOVE_DEW
from bagside.ledger.gates.coat import READ_WITHIN
from bagside.quantity import Quantity, read
from bagside.sheets.themed import themed
from bagside.web.house import House
from bagside.web.model.job_desk import Shown
from bagside.web.model.shop_desk import shop_desk
from bagside.web.pages.join.parts import filled
from bagside.web.parts.amount import amount
from bagside.web.parts.basis import mark
from bagside.web.parts.cautions import asks_first, caution
from bagside.web.parts.controls import choice, entry, verb
from bagside.web.parts.findings import finding, findings
from bagside.web.parts.frame import JobSheet, now, rows
from bagside.web.parts.html import box, markup, words
from bagside.web.parts.kept_parts import KeptParts
from bagside.web.views.finish.drawn import NARROW, WIDE, air_picture
from bagside.web.views.finish.view import CoatShown, FinishView

MOST_PASSES = 6
SPAN = (273.15, 308.15)
"""Of the air's picture [K]."""
NOBODY_FILLS = ""


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
        self.air: float | None = None
        self.humidity: float | None = None
        self.surface: float | None = None
        self.typed = False
        self.read_at: Any = None
        self.parts = KeptParts(sheet)
        with self.parts.holder:
            self._caution = Element("div")
            self._coats = Element("section").classes("picture finish")
            with box("section", "columns cure-columns"):
                self._air = Element("div")
                self._mix = Element("div")
            with box("section", "columns cure-columns"):
                self._fields, self._found = Element("div").classes("finish-fields"), Element("div")
        self.parts.follow(self._draw)
        self.shop = shop_desk(house)
        sheet.leaving(self.shop.watch(self._air_was_read))
        self._air_was_read()
        if self.shop.view is None:
            self.shop.look()

    def _draw(self, shown: Shown) -> None:
        view: FinishView = shown.view
        self.view = view
        sprayed = any(c.plan.isocyanate for c in view.coats)
        hazards = (*(("isocyanate",) if sprayed else ()), "solvent", "dust") if view.coats else ()
        if hazards:
            self.parts.part("caution", self._caution, hazards, partial(caution, self.tongue, hazards))
        self.parts.part("coats", self._coats, shown.digest, self._draw_coats)
        self._draw_air()
        self.parts.part("mix", self._mix, shown.digest, self._draw_mix)
        document = self.desk.file.document()
        stated = str(document.get("finish", ""))
        self.parts.part("fields", self._fields, (stated, view.coatings), self._draw_fields)
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

    # --- the air

    def _air_was_read(self) -> None:
        board = self.shop.view
        last = None if board is None or board.air is None else board.air.last
        if last is not None and now() - last.at < READ_WITHIN and not self.typed:
            self.air, self.humidity, self.surface, self.read_at = last.temperature, last.humidity, None, last.at
        if self.view is not None:
            with self.parts.holder:
                self._draw_air()

    def _draw_air(self) -> None:
        view = self.view
        if view is None:
            return
        if self.air is None:
            self.air, self.humidity = view.climate.air, view.climate.humidity
        limits = tuple((c.coating.coldest, c.coating.wettest) for c in view.coats)
        state = (self.air, self.humidity, self.surface, self.read_at, limits)
        self.parts.part("air", self._air, state, self._show_air)

    def _show_air(self) -> None:
        view, say, tongue = self.view, self.say, self.tongue
        if view is None or self.air is None or self.humidity is None:
            return
        words(say("finish.air"), tag="h2", look="b lead")
        source = say("finish.air_typed") if self.typed else (
            say("finish.air_stated") if self.read_at is None
            else say("finish.air_read", clock=tongue.clock(self.read_at.astimezone()))
        )  # fmt: skip
        words(source, tag="p", look="q s")
        amount(tongue, say("finish.room"), _celsius(self.air), Quantity.TEMPERATURE, "°C", partial(self._typed, "air"))
        amount(tongue, say("finish.humidity"), f"{100 * self.humidity:.0f} %", Quantity.HUMIDITY, "%",
               partial(self._typed, "humidity"))  # fmt: skip
        amount(tongue, say("finish.surface"), "" if self.surface is None else _celsius(self.surface),
               Quantity.TEMPERATURE, "°C", partial(self._typed, "surface"), may_be_empty=True,
               hint=say("finish.surface_how"))  # fmt: skip
        try:
            climate = climate_of(self.air, self.humidity, self.surface)
        except InputError as error:
            words(" ".join(str(p) for p in error.problems), tag="p", look="find stop")
            return
        coldest = max((c.coating.coldest for c in view.coats), default=0.0)
        wettest = min((c.coating.wettest for c in view.coats), default=1.0)
        least = max(climate.dew_point + ABOVE_DEW, coldest)
        texts = {
            "dew": say("finish.dew", at=tongue.temperature(climate.dew_point)),
            "least": say("finish.least", at=tongue.temperature(least)),
            "part": tongue.temperature(climate.surface),
            "part_row": say("finish.part_row"),
            "air_row": say("finish.air_row"),
            "air": tongue.share(climate.humidity),
            "wettest": say("finish.wettest", at=tongue.share(wettest)),
            "air_title": say("finish.air_title", part=tongue.temperature(climate.surface),
                             least=tongue.temperature(least), air=tongue.share(climate.humidity),
                             wettest=tongue.share(wettest)),
        }  # fmt: skip
        texts |= {f"c{c}": tongue.temperature(c + 273.15) for c in range(-20, 61, 5)}
        for wide, look in ((WIDE, "on-desk"), (NARROW, "on-phone")):
            picture = air_picture(
                climate.dew_point, climate.surface, least, climate.humidity, wettest, span=SPAN, wide=wide
            )
            markup(themed(filled(picture, texts)), tag="figure", look=look)
        noted = [
            f
            for c in view.coats
            for f in climate_findings(climate, coldest=c.coating.coldest, wettest=c.coating.wettest, place=c.plan.name)
        ]
        for found in asks_first(noted)[:3]:
            finding(found, tongue)
        if not noted:
            words(say("finish.fit"), tag="p", look="b note")

    def _typed(self, name: str, text: str) -> None:
        kind = Quantity.HUMIDITY if name == "humidity" else Quantity.TEMPERATURE
        value = read(text, kind) if text else None
        if name == "humidity" and value is not None and not 0.0 < value <= 1.0:
            raise InputError.one("", text, self.say("finish.humidity_wanted"))
        setattr(self, name, value)
        self.typed = True
        self._draw_air()

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
                    f"{tongue.number(1e6 * p.wet)} / {tongue.number(1e6 * p.dry)} µm",
                    tongue.mass(p.mass),
                )
            )
        head = ("", say("finish.first"), say("finish.second"), say("finish.pots"), say("finish.pot_life"),
                say("finish.wet_dry"), say("finish.whole"))  # fmt: skip
        markup(rows(head, body, right=(1, 2, 3, 4, 5, 6), name=say("finish.mix")), look="wide-table on-desk")
        turned = list(zip(head, *body, strict=True))  # a phone is narrow: a column for each coat
        many = range(1, len(body) + 1)
        markup(rows(turned[0], turned[1:], right=tuple(many), name=say("finish.mix")), look="wide-table on-phone")
        words(say("finish.mix_how"), tag="p", look="q s")
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

    # --- what is wanted

    @property
    def may_edit(self) -> bool:
        """Whether this job states its own finish."""
        return "mirror" not in self.desk.file.document()

    def _draw_fields(self) -> None:
        view, say = self.view, self.say
        if view is None:
            return
        if not self.may_edit:
            words(say("finish.twin"), tag="p", look="note")
            return
        stated = self.desk.file.document().get("finish", {})
        words(say("finish.wanted"), tag="h2", look="b lead")
        fillers = {NOBODY_FILLS: say("finish.no_filler")} | {c: c for c in view.coatings}
        choice(say("finish.filler"), fillers, str(stated.get("filler", "")), self._filler)
        entry(say("finish.fill_passes"), str(stated.get("fill_passes", 0)), self._passes, mode="numeric", wide="4em")
        coats = stated.get("coats") or []
        for k, coat in enumerate(coats):
            with box("div", "coat-fields"):
                choice(say("finish.coat", number=k + 1), {c: c for c in view.coatings}, str(coat.get("coating", "")),
                       partial(self._coating, k))  # fmt: skip
                entry(
                    say("finish.times"), str(coat.get("times", 1)), partial(self._times, k), mode="numeric", wide="4em"
                )
                verb(say("finish.remove"), partial(self._remove, k), name=say("finish.remove_of", number=k + 1))
        with box("div", "verbs-row"):
            verb(say("finish.add"), self._add)

    def _set(self, what: str, change: Any) -> None:
        """Write what a line says; the lines stay, and so does the place of the hand."""
        with self.parts.keeping("fields"):
            self._edit(what, change)

    def _edit(self, what: str, change: Any) -> None:
        def changed(document: Any) -> None:
            if "finish" not in document:
                document.append("finish", tomlkit.table())
            change(document["finish"])

        self.sheet.edit(self.say(f"finish.edit_{what}"), changed)

    def _filler(self, name: str) -> None:
        def change(finish: Any) -> None:
            if name:
                finish["filler"] = name
                if not finish.get("fill_passes"):
                    finish["fill_passes"] = 1
            else:
                finish.pop("filler", None)
                finish.pop("fill_passes", None)

        self._edit("filler", change)

    def _passes(self, text: str) -> None:
        count = self._whole(text, 0)
        self._set("passes", lambda finish: finish.__setitem__("fill_passes", count))

    def _coating(self, k: int, name: str) -> None:
        self._set("coat", lambda finish: finish["coats"][k].__setitem__("coating", name))

    def _times(self, k: int, text: str) -> None:
        count = self._whole(text, 1)
        self._set("coat", lambda finish: finish["coats"][k].__setitem__("times", count))

    def _whole(self, text: str, least: int) -> int:
        if not text.strip().isdigit() or not least <= int(text) <= MOST_PASSES:
            raise InputError.one("", text, self.say("finish.whole_number", least=least, most=MOST_PASSES))
        return int(text)

    def _add(self) -> None:
        view = self.view
        if view is None or not view.coatings:
            return
        last = next((c.plan.name for c in reversed(view.coats) if not c.filler), view.coatings[0])

        def change(finish: Any) -> None:
            coat = tomlkit.inline_table()
            coat.append("coating", last)
            coat.append("times", 1)
            if "coats" in finish:
                finish["coats"].append(coat)
            else:
                coats = tomlkit.array()
                coats.append(coat)
                finish["coats"] = coats

        self._told("added", change)

    def _remove(self, k: int) -> None:
        def change(finish: Any) -> None:
            del finish["coats"][k]
            if not len(finish["coats"]):
                finish.pop("coats")

        self._told("removed", change)

    def _told(self, what: str, change: Any) -> None:
        try:
            self._edit(what, change)
        except BagsideError as error:
            self.sheet.tell(error)

    def _draw_findings(self, found: list[Any]) -> None:
        if found:
            words(self.say("finish.findings"), tag="h2", look="b lead")
            findings(found, self.tongue)


def _celsius(kelvin: float) -> str:
    return f"{kelvin - 273.15:.1f} °C"


def _micron(metres: float, tongue: Any) -> str:
    return f"{tongue.number(1e6 * metres)} µm"
