"""The numbers under the mould's picture: how its pieces come off, tight corners, and what a plan adds."""

from __future__ import annotations

from html import escape

from bagside.mould import CornerVerdict
from bagside.web.pages.mould.ground import Ground
from bagside.web.pages.mould.hand import place_words
from bagside.web.parts.frame import rows
from bagside.web.parts.html import box, markup, words
from bagside.web.views.mould import MouldPlanned
from bagside.web.views.mould.survey import THIN

_VERDICTS = {verdict.value: f"mould.verdict_{verdict.name.lower()}" for verdict in CornerVerdict}


def measured(page: Ground) -> None:
    """Draw how the mould comes off and where it is tight.

    Parameters
    ----------
    page
        The page.
    """
    _pieces(page)
    _corners(page)


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


def figures(page: Ground) -> None:
    """Draw the area, and what a plan says of heat, size and spring-in.

    Parameters
    ----------
    page
        The page.
    """
    say, tongue, seen = page.sheet.say, page.sheet.tongue, page.watch.seen
    shown = page.desk.shown.get("mould")
    out = [] if seen is None else [[escape(say("mould.area")), tongue.area(seen.report.area)]]
    if shown is not None and isinstance(shown.view, MouldPlanned):
        view = shown.view
        stale = "" if page.desk.is_fresh("mould") else ' class="stale"'
        told = [
            ("laid", tongue.area(view.laid)),
            ("longest", tongue.length(view.part, 1)),
            ("grown", f"{'+' if view.grown > 0 else ''}{tongue.length(view.grown, 2)}"),
            ("spring", tongue.angle(view.spring, 2)),
            ("margin", tongue.difference(view.heat_margin, 0)),
        ]
        out += [[escape(say(f"mould.{key}")), f"<span{stale}>{text}</span>"] for key, text in told]
    markup(rows(["", ""], out, right=(1,), name=say("mould.stated")))
    if shown is None:
        words(say("mould.waits_plan"), tag="p", look="q s")
