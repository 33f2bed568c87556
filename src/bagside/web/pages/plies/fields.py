"""A ply as it is stated, to be changed in place: cloth, angle, place, start, cuts; and what holds for all plies."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

from nicegui.element import Element

from bagside.errors import InputError
from bagside.quantity import Quantity
from bagside.spec.fields import SomeLength
from bagside.spec.job import Face, Job
from bagside.spec.library import Library
from bagside.spec.lines import Cut, Join, Pieces
from bagside.spec.region import EVERYTHING
from bagside.spec.workshop import Workshop
from bagside.web.model import cut_edits
from bagside.web.model import laying_edits as edits
from bagside.web.model.job_tables import millimetres, point_text
from bagside.web.pages.plies.rows import Laid
from bagside.web.parts.amount import amount
from bagside.web.parts.controls import choice, entry, tick, verb
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.html import box, words

Change = Callable[[Any], None]


class PlyFields:
    """The fields of the ply in hand.

    Parameters
    ----------
    sheet
        Of the job; edits go through it.
    library, workshop
        Say which cloths can be named; None when they cannot be read.

    Notes
    -----
    Fields are drawn anew only when what is stated differs from what they show: who goes from field to field with the
    keyboard keeps the place.
    """

    def __init__(
        self, sheet: JobSheet, library: Callable[[], Library | None], workshop: Callable[[], Workshop | None]
    ) -> None:
        self._sheet, self._library, self._workshop = sheet, library, workshop
        self._shown: object = None
        self._framed: object = None
        self._writing = False
        self._root = Element("section").classes("ply-fields")

    def show(self, job: Job | None, laid: Laid | None, number: int) -> None:
        """Show a ply.

        Parameters
        ----------
        job
            As stated; nothing is shown when None.
        laid
            The ply.
        number
            Of it, from 1.
        """
        stated = None if job is None or laid is None or laid.stated is None else laid.stated
        now = frame = None
        if job is not None and stated is not None:
            frame = self._frame(job, stated, number)
            now = (frame, job.plies[stated], job.lines, job.laying)
        own = self._writing and frame == self._framed and frame is not None
        if own or (now == self._shown and now is not None):
            self._shown = now
            return
        self._shown, self._framed = now, frame
        self._root.clear()
        if job is None or stated is None:
            return
        with self._root:
            words(self._sheet.say("plies.as_stated", number=number), tag="h2", look="b")
            with box("div", "ply-columns"):
                with box("div"):
                    self._cloth(job, stated)
                with box("div"):
                    self._laying(job, stated)
                with box("div"):
                    self._cuts(job, stated)
                with box("div"):
                    self._for_all(job)

    def _frame(self, job: Job, stated: int, number: int) -> object:
        """Return what fields there are: as long as it is the same, a change made here draws none of them anew."""
        ply, library = job.plies[stated], self._library()
        cloth = None if library is None else library.prepreg.get(ply.material)
        cuts = tuple((cut.line, cut.join is Join.BUTT) for cut in ply.cuts)
        return (
            stated, number, tuple(job.regions), tuple(job.lines), tuple(job.templates), len(job.plies), cuts,
            ply.start is None, ply.pieces, cloth is not None and cloth.one_faced, len(ply.templates),
        )  # fmt: skip

    def _edit(self, what: str, change: Change) -> None:
        """Change the file; what the fields show is what the person wrote, so they are not drawn anew for it."""
        self._writing = True
        try:
            self._sheet.edit(what, change)
        finally:
            self._writing = False

    def _put(self, stated: int, key: str, value: Any, what: str) -> None:
        self._edit(what, lambda document: edits.put(document, stated, key, value))

    # --- cloth, angle, place

    def _cloth(self, job: Job, stated: int) -> None:
        say, ply, n = self._sheet.say, job.plies[stated], stated + 1
        choice(
            say("plies.material"), {name: name for name in self._cloths(job)}, ply.material,
            lambda value: self._put(stated, "material", value, say("plies.did_material", number=n, value=value)),
        )  # fmt: skip
        entry(
            say("plies.angle"), f"{math.degrees(ply.angle):g}", lambda text: self._angle(stated, text),
            unit="°", hint=say("plies.angle_hint"), wide="7em", mode="decimal",
        )  # fmt: skip
        places = {EVERYTHING: say("plies.everything")} if job.measured is None else {}
        places |= {name: name for name in (job.regions if job.measured is None else job.measured.places)}
        choice(
            say("plies.region"), places, ply.region,
            lambda value: self._put(stated, "region", value, say("plies.did_region", number=n, value=value)),
        )  # fmt: skip
        if len(ply.templates) == 1:
            choice(
                say("plies.card"), {name: name for name in job.templates}, ply.templates[0].template,
                lambda value: self._put(
                    stated, "templates", _cards(value, ply.templates[0].copies),
                    say("plies.did_card", number=n, value=value),
                ),
            )  # fmt: skip
        library = self._library()
        cloth = None if library is None else library.prepreg.get(ply.material)
        if cloth is not None and cloth.one_faced:
            faces = {face.value: say(f"plies.face_{face.value}") for face in Face}
            choice(
                say("plies.face"), faces, ply.face.value,
                lambda value: self._put(stated, "face", value, say("plies.did_face", number=n)),
            )  # fmt: skip

    def _cloths(self, job: Job) -> Sequence[str]:
        """Return the cloths that may be named: those of the workshop first, for their price is known."""
        library, workshop = self._library(), self._workshop()
        known = [] if library is None else sorted(library.prepreg)
        bought: list[str] = []
        if workshop is not None:
            bought = [roll.material for roll in workshop.stock] + [offer.material for offer in workshop.offers]
        used = [ply.material for ply in job.plies]
        return list(dict.fromkeys([*used, *bought, *(name for name in known if name in bought or not bought)]))

    def _angle(self, stated: int, text: str) -> None:
        word = text.strip().replace("\u2212", "-").replace(",", ".").removesuffix("°").strip()
        try:
            degrees = float(word)
        except ValueError:
            degrees = math.nan
        if not math.isfinite(degrees) or abs(degrees) > 360.0:
            raise InputError.one("", text, self._sheet.say("plies.angle_wanted"))
        shown = f"{degrees:g}°"
        self._put(stated, "angle", shown, self._sheet.say("plies.did_angle", number=stated + 1, value=shown))

    # --- start, line laid first, who cuts

    def _laying(self, job: Job, stated: int) -> None:
        say, ply, n = self._sheet.say, job.plies[stated], stated + 1
        if ply.templates or not job.mould.mesh:
            return
        with box("div", "field"):
            words(say("plies.start"), look="q note")
            if ply.start is None:
                words(say("plies.start_as_all", point=point_text(job.laying.start)), look="note")
            else:
                with box("span"):
                    words(point_text(ply.start) + " ", look="note")
                    verb(
                        say("plies.start_back"),
                        self._sheet.doing(
                            lambda: self._put(stated, "start", None, say("plies.did_start_back", number=n))
                        ),
                    )
        lines = {"": say("plies.along_warp")} | {name: name for name in job.lines}
        choice(
            say("plies.laid_first"), lines, ply.laid_first,
            lambda value: self._put(stated, "laid_first", value or None, say("plies.did_first", number=n)),
        )  # fmt: skip
        who = {Pieces.DRAWN.value: say("plies.as_drawn"), Pieces.AUTO.value: say("plies.found")}
        choice(
            say("plies.pieces_by"), who, ply.pieces.value,
            lambda value: self._put(
                stated, "pieces", None if value == Pieces.DRAWN.value else value, say("plies.did_pieces", number=n)
            ),
            hint=say("plies.found_hint"),
        )  # fmt: skip

    # --- cuts

    def _cuts(self, job: Job, stated: int) -> None:
        say, ply = self._sheet.say, job.plies[stated]
        if ply.templates or not job.mould.mesh:
            return
        if not ply.cuts:
            words(say("plies.no_cuts"), tag="p", look="q note")
        for k, cut in enumerate(ply.cuts):
            self._cut(job, stated, k, cut)
        if ply.cuts or ply.pieces is Pieces.AUTO:
            what = say("plies.did_whole", number=stated + 1)
            with box("div", "ply-verbs"):
                verb(
                    say("plies.lay_whole"),
                    self._sheet.doing(lambda: self._edit(what, lambda document: cut_edits.whole(document, stated))),
                    name=say("plies.lay_whole_name", number=stated + 1),
                )
        others = {name: name for name in job.lines if name not in {c.line for c in ply.cuts}}
        if others:
            choice(
                say("plies.cut_along"), {"": "–"} | others, "",
                lambda value: self._edit(
                    say("plies.did_cut", number=stated + 1, line=value),
                    lambda document: cut_edits.cut_added(document, stated, value, "overlap", ""),
                ) if value else None,
            )  # fmt: skip

    def _cut(self, job: Job, stated: int, k: int, cut: Cut) -> None:
        say, n = self._sheet.say, stated + 1
        what = say("plies.did_join", number=n, line=cut.line)

        def put(key: str, value: Any) -> None:
            self._edit(what, lambda document: cut_edits.cut_put(document, stated, k, key, value))

        sharing = [str(j + 1) for j, ply in enumerate(job.plies) if any(c.line == cut.line for c in ply.cuts)]
        with box("p", "note"):
            words(say("plies.cut", line=cut.line), look="b")
            if len(sharing) > 1:
                words(" " + say("plies.cut_shared", plies=", ".join(sharing)), look="q")
        joins = {join.value: say(f"plies.join_{join.name.lower()}") for join in Join}
        choice(say("plies.join"), joins, cut.join.value, lambda value: put("join", value))
        if cut.join is not Join.BUTT:
            amount(
                self._sheet.tongue, say("plies.overlap"),
                "" if cut.overlap is None else f"{millimetres(cut.overlap)} mm", Quantity.LENGTH, "mm",
                lambda text: put("overlap", text or None), wanted=SomeLength, may_be_empty=True,
                hint="" if cut.overlap is not None else say(
                    "plies.overlap_as_all", width=self._sheet.tongue.length(job.laying.overlap)
                ),
            )  # fmt: skip
        verb(
            say("plies.leave_cut"),
            self._sheet.doing(
                lambda: self._edit(
                    say("plies.did_leave_cut", number=n, line=cut.line),
                    lambda document: cut_edits.cut_removed(document, stated, k),
                )
            ),
            name=say("plies.leave_cut_name", line=cut.line),
        )

    # --- for all plies

    def _for_all(self, job: Job) -> None:
        say, tongue = self._sheet.say, self._sheet.tongue

        def put(key: str, value: Any) -> None:
            self._edit(say("plies.did_all"), lambda document: edits.laying_put(document, key, value))

        words(say("plies.for_all"), tag="p", look="note b")
        if job.mould.mesh:
            for key, value in (("overlap", job.laying.overlap), ("stagger", job.laying.stagger)):
                amount(
                    tongue, say(f"plies.all_{key}"), f"{millimetres(value)} mm", Quantity.LENGTH, "mm",
                    lambda text, key=key: put(key, text), wanted=SomeLength,  # type: ignore[misc]
                )  # fmt: skip
        tick(say("plies.show"), job.laying.show, lambda on: put("show", bool(on)), hint=say("plies.show_hint"))


def _cards(name: str, copies: int) -> Any:
    import tomlkit

    array = tomlkit.array()
    if copies == 1:
        array.append(name)
    else:
        table = tomlkit.inline_table()
        table.add("template", name)
        table.add("copies", copies)
        array.append(table)
    return array
