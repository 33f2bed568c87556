"""The segments of a cycle as a table to write on."""

from __future__ import annotations

from functools import partial
from html import escape
from typing import TYPE_CHECKING, Any

from nicegui.element import Element

from bagside.errors import BagsideError
from bagside.quantity import Quantity, read
from bagside.web.pages.cure.edit import rate_text, temperature_text, time_text
from bagside.web.parts.amount import as_stated, for_person
from bagside.web.parts.controls import VALUE, sentences, verb
from bagside.web.parts.html import box, markup, words
from bagside.web.parts.plan_words import plan_html
from bagside.web.views.cure.run import RunShown

if TYPE_CHECKING:
    from bagside.web.pages.cure.page import CurePage

Segment = tuple[float, float, float]
COLUMNS = (
    ("to", Quantity.TEMPERATURE, "°C", temperature_text),
    ("rate", Quantity.RAMP, "°C/min", rate_text),
    ("hold", Quantity.TIME, "min", time_text),
)
MORE = 5.0  # [K] above the last: a segment that is added is seen on the chart at once


class SegmentTable:
    """The segments of the run that is shown.

    Parameters
    ----------
    page
        On which it stands.
    """

    def __init__(self, page: CurePage) -> None:
        self.page = page
        self._segments: tuple[Segment, ...] = ()
        self._cells: list[list[tuple[Element, Any]]] = []
        words(page.say("cure.segments"), tag="h2", look="b lead")
        self._body = Element("div")
        self._wrong = words("", tag="p", look="b note wrong-says")
        self._wrong._props["role"] = "alert"
        if page.may_edit:
            with box("div", "verbs-row"):
                verb(page.say("cure.add_segment"), self._add)
            words(page.say("cure.segments_how"), tag="p", look="q s")
        else:
            words(page.say("cure.twin"), tag="p", look="note")

    def show(self, run: RunShown) -> None:
        """Show the segments of a run; a line that is being written on stays.

        Parameters
        ----------
        run
            As planned, or as moved by hand.
        """
        reasons = self.page.design.reasons(run.name)
        if len(run.segments) != len(self._cells) or reasons != getattr(self, "_reasons", None):
            self._reasons = reasons
            self._segments = run.segments
            self._build(reasons)
            return
        for cells, old, new in zip(self._cells, self._segments, run.segments, strict=True):
            for (control, unit), (_, kind, plain, text), a, b in zip(cells, COLUMNS, old, new, strict=True):
                if a != b:
                    number, shown = for_person(text(b), kind, plain, self.page.tongue)
                    control._props["value"] = number
                    control.update()
                    unit.set_content(escape(shown))
        self._segments = run.segments

    def _build(self, reasons: tuple[str, ...]) -> None:
        say = self.page.say
        self._body.clear()
        self._cells = []
        with self._body, box("table", "segments", aria_label=say("cure.segments")):
            with box("thead"), box("tr"):
                for key in ("", "to", "rate", "hold", ""):
                    with box("th", "", scope="col"):
                        words(say(f"cure.segment_{key}") if key else "")
            with box("tbody"):
                for k, segment in enumerate(self._segments):
                    self._row(k, segment, reasons[k] if k < len(reasons) else "")

    def _row(self, k: int, segment: Segment, reason: str) -> None:
        say, tongue = self.page.say, self.page.tongue
        cells: list[tuple[Element, Any]] = []
        with box("tr"):
            with box("td"):
                words(str(k + 1))
            for column, ((key, kind, plain, text), value) in enumerate(zip(COLUMNS, segment, strict=True)):
                number, shown = for_person(text(value), kind, plain, tongue)
                with box("td"):
                    control = Element("input").classes("write")
                    control._props |= {
                        "type": "text", "value": number, "inputmode": "decimal", "autocomplete": "off",
                        "aria-label": say(f"cure.segment_{key}_of", number=k + 1),
                    }  # fmt: skip
                    if not self.page.may_edit:
                        control._props["disabled"] = True
                    control.on(
                        "change",
                        partial(self._typed, k, column),
                        js_handler=VALUE,
                    )
                    unit = words(shown, look="unit q")
                cells.append((control, unit))
            with box("td"):
                if len(self._segments) > 1 and self.page.may_edit:
                    verb(say("cure.remove"), partial(self._remove, k), name=say("cure.remove_of", number=k + 1))
        if reason:
            with box("tr", "reason"), box("td", "w q s", colspan="5"):
                markup(plan_html(reason, tongue), tag="span")
        self._cells.append(cells)

    def _typed(self, k: int, column: int, event: Any) -> None:
        self._changed(k, column, str(event.args))

    def _changed(self, k: int, column: int, typed: str) -> None:
        control = self._cells[k][column][0]
        key, kind, plain, text = COLUMNS[column]
        _, shown = for_person(text(self._segments[k][column]), kind, plain, self.page.tongue)
        try:
            value = read(as_stated(typed or "0", kind, shown, self.page.tongue), kind)
            if key == "rate" and not value > 0.0:
                as_stated("x", kind, shown, self.page.tongue)
        except BagsideError as error:
            control.classes(add="wrong")
            self._wrong.set_content(escape(sentences(error)))
            return
        control.classes(remove="wrong")
        self._wrong.set_content("")
        changed = list(self._segments[k])
        changed[column] = value
        segments = [*self._segments]
        segments[k] = (changed[0], changed[1], changed[2])
        self._write(segments, self.page.say("cure.segment_changed", number=k + 1))

    def _add(self) -> None:
        target, rate, _ = self._segments[-1]
        hottest = self.page.view.case.oven.hottest if self.page.view is not None else target
        more: Segment = (min(target + MORE, hottest), rate, 1800.0)
        self._write([*self._segments, more], self.page.say("cure.segment_added"))

    def _remove(self, k: int) -> None:
        rest = [s for i, s in enumerate(self._segments) if i != k]
        self._write(rest, self.page.say("cure.segment_removed", number=k + 1))

    def _write(self, segments: list[Segment], what: str) -> None:
        self.page.tried.ask(tuple(segments))
        self.page.write_segments(what, tuple(segments))
