"""The page of the board: the day, and jobs as lines of a timetable, each with its one next step."""

from __future__ import annotations

from html import escape

from fastapi import Request
from nicegui import ui
from nicegui.element import Element

from bagside.sheets import paper
from bagside.sheets.qr import qr_code
from bagside.web.guard import device_of
from bagside.web.house import House
from bagside.web.model.shop_desk import shop_desk
from bagside.web.pages.board.foot import Foot
from bagside.web.parts.addresses import of_build
from bagside.web.parts.asking import Form, folded
from bagside.web.parts.basis import key
from bagside.web.parts.controls import link
from bagside.web.parts.frame import Sheet, now, who_of
from bagside.web.parts.html import box, figure, markup, words
from bagside.web.parts.kept_parts import Parts
from bagside.web.parts.plan_words import plan_html, plan_words
from bagside.web.views.board.day import day_drawn
from bagside.web.views.board.empty import first_job_drawn
from bagside.web.views.board.view import BoardView, BuildLine, JobLine, JobTold, PlanState
from bagside.web.views.lines_drawn import build_drawn, columns_drawn, job_drawn, small_picture
from bagside.web.work.child import Ended

CODE = 34.0
"""Side of a QR code [mm]."""


class BoardPage:
    """The page; each part is drawn again only when what it shows has changed.

    Parameters
    ----------
    request, sheet, house
        Who asked, the page, and the workshop.
    name, people
        Of the workshop.
    """

    def __init__(self, request: Request, sheet: Sheet, house: House, name: str, people: int) -> None:
        self.sheet, self.house, self.desk = sheet, house, shop_desk(house)
        self.tongue, self.say = sheet.tongue, sheet.say
        self.base = str(request.base_url).rstrip("/")
        self.loopback = request.url.hostname in ("127.0.0.1", "localhost", "::1")
        self.parts = Parts()
        self._left: list[bool] = []
        self._places: dict[str, Element] = {}
        self.foot = Foot(sheet, house, self.desk, self._form_again)
        sheet.head.set_content(escape(self.tongue.long_day(now())))
        sheet.under.set_content(escape(self.say("board.under", name=name, people=people)))
        with sheet.verbs:
            link(self.say("board.floor"), "/floor")
            link(self.say("board.new_job"), "/new")
        with sheet.root:
            with box("section", "today", aria_label=self.say("board.today")):
                self.day = Element("div")
            with box("section", "lines", aria_label=self.say("board.jobs")):
                self.lines, self.strays = Element("div"), Element("div")
            with box("section", "foot"):
                self.decide, self.cloth = Element("div"), Element("div")
                with box("div"):
                    self.air = Element("div")
                    self.form = Element("div")
            markup(key(self.tongue))
            words(self.say("common.safety"), tag="p", look="q s")
        sheet.leaving(self.desk.watch(self._heard))
        sheet.leaving(lambda: self._left.append(True))
        ui.timer(20.0, self._heard)
        self._heard()

    def _form_again(self) -> None:
        """Ask for a reading anew: the one that was asked for is written down."""
        self.parts.forget("form")

    # --- drawing

    def _heard(self) -> None:
        with self.sheet.client:
            view = self.desk.view
            if self.desk.trouble:
                self.sheet.tell(self.desk.trouble)
            if view is None:
                self.parts.part("day", self.day, "waiting", lambda: words(self.say("board.reading"), tag="p", look="q"))
                return
            minute = now().replace(second=0, microsecond=0)
            self.parts.part("day", self.day, (view.day, minute), lambda: self._day(view))
            self._lines(view)
            self.parts.part("decide", self.decide, self.foot.decisions(view), lambda: self.foot.decide(view))
            self.parts.part("cloth", self.cloth, self.foot.cloth_told(view), lambda: self.foot.cloth(view))
            self.parts.part("air", self.air, (view.air, minute), lambda: self.foot.air(view))
            rooms = None if view.air is None else view.air.rooms
            self.parts.part("form", self.form, (rooms,), lambda: self.foot.form(view))

    def _told(self, sentence: str) -> str:
        return plan_words(sentence, self.tongue)

    def _day(self, view: BoardView) -> None:
        names = {b.name: f"{line.told.name} {b.number}" for line in view.jobs for b in line.builds}
        markup(day_drawn(view.day, now(), self.tongue, told=self._told, names=names))

    def _lines(self, view: BoardView) -> None:
        """Draw the jobs whose state has changed, each in its own place: what somebody is choosing elsewhere stays."""
        order = tuple(line.told.folder for line in view.jobs)
        if self.parts.changed("order", order):
            for folder in self._places:
                self.parts.forget(f"job {folder}")
            self.lines.clear()
            with self.lines:
                if order:
                    markup(columns_drawn(self.tongue), look="jobline head")
                self._places = {folder: Element("div").classes("job") for folder in order}
        moulds = tuple(m.name for m in view.moulds)
        for line in view.jobs:
            place, shows = self._places[line.told.folder], (line, view.kept, moulds)
            self.parts.part(f"job {line.told.folder}", place, shows, lambda line=line: self._job(line))  # type: ignore[misc]
        self.parts.part("strays", self.strays, (view.strays, order), lambda: self._others(view))

    def _others(self, view: BoardView) -> None:
        """Show what is made of jobs that are gone, and what to do where there is nothing at all."""
        for stray in view.strays:
            with box("article", "jobline"):
                markup("", look="thumb")
                with box("div", "what"):
                    words(self.say("board.stray", build=stray.name), look="q")
                    self._next_of(stray)
                markup(build_drawn(stray, _stray(stray), now(), self.tongue))
        if not view.jobs and not view.strays:
            with box("div", "empty"):
                words(self.say("board.no_jobs"), tag="p", look="lead b")
                words(self.say("board.no_jobs_do"), tag="p")
                figure(first_job_drawn(self.tongue), look="meant")
                link(self.say("board.new_job"), "/new")

    def _job(self, line: JobLine) -> None:
        """Show a job: its first part that is being made stands on the line with its name."""
        told, tongue = line.told, self.tongue
        first = line.builds[0] if line.builds else None
        with box("article", "jobline"):
            figure(small_picture(told), look="thumb")
            with box("div", "what"):
                with box("p"):
                    link(told.name, f"/job/{told.folder}", look="lead")
                    if told.quantity:
                        words(self.say("board.made_of", made=line.made, quantity=told.quantity), look="q s off")
                    if told.note:
                        words(told.note, look="q s off")
                if first is None:
                    self._next_of_job(line)
                else:
                    self._next_of(first)
            if first is None:
                markup(job_drawn(told, now(), tongue, made=not line.number))
            else:
                self._right_of(first, told)
        for build in line.builds[1:]:
            with box("article", "jobline build"):
                markup("", look="thumb")
                with box("div", "what"):
                    self._next_of(build)
                self._right_of(build, told)
        if line.builds and line.number:
            with box("article", "jobline build"):
                markup("", look="thumb")
                with box("div", "what"):
                    self._begin(line, short=True)

    def _right_of(self, build: BuildLine, told: JobTold) -> None:
        markup(build_drawn(build, told, now(), self.tongue))
        with box("div", "hands"):
            words(self.say("board.hands_left", time=self.tongue.duration(build.hands)), tag="p", look="s")
            self._phone(build)

    def _next_of(self, build: BuildLine) -> None:
        """Show the one next step of a build, and what it waits for."""
        say, tongue = self.say, self.tongue
        step = self._told(build.step) if build.step else say("board.close_it")
        with box("p"):
            element = link(step, of_build(build.name), look="lead b")
            element._props["aria-label"] = f"{build.name}: {step}"
        if build.since is not None:
            since = tongue.clock(build.since.astimezone())
            until = "" if build.until is None else tongue.clock(build.until.astimezone())
            state = escape(say("board.started", clock=since, until=until))
        elif build.gates:
            gate = build.gates[0]
            state = plan_html(gate.do or gate.what, tongue)
        else:
            state = escape(say("board.may_begin"))
        which = say("board.part_of", number=build.number, quantity=build.quantity, build=build.name)
        words(which, tag="span", look="q s")
        markup(state, tag="p", look="s b" if build.gates and build.since is None else "s q")
        for gate in build.gates[1:]:
            markup(plan_html(gate.do or gate.what, tongue), tag="p", look="s b")

    def _next_of_job(self, line: JobLine) -> None:
        told, say = line.told, self.say
        address = f"/job/{told.folder}"
        if told.state is PlanState.FAULTY:
            link(say("board.mend"), address, look="lead b")
            words(told.problems[0], tag="p", look="s q")
        elif told.state is PlanState.LOOKING:
            words(say("board.looking"), tag="p", look="s q")
        elif not line.number:
            words(say("board.all_made"), tag="p", look="q")
        elif told.state is PlanState.MISSING:
            link(say("board.plan_it"), address, look="lead b")
            words(say("board.not_planned"), tag="p", look="s q")
        elif told.state is PlanState.STALE:
            link(say("board.plan_again"), address, look="lead b")
            words(say("board.changed_since"), tag="p", look="s q")
        else:
            self._begin(line)

    def _begin(self, line: JobLine, *, short: bool = False) -> None:
        """Offer to begin the next part: on which mould is asked, because its pulls and its heat are counted."""
        say = self.say
        text = say("board.begin_part", number=line.number, quantity=line.told.quantity)
        view = self.desk.view
        moulds = [] if view is None else [m.name for m in view.moulds]
        with folded(text) as element:
            if not short:
                element.classes("lead b")
            words(say("board.begin_what"), tag="p", look="q s")
            if view is not None and not view.kept:
                words(say("board.begin_no_records"), tag="p", look="s b")
                link(say("board.to_freezer"), "/freezer")
                return
            form = Form(self.sheet)
            if moulds:
                form.pick("mould", say("board.on_mould"), {"": "–", **{m: m for m in moulds}}, line.mould)
            else:
                words(say("board.no_mould"), tag="p", look="s")
                link(say("board.to_moulds"), "/moulds")

            async def begin() -> None:
                self._begun(line.told, form.said("mould"))

            form.done(say("board.begin_it"), begin, name=f"{line.told.name}: {text}")

    def _begun(self, told: JobTold, mould: str) -> None:
        from bagside.web.work.begin_task import begin_part  # planning is loaded by who begins something

        self.sheet.tell(self.say("board.beginning", job=told.name))

        def ended(found: Ended) -> None:
            if self._left:  # whoever asked has gone; the board shows the part to everybody else all the same
                return
            with self.sheet.client:
                if found.error is not None:
                    self.sheet.tell(found.error)
                elif isinstance(found.result, str):
                    self.sheet.tell(self.say("board.begun", build=found.result, job=told.name))
                    self.desk.look()
                else:
                    self.sheet.tell(self.say("common.went_wrong", why=(found.fault or "–").strip().splitlines()[-1]))

        device = device_of(self.sheet.client.request) or "desk"
        self.house.crew.ask(
            f"begin:{told.folder}", begin_part, self.house.folder, told.folder, mould, who_of(self.sheet.client),
            device, heard=lambda _: None, ended=ended,
        )  # fmt: skip

    def _phone(self, build: BuildLine) -> None:
        """Show the code that opens a build on a phone, when it is asked for."""
        with box("details"):
            with box("summary", "act"):
                words(self.say("board.on_phone"))
            if self.loopback:
                words(self.say("board.phone_lan"), tag="p", look="s q")
                return
            code = qr_code(self.base + of_build(build.name), 0.0, 0.0, CODE)
            ground = paper.rect(0.0, 0.0, CODE, CODE, weight=0.0, fill="#ffffff")
            svg = paper.sheet(CODE, CODE, [ground, code], title=self.say("board.code_for", build=build.name))
            markup(svg, look="code")


def _stray(build: BuildLine) -> JobTold:
    return JobTold(folder="", name=build.name, quantity=build.quantity, note="", state=PlanState.MISSING)
