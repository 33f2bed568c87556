"""What a fit to DSC curves noticed that a person should know."""

from __future__ import annotations

import numpy as np

from bagside.cure.fit.dsc import ALPHA_OFF, RATE_OFF, DscFit, effective_energy
from bagside.cure.fit.dsc_curve import DscKind
from bagside.findings import Basis, Finding, Severity

APART, SCATTER = 0.08, 0.08
"""Share by which activation energies with and without a law, and heats of ramps, may differ. Common practice."""


def dsc_findings(fit: DscFit) -> tuple[Finding, ...]:
    """Return what a person should know of a fit to curves.

    Parameters
    ----------
    fit
        The fit.
    """
    out: list[Finding] = []
    mine = effective_energy(fit.prior.mean, fit.prior.middle, fit.check.alpha, fit.prior.middle)
    told = np.isfinite(fit.check.by_rate) & (fit.check.alpha <= 0.7)
    if told.any():
        free, law = float(np.median(fit.check.by_rate[told])), float(np.median(mine[told]))
        if abs(free / law - 1.0) > APART:
            out.append(
                Finding(
                    severity=Severity.WATCH,
                    stage="resin",
                    place="activation energy",
                    what=f"without a law it is {free / 1e3:.0f} kJ/mol, with the fitted one {law / 1e3:.0f} kJ/mol",
                    why="the two should agree; a law that is wrong in it is wrong at other temperatures",
                    do="look for the curve that is off; use the law within the temperatures of the curves",
                    basis=Basis.MEASURED,
                    source="rates of all curves at equal degree of cure (Friedman 1964)",
                )
            )
    else:
        out.append(
            Finding(
                severity=Severity.WATCH,
                stage="resin",
                place="activation energy",
                what="one temperature or ramp alone does not tell it without a law",
                why="there is no check on how the law goes with temperature",
                do="add a ramp at another rate or a hold at another temperature",
                basis=Basis.MEASURED,
            )
        )
    if fit.chosen.rate_off > RATE_OFF or fit.chosen.alpha_off > ALPHA_OFF:
        out.append(
            Finding(
                severity=Severity.DECIDE,
                stage="resin",
                place="DSC curves",
                what=f"rates are off by {100 * fit.chosen.rate_off:.0f} % of their peaks, degrees of cure by "
                f"{100 * fit.chosen.alpha_off:.0f} %",
                why="the resin is not of the family of laws that is fitted, or a curve is wrong",
                do="look at each curve's baseline and mass; use the law with the doubt that is shown",
                basis=Basis.MEASURED,
            )
        )
    ramps = [c.total for c in fit.curves if c.kind is DscKind.RAMP]
    if len(ramps) > 1 and np.ptp(ramps) > SCATTER * fit.heat:
        out.append(
            Finding(
                severity=Severity.WATCH,
                stage="resin",
                place="heat of reaction",
                what=f"the ramps give {min(ramps) / 1e3:.0f} to {max(ramps) / 1e3:.0f} kJ/kg",
                why="the same resin gives the same heat: a mass, a share of resin or a baseline is off",
                do="check the mass of each sample, and that each ramp goes on until nothing reacts",
                basis=Basis.MEASURED,
            )
        )
    return tuple(out)
