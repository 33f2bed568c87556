"""Findings as sentences at their place: weight says how much they ask."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape

from bagside.findings import Finding, Severity
from bagside.web.parts.basis import mark
from bagside.web.parts.controls import verb
from bagside.web.parts.html import box, markup, words
from bagside.web.parts.plan_words import plan_html
from bagside.web.words.tongue import Tongue


def finding(found: Finding, tongue: Tongue, verbs: Sequence[tuple[str, Callable[[], object]]] = ()) -> None:
    """Show a finding.

    Parameters
    ----------
    found
        What, where, why, what to do, on what it rests.
    tongue
        Of the reader.
    verbs
        At most two things that can be done about it here.
    """
    head = tongue.say("common.stop") + " " if found.severity is Severity.STOP else ""
    what = escape(head) + plan_html(found.what, tongue, full=True)
    strong = f"<b>{what}</b>" if found.severity in (Severity.STOP, Severity.DECIDE, Severity.WATCH) else what
    rest = " ".join(filter(None, (plan_html(text, tongue, full=True) for text in (found.why, found.do))))
    with box("div", f"find {found.severity.value}", role="note"):
        markup(plan_html(found.place, tongue), tag="span", look="place s")
        markup(f"{strong}{mark(found.basis, tongue, found.source)} {rest}", tag="span")
        if verbs:
            with box("div", "verbs"):
                for text, act in verbs[:2]:
                    verb(text, act)


def findings(
    all_of_them: Sequence[Finding],
    tongue: Tongue,
    *,
    most: int = 12,
    verbs: Callable[[Finding], Sequence[tuple[str, Callable[[], object]]]] = lambda _: (),
) -> None:
    """Show findings, weightiest first; what is left over is counted.

    Parameters
    ----------
    all_of_them
        In the order they are shown.
    tongue
        Of the reader.
    most
        How many are shown at once; the rest can be opened.
    verbs
        Returns what can be done about one on the page it stands on.
    """
    for found in all_of_them[:most]:
        finding(found, tongue, verbs(found))
    rest = all_of_them[most:]
    if rest:
        with box("details"):
            with box("summary", "act"):
                words(tongue.say("common.further", count=len(rest)))
            for found in rest:
                finding(found, tongue, verbs(found))


def asks(all_of_them: Sequence[Finding], tongue: Tongue) -> tuple[str, bool]:
    """Return what findings ask in a few words, and whether that is weighty; empty when nothing.

    Parameters
    ----------
    all_of_them
        Of one stage.
    tongue
        Of the reader.
    """
    for severity, word in (
        (Severity.STOP, "common.to_stop"), (Severity.DECIDE, "common.to_decide"), (Severity.WATCH, "common.to_watch")
    ):  # fmt: skip
        count = sum(f.severity is severity for f in all_of_them)
        if count:
            return tongue.say(word, count=count), severity is not Severity.WATCH
    return "", False
