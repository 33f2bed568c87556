"""What finish is wanted: filler and coats as lines, written into the job."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

import tomlkit

from bagside.errors import BagsideError, InputError
from bagside.web.parts.controls import choice, entry, verb
from bagside.web.parts.html import box, words

if TYPE_CHECKING:
    from bagside.web.pages.finish.page import FinishPage

MOST_PASSES = 6
NOBODY_FILLS = ""


class Wanted:
    """The fields of the page.

    Parameters
    ----------
    page
        The page.
    """

    def __init__(self, page: FinishPage) -> None:
        self.page = page

    @property
    def may_edit(self) -> bool:
        """Whether this job states its own finish."""
        return "mirror" not in self.page.desk.file.document()

    def draw(self) -> None:
        """Draw them."""
        view, say = self.page.view, self.page.say
        if view is None:
            return
        if not self.may_edit:
            words(say("finish.twin"), tag="p", look="note")
            return
        stated = self.page.desk.file.document().get("finish", {})
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
        with self.page.parts.keeping("fields"):
            self._edit(what, change)

    def _edit(self, what: str, change: Any) -> None:
        def changed(document: Any) -> None:
            if "finish" not in document:
                document.append("finish", tomlkit.table())
            change(document["finish"])

        self.page.sheet.edit(self.page.say(f"finish.edit_{what}"), changed)

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
            raise InputError.one("", text, self.page.say("finish.whole_number", least=least, most=MOST_PASSES))
        return int(text)

    def _add(self) -> None:
        view = self.page.view
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
            self.page.sheet.tell(error)
