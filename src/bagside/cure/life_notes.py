"""What a person should know about the life of a prepreg before laying it up."""

from __future__ import annotations

from collections.abc import Sequence

from bagside.cure.kinetics import Kinetics
from bagside.cure.life import LifeSheet, Spell
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

NEAR = 2.0
"""Difference from the sheet's temperatures that is not worth a word [K]."""

APART = 1.5
"""Factor by which law and life may differ without a word."""

WATCHED, NEARLY = 0.7, 0.9
"""Shares of life from which a person is told, and from which the person must decide: common practice."""


def life_findings(
    name: str,
    sheet: LifeSheet,
    spells: Sequence[Spell],
    *,
    basis: Basis,
    source: str,
    kinetics: Kinetics | None = None,
    by_life: float | None = None,
    by_law: float | None = None,
) -> list[Finding]:
    """Return what is to be said about the life used so far.

    Parameters
    ----------
    name
        The prepreg or resin.
    sheet
        Its life.
    spells
        Where it has been.
    basis, source
        Of the sheet.
    kinetics
        Its rate law, when the advance by that law is shown beside the sheet's.
    by_life, by_law
        Degree of cure by life used and by that law, when both are shown.

    Returns
    -------
    list of Finding
        The gravest first.
    """
    out = []
    share = sheet.share(spells)
    whole, counted = shown(float(sheet.life(sheet.counted_at)), "h", 0), shown(sheet.counted_at, "°C", 0)
    used = shown(sheet.used(spells), "h", 0)
    if share >= WATCHED:
        out.append(
            Finding(
                severity=Severity.STOP if share >= 1.0 else Severity.DECIDE if share >= NEARLY else Severity.WATCH,
                stage="cure",
                place=name,
                what=f"{used} of its {whole} at {counted} are used",
                why="tack goes first, then the resin gels sooner and flows less, and corners bridge",
                do=(
                    "do not lay it on a part; use it for practice or cauls"
                    if share >= 1.0
                    else "lay it up first, and feel its tack and drape on the first piece"
                ),
                basis=basis,
                source=source,
            )
        )
    low = min((min(s.temperature, s.end) for s in spells if s.duration), default=sheet.counted_at)
    high = max((max(s.temperature, s.end) for s in spells if s.duration), default=sheet.counted_at)
    if high > sheet.hottest + NEAR or low < sheet.coldest - NEAR:
        said = [shown(t, "°C", 0) for t, _ in sorted(sheet.points)]
        out.append(
            Finding(
                severity=Severity.SEEN,
                stage="cure",
                place=name,
                what=(
                    f"it was between {shown(low, '°C', 0)} and {shown(high, '°C', 0)}; "
                    f"its life is stated at {' and '.join(said)} only"
                ),
                why=(
                    f"outside, life is counted on the safe side: with {sheet.cold / 1e3:.0f} kJ/mol where it is colder "
                    f"and {sheet.hot / 1e3:.0f} kJ/mol where it is warmer"
                ),
                do="take the lives at other temperatures from the data sheet, when it has them",
                basis=Basis.COMMON,
                source="",
            )
        )
    apart = by_life is not None and by_law is not None and not by_life / APART < by_law < by_life * APART
    if apart or (kinetics is not None and low < kinetics.valid.coldest):
        told = []
        if by_life is not None and by_law is not None:
            told.append(
                f"by its rate law it would be at {shown(by_law, '%', 1)} cure, by life at {shown(by_life, '%', 1)}"
            )
        if kinetics is not None and low < kinetics.valid.coldest:
            told.append(
                f"it was as cold as {shown(low, '°C', 0)}, and its rate law is believed from "
                f"{shown(kinetics.valid.coldest, '°C', 0)} up"
            )
        out.append(
            Finding(
                severity=Severity.SEEN,
                stage="cure",
                place=name,
                what="; ".join(told),
                why="a law fitted to cures seldom holds in a room, and in a freezer hardly ever",
                do="go by life; where much hangs on it, measure the gel time of a piece beside fresh resin's",
                basis=Basis.COMMON,
                source="",
            )
        )
    return out
