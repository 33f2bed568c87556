"""Gates of the part off its mould: mass, thickness, holes, and a bond face that is clean."""

from __future__ import annotations

from datetime import datetime, timedelta

from bagside.findings import Basis
from bagside.ledger.bodies import Found, MassStage
from bagside.ledger.gates.gate import Gate
from bagside.ledger.things import Build
from bagside.quantity import shown

POINTS = 5
"""Marked points at which thickness is measured. Common practice, no source."""

BONDED_WITHIN = timedelta(hours=4)
"""After sanding a face is bonded within this; a builders' list that quotes a repair course."""

CLEAN = 1.0


def thick(build: Build, step: str) -> Gate | None:
    """Return whether thickness was measured at enough points, and is as planned; nothing without planned points.

    Parameters
    ----------
    build
        Which.
    step
        Before which.

    Notes
    -----
    Every planned zone wants a reading, of more zones than there are readings wanted the largest. A reading at a zone is
    held against that zone, any other against the whole range of the plan. The last reading of a place counts.
    """
    points = build.planned.points
    if not points:
        return None
    read = [m.what for m in build.measured if m.what.found is Found.THICKNESS]
    by_place = {m.place or f"reading {k}": m for k, m in enumerate(read, 1)}
    span = (min(p.thickness - p.tolerance for p in points), max(p.thickness + p.tolerance for p in points))
    wrong = []
    for place, m in by_place.items():
        zone = next((p for p in points if p.holds(m.place)), None)
        low, high = span if zone is None else (zone.thickness - zone.tolerance, zone.thickness + zone.tolerance)
        if not low <= m.value <= high:
            wrong.append(f"{place}: {shown(m.value, 'mm', 2)}, {shown(low, 'mm', 2)} to {shown(high, 'mm', 2)} wanted")
    left = [p for p in points[:POINTS] if not any(p.holds(m.place) for m in read)]
    count = len(by_place)
    holds = False if wrong else True if count >= POINTS and not left else None
    measured = f"{count} of {POINTS} places measured"
    few = measured
    if left:
        few = f"{measured}; none at {', '.join(f'{p.place} ({p.where})' if p.where else p.place for p in left)}"
    more = [f"and {len(wrong) - 3} more"] if len(wrong) > 3 else []
    what = "; ".join([*wrong[:3], *more])
    return Gate(
        key="thickness", step=step, holds=holds, what=what or (few if holds is None else f"{measured}, all as planned"),
        why="too thin means a ply missing or resin lost, too thick means voids or a fold",
        do="measure it with a thickness gauge, as at T1 or at T1 bow" if holds is None
        else "look at the mass and tap it there",
        basis=Basis.COMMON, source="five marked points, ±8 %",
    )  # fmt: skip


def holes(build: Build, step: str) -> Gate | None:
    """Return whether every hole was measured from the datum, and is where it belongs; nothing without holes.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    """
    planned = build.planned.holes
    if not planned:
        return None
    read = {m.what.place: m.what.value for m in build.measured if m.what.found is Found.HOLE}
    left = [h.name for h in planned if h.name not in read]
    off = [
        f"{h.name}: {shown(abs(read[h.name]), 'mm', 1)} off, {shown(h.off, 'mm', 1)} allowed"
        for h in planned
        if h.name in read and abs(read[h.name]) > h.off
    ]
    holds = False if off else None if left else True
    said = [*off, *([f"not measured: {', '.join(left)}"] if left else [])]
    return Gate(
        key="holes", step=step, holds=holds,
        what="; ".join(said) or f"{', '.join(h.name for h in planned)}: measured, within {_within(build)}",
        why="a bracket or a bolt that meets a hole in the wrong place cannot be moved any more",
        do="measure from the datum and not from the edge, at 20 ± 3 °C, and hold it against what it fits",
        basis=Basis.COMMON, source="mould, spring-in, template and hand drill together",
    )  # fmt: skip


def water_break(build: Build, step: str, now: datetime) -> Gate:
    """Return whether water stayed unbroken on the bond face, within the time in which it may be bonded.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    now
        Time at which it would be bonded.
    """
    read = [m for m in build.measured if m.what.found is Found.WATER_BREAK and m.at <= now]
    why = "release or grease on the face and the bond fails at a fraction of its load"
    do = "degrease, abrade, vacuum, wipe twice; water must stay unbroken for 30 s, then dry it"
    hours = f"{BONDED_WITHIN.total_seconds() / 3600.0:.0f} h"
    source = f"an adhesive maker's note: unbroken for 30 s; a repair course: bond within {hours} of sanding"
    if not read:
        holds, what = None, "nobody has looked"
    elif read[-1].what.value < CLEAN:
        holds, what = False, f"it broke, {read[-1].at:%Y-%m-%d %H:%M} UTC"
    else:
        age = now - read[-1].at
        holds = True if age <= BONDED_WITHIN else None
        told = f"it stayed unbroken {age.total_seconds() / 3600.0:.1f} h ago"
        what = f"{told}; within {hours}" if holds else f"{told}; bond within {hours}, or look again"
    return Gate(
        key="water-break", step=step, holds=holds, what=what, why=why, do=do, basis=Basis.PUBLISHED, source=source
    )


def weighed(build: Build, stage: MassStage) -> float | None:
    """Return the last mass that was weighed at a moment [kg]; None when it never was.

    Parameters
    ----------
    build
        Which.
    stage
        At which moment.
    """
    found = [m.what.value for m in build.measured if m.what.found is Found.MASS and m.what.stage is stage]
    return found[-1] if found else None


def _within(build: Build) -> str:
    return shown(max(h.off for h in build.planned.holes), "mm", 1)
