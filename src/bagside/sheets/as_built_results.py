"""Results of a part in its report: masses, thickness, pinholes, the bag, the mould, and what else was measured."""

from __future__ import annotations

from datetime import tzinfo

from bagside.findings import Basis, Severity
from bagside.ledger.actual.compared import PlanAgainstActual
from bagside.ledger.actual.measured import WHOLE, Holding, pinhole_count
from bagside.ledger.bodies import Found, Measured
from bagside.ledger.builds.points import reading_findings
from bagside.quantity import shown
from bagside.sheets.as_built import Section
from bagside.sheets.as_built_words import NONE, breakable, lasting, measured, number, short
from bagside.sheets.bookinput import Findings, Paragraph, Said, Table, Words

Block = Table | Paragraph
UNITS: dict[Found, tuple[str, int]] = {
    Found.MASS: ("g", 1),
    Found.THICKNESS: ("mm", 2),
    Found.CLIMATE: ("°C", 1),
    Found.CORE: ("°C", 0),
    Found.DISTORTION: ("mm", 1),
    Found.HOLE: ("mm", 1),
    Found.DRY_FILM: ("µm", 0),
    Found.DEMOULD: ("°C", 0),
}
PASS_OR_NOT = (Found.WATER_BREAK, Found.TAP)


def results(found: PlanAgainstActual, zone: tzinfo) -> Section:
    """Return what was measured on the part, for everybody: each thing with what was planned.

    Parameters
    ----------
    found
        The part.
    zone
        To show times in.
    """
    rows = _rows(found)
    if not rows:
        return Section(title="Results", blocks=(Paragraph(words="Nothing was measured."),))
    return Section(
        title="Results",
        blocks=(Table(headers=("", "planned", "measured", ""), rows=tuple(rows), align="lrrl"),),
    )


def _rows(found: PlanAgainstActual) -> list[tuple[Words, ...]]:
    return [
        *_masses(found), *_thickness(found), *_pinholes(found), *_bag(found), *_demould(found), *_holes(found),
        *_others(found),
    ]  # fmt: skip


def departures(found: PlanAgainstActual) -> tuple[str, ...]:
    """Return what was measured and is not as planned.

    Parameters
    ----------
    found
        The part.
    """
    return tuple(str(r[0]) for r in _rows(found) if r[3] == kept(good=False))


def kept(good: bool | None) -> Words:
    """Return whether something is as planned, in a word; bold when it is not.

    Parameters
    ----------
    good
        None when there is nothing to compare.
    """
    if good is None:
        return "–"
    return "as planned" if good else Said(words="not as planned", bold=True)


def _masses(found: PlanAgainstActual) -> list[tuple[Words, ...]]:
    return [
        (
            f"mass, {m.stage.value}",
            "–" if m.planned is None else f"{shown(m.planned, 'g', 0)} ± {shown(2.0 * m.sigma, 'g', 0)}",
            measured(m.measured, "g", 1),
            kept(None if m.z is None else abs(m.z) <= 2.0),
        )
        for m in found.masses
    ]


def mass_tables(found: PlanAgainstActual, zone: tzinfo) -> tuple[Block, ...]:
    """Return each weighing with what its deviation may mean.

    Parameters
    ----------
    found
        The part.
    zone
        To show times in.
    """
    if not found.masses:
        return (Paragraph(title="Masses", words="The part was never weighed."),)
    rows: list[tuple[Words, ...]] = []
    for m in found.masses:
        off = None if m.planned is None else m.measured - m.planned
        likely = [c for c in m.candidates if c.chance >= 0.05][:3]
        words = "; ".join(f"{c.what} {shown(c.chance, '%', 0)}" for c in likely) if likely else "–"
        rows.append(
            (
                m.stage.value,
                number(m.planned, "g"),
                measured(m.measured, "g"),
                "–" if off is None else ("+" if off > 0 else "") + shown(off, "g"),
                shown(m.sigma, "g"),
                breakable(words),
                short(m.at, zone),
            )
        )
    headers = ("", "planned", "weighed", "more", "usual, 1 sigma", "what it may mean, and how likely", "when")
    return (Table(headers=headers, rows=tuple(rows), align="lrrrrll", title="Masses"),)


def off(found: PlanAgainstActual) -> tuple[Section, ...]:
    """Return what was measured and departs from the plan, as findings; nothing when nothing does.

    Parameters
    ----------
    found
        The part.
    """
    order = list(Severity)
    items = (*(f for m in found.masses for f in m.findings), *reading_findings(found.build))
    ranked = tuple(sorted(items, key=lambda f: order.index(f.severity)))
    return (Section(title="What is off", blocks=(Findings(items=ranked),)),) if ranked else ()


def _thickness(found: PlanAgainstActual) -> list[tuple[Words, ...]]:
    rows: list[tuple[Words, ...]] = []
    for p in found.points:
        words = "–"
        if p.planned is not None:
            words = shown(p.planned, "mm", 2)
            words += f" ± {shown(p.tolerance, 'mm', 2)}" if p.tolerance is not None else ""
        got = NONE if p.thickness is None else measured(p.thickness, "mm", 2)
        where = f"{p.place} ({p.where})" if p.where else p.place or "place not stated"
        rows.append((breakable(f"thickness, {where}"), words, got, kept(p.inside)))
    return rows


def _pinholes(found: PlanAgainstActual) -> list[tuple[Words, ...]]:
    count = pinhole_count(found.pinholes)
    if count is None:
        return []
    rows: list[tuple[Words, ...]] = [("pinholes", "–", Said(words=str(count), basis=Basis.MEASURED), "")]
    rows += [
        (breakable(f"pinholes, {p.place}"), "–", Said(words=str(p.count), basis=Basis.MEASURED), "")
        for p in found.pinholes
        if p.place != WHOLE
    ]
    return rows if len(rows) > 2 or any(p.place == WHOLE for p in found.pinholes) else rows[1:]


def _bag(found: PlanAgainstActual) -> list[tuple[Words, ...]]:
    rows: list[tuple[Words, ...]] = []
    over = found.build.closed is not None or bool(found.cures)
    off, there = found.films
    if there:
        good = off == there if over or off > there else None
        rows.append(("backing films taken off", str(there), Said(words=str(off), basis=Basis.MEASURED), kept(good)))
    wanted = [d for d in found.debulks if d.planned is not None]
    if wanted:
        right = sum(bool(d.long_enough and d.deep_enough) for d in wanted)
        done = sum(d.done is not None for d in wanted)
        words = f"{done}" if right == done else f"{done}, {right} as planned"
        got = Said(words=words, basis=Basis.MEASURED)
        rows.append(("debulks", str(len(wanted)), got, kept(right == len(wanted) if over or right < done else None)))
    if found.leaks:
        last = found.leaks[-1]
        rows.append(("leak test, rise in the shut bag", rise(last.limit), _rise(last), kept(last.kept)))
    return rows


def _demould(found: PlanAgainstActual) -> list[tuple[Words, ...]]:
    pulled, limit = found.build.pulled, found.build.planned.demould
    if pulled is None or pulled.what.temperature is None:
        return []
    words = "–" if limit is None else f"at most {shown(limit, '°C', 0)}"
    good = None if limit is None else pulled.what.temperature <= limit
    return [("part as it came off the mould", words, measured(pulled.what.temperature, "°C", 0), kept(good))]


def _holes(found: PlanAgainstActual) -> list[tuple[Words, ...]]:
    """Return the holes that were planned, each with how far it is from its place."""
    read = {m.what.place: m.what.value for m in found.others if m.what.found is Found.HOLE}
    rows: list[tuple[Words, ...]] = []
    for h in found.build.planned.holes:
        off = read.get(h.name)
        got = NONE if off is None else measured(off, "mm", 1)
        words = f"at most {shown(h.off, 'mm', 1)} off"
        rows.append((breakable(f"hole {h.name}"), words, got, kept(None if off is None else abs(off) <= h.off)))
    return rows


def rise(value: float | None) -> str:
    """Return a rise of pressure as ``5 mbar in 5 min``; a dash for none.

    Parameters
    ----------
    value
        [Pa/s].
    """
    return "–" if value is None else f"{five(value)} in 5 min"


def _rise(test: Holding) -> Words:
    return NONE if test.rise is None else Said(words=rise(test.rise), basis=Basis.MEASURED)


def _others(found: PlanAgainstActual) -> list[tuple[Words, ...]]:
    last: dict[tuple[Found, str], Measured] = {}
    holes = {h.name for h in found.build.planned.holes}
    for m in found.others:
        planned = m.what.found is Found.HOLE and m.what.place in holes
        told = planned or (m.what.found is Found.DEMOULD and bool(_demould(found)))
        if m.what.found is not Found.THERMOCOUPLES and not told:
            last[m.what.found, m.what.place] = m.what
    return [(breakable(_named(w)), "–", _value(w), "") for w in last.values()]


def _named(w: Measured) -> str:
    return f"{w.found.value}, {w.place}" if w.place else w.found.value


def _value(w: Measured) -> Words:
    bad = w.found in PASS_OR_NOT and not w.value
    return Said(words=reading_words(w.found, w.value), basis=Basis.MEASURED, bold=bad)


def debulk_table(found: PlanAgainstActual, zone: tzinfo) -> Table:
    """Return each debulk with time and vacuum.

    Parameters
    ----------
    found
        The part.
    zone
        To show times in.
    """
    over = found.build.closed is not None or bool(found.cures)
    rows = []
    for d in found.debulks:
        p, w = d.planned, d.done
        good = None if d.long_enough is None or d.deep_enough is None else d.long_enough and d.deep_enough
        rows.append(
            (
                f"after ply {d.after}",
                "not planned" if p is None else f"{lasting(p.seconds)}, {shown(p.pressure, 'mbar', 0)}",
                Said(words=NONE, bold=over) if w is None else Said(words=lasting(w.what.seconds), basis=Basis.MEASURED),
                "–" if w is None else measured(w.what.pressure, "mbar", 0),
                "–" if w is None else number(w.what.temperature, "°C", 0),
                "–" if w is None else breakable(w.what.bag) or "–",
                "–" if w is None else short(w.at, zone),
                "–" if w is None else w.who,
                kept(good if w is not None or p is None or not over else False),
            )
        )
    headers = ("", "planned: at least, at most", "vacuum", "in the bag", "warm", "bag", "ended", "who", "")
    return Table(headers=headers, rows=tuple(rows), align="llrrrllll", title="Debulks")


def five(value: float | None) -> str:
    """Return a rise of pressure in five minutes; a dash for none.

    Parameters
    ----------
    value
        [Pa/s].
    """
    return "–" if value is None else shown(300.0 * value, "mbar", 1)


def leak_table(leaks: tuple[Holding, ...], zone: tzinfo) -> Table:
    """Return each leak test as it was read.

    Parameters
    ----------
    leaks
        In order.
    zone
        To show times in.
    """
    rows: list[tuple[Words, ...]] = []
    volume = any(t.reading.what.volume is not None for t in leaks)
    for t in leaks:
        w = t.reading.what
        litres: tuple[Words, ...] = ("–" if w.volume is None else shown(w.volume, "L", 1),) if volume else ()
        rows.append(
            (
                short(t.reading.at, zone),
                measured(w.start, "mbar", 0),
                measured(w.end, "mbar", 0),
                lasting(w.seconds),
                measured(w.ambient, "mbar", 0),
                *litres,
                five(t.rise),
                five(t.limit),
                breakable(", ".join(x for x in (w.gauge, t.reading.who) if x)),
                kept(t.kept),
            )
        )
    middle = ("volume",) if volume else ()
    headers = ("", "start", "end", "after", "ambient", *middle, "rise in 5 min", "at most", "gauge, who", "")
    align = "lrrrr" + "r" * len(middle) + "rrll"
    return Table(headers=headers, rows=tuple(rows), align=align, title="Leak tests, absolute pressures")



def climate_table(found: PlanAgainstActual, zone: tzinfo) -> tuple[Table, ...]:
    """Return readings of the room; nothing when there is none.

    Parameters
    ----------
    found
        The part.
    zone
        To show times in.
    """
    if not found.climate:
        return ()
    p = found.build.planned
    rows: list[tuple[Words, ...]] = [
        (
            short(c.reading.at, zone),
            measured(c.reading.what.value, "°C", 1),
            measured(c.reading.what.humidity, "%", 0),
            breakable(c.reading.what.place) or "–",
            breakable(c.reading.who),
            "fit for laying" if c.laying else "–" if c.laying is None else Said(words="not fit for laying", bold=True),
        )
        for c in found.climate
    ]
    limits = f"{shown(p.lay_coldest, '°C', 0)} to {shown(p.lay_hottest, '°C', 0)}, under {shown(p.lay_wettest, '%', 0)}"
    title = f"Room; for laying {limits}"
    return (Table(headers=("", "air", "humidity", "at", "who", ""), rows=tuple(rows), align="lrrlll", title=title),)


def every_measurement(found: PlanAgainstActual, zone: tzinfo) -> tuple[Table, ...]:
    """Return thickness, pinholes and everything else as it was read, one line each; nothing when there is none.

    Parameters
    ----------
    found
        The part.
    zone
        To show times in.
    """
    own = (Found.MASS, Found.LEAK, Found.CLIMATE, Found.HOURS)
    rows: list[tuple[Words, ...]] = []
    for m in found.build.measured:
        w = m.what
        if w.found in own:
            continue
        sigma = "–" if w.sigma is None else f"± {reading_words(w.found, w.sigma)}"
        gauge, place = breakable(w.gauge) or "–", breakable(w.place) or "–"
        rows.append((w.found.value, place, _value(w), sigma, gauge, breakable(m.who), short(m.at, zone)))
    if not rows:
        return ()
    headers = ("", "where", "read", "sure to, 1 sigma", "gauge", "who", "when")
    return (Table(headers=headers, rows=tuple(rows), align="llrrlll", title="Everything that was measured"),)


def reading_words(found: Found, value: float) -> str:
    """Return a reading with its unit.

    Parameters
    ----------
    found
        What was measured.
    value
        SI.
    """
    if found in PASS_OR_NOT:
        return "passed" if value else "not passed"
    if found is Found.HOURS:
        return lasting(value)
    unit, digits = UNITS.get(found, ("", 0))
    return shown(value, unit, digits) if unit else f"{value:g}"


def mould_block(found: PlanAgainstActual) -> tuple[Table | Paragraph, ...]:
    """Return what the mould was when the part came off.

    Parameters
    ----------
    found
        The part.
    """
    m = found.mould
    if m is None:
        name = breakable(found.build.mould)
        words = f"The ledger does not know the mould {name}." if name else "No mould was named."
        return (Paragraph(title="Mould", words=words),)
    rows: list[tuple[Words, ...]] = [
        ("name", breakable(m.name)),
        ("pull", NONE if m.pull is None else f"{m.pull}"),
        ("pull since the release agent", NONE if m.since_release is None else f"{m.since_release}"),
        ("release agent", breakable(m.agent) or NONE),
        ("hottest in these cures", number(m.hottest, "°C", 0)),
        ("hottest it may see", number(m.limit, "°C", 0)),
    ]
    if found.build.pulled is not None:
        rows.append(("part at demould", number(found.build.pulled.what.temperature, "°C", 0)))
    if m.stuck:
        rows.append(("came off", Said(words="not as it should", bold=True)))
    return (Table(headers=("", ""), rows=tuple(rows), align="lr", title="Mould"),)
