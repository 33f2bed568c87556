"""A stated sheet fitted: law, doubt, what was asked, and what a person should know."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.fit.asked import USUAL_RAMP, Answer, Asked, answered, required, usual_cycle
from bagside.cure.fit.dsc import DscFit, dsc_fitted, heat_of
from bagside.cure.fit.dsc_curve import DscCurve, all_reacted
from bagside.cure.fit.dsc_noticed import dsc_findings
from bagside.cure.fit.family import kamal
from bagside.cure.fit.fitted import Fit, fitted
from bagside.cure.fit.flow import Thickness, flow_fitted
from bagside.cure.fit.noticed import findings, latent
from bagside.cure.fit.row import ROOM, Kind, Row
from bagside.cure.fit.stated import prior_of, rows_of
from bagside.cure.kinetics import Validity
from bagside.cure.programme import Programme, Segment
from bagside.cure.rate_laws import Kamal
from bagside.cure.viscosity import CastroMacosko
from bagside.errors import InputError
from bagside.findings import Finding
from bagside.spec.material import Fitted
from bagside.spec.resin_sheet import ResinSheet

Floats = NDArray[np.float64]

BEYOND = 10.0
"""The law is taken as valid so far beyond the rows' temperatures [K]. Common practice."""
SPOILED = 30.0
"""Above its hottest row a resin counts as spoiled from here on, unless stated [K]. Common practice."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetFit:
    """A resin fitted to what is stated of it.

    Parameters
    ----------
    name, source
        As stated.
    fitted
        To what.
    fit
        The fitted law.
    asked, answer
        What it is for, and what it says of it.
    law
        The rate law.
    viscosity
        The law for viscosity.
    viscosities
        What that says for each stated viscosity, shape (rows,) [Pa s].
    hottest
        Temperature at which the resin counts as spoiled [K].
    worn
        Degree of cure at the end of its out-life; None when the law does not tell it.
    dsc
        What DSC curves told; None when there are none.
    found
        What a person should know.
    """

    name: str
    source: str
    fitted: Fitted
    fit: Fit
    asked: Asked
    answer: Answer
    law: Kamal
    viscosity: CastroMacosko
    viscosities: Floats
    hottest: float
    worn: float | None
    dsc: DscFit | None
    found: tuple[Finding, ...]


def sheet_fitted(sheet: ResinSheet, file: str, usual: CastroMacosko, curves: tuple[DscCurve, ...] = ()) -> SheetFit:
    """Return a resin fitted to its sheet and its DSC curves.

    Parameters
    ----------
    sheet
        As stated.
    file
        Its name, for messages.
    usual
        A usual law for viscosity.
    curves
        The DSC curves that it names, read.

    Raises
    ------
    InputError
        When a row or a curve makes no sense, or they do not determine what is asked.
    NotSolved
        When the fit does not come to rest.
    """
    rows = rows_of(sheet, file)
    held = [r for r in rows if r.kind is not Kind.LIFE]
    if not held and not curves:
        raise InputError.one(
            f"{file}, rows",
            "",
            "at least one cure or gel time is wanted; out-life alone does not tell how it cures",
            "a cure with its Tg and a gel time at the same temperature do most",
        )
    prior, dsc = prior_of(sheet, rows), None
    if curves:
        clean = all_reacted(curves)
        glass = sheet.tg_cured is not None or any(r.kind is Kind.TG for r in rows)
        dsc = dsc_fitted(clean, prior, sheet.start, heat_of(clean, sheet.heat, file), glass=glass)
        prior = dsc.prior
    fit = fitted(rows, prior, sheet.start)
    asked = _asked(sheet, usual_cycle(held) if held else _between(dsc))
    answer = answered(fit, asked)
    required(fit, asked, answer, file)
    heats = [r.temperature for r in (held if latent(fit) else rows)] + list(dsc.heats if dsc is not None else ())
    valid = Validity(coldest=min(heats) - BEYOND, hottest=max(heats) + BEYOND)
    label = Fitted.SHEET if dsc is None else Fitted.DSC
    thick = [Thickness(viscosity=v.viscosity, temperature=v.temperature, ramp=v.ramp) for v in sheet.viscosities]
    viscosity, viscosities = flow_fitted(thick, fit.theta, fit.prior.middle, fit.start, usual)
    return SheetFit(
        name=sheet.name,
        source=sheet.source,
        fitted=label,
        fit=fit,
        asked=asked,
        answer=answer,
        law=kamal(fit.theta, fit.prior.middle, valid),
        viscosity=viscosity,
        viscosities=viscosities,
        hottest=_spoiled(sheet, held, max(heats)),
        worn=_worn(sheet, fit),
        dsc=dsc,
        found=findings(fit, asked, answer, label) + (() if dsc is None else dsc_findings(dsc)),
    )


def _spoiled(sheet: ResinSheet, held: Sequence[Row], told: float) -> float:
    if sheet.hottest is not None:
        return sheet.hottest
    return max(r.temperature for r in held) + SPOILED if held else told


def _worn(sheet: ResinSheet, fit: Fit) -> float | None:
    lives = [r.advance for r in fit.rows if r.kind is Kind.LIFE]
    return sheet.start + lives[0] if lives and not latent(fit) else None


def _between(dsc: DscFit | None) -> Programme:
    """Return a cycle within what curves tell, when no row does: two hours at their middle temperature."""
    middle = 373.15 if dsc is None else dsc.prior.middle
    return Programme(start=ROOM, segments=(Segment(target=middle, ramp=USUAL_RAMP, hold=7200.0),))


def _asked(sheet: ResinSheet, usual: Programme) -> Asked:
    stated = sheet.asked
    programme = usual
    if stated.segments:
        segments = tuple(Segment(target=s.to, ramp=s.rate, hold=s.hold) for s in stated.segments)
        programme = Programme(start=stated.start, segments=segments)
    return Asked(programme=programme, tg_within=stated.tg_within, gel_within=stated.gel_within)
