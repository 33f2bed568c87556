"""The sheet that every page at the desk is: title, verbs, thread, picture, strip, key.

A page is drawn from what stands in the house and is drawn again when that changes; nothing of it is kept anywhere
else. Pages are let go of with their client.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from typing import Any

from fastapi import Request
from nicegui import context, ui
from nicegui.element import Element

from bagside.errors import BagsideError, InputError
from bagside.web.model.job_desk import JobDesk, Shown
from bagside.web.parts.basis import key
from bagside.web.parts.controls import able, download, link, sentences, verb
from bagside.web.parts.did import did
from bagside.web.parts.html import box, markup, words
from bagside.web.parts.plan_words import plan_html, plan_words
from bagside.web.parts.thread import thread
from bagside.web.preferences import tongue_of
from bagside.web.words.tongue import Theme, Tongue

MAIN_LINKS = (("board", "/"), ("freezer", "/freezer"), ("moulds", "/moulds"), ("materials", "/materials"),
              ("workshop", "/workshop"))  # fmt: skip

FILES = ("book.pdf", "cutting-sheet.pdf", "labels.pdf", "kit-list.pdf", "cure.csv", "plan.json", "all.zip")

_QUASAR: dict[str, Any] = {"en": "en-GB", "de": "de"}


class Sheet:
    """A page at the desk.

    Parameters
    ----------
    request
        That asked for it.
    title
        Of the page.
    under
        Beside the title, in second ink.
    """

    def __init__(self, request: Request, title: str, under: str = "") -> None:
        self.tongue: Tongue = tongue_of(request)
        self.client = context.client
        page = copy.copy(self.client.page)  # one for all who ask; the language is this person's
        page.language = _QUASAR[self.tongue.language]
        self.client.page = page
        self._leaving: list[Callable[[], None]] = []
        self.client.on_delete(self._left)
        theme = self.tongue.theme
        ui.add_head_html(
            '<link rel="stylesheet" href="/looks/tokens.css"><link rel="stylesheet" href="/looks/desk.css">'
            + (f'<meta name="theme-choice" content="{theme.value}">' if theme is not Theme.AUTO else "")
        )
        ui.page_title(f"{title} – bagside")
        with box("a", "skip", href="#content"):
            words(self.tongue.say("common.to_content"))
        self.root = Element("div").classes("sheet")  # the page around it is the main landmark already
        self.root._props["id"] = "content"
        with self.root:
            with box("header", "title"):
                self.head = words(title, tag="h1")
                self.under = words(under, look="under")
                with box("nav", "verbs") as self.verbs:
                    pass
            self.below_title = Element("div")
            self._says = words("", tag="div", look="says-all")
            self._says._props["role"] = "status"

    def say(self, key_: str, **values: object) -> str:
        """Return a text; see `Tongue.say`."""
        return self.tongue.say(key_, **values)

    def tell(self, error: BagsideError | str) -> None:
        """Say something above the picture, until the next thing is done.

        Parameters
        ----------
        error
            What went wrong, or a sentence; an empty one takes it away.
        """
        from html import escape

        text = error if isinstance(error, str) else _refused(error, self.tongue)
        self._says.set_content(f"<p>{escape(text)}</p>" if text else "")

    def doing(self, act: Callable[[], Any]) -> Callable[[], Any]:
        """Return an act whose refusal is told on the sheet.

        Parameters
        ----------
        act
            What is done.
        """

        def done() -> Any:
            self.tell("")
            try:
                return act()
            except BagsideError as error:
                self.tell(error)
                return None

        return done

    def leaving(self, act: Callable[[], None]) -> None:
        """Do something when the page is let go of.

        Parameters
        ----------
        act
            What is done.
        """
        self._leaving.append(act)

    def _left(self) -> None:
        for act in self._leaving:
            act()
        self._leaving.clear()


def _called(desk: JobDesk) -> str:
    """Return what a job is called as its file has it, before it is planned; its folder's name where it says nothing."""
    try:
        return str(desk.file.document().get("name") or desk.name)
    except InputError:
        return desk.name


def _refused(error: BagsideError, tongue: Tongue) -> str:
    """Return what was refused, as `Problem` writes it, in the reader's language where there are forms for it."""
    if not isinstance(error, InputError):
        return plan_words(sentences(error), tongue)
    problems = (
        replace(p, **{word: plan_words(getattr(p, word), tongue) for word in ("place", "wanted", "hint")})
        for p in error.problems
    )
    return " ".join(f"{p}." for p in problems)


def house_sheet(request: Request, title: str, under: str = "", *, here: str = "") -> Sheet:
    """Return the sheet of a page that is not of one job, with the links between those pages.

    Parameters
    ----------
    request, title, under
        See `Sheet`.
    here
        Which of the links it is.
    """
    sheet = Sheet(request, title, under)
    with sheet.verbs:
        for name, to in MAIN_LINKS:
            link(sheet.say(f"frame.{name}"), to, here=name == here)
    return sheet


class JobSheet(Sheet):
    """The sheet of a stage of a job.

    Parameters
    ----------
    request
        That asked for it.
    desk
        The job.
    stage
        See `bagside.web.views.registry.STAGES`.
    """

    def __init__(self, request: Request, desk: JobDesk, stage: str) -> None:
        super().__init__(request, _called(desk))
        self.desk = desk
        self.stage = stage
        self._draw: Callable[[Shown], None] | None = None
        self._drawn = ""
        self._course: ui.html | None = None
        with self.below_title:
            self._thread = markup("", tag="nav")
            self._thread._props["aria-label"] = self.say("frame.stages")
        with self.root:
            self.body = Element("div")
            self._files()
            markup(key(self.tongue))
            words(self.say("common.safety"), tag="p", look="q s")
        with self.verbs:  # made once: a click that falls between two messages must find its button
            self._told = words("")
            self._stop = verb(self.say("common.stop_work"), desk.stop)
            self._undo = verb(self.say("common.undo"), self.doing(desk.undo))
            self._redo = verb(self.say("common.redo"), self.doing(desk.redo))
            link(self.say("common.book"), f"/job/{desk.name}/file/book.pdf")
            link(self.say("common.board"), "/")
        self._head()
        self.leaving(desk.watch(self._heard))
        ui.timer(5.0, self._look)

    @property
    def revision(self) -> str:
        """Of the job's file as this page shows it."""
        return self.desk.file.revision

    def draws(self, draw: Callable[[Shown], None]) -> None:
        """Draw the body, now and whenever what this stage shows has changed.

        Parameters
        ----------
        draw
            Builds the elements; called inside the emptied body.
        """
        self._draw = draw
        self._body()

    def redraw(self) -> None:
        """Draw the body again although nothing has changed in the job: another ply is in hand, say."""
        self._drawn = ""
        self._body()

    def edit(self, what: str, change: Callable[[Any], None], *, seen: str | None = None) -> None:
        """Change the job's file; see `JobDesk.edit`.

        Parameters
        ----------
        what
            What is done, as a person reads it in the history.
        change
            Changes the TOML document it is given.
        seen
            Revision the person had before them; the present one when None.
        """
        self.tell("")
        self.desk.edit(what, change, who=who_of(self.client), seen=self.revision if seen is None else seen)

    def _files(self) -> None:
        """Offer what the command line writes: the same files, by the same code."""
        with box("nav", "files", aria_label=self.say("frame.files")):
            words(self.say("frame.files"), look="q")
            for name in FILES:
                download(self.say(f"frame.file_{name.partition('.')[0].replace('-', '_')}"),
                         f"/job/{self.desk.name}/file/{name}")  # fmt: skip

    def _look(self) -> None:
        self.desk.look()

    def _heard(self, what: str) -> None:
        with self.client:
            if what in ("working", "planned", "text"):
                self._head()
            if what == "working" and self._course is not None:
                self._course.set_content(self._stages())
            if what in (f"view:{self.stage}", "planned", "text"):
                self._body()

    def _head(self) -> None:
        desk, say = self.desk, self.say
        planned = desk.planned
        self.head.set_content(_escaped(_called(desk) if planned is None else planned.name))
        under = "" if planned is None else " · ".join(
            filter(None, (say("common.parts", count=planned.quantity), planned.note))
        )
        self.under.set_content(_escaped(under))
        self._thread.set_content(thread(desk, self.stage, self.tongue))
        working, versions = desk.working, desk.file.versions
        if working is not None:
            told = say("common.working", stage=plan_words(working.now, self.tongue) or "…").rstrip(" :…")
        else:
            told = say("common.saved", clock=self.tongue.clock(versions[-1].when.astimezone())) if versions else ""
        self._told.set_content(_escaped(told))
        able(self._stop, working is not None, say("common.stop_work"), gone=True)
        last, again = desk.file.undone_next, desk.file.redone_next
        for word, button_, next_ in (("undo", self._undo, last), ("redo", self._redo, again)):
            what = did(next_.what, self.tongue) if next_ else ""
            able(button_, next_ is not None,
                 say(f"common.{word}_what", what=what) if next_ else say(f"common.nothing_to_{word}"))  # fmt: skip

    def _stages(self) -> str:
        """Return what has been worked out so far, the last at the bottom, as HTML."""
        working = self.desk.working
        if working is None:
            return ""
        done = [
            f"<li>{plan_html(stage, self.tongue)} <span class='q'>{self.tongue.number(seconds, 1)} s</span></li>"
            for stage, seconds, kept in working.stages
            if not kept
        ]
        now_ = f'<li class="b">{plan_html(working.now, self.tongue)} …</li>' if working.now else ""
        return "".join(done[-12:]) + now_

    def _body(self) -> None:
        if self._draw is None:
            return
        shown = self.desk.shown.get(self.stage)
        state = f"{'' if shown is None else shown.digest}:{self.desk.is_fresh(self.stage)}:{self.revision}:" + str(
            self.desk.problems
        ) + self.desk.trouble + str(self.desk.planned_revision)
        if state == self._drawn:
            return
        self._drawn = state
        self._course = None
        self.body.clear()
        with self.body:
            if self.desk.problems:
                words(self.say("common.waits_for"), tag="p", look="b")
                with box("ul", "find"):
                    for problem in self.desk.problems:
                        words(str(problem), tag="li")
            if self.desk.trouble:
                words(self.say("common.went_wrong", why=self.desk.trouble), tag="p", look="find stop")
            if shown is None:
                with picture():
                    words(self.say("common.waits"), tag="p", look="q")
                    self._course = markup(self._stages(), tag="ol", look="course")
            else:
                self._draw(shown)


@contextmanager
def picture(look: str = "") -> Iterator[Element]:
    """Put what follows where the picture of a sheet stands.

    Parameters
    ----------
    look
        Further classes.
    """
    with box("section", f"picture {look}") as element:
        yield element


@contextmanager
def strip() -> Iterator[tuple[Element, Element, Element]]:
    """Give the three places under the picture: a drawing, a table, the result with the one yellow button."""
    with box("section", "strip"):
        left, middle, right = Element("div"), Element("div"), Element("div")
        yield left, middle, right


def rows(head: Sequence[str], body: Sequence[Sequence[str]], *, right: Sequence[int] = (), hand: int | None = None,
         name: str = "") -> str:  # fmt: skip
    """Return a table as HTML.

    Parameters
    ----------
    head
        Of each column; no head when all are empty.
    body
        Cells of each row, as HTML: escape what people wrote.
    right
        Columns that are set to the right.
    hand
        The row in hand.
    name
        For people who do not see where it stands.
    """

    def cell(tag: str, k: int, text: str) -> str:
        side = ' class="r"' if k in right else ""
        scope = ' scope="col"' if tag == "th" else ""
        return f"<{tag}{side}{scope}>{text}</{tag}>"

    top = "".join(cell("th", k, text) for k, text in enumerate(head)) if any(head) else ""
    lines = "".join(
        f"<tr{' class=hand' if k == hand else ''}>{''.join(cell('td', i, t) for i, t in enumerate(row))}</tr>"
        for k, row in enumerate(body)
    )
    caption = f' aria-label="{_escaped(name)}"' if name else ""
    return f"<table{caption}>{f'<thead><tr>{top}</tr></thead>' if top else ''}<tbody>{lines}</tbody></table>"


def who_of(client: Any) -> str:
    """Return who sits at a page: the device that joined, or who is logged in on this machine.

    Parameters
    ----------
    client
        Of the page.
    """
    import getpass

    from bagside.web.guard import device_of

    return device_of(client.request) or getpass.getuser()


def now() -> datetime:
    """Return the present moment with its zone."""
    return datetime.now().astimezone()


def _escaped(text: str) -> str:
    from html import escape

    return escape(text)
