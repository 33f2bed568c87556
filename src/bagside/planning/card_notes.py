"""Whether the cards of a ply cover the place it is for: bare places, or cloth that nothing wants."""

from __future__ import annotations

from collections.abc import Sequence

from bagside.findings import Basis, Finding, Severity
from bagside.planning.extent import Extent
from bagside.planning.ply_pieces import PlyPieces
from bagside.quantity import shown
from bagside.spec.job import Job

BARE = 0.02  # of the place: a tape measure is not better than this
BEYOND = 0.020  # [m] allowance beyond a trim line, 10 to 20 mm
LAPPED = 0.10  # of the place, in laps between cards


def card_findings(job: Job, plies: Sequence[PlyPieces], covered: Sequence[Extent]) -> tuple[Finding, ...]:
    """Return where cards are smaller than the place of their ply, or much larger.

    Parameters
    ----------
    job
        As built.
    plies
        The pieces of each ply.
    covered
        The place of each.
    """
    out = []
    for k, (ply, own, place) in enumerate(zip(job.plies, plies, covered, strict=True)):
        if not own.cards:
            continue
        one = own.count == 1
        cards = f"its {'card is' if one else f'{own.count} cards are'} {_area(own.area)}{'' if one else ' together'}"
        if own.area < (1.0 - BARE) * place.area:
            out.append(
                Finding(
                    severity=Severity.DECIDE,
                    stage="cutting",
                    place=f"ply {k + 1}, {ply.region}",
                    what=f"{cards}, and the place {_area(place.area)}: {_area(place.area - own.area)} stay bare",
                    why="thickness and mass are worked out as if the ply covered all of its place",
                    do="enlarge the card or cut one more copy, or state the area that it does cover as the place",
                    basis=Basis.MEASURED,
                )
            )
        most = (1.0 + LAPPED) * place.area + BEYOND * place.edge
        if own.area > most:
            out.append(
                Finding(
                    severity=Severity.WATCH,
                    stage="cutting",
                    place=f"ply {k + 1}, {ply.region}",
                    what=f"{cards}, and the place only {_area(place.area)}",
                    why=f"laps and 20 mm beyond the edge would account for {_area(most - place.area)}; the rest is "
                    "cloth cut for the bin, or a layer that thickness and mass leave out",
                    do="check the card's size and its copies; a second layer is a ply of its own",
                    basis=Basis.COMMON,
                    source="10 to 20 mm beyond the trim line, laps of 15 to 25 mm",
                )
            )
    return tuple(out)


def _area(area: float) -> str:
    return shown(area, "cm²", 0 if area > 1e-3 else 1)
