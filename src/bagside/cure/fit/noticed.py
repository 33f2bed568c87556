"""What a fit to a sheet noticed that a person should know."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bagside.cure.fit.asked import Answer, Asked
from bagside.cure.fit.family import LN_LATENT
from bagside.cure.fit.fitted import Fit
from bagside.cure.fit.margin import SHEET_LEAST, post_cure_margin
from bagside.cure.fit.row import Kind
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown
from bagside.spec.material import Fitted

RARE, VERY_RARE = 0.05, 0.005
"""How seldom a resin of the family would be missed by as much."""
LATENT = 2.5
"""Beyond so many times longer in the room than the law says, the law does not tell the out-life."""
FAR = 2.5
"""A row missed by more deviations than this is named."""


def findings(fit: Fit, asked: Asked, answer: Answer, fitted: Fitted) -> tuple[Finding, ...]:
    """Return what a person should know of a fit.

    Parameters
    ----------
    fit
        The fitted law.
    asked, answer
        What it is for, and what it says.
    fitted
        To what.
    """
    return tuple(_all(fit, asked, answer, fitted))


def latent(fit: Fit) -> bool:
    """Return whether the law of the cure does not tell the out-life that its sheet states.

    Parameters
    ----------
    fit
        The fitted law.
    """
    lives = any(r.kind is Kind.LIFE for r in fit.rows)
    return lives and abs(float(fit.theta[LN_LATENT])) > float(np.log(LATENT))


def _all(fit: Fit, asked: Asked, answer: Answer, fitted: Fitted) -> Iterator[Finding]:
    if fit.chance < RARE:
        yield Finding(
            severity=Severity.DECIDE if fit.chance < VERY_RARE else Severity.WATCH,
            stage="resin",
            place="all rows",
            what=f"the rows are missed by more than is usual: χ² {fit.misfit:.1f} where about {fit.freedom} is",
            why="either a row is wrong, or this resin is not of the family of laws that is fitted; all deviations "
            f"shown are widened {fit.widened:.1f}-fold",
            do="check the rows that are missed most; use the law within the rows' temperatures and times only, and do "
            "not let a post-cure ride on it",
            basis=Basis.COMMON,
            source="χ² of rows and priors",
        )
    for row, off in zip(fit.rows, fit.deviations, strict=True):
        if abs(off) > FAR:
            yield Finding(
                severity=Severity.WATCH,
                stage="resin",
                place=f"{row.name}, {row.kind.value}",
                what=f"it is missed by {abs(off):.1f} times what it may be off",
                why="one wrong row pulls the whole law",
                do="read the sheet again: temperature, time, and whether the time is that of the part or of the oven",
                basis=Basis.DATA_SHEET,
            )
    if fit.unlike:
        yield Finding(
            severity=Severity.SEEN,
            stage="resin",
            place="fit",
            what=f"{fit.unlike} of the starts ended in another, worse place",
            why="the rows allow more than one law; the best one is shown",
            do="one more row may decide between them",
            basis=Basis.COMMON,
        )
    if not np.isfinite(answer.gel):
        yield Finding(
            severity=Severity.DECIDE,
            stage="resin",
            place="asked cycle",
            what="the resin does not gel in it, or not surely",
            why="a part that has not gelled has no shape of its own",
            do="ask for a longer or hotter cycle",
            basis=Basis.DATA_SHEET,
        )
    if not any(r.kind is Kind.GEL for r in fit.rows):
        yield Finding(
            severity=Severity.WATCH,
            stage="resin",
            place="rows",
            what="no gel time is stated",
            why="when it gels then rests on the usual course of a cure: everything before gel is unsure",
            do="time the gel of a few grams on a hot plate at a cure temperature, in small amounts: a cupful runs away",
            basis=Basis.COMMON,
        )
    if latent(fit):
        times = float(np.exp(fit.theta[LN_LATENT]))
        ratio = f"{times:.0f} times longer" if times > 1.0 else f"{1.0 / times:.0f} times shorter"
        yield Finding(
            severity=Severity.WATCH,
            stage="resin",
            place="out-life",
            what=f"the resin keeps {ratio} in the room than the law of its cure says",
            why="many hardeners react only once they are warm, so one law does not serve for room and oven",
            do="count its life by the hours the sheet states, not by this law; the law is written as not valid there",
            basis=Basis.DATA_SHEET,
        )
    margin = post_cure_margin(fitted, answer.worst)
    yield Finding(
        severity=Severity.SEEN,
        stage="resin",
        place="post-cure",
        what=f"a post-cure that rides on this law must stay {shown(margin.value, 'K', 0)} below the foretold Tg",
        why=f"{margin.why}; here it is unsure by ±{shown(answer.worst, 'K', 0)} after gel",
        do=_narrower(fitted, margin.value),
        basis=margin.basis,
        source=margin.source,
    )
    if fitted is not Fitted.DSC:
        yield _unseen()


def _narrower(fitted: Fitted, margin: float) -> str:
    """Return what would make a margin narrower."""
    ways = [] if fitted is Fitted.SHEET and margin <= SHEET_LEAST else ["a Tg after a cure that was cut short"]
    ways += [] if fitted is Fitted.DSC else ["DSC curves"]
    return f"narrower with {' or '.join(ways)}; without, post-cure in steps that the sheet itself states"


def _unseen() -> Finding:
    return Finding(
        severity=Severity.SEEN,
        stage="resin",
        place="degree of cure",
        what="the rows tell gel and glass transition, not the degree of cure",
        why="laws that agree in both may differ by 0.1 in the degree of cure",
        do="judge a cure by gel and Tg",
        basis=Basis.COMMON,
        source="synthetic sheets of published resins fitted again, benchmarks/resin_fit.py",
    )
