"""Board: what runs, each open job with its one next step, what dies, the air, what is to decide."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from fastapi import Request
from nicegui import ui
from nicegui.element import Element

from bagside.errors import InputError
from bagside.findings import Finding, Severity
from bagside.ledger.bodies import Found, Measured, Sort
from bagside.quantity import Quantity
from bagside.sheets import paper
from bagside.sheets.qr import qr_code
from bagside.web.floor.spoken import spoken
from bagside.web.guard import device_of
from bagside.web.house import House
from bagside.web.model.shop_desk import shop_desk
from bagside.web.parts.basis import key, mark
from bagside.web.parts.controls import button, choice, entry, link, verb
from bagside.web.parts.frame import Sheet, house_sheet, now, who_of
from bagside.web.parts.html import box, figure, markup, words
from bagside.web.parts.records import acting, keep
from bagside.web.parts.typed import degrees, typed
from bagside.web.views.air_drawn import air_chart, air_said, reading_said
from bagside.web.views.board import BoardView, BuildLine, JobLine, JobTold, PlanState
from bagside.web.views.cloth_drawn import cloth_drawn
from bagside.web.views.day_drawn import day_drawn
from bagside.web.views.lines_drawn import build_drawn, columns_drawn, job_drawn, small_picture
from bagside.web.views.registry import stage_of
from bagside.web.work.begin_task import begin_part
from bagside.web.work.child import Ended

MOST_CLOTH = 6
MOST_DECISIONS = 5
CODE = 34.0
"""Side of a QR code [mm]."""


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """

    @ui.page("/")
    def board(request: Request) -> None:
        try:
            workshop = house.workshop()
        except InputError as error:
            sheet = house_sheet(request, "bagside", here="board")
            sheet.tell(error)
            return
        if workshop is None:
            ui.navigate.to("/begin")
            return
        sheet = house_sheet(request, "", here="board")
        ui.add_head_html('<link rel="stylesheet" href="/looks/board.css">')
        _Board(request, sheet, house, workshop.name, workshop.people)


class _Board:
    """The page; each part is drawn again only when what it shows has changed."""

    def __init__(self, request: Request, sheet: Sheet, house: House, name: str, people: int) -> None:
        self.sheet, self.house, self.desk = sheet, house, shop_desk(house)
        self.tongue, self.say = sheet.tongue, sheet.say
        self.base = str(request.base_url).rstrip("/")
        self.loopback = request.url.hostname in ("127.0.0.1", "localhost", "::1")
        self._drawn: dict[str, object] = {}
        sheet.head.set_content(escape(self.tongue.long_day(now())))
        sheet.under.set_content(escape(self.say("board.under", name=name, people=people)))
        with sheet.verbs:
            link(self.say("board.floor"), "/floor")
            link(self.say("board.new_job"), "/new")
        with sheet.root:
            with box("section", "today", aria_label=self.say("board.today")):
                self.day = Element("div")
            with box("section", "lines", aria_label=self.say("board.jobs")):
                self.lines = Element("div")
            with box("section", "foot"):
                self.decide, self.cloth = Element("div"), Element("div")
                with box("div"):
                    self.air = Element("div")
                    self.form = Element("div")
            markup(key(self.tongue))
            words(self.say("common.safety"), tag="p", look="q s")
        sheet.leaving(self.desk.watch(self._heard))
        ui.timer(20.0, self._heard)
        self._heard()

    # --- drawing

    def _heard(self) -> None:
        with self.sheet.client:
            view = self.desk.view
            if self.desk.trouble:
                self.sheet.tell(self.desk.trouble)
            if view is None:
                self._part("day", self.day, "waiting", lambda: words(self.say("board.reading"), tag="p", look="q"))
                return
            minute = now().replace(second=0, microsecond=0)
            self._part("day", self.day, (view.day, minute), lambda: self._day(view))
            self._part("lines", self.lines, (view.jobs, view.strays, view.kept), lambda: self._lines(view))
            self._part("decide", self.decide, (view.jobs, view.shelf), lambda: self._decide(view))
            self._part("cloth", self.cloth, (view.shelf, view.kept, minute.date()), lambda: self._cloth(view))
            self._part("air", self.air, (view.air, minute), lambda: self._air(view))
            rooms = None if view.air is None else view.air.rooms
            self._part("form", self.form, (rooms,), lambda: self._form(view))

    def _part(self, name: str, place: Element, shows: object, draw: Callable[[], object]) -> None:
        if self._drawn.get(name) == shows:
            return
        self._drawn[name] = shows
        place.clear()
        with place:
            draw()

    def _told(self, sentence: str) -> str:
        said = spoken(sentence)
        return said.get(self.tongue.language, sentence)

    def _day(self, view: BoardView) -> None:
        names = {b.name: f"{line.told.name} {b.number}" for line in view.jobs for b in line.builds}
        markup(day_drawn(view.day, now(), self.tongue, told=self._told, names=names))

    def _lines(self, view: BoardView) -> None:
        if not view.jobs and not view.strays:
            with box("div", "empty"):
                words(self.say("board.no_jobs"), tag="p", look="lead b")
                words(self.say("board.no_jobs_do"), tag="p")
                link(self.say("board.new_job"), "/new")
            return
        markup(columns_drawn(self.tongue), look="jobline head")
        for line in view.jobs:
            self._job(line)
        for stray in view.strays:
            with box("article", "jobline"):
                markup("", look="thumb")
                with box("div", "what"):
                    words(self.say("board.stray", build=stray.name), look="q")
                    self._next_of(stray)
                markup(build_drawn(stray, _stray(stray), now(), self.tongue))

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
            element = link(step, f"/floor/b/{build.name}", look="lead b")
            element._props["aria-label"] = f"{build.name}: {step}"
        if build.since is not None:
            since = tongue.clock(build.since.astimezone())
            until = "" if build.until is None else tongue.clock(build.until.astimezone())
            state = say("board.started", clock=since, until=until)
        elif build.gates:
            gate = build.gates[0]
            state = self._told(gate.do) if gate.do else self._told(gate.what)
        else:
            state = say("board.may_begin")
        which = say("board.part_of", number=build.number, quantity=build.quantity, build=build.name)
        words(which, tag="span", look="q s")
        words(state, tag="p", look="s b" if build.gates and build.since is None else "s q")
        for gate in build.gates[1:]:
            words(self._told(gate.do or gate.what), tag="p", look="s b")

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
        text = self.say("board.begin_part", number=line.number, quantity=line.told.quantity)
        element = verb(text, self.sheet.doing(lambda: self._begun(line.told)), name=f"{line.told.name}: {text}")
        if not short:
            element.classes("lead b")
            words(self.say("board.begin_what"), tag="p", look="s q")

    def _begun(self, told: JobTold) -> None:
        self.sheet.tell(self.say("board.beginning", job=told.name))

        def ended(found: Ended) -> None:
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
            f"begin:{told.folder}", begin_part, self.house.folder, told.folder, "", who_of(self.sheet.client), device,
            heard=lambda _: None, ended=ended,
        )  # fmt: skip

    def _phone(self, build: BuildLine) -> None:
        """Show the code that opens a build on a phone, when it is asked for."""
        with box("details"):
            with box("summary", "act"):
                words(self.say("board.on_phone"))
            if self.loopback:
                words(self.say("board.phone_lan"), tag="p", look="s q")
                return
            code = qr_code(f"{self.base}/floor/b/{build.name}", 0.0, 0.0, CODE)
            ground = paper.rect(0.0, 0.0, CODE, CODE, weight=0.0, fill="#ffffff")
            svg = paper.sheet(CODE, CODE, [ground, code], title=self.say("board.code_for", build=build.name))
            markup(svg, look="code")

    def _decide(self, view: BoardView) -> None:
        words(self.say("board.to_decide"), tag="h2")
        items = [*self._of_cloth(view), *self._of_plans(view)]
        for draw in items[:MOST_DECISIONS]:
            draw()
        rest = items[MOST_DECISIONS:]
        if rest:
            with box("details"):
                with box("summary", "act"):
                    words(self.say("common.further", count=len(rest)))
                for draw in rest:
                    draw()
        if not items:
            words(self.say("board.nothing_to_decide"), tag="p", look="q")

    def _of_plans(self, view: BoardView) -> list[Callable[[], None]]:
        out: list[Callable[[], None]] = []
        for line in view.jobs:
            for found in line.told.findings:
                if found.severity in (Severity.STOP, Severity.DECIDE):
                    out.append(lambda line=line, found=found: self._finding(line.told, found))  # type: ignore[misc]
        return out

    def _finding(self, told: JobTold, found: Finding) -> None:
        stop = self.say("common.stop") + " " if found.severity is Severity.STOP else ""
        with box("div", f"find {found.severity.value}", role="note"):
            words(f"{told.name}, {found.place}", look="place s")
            markup(
                f"<b>{escape(stop + self._told(found.what))}</b>{mark(found.basis, self.tongue, found.source)} "
                f"{escape(self._told(found.do))}",
                tag="span",
            )
            with box("div", "verbs"):
                link(self.say("board.look_there"), f"/job/{told.folder}/{stage_of(found.stage)}")

    def _of_cloth(self, view: BoardView) -> list[Callable[[], None]]:
        if view.shelf is None:
            return []
        dead = [c for c in view.shelf.cloth if c.out is not None and c.out.share >= 1.0]
        tackless = [
            c for c in view.shelf.cloth if c not in dead and c.tack is not None and c.tack.share >= 1.0
        ]  # fmt: skip
        out: list[Callable[[], None]] = []
        for cloth, what, do in (
            *((c, "board.cloth_dead", "board.cloth_dead_do") for c in dead),
            *((c, "board.cloth_dry", "board.cloth_dry_do") for c in tackless),
        ):
            def draw(name: str = cloth.name, what: str = what, do: str = do) -> None:
                with box("div", "find decide", role="note"):
                    words(name, look="place s")
                    markup(f"<b>{escape(self.say(what, name=name))}</b> {escape(self.say(do))}", tag="span")
                    with box("div", "verbs"):
                        link(self.say("board.see_it"), f"/freezer/{name}")

            out.append(draw)
        return out

    def _cloth(self, view: BoardView) -> None:
        with box("div", "headline"):
            words(self.say("board.cloth"), tag="h2")
            words(self.say("board.cloth_how"), look="q s")
        if view.shelf is None or not view.shelf.cloth:
            words(self.say("board.no_records" if view.shelf is None else "board.no_cloth"), tag="p")
            link(self.say("board.to_freezer"), "/freezer")
            return
        alive = [c for c in view.shelf.cloth if c.out is None or c.out.share < 1.0]
        asks = [c for c in alive if c.severity is not Severity.SEEN]
        rolls = [c for c in alive if c not in asks and c.sort is Sort.ROLL]
        lines = [*asks, *rolls, *(c for c in alive if c not in asks and c not in rolls)]
        longest = max((c.length for c in alive if c.sort is Sort.ROLL), default=1.0)
        markup(cloth_drawn(lines[:MOST_CLOTH], now(), self.tongue, longest=longest))
        if len(view.shelf.cloth) > MOST_CLOTH:
            link(self.say("board.all_cloth", count=len(view.shelf.cloth)), "/freezer")

    def _air(self, view: BoardView) -> None:
        words(self.say("board.air"), tag="h2")
        if view.air is None:
            words(self.say("board.air_no_records"), tag="p")
            return
        air = view.air
        if air.isocyanate:
            words(self.say("board.isocyanate", names=", ".join(air.isocyanate)), tag="p", look="caution s")
        markup(air_said(air, now(), self.tongue))
        if air.last is not None:
            markup(f'<p class="q">{escape(reading_said(air.last, now(), self.tongue))}</p>')
        wants = self.say(
            "board.coat_wants",
            coldest="–" if air.coat_coldest is None else self.tongue.temperature(air.coat_coldest),
            wettest="–" if air.coat_wettest is None else self.tongue.share(air.coat_wettest),
            margin=self.tongue.difference(air.coat_margin, 0),
        )
        markup(f'<p class="q s">{escape(wants)}{mark(air.coat_basis, self.tongue, ", ".join(air.coats))}</p>')
        figure(air_chart(air, now(), self.tongue))

    def _form(self, view: BoardView) -> None:
        """Ask for a reading of the room: three short answers, and one button."""
        if view.air is None:
            return
        say, unit = self.say, degrees(self.tongue)
        rooms = view.air.rooms
        if not rooms:
            words(say("board.no_room"), tag="p")
            link(say("board.to_freezer"), "/freezer")
            return
        with box("details", "reading"):
            with box("summary", "act"):
                words(say("board.write_reading"))
            given = {"place": rooms[0], "temperature": "", "humidity": ""}
            if len(rooms) > 1:
                choice(say("board.where"), {r: r for r in rooms}, rooms[0], lambda v: given.update(place=v))
            warm = entry(say("board.temperature"), "", lambda v: given.update(temperature=v), unit=unit, mode="decimal",
                         wide="6em")  # fmt: skip
            damp = entry(say("board.humidity"), "", lambda v: given.update(humidity=v), unit="%", mode="decimal",
                         wide="6em")  # fmt: skip

            async def write() -> None:
                values = {}
                for field, name, kind, shown in (
                    (warm, "temperature", Quantity.TEMPERATURE, unit), (damp, "humidity", Quantity.HUMIDITY, "%"),
                ):  # fmt: skip
                    try:
                        values[name] = typed(given[name], kind, shown, self.tongue)
                        field.wrong("")
                    except InputError as error:
                        field.wrong(error.problems[0].wanted)
                        return
                if not 0.0 < values["humidity"] <= 1.0:
                    damp.wrong(say("board.humidity_range"))
                    return
                body = Measured(
                    subject=given["place"], found=Found.CLIMATE, value=values["temperature"],
                    humidity=values["humidity"],
                )  # fmt: skip
                await keep(self.house, self.sheet, body)
                self._drawn.pop("form", None)
                self.desk.look()

            button(say("board.write_down"), acting(self.sheet, write))


def _stray(build: BuildLine) -> JobTold:
    return JobTold(folder="", name=build.name, quantity=build.quantity, note="", state=PlanState.MISSING)
