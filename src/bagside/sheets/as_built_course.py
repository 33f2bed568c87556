"""How a part was made, for the drawer: steps, ticks, hours, money, gates, corrections, photos."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, tzinfo
from typing import Any

from bagside.findings import Basis
from bagside.ledger.actual.compared import PlanAgainstActual
from bagside.ledger.actual.laid import PieceActual
from bagside.ledger.actual.money import Money
from bagside.ledger.actual.steps import ChapterHours
from bagside.ledger.bodies import Corrected, Cured, Found, body_data
from bagside.ledger.event import Event
from bagside.ledger.gates.gate import GATES
from bagside.quantity import shown
from bagside.sheets import colour, paper
from bagside.sheets.as_built import Listed, Photo, Photos, Section
from bagside.sheets.as_built_results import reading_words
from bagside.sheets.as_built_words import breakable, lasting, measured, money, more, short
from bagside.sheets.bookinput import Paragraph, Picture, Said, Table, Words
from bagside.sheets.thumb import thumb
from bagside.sheets.typeface import CAPTION, NOTE, width

WIDE = 184.0  # [mm]
TOLD = {
    "step": "", "ply": "ply", "piece": "piece", "films": "films off", "angle": "off its angle by", "kit": "kit",
    "after": "after ply", "seconds": "for", "attended": "hands-on", "pressure": "at", "verdict": "", "what": "",
    "gate": "gate", "called": "", "why": "because",
}  # fmt: skip
"""What is told of an event in lists, and the words before it."""
SPANS = ("seconds", "attended")


def hours(found: PlanAgainstActual, zone: tzinfo) -> Section:
    """Return hours by chapter as a picture, and every step.

    Parameters
    ----------
    found
        The part.
    zone
        To show times in.
    """
    rows = []
    for s in found.steps:
        gone = None if s.attended is None else s.attended - s.planned_attended
        rows.append(
            (
                breakable(s.name),
                lasting(s.planned_attended),
                "–" if s.attended is None else Said(words=lasting(s.attended), basis=Basis.MEASURED),
                "–" if gone is None else more(gone),
                f"{short(s.started, zone)} to {_end(s.started, s.finished, zone)}" if s.started or s.finished else "–",
                lasting(s.elapsed),
                breakable(", ".join(s.who)) or "–",
                f"{s.ticked}/{len(s.boxes)}" if s.boxes else "–",
            )
        )
    headers = ("step", "planned", "hands-on", "", "from, to", "elapsed", "who", "boxes")
    table = Table(headers=headers, rows=tuple(rows), align="lrrrlrlr", title="Every step")
    notes = tuple(f"{s.name}: {s.note}" for s in found.steps if s.note)
    blocks: list[Picture | Table | Listed | Paragraph] = [Picture(svg=hours_picture(found.chapters)), table]
    if any(s.share < 1.0 for s in found.steps):
        words = f"What is done for all {found.build.planned.quantity} parts at once counts here as a whole, "
        blocks.append(Paragraph(words=words + "above by its share."))
    if notes:
        blocks.append(Listed(items=notes, title="Notes at steps"))
    known = sum(s.attended is not None for s in found.steps)
    if not known:
        return Section(title="Time", blocks=tuple(blocks), aside="no hands-on time is known")
    aside = f"hands-on {lasting(found.hours)} against {lasting(found.planned_hours)} planned, {known} of "
    return Section(title="Time", blocks=tuple(blocks), aside=aside + f"{len(found.steps)} steps known")


def _end(started: datetime | None, finished: datetime | None, zone: tzinfo) -> str:
    if finished is None:
        return "open"
    same = started is not None and started.astimezone(zone).date() == finished.astimezone(zone).date()
    return f"{finished.astimezone(zone):%H:%M}" if same else short(finished, zone)


def hours_picture(chapters: Sequence[ChapterHours]) -> str:
    """Return hours by chapter: planned as a hollow bar, actual as a solid one in it.

    Parameters
    ----------
    chapters
        Of one part.
    """
    row, left = 6.2, max((width(c.stage, NOTE) for c in chapters), default=10.0) + 4.0
    room = WIDE - left - 60.0
    most = max((max(c.planned, c.actual) for c in chapters), default=1.0) or 1.0
    out = []
    for k, c in enumerate(chapters):
        y = 1.0 + row * k
        out.append(paper.text(0, y + 3.4, c.stage, size=NOTE))
        if c.planned > 0.0:
            out.append(paper.rect(left, y, room * c.planned / most, 4.4, weight=paper.THIN, fill=colour.PAPER))
        if c.actual > 0.0:
            out.append(paper.rect(left, y + 1.1, room * c.actual / most, 2.2, fill=colour.INK))
        end = left + room * max(c.planned, c.actual) / most + 2.0
        words = f"{lasting(c.actual)} of {lasting(c.planned)}" if c.known == c.steps else _partly(c)
        out.append(paper.text(end, y + 3.4, words, size=CAPTION, ink=colour.SECOND))
    return paper.sheet(WIDE, 1.0 + row * len(chapters), out, title="hours by chapter")


def _partly(c: ChapterHours) -> str:
    if not c.known:
        return f"{lasting(c.planned)} planned, not recorded"
    return f"{lasting(c.actual)} of {lasting(c.planned_known)}; {c.known} of {c.steps} steps known"


def ticks(found: PlanAgainstActual, zone: tzinfo) -> Section:
    """Return the tick of every piece.

    Parameters
    ----------
    found
        The part.
    zone
        To show times in.
    """
    rows: list[tuple[Words, ...]] = []
    for p in found.plies:
        for k, x in enumerate(p.pieces):
            t = x.tick
            rows.append(
                (
                    str(p.number) if k == 0 else "",
                    breakable(x.label),
                    breakable(p.material) if k == 0 else "",
                    Said(words="not ticked", bold=True) if t is None else short(t.at, zone),
                    "–" if t is None else t.who,
                    "–" if t is None else breakable(t.what.kit) or "–",
                    _films(x),
                    "–" if t is None or t.what.angle is None else measured(t.what.angle, "°", 1),
                )
            )
    headers = ("ply", "piece", "cloth", "laid", "who", "kit", "films off", "off its angle")
    table = Table(headers=headers, rows=tuple(rows), align="lllllllr")
    off, there = found.films
    return Section(title="Every ply", blocks=(table,), aside=f"{off} of {there} backing films counted off")


def _films(piece: PieceActual) -> Words:
    if piece.tick is None:
        return f"– of {piece.films}"
    off = piece.tick.what.films
    return Said(words=f"{off} of {piece.films}", bold=off != piece.films)


def cost(found: Money) -> Section:
    """Return what the part cost against its plan.

    Parameters
    ----------
    found
        Against the plan.
    """
    c = found.currency
    rows: list[tuple[Words, ...]] = [
        ("labour with overhead", money(found.labour_planned, c), money(found.labour, c), money(found.labour_more, c))
    ]
    if found.cloth is not None and found.cloth_pieces is not None:
        rows.append(("cloth as it was cut", "–", money(found.cloth, c), "–"))
    words = "Labour is reckoned at today's rate."
    if found.unknown_steps:
        one = found.unknown_steps == 1
        words += f" {'One step' if one else f'{found.unknown_steps} steps'} without a hands-on time "
        words += f"count{'s' if one else ''} as planned."
    if found.waste is not None:
        words += f" Of the cloth that was cut, {shown(found.waste, '%', 0)} became no piece; the pieces alone are "
        words += f"{money(found.cloth_pieces, c)}."
    else:
        words += " How much cloth was cut is not known for any kit."
    words += " Consumables, energy and oven time are not measured for each part and stay as planned."
    blocks: list[Table | Paragraph] = [
        Table(headers=("", "planned", "as it was", "more"), rows=tuple(rows), align="lrrr"),
        Paragraph(words=words),
    ]
    aside = f"planned price {money(found.price, c)}" if found.price is not None else ""
    return Section(title="Cost", blocks=tuple(blocks), aside=aside)


def decisions(found: PlanAgainstActual, zone: tzinfo) -> tuple[Section, ...]:
    """Return gates that were passed; nothing when none was.

    Parameters
    ----------
    found
        The part.
    zone
        To show times in.
    """
    if not found.passed:
        return ()
    rows = tuple(
        (
            breakable(GATES.get(p.what.gate, p.what.gate)),
            breakable(p.what.step),
            breakable(p.what.by),
            breakable(p.what.why),
            short(p.at, zone),
        )
        for p in found.passed
    )
    headers = ("gate: it did not hold that", "before", "taken on by", "why", "when")
    return (Section(title="Gates passed", blocks=(Table(headers=headers, rows=rows, align="lllll"),)),)


def conceded(found: PlanAgainstActual, zone: tzinfo) -> tuple[Section, ...]:
    """Return concessions; nothing when there is none.

    Parameters
    ----------
    found
        The part.
    zone
        To show times in.
    """
    if not found.conceded:
        return ()
    rows: tuple[tuple[Words, ...], ...] = tuple(
        (
            breakable(c.what.what),
            breakable(c.what.why),
            breakable(c.what.effect),
            f"{breakable(c.what.by)}, {short(c.at, zone)}",
            breakable(c.what.customer) if c.what.customer else Said(words="nobody asked yet", bold=True),
        )
        for c in found.conceded
    )
    headers = ("departs from the plan", "why", "effect", "decided by", "accepted for the customer by")
    return (Section(title="Concessions", blocks=(Table(headers=headers, rows=rows, align="lllll"),)),)


def corrections(history: Sequence[Event], zone: tzinfo) -> tuple[Section, ...]:
    """Return what was corrected: what, by whom, when, why; nothing when nothing was.

    Parameters
    ----------
    history
        Every event of the part.
    zone
        To show times in.
    """
    by_id = {e.id: e for e in history}
    rows: list[tuple[Words, ...]] = []
    for e in history:
        if not isinstance(e.body, Corrected):
            continue
        was = by_id.get(e.body.corrects)
        rows.append(
            (
                _what(was, zone),
                f"{_now(e.body)}",
                breakable(e.body.why) or "–",
                breakable(e.who),
                short(e.at, zone),
            )
        )
    if not rows:
        return ()
    headers = ("what was written", "now", "why", "corrected by", "when")
    return (Section(title="Corrections", blocks=(Table(headers=headers, rows=tuple(rows), align="lllll"),)),)


def _what(event: Event | None, zone: tzinfo) -> str:
    if event is None:
        return "an event of something else"
    words = f"the correction to {_now(event.body)}" if isinstance(event.body, Corrected) else told_words(event)
    return breakable(f"{words}, {short(event.at, zone)} by {event.who}")


def _now(body: Corrected) -> str:
    return breakable(_words_of(body.kind, body.data)) if body.kind else "did not happen"


def told_words(event: Event) -> str:
    """Return what an event says in a few words, for lists.

    Parameters
    ----------
    event
        Any of a build.
    """
    return _words_of(event.kind, body_data(event.body))


def _words_of(kind: str, data: Mapping[str, Any]) -> str:
    """Return what a body says, from its plain values."""
    if kind == "measured":
        found = Found(data["found"])
        where = "".join(f", {data[k]}" for k in ("stage", "place") if data.get(k))
        return f"measured {found.value}{where}: {reading_words(found, float(data['value']))}"
    parts = []
    for key, before in TOLD.items():
        value = data.get(key)
        if value in (None, "", (), []):
            continue
        words = lasting(float(value)) if key in SPANS else str(value)
        if key == "pressure":
            words = shown(float(value), "mbar", 0)
        elif key == "angle":
            words = shown(float(value), "°", 1)
        parts.append(f"{before} {words}".strip())
    return f"{kind}: {', '.join(parts)}" if parts else kind


def written_late(history: Sequence[Event], zone: tzinfo) -> tuple[Section, ...]:
    """Return what was written down after what came later; nothing when everything came in its turn.

    Parameters
    ----------
    history
        Every event of the part. A cure is told by its log's own clock and is no late entry.
    zone
        To show times in.
    """
    late = [e for e in history if e.late and not isinstance(e.body, Cured | Corrected)]
    if not late:
        return ()
    rows: tuple[tuple[Words, ...], ...] = tuple(
        (
            breakable(told_words(e)),
            short(e.at, zone),
            short(e.kept, zone),
            breakable(e.who),
        )
        for e in late
    )
    headers = ("what", "when it happened", "when it was kept", "who")
    table = Table(headers=headers, rows=rows, align="llll")
    return (Section(title="Written down late", blocks=(table,), aside=f"{len(late)} of {len(history)} entries"),)


def photos(found: PlanAgainstActual, pictures: Mapping[str, bytes], zone: tzinfo) -> tuple[Section, ...]:
    """Return the photos as thumbnails; nothing when there is none.

    Parameters
    ----------
    found
        The part.
    pictures
        Content by digest; a photo whose file is not there is said.
    zone
        To show times in.
    """
    if not found.build.photos:
        return ()
    shown_, lost = [], []
    names = {s.key: s.name for s in found.steps}
    for p in found.build.photos:
        under = f"{short(p.at, zone)}, {p.who}" + (f", {names.get(p.what.step, p.what.step)}" if p.what.step else "")
        content = pictures.get(p.what.file)
        drawn = thumb(content, p.what.caption or p.what.called) if content is not None else None
        if drawn is None:
            lost.append(f"{p.what.caption or p.what.called}: {under}; the file is not there or is no picture")
        else:
            shown_.append(Photo(svg=drawn, caption=breakable(p.what.caption), under=breakable(under)))
    blocks: list[Photos | Listed] = []
    if shown_:
        blocks.append(Photos(items=tuple(shown_)))
    if lost:
        blocks.append(Listed(items=tuple(lost)))
    return (Section(title="Photos", blocks=tuple(blocks), aside=f"{len(found.build.photos)}"),)
