"""The strip under the mould's picture: how its pieces come off, tight corners, findings, and what a plan adds."""

from __future__ import annotations

from html import escape

from nicegui.element import Element

from bagside.mould import CornerVerdict
from bagside.web.pages.mould_ground import Ground
from bagside.web.pages.mould_hand import place_words
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import rows
from bagside.web.parts.html import box, markup, words
from bagside.web.views.mould import MouldPlanned
from bagside.web.views.mould_survey import THIN

_VERDICTS = {verdict.value: f"mould.verdict_{verdict.name.lower()}" for verdict in CornerVerdict}


def numbers(page: Ground, strip: tuple[Element, Element, Element]) -> None:
    """Draw the strip.

    Parameters
    ----------
    page
        The page.
    strip
        Its three places, empty.
    """
    left, middle, right = strip
    with left:
        _pieces(page)
        _corners(page)
    with middle:
        noted = page.noted() if page.view is not None else ()
        findings([f for f in page.findings() if f not in noted], page.sheet.tongue)
    with right:
        _figures(page)


def _pieces(page: Ground) -> None:
    say, tongue, seen = page.sheet.say, page.sheet.tongue, page.watch.seen
    if seen is None or not seen.pieces:
        return
    words(say("mould.table"), tag="h2", look="b")
    head = [say(f"mould.col_{c}") for c in ("piece", "draft", "wanted", "lean", "hook")]
    body = [
        [
            escape(p.name or say("mould.whole")), tongue.angle(p.smallest), tongue.angle(p.wanted),
            tongue.area(p.undercut), tongue.length(p.hook, 2),
        ]
        for p in seen.pieces
    ]  # fmt: skip
    with box("div", "mould-scroll"):
        markup(rows(head, body, right=(1, 2, 3, 4), name=say("mould.table")))


def _corners(page: Ground) -> None:
    say, tongue, seen = page.sheet.say, page.sheet.tongue, page.watch.seen
    if seen is None or not seen.whole:
        return
    words(say("mould.corners"), tag="h2", look="b")
    if not seen.corners:
        words(say("mould.no_corners", thickness=tongue.thickness(seen.thickness or THIN)), tag="p")
        return
    head = [say(f"mould.col_{c}") for c in ("corner", "long", "radius", "wanted", "verdict")]
    body = [
        [
            f'<span title="{escape(place_words(c.at, tongue))}">{escape(c.id)}</span>', tongue.length(c.length, 0),
            tongue.length(c.radius, 1), tongue.length(c.needed, 1), escape(say(_VERDICTS[c.verdict])),
        ]
        for c in seen.corners
    ]  # fmt: skip
    with box("div", "mould-scroll"):
        markup(rows(head, body, right=(1, 2, 3), name=say("mould.corners")))


def _figures(page: Ground) -> None:
    say, tongue, seen = page.sheet.say, page.sheet.tongue, page.watch.seen
    shown = page.desk.shown.get("mould")
    out = [] if seen is None else [[escape(say("mould.area")), tongue.area(seen.report.area)]]
    if shown is not None and isinstance(shown.view, MouldPlanned):
        view = shown.view
        stale = "" if page.desk.is_fresh("mould") else ' class="stale"'
        figures = [
            ("laid", tongue.area(view.laid)),
            ("longest", tongue.length(view.part, 1)),
            ("grown", f"{'+' if view.grown > 0 else ''}{tongue.length(view.grown, 2)}"),
            ("spring", tongue.angle(view.spring, 2)),
            ("margin", tongue.difference(view.heat_margin, 0)),
        ]
        out += [[escape(say(f"mould.{key}")), f"<span{stale}>{text}</span>"] for key, text in figures]
    markup(rows(["", ""], out, right=(1,), name=say("mould.stated")))
    if shown is None:
        words(say("mould.waits_plan"), tag="p", look="q s")
