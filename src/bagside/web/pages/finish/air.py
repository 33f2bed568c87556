"""The day's air: as it was read, as the workshop states it or as it is typed, and whether a coat may go on in it."""

from __future__ import annotations

from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from nicegui.element import Element

from bagside.errors import InputError
from bagside.finishing import climate_findings, climate_of
from bagside.finishing.climate import ABOVE_DEW
from bagside.ledger.gates.coat import READ_WITHIN
from bagside.quantity import Quantity, read
from bagside.sheets.themed import themed
from bagside.web.model.shop_desk import shop_desk
from bagside.web.pages.join.parts import filled
from bagside.web.parts.amount import amount
from bagside.web.parts.cautions import asks_first
from bagside.web.parts.findings import finding
from bagside.web.parts.frame import now
from bagside.web.parts.html import markup, words
from bagside.web.views.finish.drawn import NARROW, WIDE, air_picture

if TYPE_CHECKING:
    from bagside.web.pages.finish.page import FinishPage

SPAN = (273.15, 308.15)
"""Of the air's picture [K]."""


class DayAir:
    """The air on the page.

    Parameters
    ----------
    page
        The page.
    place
        Where it stands.
    """

    def __init__(self, page: FinishPage, place: Element) -> None:
        self.page, self.place = page, place
        self.air: float | None = None
        self.humidity: float | None = None
        self.surface: float | None = None
        self.typed = False
        self.read_at: datetime | None = None
        self.shop = shop_desk(page.house)

    def follow(self) -> None:
        """Take what is read in the workshop, now and as long as the page is open."""
        self.page.sheet.leaving(self.shop.watch(self._was_read))
        self._was_read()
        if self.shop.view is None:
            self.shop.look()

    def _was_read(self) -> None:
        board = self.shop.view
        last = None if board is None or board.air is None else board.air.last
        if last is not None and now() - last.at < READ_WITHIN and not self.typed:
            self.air, self.humidity, self.surface, self.read_at = last.temperature, last.humidity, None, last.at
        if self.page.view is not None:
            with self.page.parts.holder:
                self.draw()

    def draw(self) -> None:
        """Draw it, when it or what the coats bear has changed."""
        view = self.page.view
        if view is None:
            return
        if self.air is None:
            self.air, self.humidity = view.climate.air, view.climate.humidity
        limits = tuple((c.coating.coldest, c.coating.wettest) for c in view.coats)
        state = (self.air, self.humidity, self.surface, self.read_at, limits)
        self.page.parts.part("air", self.place, state, self._show)

    def _show(self) -> None:
        view, say, tongue = self.page.view, self.page.say, self.page.tongue
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
            raise InputError.one("", text, self.page.say("finish.humidity_wanted"))
        setattr(self, name, value)
        self.typed = True
        self.draw()


def _celsius(kelvin: float) -> str:
    return f"{kelvin - 273.15:.1f} °C"
