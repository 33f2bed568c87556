"""What a person should know of a ply laid as tiles."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bagside.drape import Tile
from bagside.findings import Basis, Finding, Severity
from bagside.planning.patchwork_stage import PlyPatchwork
from bagside.planning.piece import locking_of
from bagside.quantity import shown
from bagside.spec.job import Job
from bagside.spec.library import Library

SEEN_STEP = 0.001  # [m] by which a pattern may be out at a join before the eye catches it


def patchwork_findings(found: PlyPatchwork, job: Job, library: Library) -> tuple[Finding, ...]:
    """Return what laying a ply as tiles noticed.

    Parameters
    ----------
    found
        The ply.
    job, library
        As stated.
    """
    work = job.patchwork
    if work is None:
        return ()
    place = f"ply {found.ply + 1}, tiles"
    locks = locking_of(library.prepreg[job.plies[found.ply].material])
    told = library.prepreg[job.plies[found.ply].material].basis

    def note(
        severity: Severity, what: str, why: str, do: str, basis: Basis = Basis.COMMON, source: str = ""
    ) -> Finding:
        return Finding(
            severity=severity, stage="drape", place=place, what=what, why=why, do=do, basis=basis, source=source
        )

    out: list[Finding] = []
    past = [t for t in found.plan.tiles if locks is not None and t.shear > locks]
    if past and locks is not None:
        worst = max(past, key=lambda t: t.shear)
        out.append(
            note(
                Severity.DECIDE,
                f"{_numbered(past)} sheared past the {shown(locks, '°', 0)} at which the cloth locks, tile "
                f"{worst.number} by {shown(worst.shear, '°', 0)}",
                "a tile that cannot shear as the pattern wants stands up, or its neighbours part",
                "cut these smaller, or move the origin so that a join of tiles runs through there",
                told.of("locking_angle"),
                told.source,
            )
        )
    steps = {label: m.misfit for label, m in found.motions.items() if m.misfit > SEEN_STEP}
    for label, misfit in steps.items():
        out.append(
            note(
                Severity.WATCH,
                f"along the join to piece {label} the pattern is out by up to {shown(misfit, 'mm')}",
                "the two pieces stretch and shear differently along their join, and cloth takes only a turn and a move",
                "lay both pieces along their join first (laid_first = the line of the cut), or let the step fall "
                "between two tiles",
                Basis.MEASURED,
            )
        )
    if found.apart:
        out.append(
            note(
                Severity.WATCH,
                f"no join leads to piece{'s' if len(found.apart) > 1 else ''} {', '.join(found.apart)}; the pattern "
                "starts anew there",
                "pieces that do not touch have no common cloth in which the pattern could run on",
                "state two points that meet with continues, as between two parts, or accept it",
            )
        )
    if found.apart_by is not None and abs(found.apart_by) > SEEN_STEP:
        more = "further apart" if found.apart_by > 0 else "nearer to each other"
        out.append(
            note(
                Severity.DECIDE,
                f"its two points lie {shown(abs(found.apart_by), 'mm')} {more} here than on the part the pattern "
                "goes on from",
                "a pattern of one size cannot meet at both; half of it is left at each point",
                "check the four points, or let the pattern meet at one and run out at the other",
                Basis.MEASURED,
            )
        )
    left = found.plan.left
    if left:
        area = shown(sum(x.area for x in left), "cm²")
        out.append(
            note(
                Severity.WATCH,
                f"{len(left)} slivers of {area} in all are left to the ply behind"
                if len(left) > 1
                else f"1 sliver of {area} in all is left to the ply behind",
                f"less than {shown(work.smallest, 'cm²')} or narrower than {shown(work.narrowest, 'mm')}, and no "
                "neighbour to be joined to",
                "accept it where it is trimmed off, or move the origin",
                Basis.MEASURED,
            )
        )
    if found.plan.joined:
        out.append(
            note(
                Severity.SEEN,
                f"{found.plan.joined} sliver{'s are' if found.plan.joined > 1 else ' is'} cut in one with a neighbour",
                f"less than {shown(work.smallest, 'cm²')} or narrower than {shown(work.narrowest, 'mm')}",
                "nothing; these tiles stand in the cut list by their own numbers",
                Basis.MEASURED,
            )
        )
    if len(job.plies) == 1:
        out.append(
            note(
                Severity.DECIDE,
                "there is no ply behind the tiles",
                "fibres end at every tile's edge, so tiles carry no load across",
                "add at least one whole ply behind them",
            )
        )
    return tuple(out)


def _numbered(tiles: Sequence[Tile]) -> str:
    numbers = [str(t.number) for t in tiles]
    if len(numbers) == 1:
        return f"tile {numbers[0]} is"
    shown_ = numbers if len(numbers) <= 12 else [*numbers[:11], f"{len(numbers) - 11} more"]
    return f"{len(numbers)} tiles ({', '.join(shown_[:-1])} and {shown_[-1]}) are"


def tiles_in_words(found: PlyPatchwork) -> str:
    """Return what the tiles are, in words.

    Parameters
    ----------
    found
        The ply.

    Examples
    --------
    ``42 whole hexagons of one sort and 23 edge tiles``
    """
    plan, t = found.plan, found.base
    sorts = "one sort" if len(plan.sorts) == 1 else f"{len(plan.sorts)} sorts"
    edge = len(plan.edge_tiles)
    whole = f"{plan.whole} whole {t.shape.value} of {sorts} and " if plan.whole else ""
    return f"{whole}{edge} edge tile{'s' if edge != 1 else ''}"


def pattern_in_words(found: PlyPatchwork) -> str:
    """Return what the pattern is, in words.

    Parameters
    ----------
    found
        The ply.
    """
    t = found.base
    size = f"{shown(t.size, 'mm')}" + (f" × {shown(t.length, 'mm')}" if t.length is not None else "")
    between = (
        f"gap {shown(t.gap, 'mm')}"
        if t.gap
        else f"each over those before it by {shown(t.overlap, 'mm')}"
        if t.overlap
        else "edge to edge"
    )
    turn = math.remainder(t.turn, math.pi)  # turned by half, each of these patterns is itself again
    return f"{t.shape.value} of {size}, {between}, turned {shown(turn, '°', 0)} against the warp"
