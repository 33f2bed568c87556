"""The page of plies, put together: the ply in hand on the mould, its flat pieces, the list, the numbers."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from html import escape
from typing import Any

from nicegui import ui
from nicegui.element import Element

from bagside.sheets.themed import themed
from bagside.web.house import House
from bagside.web.model import laying_edits as edits
from bagside.web.model.job_desk import Shown
from bagside.web.pages.plies.fields import PlyFields
from bagside.web.pages.plies.flats import PlyFlats
from bagside.web.pages.plies.notes import PlyNotes
from bagside.web.pages.plies.numbers import numbers
from bagside.web.pages.plies.ply_list import PlyList
from bagside.web.pages.plies.rows import Laid, Stack, area_unit, rows_of, stack_of
from bagside.web.pages.plies.tools import PlyTools
from bagside.web.parts.controls import link, verb
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.html import box, markup, words
from bagside.web.scene.named import FieldWords, named
from bagside.web.scene.view import MeshView
from bagside.web.views.plies_shown import FIELDS, PliesView, PlyShown
from bagside.web.words.drawings import drawn

_DRAPING = re.compile(r"(?:Draping piece|Cutting ply|Looking for cuts of ply) (\S+)")
FOR_STACK = ("add", "mirror_stack")
"""What is done to the stack and not to the ply in hand."""


class PlyPage:
    """What stands on the page; it stays while views come and go, and so does from where the picture is looked at.

    Parameters
    ----------
    house, sheet
        The workshop, and the page's sheet.
    hand
        The ply that is in hand at first, from 0; the last one that is cut in pieces, or the first, when None.
    """

    def __init__(self, house: House, sheet: JobSheet, hand: int | None) -> None:
        self.house, self.sheet, self.desk = house, sheet, sheet.desk
        self.hand = hand
        self.field = ""
        self.view: PliesView | None = None
        self.stack = Stack(job=None, plies=())
        self._mesh: MeshView | None = None
        self._address = ""
        self._notes = PlyNotes(self)
        say = sheet.say
        with sheet.root:
            self._root = Element("div").classes("plies")
            self._root.move(sheet.root, _after(sheet))
            self._root.set_visibility(False)
        with self._root:
            with box("section", "ply-picture") as self._picture:
                with box("div", "ply-map"):
                    with box("div", "ply-head"):
                        self._title = words("", tag="h2", look="lead b")
                        self._choice = Element("div").classes("ply-choice")
                        self._choice._props |= {"role": "group", "aria-label": say("plies.map")}
                    with box("div", "ply-bar"):
                        self.tools = PlyTools(self)
                        with box("div", "ply-now"):
                            self._busy = markup("", tag="span")
                            self._stop = verb(say("common.stop_work"), self.desk.stop)
                            self._stop.set_visibility(False)
                    self._holder = Element("div").classes("ply-holder")
                with box("div", "ply-flats") as beside:
                    self._flats = PlyFlats(self)
                self.tools.panel.move(beside, 0)
            with box("section", "ply-strip"):
                self._list = PlyList(
                    self._words(), on_hand=self.take, on_move=self._moved, on_leave=self._left
                )  # fmt: skip
                with box("div", "ply-right"):
                    self._make_right()
            self._fields = PlyFields(sheet, house.library, house.workshop)
        ui.timer(0.5, self._working)

    # --- what others of this page ask

    @property
    def laid(self) -> Laid | None:
        """The ply in hand."""
        return self.stack.plies[self.hand] if self.hand is not None and self.hand < len(self.stack.plies) else None

    @property
    def mesh(self) -> MeshView | None:
        """The picture in three dimensions; None when there is none."""
        return self._mesh

    def take(self, which: int) -> None:
        """Take a ply in hand.

        Parameters
        ----------
        which
            From 0.
        """
        if which != self.hand:
            self.hand = which
            self.tools.put_away()
            self.refresh()
            ui.navigate.history.replace(f"/job/{self.desk.name}/plies?ply={which + 1}")

    def heard(self, what: str) -> None:
        """Hear what has changed in the job.

        Parameters
        ----------
        what
            See `JobDesk.watch`.
        """
        if what in ("working", "planned"):
            with self.sheet.client:
                self._working()
        if what in ("text", "planned") and self.view is not None:
            with self.sheet.client:
                self.refresh()

    def draw(self, shown: Shown) -> None:
        """Show a view.

        Parameters
        ----------
        shown
            From the job's desk.
        """
        self.view = shown.view
        self._root.set_visibility(True)
        self.refresh()

    # --- drawing

    def refresh(self) -> None:
        """Show what is known now."""
        view = self.view
        if view is None:
            return
        library = self.house.library()
        self.stack = stack_of(self.desk.file.text, library, view)
        if self.hand is None:
            self.hand = next((k for k, laid in enumerate(self.stack.plies) if laid.ply.cuts), 0)
        self.hand = min(self.hand, len(self.stack.plies) - 1)
        laid = self.stack.plies[self.hand]
        shown = laid.shown
        at = view.plies.index(shown) if shown is not None else min(self.hand, len(view.plies) - 1)
        section = view.sections[at] if at < len(view.sections) else None
        places = [None if one.shown is None else view.plies.index(one.shown) for one in self.stack.plies]
        ends = [None if section is None or k is None else section.ends[k] for k in places]
        self._list.show(
            rows_of(self.stack, library, self.hand, self.sheet.tongue),
            self.hand,
            "" if section is None else themed(drawn(section.svg, self.sheet.tongue)),
            ends,
        )
        self._title.set_content(escape(self.sheet.say("plies.title", number=self.hand + 1, where=laid.ply.region)))
        self._show_choice(shown)
        self._show_mesh(view, laid)
        self._flats.show(laid, self.field)
        self._show_numbers(laid)
        self._fields.show(self.stack.job, laid, self.hand + 1)
        self.tools.show()
        self._working()

    def _words(self) -> dict[str, str]:
        say = self.sheet.say
        keys = ("table", "ply", "where", "pieces", "shear", "time", "order", "below", "carry")
        return {key: say(f"plies.list_{key}") for key in keys} | {"area": area_unit(self.sheet.tongue)}

    def _show_choice(self, shown: PlyShown | None) -> None:
        draped = shown is not None and shown.shown != ""
        if draped and self.field not in FIELDS:
            self.field = "warp" if shown is not None and shown.shown == "stretch" else "shear"
        self._choice.clear()
        if not draped:
            return
        with self._choice:
            for key in FIELDS:
                button = verb(self.sheet.say(f"plies.by_{key}"), lambda key=key: self._by(key))  # type: ignore[misc]
                button._props["aria-pressed"] = "true" if key == self.field else "false"

    def _by(self, key: str) -> None:
        self.field = key
        if self._mesh is not None:
            self._mesh.show_field(key)
        self._show_choice(None if self.laid is None else self.laid.shown)
        if self.laid is not None:
            self._flats.show(self.laid, self.field)

    def _show_mesh(self, view: PliesView, laid: Laid) -> None:
        shown = laid.shown
        self._picture.classes(add="bare" if not view.surface else "", remove="bare" if view.surface else "")
        if shown is None or shown.mesh is None or shown.mesh >= len(view.meshes):
            return
        tongue, say = self.sheet.tongue, self.sheet.say
        limit = "" if shown.locking is None else say("plies.wrinkles_from", angle=tongue.angle(shown.locking, 0))
        maps = {
            key: FieldWords(
                name=say(f"plies.scale_{key}"), spoken=say("plies.degrees" if key == "shear" else "plies.per_cent"),
                limit_says=limit if key == "shear" else "",
            )
            for key in FIELDS
        }  # fmt: skip
        address = self.house.blob(named(view.meshes[shown.mesh], maps))
        field = self.field if shown.shown else ""
        if self._mesh is None:
            still = f'<img src="/job/{self.desk.name}/plies/still/{self.hand}" alt="">'
            with self._holder:
                self._mesh = MeshView(
                    address, tongue=tongue, label=say("plies.picture"), field=field, on_pick=self.tools.picked,
                    on_drag=self.tools.dragged, fallback=still,
                )  # fmt: skip
        elif address != self._address:
            self._mesh.show(address, field=field)
        self._address = address
        self._notes.show(self._mesh, laid)

    def _show_numbers(self, laid: Laid) -> None:
        view = self.view
        self._numbers.set_content(numbers(laid, (self.hand or 0) + 1, self.sheet.tongue))
        twin = view is not None and view.twin_of
        self._twin.set_visibility(bool(twin))
        if view is not None and twin and not self._twin.default_slot.children:
            with self._twin:
                words(self.sheet.say("plies.twin") + " ")
                link(self.sheet.say("plies.twin_there"), f"/job/{view.twin_of}/plies")
        stated = self.stack.job is not None
        self._built.set_visibility(stated and laid.stated is None)
        for key, one in self._acts.items():
            one.set_visibility(stated and (laid.stated is not None or key in FOR_STACK))
            one._props["aria-label"] = self.sheet.say(f"plies.{key}_name", number=(self.hand or 0) + 1)
            one.update()

    def _make_right(self) -> None:
        """Make the numbers and the verbs; they stay, so that no click is lost to a change that comes from elsewhere."""
        say = self.sheet.say
        self._numbers = markup("")
        self._twin = Element("p").classes("note")
        self._built = words(say("plies.build_up"), tag="p", look="note q")
        acts: dict[str, Callable[[Any, int], None]] = {
            "copy": edits.copied, "mirror": edits.turned, "leave": edits.removed, "add": edits.one_more,
            "mirror_stack": lambda document, _: edits.stack_mirrored(document),
        }  # fmt: skip
        with box("div", "ply-verbs"):
            self._acts = {
                key: verb(say(f"plies.{key}"), lambda key=key, act=act: self._act(key, act))  # type: ignore[misc]
                for key, act in acts.items()
            }

    def _act(self, key: str, act: Callable[[Any, int], None]) -> None:
        """Do one of the verbs to the ply in hand; what concerns the stack is done over a build-up's ply too."""
        laid, job, say = self.laid, self.stack.job, self.sheet.say
        if laid is None or job is None or (laid.stated is None and key not in FOR_STACK):
            return
        stated = len(job.plies) - 1 if laid.stated is None else laid.stated
        what = say(f"plies.did_{key}", number=(self.hand or 0) + 1)
        self.sheet.doing(lambda: self.sheet.edit(what, lambda document: act(document, stated)))()

    # --- changes from the list

    def _moved(self, which: int, to: int) -> None:
        here, there = self.stack.plies[which].stated, self.stack.plies[to].stated
        if here is None or there is None:
            return
        say = self.sheet.say
        self.hand = to
        self.sheet.doing(
            lambda: self.sheet.edit(
                say("plies.did_move", number=which + 1, to=to + 1), lambda d: edits.moved(d, here, there)
            )
        )()
        self.refresh()

    def _left(self, which: int) -> None:
        stated = self.stack.plies[which].stated
        if stated is not None:
            self.sheet.doing(
                lambda: self.sheet.edit(
                    self.sheet.say("plies.did_leave", number=which + 1), lambda d: edits.removed(d, stated)
                )
            )()

    # --- what is being worked out

    def _working(self) -> None:
        working, say = self.desk.working, self.sheet.say
        if working is None:
            if self._busy.content:
                self._busy.set_content("")
                self._stop.set_visibility(False)
            return
        seconds = self.sheet.tongue.number(time.monotonic() - working.since, 1)
        found = _DRAPING.match(working.now)
        what = say("plies.draping", piece=found[1]) if found else say("plies.working")
        fresh = self.laid is None or self.laid.fresh
        tail = "" if fresh else " " + say("plies.old_picture")
        self._busy.set_content(escape(f"{what}, {seconds} s.{tail}"))
        self._stop.set_visibility(True)


def _after(sheet: JobSheet) -> int:
    """Return where the page's own part stands: right after the body, which says what cannot be worked out."""
    return sheet.root.default_slot.children.index(sheet.body) + 1
