"""The cure of a part in its report: the chart of the log, and what was reached against what was wanted."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import tzinfo

from bagside.ledger.actual.compared import PlanAgainstActual
from bagside.ledger.bodies import Cured
from bagside.ledger.planned import Planned
from bagside.ledger.things import Noted
from bagside.quantity import shown
from bagside.sheets.as_built import Listed, Section
from bagside.sheets.as_built_words import NONE, breakable, lasting, moment, number
from bagside.sheets.bookinput import Paragraph, Picture, Said, Table, Words


@dataclass(frozen=True, slots=True, kw_only=True)
class CureDrawn:
    """The chart of one cure's log.

    Parameters
    ----------
    svg
        The chart; empty when there is none.
    words
        What it shows, or why there is none.
    """

    svg: str
    words: str


def cured(found: PlanAgainstActual, drawn: dict[str, CureDrawn], zone: tzinfo, *, internal: bool) -> Section:
    """Return the cures of a part.

    Parameters
    ----------
    found
        The part.
    drawn
        Charts, by the event of their cure.
    zone
        To show times in.
    internal
        Whether names of files, reasons, and who wrote it down are told.
    """
    planned = found.build.planned
    blocks: list[Table | Picture | Paragraph | Listed] = []
    if planned.programme:
        blocks.append(Paragraph(words=f"Planned: {planned.programme}."))
    if not found.cures:
        blocks.append(Paragraph(words="No cure was recorded."))
    two_stage = any(s.key == "post-cure" for s in planned.steps) or any(c.what.post for c in found.cures)
    for c in found.cures:
        last = c.what.post or not two_stage
        blocks += _one(c, planned, drawn.get(c.event), zone, titled=len(found.cures) > 1, internal=internal, last=last)
    return Section(title="Cure", blocks=tuple(blocks))


def _one(
    c: Noted[Cured],
    planned: Planned,
    chart: CureDrawn | None,
    zone: tzinfo,
    *,
    titled: bool,
    internal: bool,
    last: bool,
) -> list[Table | Picture | Paragraph | Listed]:
    w = c.what
    name = "Post-cure, off the mould" if w.post else "Cure on the mould"
    run = f"{name}, {moment(c.at, zone)}" + (f", {lasting(w.seconds)}" if w.seconds else "")
    if len(w.builds) > 1 and internal:
        run += f", in one oven with {len(w.builds) - 1} more"
    out: list[Table | Picture | Paragraph | Listed] = []
    verdict = f"Judged from its log: {w.verdict}." if w.verdict else "It was not judged from a log."
    out.append(Paragraph(title=run, words=verdict) if titled else Paragraph(words=f"{run}. {verdict}"))
    if w.programme not in planned.programme:
        out.append(Paragraph(words=f"Run: {w.programme}."))
    if chart is not None and chart.svg:
        out.append(Picture(svg=chart.svg, caption=chart.words))
    elif chart is not None:
        out.append(Paragraph(words=chart.words))
    elif not w.file:
        out.append(Paragraph(words="There is no log of it."))
    out.append(_margins(w, planned, last=last))
    if internal and w.reasons:
        out.append(Listed(items=w.reasons, title="Reasons"))
    if internal and w.file:
        name = breakable(w.called) or "without a name"
        out.append(Paragraph(words=f"Log {name}, digest {w.file[:16]}; written down by {breakable(c.who)}."))
    return out


def _margins(w: Cured, planned: Planned, *, last: bool) -> Table:
    """Return what was wanted and what was reached; degree of cure and Tg are wanted of the last cure only."""
    rows: list[tuple[Words, ...]] = []

    def kept(value: float | None, limit: float | None, *, least: bool) -> Words:
        if value is None or limit is None:
            return "–"
        good = value >= limit if least else value <= limit
        return "kept" if good else Said(words="not kept", bold=True)

    def row(what: str, wanted: float | None, got: float | None, unit: str, digits: int, *, least: bool) -> None:
        words = "–" if wanted is None else f"{'at least' if least else 'at most'} {shown(wanted, unit, digits)}"
        rows.append((what, words, _got(got, unit, digits), kept(got, wanted, least=least)))

    row("degree of cure, least", planned.cure if last else None, w.cure, "%", 1, least=True)
    row("Tg there", planned.tg if last else None, w.tg, "°C", 0, least=True)
    row("hottest in the part", None, w.hottest_part, "°C", 0, least=False)
    if not w.post:
        row("hottest of the mould", planned.mould_limit, w.hottest_tool, "°C", 0, least=False)
        row("most pressure in the bag before gel", None, w.pressure, "mbar", 0, least=False)
    headers = ("", "wanted", "from the log" if w.file else "as written down", "")
    return Table(headers=headers, rows=tuple(rows), align="lrrl")


def _got(value: float | None, unit: str, digits: int) -> Words:
    return NONE if value is None else number(value, unit, digits)

