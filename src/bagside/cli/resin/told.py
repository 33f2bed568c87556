"""A fit as tables for people and as one JSON object."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from bagside.cli import show
from bagside.cure.fit import Row, RowKind, SheetFit, hours
from bagside.cure.fit.dsc import DscFit, Variant, effective_energy
from bagside.cure.fit.dsc_curve import DscKind
from bagside.cure.fit.family import E_GAP, GEL, LN_K, LN_LAMBDA, LN_LATENT, LN_M, LN_N, LN_R, OFFSET, TG0, TG1, E
from bagside.quantity import shown
from bagside.spec.resin_sheet import ResinSheet

Table = tuple[str, list[str], list[list[str]]]

_TIMES = (RowKind.GEL, RowKind.LIFE)


def fit_tables(found: SheetFit, sheet: ResinSheet) -> Iterator[Table]:
    """Yield title, headers and rows of each table that tells of a fit."""
    fit, answer = found.fit, found.answer
    if fit.rows:
        yield (
            f"{found.name}: {len(fit.rows)} rows, χ² {fit.misfit:.1f} where about {fit.freedom} is usual",
            ["row", "at", "", "stated", "fitted", "sure to", "off by"],
            [
                [
                    row.name,
                    shown(row.temperature, "°C", 0) + ("" if row.kind in _TIMES else f", {hours(row.time)}"),
                    row.kind.value,
                    _value(row, row.stated),
                    _value(row, got),
                    _doubt(row, sd),
                    f"{off:+.1f} sd".replace("-", "−"),
                ]
                for row, got, sd, off in zip(fit.rows, fit.got, fit.sd_of_rows, fit.deviations, strict=True)
            ],
        )
    if found.dsc is not None:
        yield from _dsc_tables(found.dsc)
    if sheet.viscosities:
        yield (
            "Viscosity",
            ["row", "at", "stated", "fitted"],
            [
                [
                    f"viscosity {k}",
                    shown(v.temperature, "°C", 0)
                    if v.temperature is not None
                    else f"least at {shown(v.ramp or 0.0, '°C/min')}",
                    shown(v.viscosity, "Pa s"),
                    shown(float(got), "Pa s"),
                ]
                for k, (v, got) in enumerate(zip(sheet.viscosities, found.viscosities, strict=True), 1)
            ],
        )
    yield (
        f"Law: the rows tell {fit.informed} directions of {len(fit.z)}; the rest is "
        + ("usual" if found.dsc is None else "from the curves or usual"),
        ["", "value", "sure to", "rows tell"],
        [[name, value, sd, f"{100 * share:.0f} %"] for name, value, sd, share in _parameters(found)],
    )
    cycle = ", then ".join(f"{shown(s.target, '°C', 0)} for {hours(s.hold)}" for s in found.asked.programme.segments)
    gel = "not" if not np.isfinite(answer.gel) else shown(answer.gel, "min", 0)
    gel_sd = "" if np.isnan(answer.gel_sd) else f"±{shown(answer.gel_sd, '%', 0)}"
    yield (
        f"Asked: {cycle}",
        ["", "foretold", "sure to", "asked"],
        [
            ["gels after", gel, gel_sd, f"±{shown(found.asked.gel_within, '%', 0)}"],
            [
                "Tg after it",
                shown(answer.tg, "°C", 0),
                f"±{shown(answer.tg_sd, 'K', 0)}",
                f"±{shown(found.asked.tg_within, 'K', 0)}",
            ],
            ["Tg on the way, at worst", "", f"±{shown(answer.worst, 'K', 0)}", ""],
        ],
    )


def _dsc_tables(dsc: DscFit) -> Iterator[Table]:
    yield (
        f"DSC: {dsc.heat / 1e3:.0f} ±{dsc.heat_off / 1e3:.0f} kJ/kg; taken: {_law_name(dsc.chosen)}",
        ["curve", "", "reaction", "heat", "peak"],
        [
            [
                c.name,
                c.kind.value if c.kind is DscKind.HOLD else shown(c.rate, "°C/min"),
                f"{c.temperature[0] - 273.15:.0f} to {shown(float(c.temperature[-1]), '°C', 0)}"
                if c.kind is DscKind.RAMP
                else shown(float(c.temperature[0]), "°C", 0),
                f"{c.total / 1e3:.0f} kJ/kg",
                f"{c.heat.max() / 1e3:.2f} W/g",
            ]
            for c in dsc.curves
        ],
    )
    yield (
        "Laws tried",
        ["", "rates off by", "degrees of cure off by", "score"],
        [
            [
                _law_name(v),
                shown(v.rate_off, "%"),
                shown(v.alpha_off, "%"),
                f"{v.score:.0f}".replace("-", "−"),
            ]
            for v in dsc.tried
        ],
    )
    mine = effective_energy(dsc.prior.mean, dsc.prior.middle, dsc.check.alpha, dsc.prior.middle)
    yield (
        "Activation energy with the law and without one, kJ/mol",
        ["degree of cure", "law", "by rate", "by heating rate"],
        [
            [shown(float(a), "%", 0), *(f"{x / 1e3:.0f}" if np.isfinite(x) else "–" for x in (law, rate, ramp))]
            for a, law, rate, ramp in zip(dsc.check.alpha, mine, dsc.check.by_rate, dsc.check.by_heating, strict=True)
        ],
    )


def _law_name(variant: Variant) -> str:
    energies = "two activation energies" if variant.two else "one activation energy"
    return f"{energies}, {'vitrifies' if variant.glass else 'does not vitrify'}"


def fit_data(found: SheetFit, sheet: ResinSheet) -> dict[str, Any]:
    """Return a fit as one JSON object; keys carry their unit."""
    fit, answer, law = found.fit, found.answer, found.law
    return {
        "resin": {
            "name": found.name,
            "fitted": found.fitted.value,
            "law": {"A1_1_per_s": law.A1, "E1_j_per_mol": law.E1, "A2_1_per_s": law.A2, "E2_j_per_mol": law.E2,
                    "m": law.m, "n": law.n},
            "tg_uncured_c": float(fit.theta[TG0]) - 273.15,
            "tg_cured_c": float(fit.theta[TG1]) - 273.15,
            "tg_lambda": float(np.exp(fit.theta[LN_LAMBDA])),
            "gel": float(fit.theta[GEL]),
            "chi_squared": fit.misfit,
            "chi_squared_usual": fit.freedom,
            "chance": fit.chance,
            "informed": fit.informed,
            "rows": [
                {
                    "name": row.name,
                    "kind": row.kind.value,
                    "temperature_c": row.temperature - 273.15,
                    "time_min": row.time / 60,
                    **_pair(row, got, sd),
                    "off_sd": float(off),
                }
                for row, got, sd, off in zip(fit.rows, fit.got, fit.sd_of_rows, fit.deviations, strict=True)
            ],
            "dsc": None if found.dsc is None else _dsc_data(found.dsc),
            "viscosities": [
                {"stated_pa_s": v.viscosity, "fitted_pa_s": float(got)}
                for v, got in zip(sheet.viscosities, found.viscosities, strict=True)
            ],
            "asked": {
                "tg_c": answer.tg - 273.15,
                "tg_sd_k": answer.tg_sd,
                "gel_min": None if not np.isfinite(answer.gel) else answer.gel / 60,
                "gel_sd": None if np.isnan(answer.gel_sd) else answer.gel_sd,
                "tg_sd_worst_k": answer.worst,
            },
        },
        "findings": [show.finding_data(f) for f in found.found],
    }  # fmt: skip


def _dsc_data(dsc: DscFit) -> dict[str, Any]:
    return {
        "heat_kj_per_kg": dsc.heat / 1e3,
        "heat_sd_kj_per_kg": dsc.heat_off / 1e3,
        "two_energies": dsc.chosen.two,
        "vitrifies": dsc.chosen.glass,
        "rate_off": dsc.chosen.rate_off,
        "alpha_off": dsc.chosen.alpha_off,
        "curves": [
            {"name": c.name, "kind": c.kind.value, "heat_kj_per_kg": c.total / 1e3, "ramp_c_per_min": 60 * c.rate}
            for c in dsc.curves
        ],
    }


def _pair(row: Row, got: float, sd: float) -> dict[str, float]:
    if row.kind in _TIMES:
        return {"stated_min": row.time / 60, "fitted_min": float(np.exp(got)) / 60, "sd": float(sd)}
    if row.kind is RowKind.CURE:
        return {"stated": row.stated, "fitted": float(got), "sd": float(sd)}
    zero = 273.15 if row.kind is RowKind.TG else 0.0
    unit = "c" if row.kind is RowKind.TG else "k"
    return {f"stated_{unit}": row.stated - zero, f"fitted_{unit}": float(got) - zero, "sd_k": float(sd)}


def _value(row: Row, value: float) -> str:
    if row.kind in _TIMES:
        return hours(float(np.exp(value)))
    if row.kind is RowKind.TG:
        return shown(value, "°C", 0)
    return shown(value, "%", 0) if row.kind is RowKind.CURE else f"{shown(value, 'K', 0)} to gain"


def _doubt(row: Row, sd: float) -> str:
    if row.kind in (*_TIMES, RowKind.CURE):
        return f"±{shown(float(sd), '%', 0)}"
    return f"±{shown(float(sd), 'K', 0)}"


def _parameters(found: SheetFit) -> Iterator[tuple[str, str, str, float]]:
    theta, sd, told = found.fit.theta, found.fit.sd, found.fit.learned
    middle = shown(found.fit.prior.middle, "°C", 0)
    k = float(np.exp(theta[LN_K]))
    yield f"rate constant at {middle}", f"{k:.3g} 1/s", f"×÷ {np.exp(sd[LN_K]):.2f}", float(told[LN_K])
    yield "activation energy", f"{theta[E] / 1e3:.1f} kJ/mol", f"±{sd[E] / 1e3:.1f}", float(told[E])
    if sd[E_GAP] > 0.0:
        yield "of the start, more", f"{theta[E_GAP] / 1e3:.1f} kJ/mol", f"±{sd[E_GAP] / 1e3:.1f}", float(told[E_GAP])
    for name, at in (("exponent m", LN_M), ("exponent n", LN_N), ("share that starts by itself", LN_R)):
        value = float(np.exp(theta[at]))
        yield name, f"{value:.2g}", f"×÷ {np.exp(sd[at]):.2f}", float(told[at])
    for name, at in (("Tg uncured", TG0), ("Tg cured", TG1)):
        yield name, shown(float(theta[at]), "°C", 0), f"±{shown(float(sd[at]), 'K', 0)}", float(told[at])
    ratio = float(np.exp(theta[LN_LAMBDA]))
    yield "DiBenedetto's ratio", f"{ratio:.2f}", f"±{ratio * sd[LN_LAMBDA]:.2f}", float(told[LN_LAMBDA])
    if found.law.vitrification is not None:
        offset = f"{theta[OFFSET]:.0f} K".replace("-", "−")
        yield "vitrifies when above Tg by", offset, f"±{shown(float(sd[OFFSET]), 'K', 0)}", float(told[OFFSET])
    yield "gel at a degree of cure of", f"{100 * theta[GEL]:.0f} %", f"±{100 * sd[GEL]:.0f} %", float(told[GEL])
    if any(r.kind is RowKind.LIFE for r in found.fit.rows):
        times = f"{np.exp(theta[LN_LATENT]):.2g} times"
        yield "keeps longer in the room", times, f"×÷ {np.exp(sd[LN_LATENT]):.2f}", float(told[LN_LATENT])
