"""What a diagnosis asks of people."""

from __future__ import annotations

from bagside.bagging.pinholes.causes import OTHER
from bagside.bagging.pinholes.rank import Diagnosis
from bagside.findings import Basis, Finding, Severity

SURE = 0.6  # chance from which one cause is named alone
WORTH = 0.10  # chance from which a further cause is named
SOURCE = "margins from the record; how common a cause is and where it shows: common practice"


def pinhole_findings(found: Diagnosis) -> tuple[Finding, ...]:
    """Return what a diagnosis asks of people.

    Parameters
    ----------
    found
        The diagnosis.
    """
    named = [r for r in found.ranked if r.chance >= WORTH and r.name != OTHER] or [
        r for r in found.ranked if r.name != OTHER
    ][:1]
    sure = found.first.chance >= SURE
    out = [
        Finding(
            severity=Severity.DECIDE if sure and r is named[0] else Severity.WATCH,
            stage="bagging",
            place=r.name,
            what=f"{100 * r.chance:.0f} % likely; margin {_number(r.margin)} ({_number(r.margin_band[0])} to "
            f"{_number(r.margin_band[1])}, one at the limit)",
            why=r.why,
            do=r.next_time,
            basis=Basis.COMMON,
            source=SOURCE,
        )
        for r in named
    ]
    if found.measures and not sure:
        m = found.measures[0]
        out.append(
            Finding(
                severity=Severity.DECIDE,
                stage="bagging",
                place="what would tell them apart",
                what=f"{m.name}: {m.bits:.2f} of {found.undecided:.2f} bits, about {m.minutes:.0f} min",
                why="the record alone does not name one cause",
                do=m.tells,
                basis=Basis.COMMON,
                source="expected information over the draws",
            )
        )
    return tuple(out)


def _number(value: float) -> str:
    return "–" if value != value else f"{value:.2g}" if value < 100.0 else "over 100"
