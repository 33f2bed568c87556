"""The thread on top of every page of a job: the work as one yarn, and on it what one stage hands the next."""

from __future__ import annotations

from html import escape

from bagside.web.model.job_desk import JobDesk
from bagside.web.parts.findings import asks
from bagside.web.views.registry import BENCHES, STAGES
from bagside.web.words.tongue import Tongue
from bagside.web.work.messages import HandedOn


def thread(desk: JobDesk, stage: str, tongue: Tongue) -> str:
    """Return the thread of a job as HTML; every stop is a link.

    Parameters
    ----------
    desk
        The job.
    stage
        Whose page it stands on.
    tongue
        Of the reader.
    """
    say = tongue.say
    handed = {} if desk.planned is None else _handed(desk.planned.handed, tongue)
    at = STAGES.index(stage)
    parts = []
    for k, name in enumerate(STAGES):
        done = desk.is_fresh(name) and not desk.shown[name].early
        tell, weighty = asks(desk.findings(*BENCHES[name]) if BENCHES[name] else (), tongue)
        classes = ["stop", *(["done"] if done else []), *(["here"] if k == at else [])]
        here = ' aria-current="page"' if k == at else ""
        long, short = escape(say(f"common.stage_{name}")), escape(say(f"common.short_{name}"))
        parts.append(
            f'<li class="{" ".join(classes)}"><a href="/job/{escape(desk.name)}/{name}"{here} aria-label="{long}">'
            f'<span class="long">{long}</span><span class="short" aria-hidden="true">{short}</span></a>'
            f'<span class="tell{" b" if weighty else ""}">{escape(tell)}</span></li>'
        )
        if name != STAGES[-1]:
            words = handed.get(name, "")
            stale = ' class="stale"' if words and not desk.fresh else ""
            inner = f"<span{stale}>{escape(words)}</span>" if words else ""
            parts.append(f'<li class="span{" done" if done else ""}" aria-hidden="true">{inner}</li>')
    return f'<ol class="thread">{"".join(parts)}</ol>'


def _handed(h: HandedOn, tongue: Tongue) -> dict[str, str]:
    """Return what stands on the thread after each stage."""
    return {
        "mould": "" if h.area is None else tongue.area(h.area),
        "plies": tongue.count("common.handed_plies", h.plies) + ", " + tongue.count("common.handed_pieces", h.pieces),
        "laminate": f"{tongue.thickness(h.thickness)}, {tongue.mass(h.mass)}",
        "cut": tongue.say("common.handed_pulled", length=tongue.length(h.pulled)) if h.pulled else "",
        "cure": tongue.duration(h.cycle),
        "time": tongue.duration(h.hands),
    }
