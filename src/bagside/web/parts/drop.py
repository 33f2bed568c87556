"""A place on a page where a file is dropped, or chosen by hand."""

from __future__ import annotations

from collections.abc import Callable, Collection
from pathlib import Path
from typing import Any

from nicegui.element import Element

from bagside.web.guard import Kind
from bagside.web.guard.kinds import SUFFIXES
from bagside.web.parts.frame import Sheet
from bagside.web.uploads import Wait, wait_for, wait_no_more

MEGA = 1_000_000


class Drop(Element, component="drop.js"):
    """A place where a file is dropped; it shows how far the file has come, and why one was not taken.

    Parameters
    ----------
    sheet
        The page it stands on.
    name
        What is wanted here: a title over it.
    kinds
        That are taken.
    most
        Bytes that are taken.
    took
        Called with the file, which is thrown away after unless moved, and with the name its sender gave it. What it
        raises is told in the place.
    camera
        Whether a phone opens its camera.
    """

    def __init__(
        self,
        sheet: Sheet,
        name: str,
        *,
        kinds: Collection[Kind],
        most: int,
        took: Callable[[Path, str], Any],
        camera: bool = False,
    ) -> None:
        super().__init__()
        say = sheet.say
        self.address = wait_for(Wait(kinds=kinds, most=most, took=took, client=sheet.client))
        shown = ", ".join(sorted(k.value[1:].upper() for k in kinds))
        self._props |= {
            "address": self.address,
            "accept": ",".join(sorted(s for s, k in SUFFIXES.items() if k in kinds)),
            "most": most,
            "name": name,
            "camera": camera,
            "words": {
                "here": say("asked.drop_here"),
                "choose": say("asked.drop_choose"),
                "kinds": say("asked.drop_kinds", kinds=shown, most=sheet.tongue.number(most / MEGA)),
                "coming": say("asked.drop_coming", name="{name}", done="{done}", all="{all}"),
                "read": say("asked.drop_read", name="{name}"),
                "stop": say("asked.drop_stop"),
                "failed": say("asked.drop_failed", name="{name}"),
            },
        }

    def _handle_delete(self) -> None:
        """End the wait with the element: a page that is drawn anew, or left, waits for nothing."""
        wait_no_more(getattr(self, "address", ""))  # it has none yet when its page goes while it is made
        super()._handle_delete()
