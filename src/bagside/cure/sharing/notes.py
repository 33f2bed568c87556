"""What a person should know about parts that are to share an oven."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bagside.cure.chance.limits import WORDS
from bagside.cure.chance.notes import margin_text
from bagside.cure.sharing.common import Common
from bagside.cure.sharing.grouping import Grouping
from bagside.cure.sharing.load import Load, Space
from bagside.cure.sharing.trial import Verdict
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

ALIKE = 5.0
"""Difference of their own hottest dwells up to which parts share by rule alone [K]: common practice."""


def sharing_findings(
    grouping: Grouping, loads: Sequence[Load], space: Space, *, basis: Basis = Basis.COMMON, source: str = ""
) -> tuple[Finding, ...]:
    """Return what a person should know about the runs.

    Parameters
    ----------
    grouping
        From `grouped`.
    loads, space
        What it was made of.
    basis, source
        Of the resins' laws, the weakest.

    Returns
    -------
    tuple of Finding
        Stop for a part that cannot be cured in this oven; decide for parts that must go separately; what to watch in
        each shared run.
    """
    found: list[Finding] = []
    for run in grouping.runs:
        if not run.holds:
            found.append(_finding(Severity.STOP, run, _against(run), basis, source, "change its cycle or its mould"))
    lost = {p for run in grouping.runs if not run.holds for p in run.parts}
    for apart in grouping.apart:
        if not lost & set(apart.parts):
            found.append(_finding(Severity.DECIDE, apart, _against(apart), basis, source, "cure them in separate runs"))
    for run in grouping.runs:
        if run.holds and len(run.parts) > 1:
            found += _watch(run, [x for x in loads if x.name in run.parts], basis, source)
    found += _longer(grouping, basis, source)
    found += _unchecked(loads, space)
    return tuple(found)


def _longer(grouping: Grouping, basis: Basis, source: str) -> list[Finding]:
    """Return that all could share one run, where more runs are shorter."""
    one = grouping.together
    if one is None or not one.holds or len(grouping.runs) < 2 or not grouping.holds:
        return []
    return [
        Finding(
            severity=Severity.SEEN,
            stage="cure",
            place=" and ".join(one.parts),
            what=f"all could share one run of {shown(one.duration, 'h')}; {len(grouping.runs)} runs take "
            f"{shown(grouping.duration, 'h')} with what it takes to load between them",
            why="the one cycle that serves all is slower than their own one after the other",
            do="share all the same where nobody is there to load a second time, as overnight",
            basis=basis,
            source=source,
        )
    ]


def _finding(
    severity: Severity, common: Common, told: tuple[str, str, str], basis: Basis, source: str, do: str
) -> Finding:
    what, why, own = told
    return Finding(
        severity=severity,
        stage="cure",
        place=" and ".join(common.parts),
        what=what,
        why=why,
        do=own or do,
        basis=Basis.COMMON if common.clashes else basis,
        source="" if common.clashes else source,
    )


def _against(common: Common) -> tuple[str, str, str]:
    """Return what keeps parts out of one run, why, and what to do about it."""
    if common.clashes:
        clash = common.clashes[0]
        return clash.what, clash.why, clash.do
    trial = common.trial
    if trial is None or trial.holds:
        return "no cycle was found", "", ""
    if not trial.broken:
        return "they do not cool enough to be taken out", "the oven's room is warmer than that", ""
    first, *rest = trial.broken
    also = f"; also {broken_text(rest[0])}" if rest else ""
    return (
        f"on the closest cycle found {broken_text(first)}{also}",
        "the same air cannot serve both: what one needs breaks a limit of the other"
        if len(common.parts) > 1
        else "no cycle that was tried keeps every limit of this part",
        "",
    )


def broken_text(v: Verdict) -> str:
    """Return a broken limit in words.

    Parameters
    ----------
    v
        As it stands on a programme.
    """
    return f"{v.part} fails by {margin_text(v.limit, -v.margin).lstrip('+')}: {WORDS[v.limit]} ({v.place})"


def _watch(run: Common, loads: Sequence[Load], basis: Basis, source: str) -> list[Finding]:
    trial = run.trial
    if trial is None:
        return []
    place = " and ".join(run.parts)
    last = trial.programme.segments[-1]
    found = []
    order = sorted(range(len(loads)), key=lambda i: trial.arrivals[i])
    slow = order[-1]
    late = trial.arrivals[slow] - (trial.programme.duration - last.hold)
    when = f" {shown(late, 'min', 0)} after the air" if math.isfinite(late) else ""
    found.append(
        Finding(
            severity=Severity.WATCH,
            stage="cure",
            place=place,
            what=f"{run.parts[slow]} is the last to reach the dwell at {shown(last.target, '°C', 0)}{when}",
            why="a dwell that is timed on the air is too short for the slowest mould",
            do=f"one thermocouple on each part; start the clock of the dwell by that of {run.parts[slow]}",
            basis=basis,
            source=source,
        )
    )
    found.append(
        Finding(
            severity=Severity.WATCH,
            stage="cure",
            place=place,
            what=f"{len(loads)} bags hang on one pump",
            why="a bag that bursts takes the vacuum of the others with it",
            do="a line with its own valve and gauge for each bag; shut the valve of a bag that leaks",
            basis=Basis.COMMON,
        )
    )
    if len({x.resin_name for x in loads}) > 1:
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="cure",
                place=place,
                what=f"{' and '.join(sorted({x.resin_name for x in loads}))} are different resins in one oven",
                why="each was simulated on the common cycle; what they give off when hot was not",
                do="ask both data sheets whether they may be cured beside each other, and ventilate",
                basis=basis,
                source=source,
            )
        )
    tops = [x.programme.hottest for x in loads]
    if max(tops) - min(tops) > ALIKE:
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="cure",
                place=place,
                what=f"their own cycles differ by {shown(max(tops) - min(tops), 'K', 0)} at the hottest",
                why=f"more than {shown(ALIKE, 'K', 0)} apart, parts share only because each was simulated on the "
                "common cycle",
                do="keep to the common cycle; do not run one part's own",
                basis=basis,
                source=source,
            )
        )
    return found


def _unchecked(loads: Sequence[Load], space: Space) -> list[Finding]:
    if len(loads) < 2:
        return []
    missing = [
        word
        for word, unknown in (
            ("room on the shelves", space.shelves is None or any(x.footprint is None for x in loads)),
            ("vacuum lines", space.ports is None),
            ("leaks against the pump", space.pump is None or any(x.leak is None for x in loads)),
            ("thermocouples", space.thermocouples is None),
            ("heater power", space.power is None or any(x.heated <= 0.0 for x in loads)),
        )
        if unknown
    ]
    if not missing:
        return []
    return [
        Finding(
            severity=Severity.SEEN,
            stage="cure",
            place="oven",
            what=f"not checked, for want of figures: {', '.join(missing)}",
            why="parts that fit by their cycle may not fit in the oven",
            do="state them, or look before loading: 50 to 75 mm of air around each mould",
            basis=Basis.COMMON,
        )
    ]
