"""What a build's other readings say against its plan: thickness at its points, pinholes by place, films counted off.

Each departure is a finding at its place. Departures that have one cause are told once: a part that is thin at every
point has lost resin or pressure, one that is thin at one point lacks a ply there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bagside.errors import did_you_mean
from bagside.findings import Basis, Finding, Severity
from bagside.ledger.actual.laid import PlyActual, plies_of
from bagside.ledger.actual.measured import PointActual, pinhole_count, pinholes_of, points_of
from bagside.ledger.things import Build
from bagside.quantity import shown

LEAST_POINTS = 5
"""Points at which a part is measured at least (common practice, no source)."""
PINHOLES = 2 / 0.01
"""A show face may have so many before it is filled: 2 in 100 cm² (common practice, no source) [1/m²]."""
ALIKE = 0.25
"""Points are off together when their departures differ by less than this share of their mean, and all one way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmsShort:
    """A piece whose films were not all counted off.

    Parameters
    ----------
    ply, piece
        Which.
    films, off
        Backing films that were on it, and that came off by its tick.
    who
        Ticked it.
    """

    ply: int
    piece: str
    films: int
    off: int
    who: str


def films_short(build: Build) -> tuple[FilmsShort, ...]:
    """Return the pieces that were ticked with fewer films than were on them, or with more.

    Parameters
    ----------
    build
        The part.
    """
    return tuple(
        FilmsShort(ply=ply.number, piece=p.label, films=p.films, off=p.tick.what.films, who=p.tick.who)
        for ply in plies_of(build)
        for p in ply.pieces
        if p.tick is not None and p.tick.what.films != p.films
    )


def reading_findings(build: Build) -> tuple[Finding, ...]:
    """Return every departure of a build's thickness, pinholes and films from its plan.

    Parameters
    ----------
    build
        The part.
    """
    points = points_of(build)
    return (*_films(build), *_thickness(build, points), *_strange(build, points), *_pinholes(build))


def _films(build: Build) -> list[Finding]:
    out = []
    short = [f for f in films_short(build) if f.off < f.films]
    more = [f for f in films_short(build) if f.off > f.films]
    plies: Sequence[PlyActual] = plies_of(build)
    lacking = sum(f.films - f.off for f in short)
    cured = bool(build.cures)
    if short:
        named = ", ".join(f"ply {f.ply} piece {f.piece}: {f.off} of {f.films}" for f in short[:4])
        rest = f" and {len(short) - 4} more" if len(short) > 4 else ""
        out.append(
            Finding(
                severity=Severity.DECIDE if cured else Severity.STOP,
                stage="films",
                place=build.name,
                what=f"{lacking} backing film{' is' if lacking == 1 else 's are'} not accounted for ({named}{rest})",
                why="a film that is cured in parts the plies, and nobody sees it from outside",
                do="tap the face over that ply and weigh the part before it is used"
                if cured
                else "count and weigh the films that came off; lift the ply and look when one is short",
                basis=Basis.MEASURED,
            )
        )
    if more:
        named = ", ".join(f"ply {f.ply} piece {f.piece}: {f.off} of {f.films}" for f in more[:4])
        out.append(
            Finding(
                severity=Severity.WATCH,
                stage="films",
                place=build.name,
                what=f"more films came off than the sheet says ({named})",
                why="the tick is of another piece, or the sheet states too few films",
                do="count the films on the roll, and correct the sheet or the tick",
                basis=Basis.MEASURED,
            )
        )
    if cured and any(not p.laid for p in plies):
        unticked = [f"{x.label} (ply {p.number})" for p in plies for x in p.pieces if x.tick is None]
        out.append(
            Finding(
                severity=Severity.DECIDE,
                stage="films",
                place=build.name,
                what=f"it was cured with {len(unticked)} of its pieces not ticked: {', '.join(unticked[:4])}"
                + (" …" if len(unticked) > 4 else ""),
                why="whether they are in the part, and whether their films are off, is not known",
                do="weigh the part and measure its thickness there; write a late tick only for what somebody saw",
                basis=Basis.MEASURED,
            )
        )
    return out


def _thickness(build: Build, points: Sequence[PointActual]) -> list[Finding]:
    read = [(p, (p.thickness - p.planned) / p.planned) for p in points if p.thickness is not None and p.planned]
    outside = [(p, off) for p, off in read if p.inside is False]
    out: list[Finding] = []
    if outside and len(read) >= 3 and _together([off for _, off in read]):
        mean = sum(off for _, off in read) / len(read)
        out.append(
            Finding(
                severity=Severity.DECIDE,
                stage="thickness",
                place=build.name,
                what=f"{'thin' if mean < 0 else 'thick'} by about {abs(100 * mean):.0f} % at all {len(read)} points",
                why="resin was lost or pressed out everywhere, or the cloth is off its sheet"
                if mean < 0
                else "it had little pressure or much resin everywhere, or the cloth is off its sheet",
                do="hold it against the masses, and look at bag, breather and vacuum of the cure",
                basis=Basis.COMMON,
            )
        )
    else:
        out += [_at_one(build, p, off) for p, off in outside]
    planned = sum(p.planned is not None for p in points)
    wanted = min(planned, LEAST_POINTS)
    if read and len(read) < wanted and build.closed is not None:
        out.append(
            Finding(
                severity=Severity.WATCH,
                stage="thickness",
                place=build.name,
                what=f"its thickness was measured at {len(read)} of {planned} points",
                why=f"fewer than {wanted} say little about the whole",
                do="measure the others",
                basis=Basis.COMMON,
            )
        )
    return out


def _together(offs: Sequence[float]) -> bool:
    """Return whether departures are all one way and much alike."""
    mean = sum(offs) / len(offs)
    return all(o * mean > 0.0 and abs(o - mean) <= ALIKE * abs(mean) for o in offs)


def _at_one(build: Build, point: PointActual, off: float) -> Finding:
    planned, thickness, tolerance = point.planned or 0.0, point.thickness or 0.0, point.tolerance or 0.0
    blunt = point.sigma is not None and point.sigma > 0.25 * tolerance
    return Finding(
        severity=Severity.DECIDE,
        stage="thickness",
        place=f"{build.name}, {point.place}",
        what=f"{shown(thickness, 'mm', 2)}, planned {shown(planned, 'mm', 2)} ± {shown(tolerance, 'mm', 2)} "
        f"({100 * off:+.0f} %)".replace("-", "−"),
        why=("a ply is missing there, or resin ran out of it" if off < 0 else "a ply or a film too many, or a bridge")
        + ("; the gauge is blunt for this tolerance" if blunt else ""),
        do="measure beside it, count the plies on the nearest cut edge, and decide",
        basis=Basis.COMMON,
        source="±8 % of the planned thickness, unless the plan states another tolerance",
    )


def _strange(build: Build, points: Sequence[PointActual]) -> list[Finding]:
    names = [p.place for p in build.planned.points]
    out = []
    for p in points:
        if p.planned is None and names:
            hint = did_you_mean(p.place, names)
            out.append(
                Finding(
                    severity=Severity.WATCH,
                    stage="thickness",
                    place=f"{build.name}, {p.place}",
                    what=f"{shown(p.thickness or 0.0, 'mm', 2)} was measured where the plan has no point",
                    why="there is nothing to hold it against",
                    do="correct the name" + (f": {hint}" if hint else ""),
                    basis=Basis.MEASURED,
                )
            )
    return out


def _pinholes(build: Build) -> list[Finding]:
    found = pinholes_of(build)
    count, area = pinhole_count(found), build.planned.finished_area
    if not count:
        return []
    places = ", ".join(f"{p.count} {p.place}" for p in found[:4] if p.place and p.count)
    much = area > 0.0 and count > PINHOLES * area
    where = f" ({places})" if places else ""
    each = f", {count / area / 100:.2g} in 100 cm²" if area > 0.0 else ""
    return [
        Finding(
            severity=Severity.DECIDE if much else Severity.WATCH,
            stage="pinholes",
            place=build.name,
            what=f"{count} pinhole{'' if count == 1 else 's'}{where}{each}",
            why="more than 2 in 100 cm² are too many for a show face" if much else "they show through a coat",
            do="fill twice with thin epoxy and sand; look at first debulk, vacuum and corners of the next one"
            if much
            else "wipe thin epoxy into them and sand before it is coated",
            basis=Basis.COMMON,
        )
    ]
