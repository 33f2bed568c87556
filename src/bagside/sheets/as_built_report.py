"""What an as-built report says: one for the customer, one for the drawer.

The customer reads what the part is, what it is made of, how it was cured, what was measured and what was conceded. The
drawer keeps everything: each tick, who and when, what was corrected, what was never recorded, time and cost.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import tzinfo
from enum import StrEnum

from bagside.findings import sentence
from bagside.ledger.actual.compared import PlanAgainstActual
from bagside.ledger.event import Event
from bagside.sheets import as_built_course as course
from bagside.sheets import as_built_results as read
from bagside.sheets.as_built import AsBuilt, Listed, Section
from bagside.sheets.as_built_cure import CureDrawn, cured
from bagside.sheets.as_built_made import made_of
from bagside.sheets.as_built_words import breakable, day, lasting, moment
from bagside.sheets.bookinput import Paragraph, Words
from bagside.spec.workshop import Workshop

NOT_SAID = (
    "It says what was recorded while this part was made, and what was computed from that. It does not certify "
    "structures: whether the part carries its load is for whoever designed it to show.",
    "What was computed, as degree of cure, Tg and life, is as good as the data sheets and readings behind it. A mark "
    "after a number tells on what it rests.",
)


class Whose(StrEnum):
    """Who reads the report."""

    CUSTOMER = "customer"
    DRAWER = "drawer"


def as_built_report(
    found: PlanAgainstActual,
    workshop: Workshop,
    whose: Whose,
    *,
    zone: tzinfo,
    drawn: Mapping[str, CureDrawn] | None = None,
    pictures: Mapping[str, bytes] | None = None,
    history: Sequence[Event] = (),
) -> AsBuilt:
    """Return what the report of a part says.

    Parameters
    ----------
    found
        The part, as planned and as made.
    workshop
        Who made it, and its paper.
    whose
        Who reads it.
    zone
        To show times in.
    drawn
        Charts of cures, by their event.
    pictures
        Photos by digest, for the drawer.
    history
        Every event of the part, for what was corrected.
    """
    own = _customer(found, dict(drawn or {}), zone)
    if whose is Whose.DRAWER:
        own = _drawer(found, dict(drawn or {}), pictures or {}, history, zone)
    verdict, why, loud = verdict_of(found, internal=whose is Whose.DRAWER)
    build, planned = found.build, found.build.planned
    kind = "as built, for the customer" if whose is Whose.CUSTOMER else "as built, for the drawer"
    limits = NOT_SAID if whose is Whose.DRAWER or not found.missing else (*NOT_SAID, _gaps(found))
    return AsBuilt(
        title=breakable(planned.job),
        serial=build.name,
        kind=kind,
        subtitle=f"as built, serial number {breakable(build.name)}, part {planned.number} of {planned.quantity}",
        workshop=breakable(workshop.name),
        verdict=verdict,
        why=why,
        loud=loud,
        facts=_facts(found, zone, internal=whose is Whose.DRAWER),
        sections=own,
        limits=limits,
        foot=f"plan {planned.revision[:12]}, put together {moment(found.now, zone)}",
        signed=whose is Whose.CUSTOMER,
        paper=workshop.paper,
        ink=workshop.ink,
    )


def verdict_of(found: PlanAgainstActual, *, internal: bool) -> tuple[str, str, bool]:
    """Return how a part ended in a sentence, what is to be said with it, and whether it must not be used.

    Parameters
    ----------
    found
        The part.
    internal
        Whether free text of the workshop is told.
    """
    closed = found.build.closed
    count = len(found.conceded)
    with_them = "" if not count else ", with one concession" if count == 1 else f", with {count} concessions"
    if closed is None:
        done = sum(s.finished is not None for s in found.steps)
        return "Not finished.", f"{done} of {len(found.steps)} steps are finished; this is how it stands.", True
    why = sentence(closed.what.why) if internal and closed.what.why else ""
    off = read.departures(found)
    if off:
        why = f"{why} Not as planned, see Results: {'; '.join(off)}.".strip()
    if closed.what.verdict == "scrap":
        return "Scrap. This part must not be used.", why, True
    return f"Good{with_them}.", why, False


def _facts(found: PlanAgainstActual, zone: tzinfo, *, internal: bool) -> tuple[tuple[str, Words], ...]:
    build, planned = found.build, found.build.planned
    facts: list[tuple[str, Words]] = [
        ("serial number", breakable(build.name)),
        *((("part", breakable(planned.part)),) if planned.part and planned.part != planned.job else ()),
        ("plan it was made to", planned.revision[:12] or "not known"),
        ("begun", day(build.born, zone)),
        ("finished", "not yet" if build.closed is None else day(build.closed.at, zone)),
    ]
    if found.mould is not None and found.mould.pull is not None:
        facts.append(("mould", f"{breakable(found.mould.name)}, pull {found.mould.pull}"))
    elif build.mould:
        facts.append(("mould", breakable(build.mould)))
    if internal:
        closer = build.closed.who if build.closed is not None else ""
        facts.append(("begun by", breakable(build.begun_by)))
        facts.append(("closed by", breakable(closer) or "–"))
        facts.append(("hands-on time known", f"{lasting(found.hours)}, {lasting(found.planned_hours)} planned"))
    return tuple(facts)


def _customer(found: PlanAgainstActual, drawn: dict[str, CureDrawn], zone: tzinfo) -> tuple[Section, ...]:
    none = Section(title="Concessions", blocks=(Paragraph(words="None: nothing departs from the plan by decision."),))
    return (
        made_of(found, zone, internal=False),
        cured(found, drawn, zone, internal=False),
        read.results(found, zone),
        *(course.conceded(found, zone) or (none,)),
    )


def _gaps(found: PlanAgainstActual) -> str:
    count = len(found.missing)
    gaps = "one gap" if count == 1 else f"{count} gaps"
    return f"Not everything was recorded: {gaps}, which the workshop's own copy lists."


def _drawer(
    found: PlanAgainstActual,
    drawn: dict[str, CureDrawn],
    pictures: Mapping[str, bytes],
    history: Sequence[Event],
    zone: tzinfo,
) -> tuple[Section, ...]:
    missing = Section(
        title="Never recorded",
        blocks=(Listed(items=tuple(sentence(m) for m in found.missing)),)
        if found.missing
        else (Paragraph(words="Nothing: all that was planned to be recorded is."),),
    )
    bag = Section(
        title="Debulks and bag",
        blocks=(
            *((read.debulk_table(found, zone),) if found.debulks else (Paragraph(words="No debulk."),)),
            *((read.leak_table(found.leaks, zone),) if found.leaks else (Paragraph(words="No leak test."),)),
            *(_bag_notes(found)),
        ),
    )
    measured = Section(
        title="Results",
        blocks=(
            *read.results(found, zone).blocks,
            *read.mass_tables(found, zone),
            *read.climate_table(found, zone),
            *read.mould_block(found),
            *read.every_measurement(found, zone),
        ),
    )
    return (
        *read.off(found),
        missing,
        *course.conceded(found, zone),
        *course.decisions(found, zone),
        *course.corrections(history, zone),
        made_of(found, zone, internal=True),
        *((course.ticks(found, zone),) if found.plies else ()),
        bag,
        cured(found, drawn, zone, internal=True),
        measured,
        course.hours(found, zone),
        *((course.cost(found.money),) if found.money is not None else ()),
        *course.photos(found, pictures, zone),
        *course.written_late(history, zone),
    )


def _bag_notes(found: PlanAgainstActual) -> tuple[Listed, ...]:
    notes = tuple(sentence(b.what.note) for b in found.build.bagged if b.what.note)
    return (Listed(items=notes, title="Notes on the bag"),) if notes else ()
