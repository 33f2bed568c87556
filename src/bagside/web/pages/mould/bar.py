"""What is being done while the mould is looked at: which step of how many, for how long, and a stop."""

from __future__ import annotations

import time
from html import escape

from nicegui import ui

from bagside.web.pages.mould.watch import MouldWatch
from bagside.web.parts.controls import verb
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.html import box, markup

STEPS = {
    "Opening the mould": "opening",
    "Reading the mould's bends": "bends",
    "Finding tight corners": "corners",
    "Drawing the mould": "drawing",
}
"""Stages of the look, in their order, as the stage log names them; what is between two belongs to the one before."""


class LookingBar:
    """The bar; made where it shall stand.

    Parameters
    ----------
    watch
        The look at the mould.
    sheet
        The page's.
    """

    def __init__(self, watch: MouldWatch, sheet: JobSheet) -> None:
        self._watch, self._sheet = watch, sheet
        self._step = 0
        with box("div", "mould-busy"):
            self._bar = markup("", tag="div")
            self._said = markup("", tag="span")
            verb(sheet.say("common.stop_work"), watch.stop)
            ui.timer(0.5, self._show)
        self._show()

    def _show(self) -> None:
        names = list(STEPS)
        if self._watch.now in names:
            self._step = names.index(self._watch.now)
        what = self._sheet.say(f"mould.stage_{STEPS[names[self._step]]}")
        seconds = self._sheet.tongue.number(time.monotonic() - self._watch.since, 1)
        self._said.set_content(escape(self._sheet.say("mould.looking", what=what, seconds=seconds)))
        done = "".join(f"<i{' class=done' if k < self._step else ''}></i>" for k in range(len(names)))
        if self._bar.content != done:
            self._bar.set_content(done)
