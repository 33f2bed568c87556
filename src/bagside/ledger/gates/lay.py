"""Gates of laying: every piece and film accounted for, every debulk long and deep enough."""

from __future__ import annotations

from bagside.findings import Basis
from bagside.ledger.gates.gate import Gate
from bagside.ledger.planned import PlannedDebulk, PlannedPly
from bagside.ledger.things import Build
from bagside.quantity import shown

WORST = 4
"""So many plies are named in a sentence; the others are counted."""


def films_off(build: Build, step: str, upto: int, since: int = 0) -> Gate:
    """Return whether every piece of the plies so far is ticked, and every film of theirs came off.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    upto
        Last ply that must be laid, from 1.
    since
        Plies up to this one were passed already.
    """
    plies = [p for p in build.planned.plies if since < p.number <= upto]
    open_, wrong = [], []
    wanted = sum(p.films * len(p.pieces) for p in plies)
    counted = 0
    for ply in plies:
        ticks = [t.what for t in build.laid if t.what.ply == ply.number]
        off = sum(t.films for t in ticks)
        counted += off
        missing = _missing(ply, [t.piece for t in ticks])
        if missing:
            open_.append(f"ply {ply.number}: {', '.join(missing)} not ticked")
        elif off != ply.films * len(ply.pieces):
            many = "" if off < ply.films * len(ply.pieces) else ", which is too many"
            wrong.append(f"ply {ply.number}: {off} of {ply.films * len(ply.pieces)} films off{many}")
    holds: bool | None = False if wrong else None if open_ else True
    told = [*wrong, *open_]
    more = [f"and {len(told) - WORST} more plies"] if len(told) > WORST else []
    what = "; ".join([*told[:WORST], *more]) or f"{counted} of {wanted} films off, every piece ticked"
    return Gate(
        key="films", step=step, holds=holds, what=what,
        why="a film left in keeps plies apart for good, and a ply that is missing is hard to find later",
        do="look at the plies named and count the films in the bin; then tick, or correct the tick",
        basis=Basis.COMMON, source="films off equal films supplied, each ticked",
    )  # fmt: skip


def debulked(build: Build, step: str, upto: int, since: int = 0) -> Gate | None:
    """Return whether the debulks that were due are done, long and deep enough; nothing when none was due.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    upto
        Plies that are laid: debulks after them count.
    since
        Debulks after plies up to this one were passed already.
    """
    due = [d for d in build.planned.debulks if since < d.after <= upto]
    if not due:
        return None
    told = [_one(build, d) for d in due]
    worst = [w for holds, w in told if holds is False] + [w for holds, w in told if holds is None]
    holds = False if any(h is False for h, _ in told) else None if worst else True
    return Gate(
        key="debulk", step=step, holds=holds, what="; ".join(worst[:WORST]) if worst else told[-1][1],
        why="air left between plies is seen as pinholes, and corners bridge",
        do="put it under vacuum for the rest of the time, and write down how long and how deep",
        basis=Basis.COMMON, source="first ply always, then every 2 to 6 plies, 5 to 30 min each",
    )  # fmt: skip


def _one(build: Build, due: PlannedDebulk) -> tuple[bool | None, str]:
    """Return whether one debulk was done, and what there is to say."""
    done = [d.what for d in build.debulks if d.what.after == due.after]
    place = f"after ply {due.after}"
    wanted = f"{shown(due.seconds, 'min', 0)} under {shown(due.pressure, 'mbar', 0)} wanted"
    if not done:
        return None, f"{place}: no debulk is written down, {wanted}"
    deep = [d for d in done if d.pressure <= due.pressure]
    if not deep:
        least = min(d.pressure for d in done)
        return False, f"{place}: {shown(least, 'mbar', 0)}, {wanted}"
    time = sum(d.seconds for d in deep)  # in two goes it presses as long
    depth = shown(max(d.pressure for d in deep), "mbar", 0)
    return time >= due.seconds, f"{place}: {shown(time, 'min', 0)} at {depth}, {wanted}"


def _missing(ply: PlannedPly, ticked: list[str]) -> list[str]:
    """Return the pieces that are not ticked, one for each copy."""
    left = list(ticked)
    out = []
    for piece in ply.pieces:
        if piece in left:
            left.remove(piece)
        else:
            out.append(piece)
    return [f"piece {p}" for p in out]
