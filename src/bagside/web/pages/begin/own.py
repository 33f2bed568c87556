"""One's own workshop: room, oven, pump, freezer, money, one roll; each question beside a picture of what is meant."""

from __future__ import annotations

from datetime import date
from functools import partial

from fastapi import Request
from nicegui import ui

from bagside.errors import BagsideError, InputError
from bagside.findings import Basis
from bagside.quantity import Quantity
from bagside.sheets.themed import themed
from bagside.web.founding.answers import Answers
from bagside.web.founding.kept import answers_forgotten, keep_answers
from bagside.web.founding.questions import FRESH, GROUPS, KNOWN, UNKNOWN, Question
from bagside.web.founding.records import records_begun
from bagside.web.founding.workshop_text import missing, workshop_text
from bagside.web.house import House
from bagside.web.parts.amount import amount
from bagside.web.parts.basis import key
from bagside.web.parts.controls import Field, button, choice, entry, first_wrong, focus, link
from bagside.web.parts.frame import Sheet, who_of
from bagside.web.parts.html import box, figure, markup, words
from bagside.web.parts.shop_pictures import group_picture
from bagside.web.preferences import tongue_of
from bagside.web.words.tongue import Tongue


def workshop_page(house: House, request: Request, answers: Answers) -> None:
    """Show the questions about a workshop.

    Parameters
    ----------
    house
        The folder it is set up in.
    request
        That asked for the page.
    answers
        So far.
    """
    _Asking(house, request, answers).show()


class _Asking:
    def __init__(self, house: House, request: Request, answers: Answers) -> None:
        self.house = house
        self.answers = answers
        self.sheet = Sheet(request, tongue_of(request).say("begin.mine_title"), str(house.folder))
        ui.add_head_html('<link rel="stylesheet" href="/looks/begin.css">')
        self.fields: dict[str, Field] = {}
        self.pictures: dict[str, ui.html] = {}

    @property
    def tongue(self) -> Tongue:
        return self.sheet.tongue

    def show(self) -> None:
        say = self.sheet.say
        with self.sheet.verbs:
            link(say("begin.back"), "/begin")
        with self.sheet.root:
            words(say("begin.mine_lead"), tag="p", look="lead")
            with box("section", "shop-groups") as self.groups:
                self._groups()
            with box("section", "go-row"):
                button(say("begin.write"), self._write, go=True)
                words(say("begin.write_is"), look="q note")
            markup(key(self.tongue))

    def _groups(self) -> None:
        for group in GROUPS:
            with box("section", f"shop-group of-{group}", aria_label=self.sheet.say(f"begin.group_{group}")) as place:
                self._group(group, place)

    def _group(self, group: str, place: ui.element) -> None:
        say = self.sheet.say
        if group != "money":
            self.pictures[group] = figure(group_picture(group, self.answers.values, self.tongue))
        words(say(f"begin.group_{group}"), tag="h2", look="b")
        asked = [q for q in GROUPS[group] if self._is_asked(q)]
        for question in asked:
            if question.first:
                self._ask(question, group, place)
        later = [q for q in asked if not q.first]
        if later:
            with box("details"):
                with box("summary", "act"):
                    words(say("begin.more", count=len(later)))
                for question in later:
                    self._ask(question, group, place)
        if group == "roll":
            link(say("begin.own_cloth"), "/materials/new?kind=prepreg&to=/begin/workshop", look="note")

    def _is_asked(self, question: Question) -> bool:
        life = self.answers.values["roll_life"]
        return {"roll_used": life == KNOWN, "roll_made": life == UNKNOWN}.get(question.name, True)

    def _ask(self, question: Question, group: str, place: ui.element) -> None:
        name, value = question.name, self.answers.values[question.name]
        words_of = self.sheet.say(f"begin.q_{name}")
        hint = self.sheet.say(f"begin.h_{name}")
        took = partial(self._took, question, group, place)
        if question.kind is not None:
            basis = Basis.COMMON if name in self.answers.left else None
            unit = question.unit
            if question.kind is not Quantity.TEMPERATURE and not value and question.kind.name.startswith("MONEY"):
                unit = unit.replace("EUR", self.answers.values["currency"])
            self.fields[name] = amount(
                self.tongue, words_of, value, question.kind, unit, took, wanted=question.wanted, hint=hint, basis=basis
            )
        elif name == "roll_material":
            self.fields[name] = choice(words_of, self._cloths(), value, took, hint=hint)
        elif name == "roll_life":
            options = {"": self.sheet.say("asked.choose")} | {
                key_: self.sheet.say(f"begin.life_{key_}") for key_ in (FRESH, KNOWN, UNKNOWN)
            }
            self.fields[name] = choice(words_of, options, value, took, hint=hint)
        else:
            kind = "date" if name == "roll_made" else "text"
            self.fields[name] = entry(words_of, value, took, hint=hint, wide="11em", kind=kind)

    def _cloths(self) -> dict[str, str]:
        library = self.house.library()
        found = {} if library is None else library.prepreg
        say, number = self.sheet.say, self.tongue.number
        return {
            name: say("begin.cloth", name=name, weave=say(f"begin.weave_{cloth.kind.value}") if not cloth.weave
                      else cloth.weave, weight=number(1e3 * cloth.areal_weight))
            for name, cloth in found.items()
        }  # fmt: skip

    def _took(self, question: Question, group: str, place: ui.element, value: str) -> None:
        name = question.name
        if name == "currency":
            value = value.strip().upper()
            if not (len(value) == 3 and value.isascii() and value.isalpha()):
                raise InputError.one("", value, self.sheet.say("begin.wants_currency").rstrip("."))
        self.answers.answer(name, value)
        try:
            keep_answers(self.answers, self.house.folder / ".bagside")
        except BagsideError as error:
            self.sheet.tell(error)
        library = self.house.library()
        if name == "roll_material" and library is not None and "roll_width" not in self.answers.touched:
            self.answers.values["roll_width"] = f"{1e3 * library.prepreg[value].width:g} mm"
        if name == "currency":
            self.groups.clear()
            with self.groups:
                self._groups()
            return
        if name in ("roll_life", "roll_material"):
            place.clear()
            with place:
                self._group(group, place)
            focus(self.fields[name].control)
            return
        field = self.fields[name]
        if question.kind is not None:
            field.unit.set_content(field.unit.content.split("<svg")[0])
        if group in self.pictures:
            self.pictures[group].set_content(themed(group_picture(group, self.answers.values, self.tongue)))

    def _write(self) -> None:
        say, values = self.sheet.say, self.answers.values
        self.sheet.tell("")
        wrong = list(missing(values, self.tongue))
        for problem in wrong:
            self.fields[problem.place].wrong(problem.wanted)
        if wrong:
            self.sheet.tell(self.tongue.count("begin.still_missing", len(wrong)))
            focus(self.fields[wrong[0].place].control)
            return
        refused = first_wrong(self.fields)
        if refused is not None:
            self.sheet.tell(say("begin.still_wrong"))
            focus(refused.control)
            return
        try:
            made = date.fromisoformat(values["roll_made"]) if values["roll_made"] else None
        except ValueError:
            self.fields["roll_made"].wrong(say("asked.no_date", came=values["roll_made"]))
            return
        if (self.house.folder / "workshop.toml").is_file():  # another window was faster
            ui.navigate.to("/new")
            return
        try:
            self._written(made)
        except BagsideError as error:
            self.sheet.tell(error)
            return
        answers_forgotten(self.house.folder / ".bagside")
        ui.navigate.to("/new")

    def _written(self, made: date | None) -> None:
        """Write the workshop and begin its records: both, or neither."""
        values, who, file = self.answers.values, who_of(self.sheet.client), self.house.file("workshop.toml")
        file.write(self.sheet.say("begin.set_up"), workshop_text(values, self.answers.left), who=who)
        try:
            with self.house.desk(who, begin=True) as desk:
                known = values["roll_life"] != UNKNOWN
                records_begun(desk, freezer=values["freezer_temperature"], life_known=known, made=made)
        except BagsideError:
            file.path.unlink(missing_ok=True)
            file.look()
            raise
