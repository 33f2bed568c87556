"""A resin as tables for people and as one JSON object."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from bagside.cli import show
from bagside.cure import CureResin
from bagside.cure.fit import HeldAt, hours, post_cure_margin
from bagside.cure.fit.held import HOLDS, MOSTLY
from bagside.findings import Finding, Severity
from bagside.quantity import shown
from bagside.spec.material import Fitted, Resin

Table = tuple[str, list[str], list[list[str]]]

_CELSIUS = ("tg0", "tg1")
_KELVIN = ("offset", "width")


def resin_tables(name: str, stated: Resin, resin: CureResin, held: Sequence[HeldAt]) -> Iterator[Table]:
    """Yield title, headers and rows of each table that tells of a resin."""
    told = stated.basis

    def line(label: str, value: str, field: str) -> list[str]:
        return [label, value, show.MARK[told.of(field)]]

    yield (
        f"{name}: {told.source}" if told.source else name,
        ["", "", ""],
        [
            line("rate law", stated.kinetics, "kinetics"),
            *[
                line(f"  {key}", _parameter(key, value), "parameters")
                for key, value in stated.parameters.items()
                if key not in ("coldest", "hottest", "least", "most")
            ],
            line("may be believed", _range(resin), "parameters"),
            line("heat of reaction", f"{stated.heat / 1e3:.0f} kJ/kg resin", "heat"),
            line("Tg uncured", shown(stated.tg_uncured, "°C", 0), "tg_uncured"),
            line("Tg cured", shown(stated.tg_cured, "°C", 0), "tg_cured"),
            line("DiBenedetto's ratio", f"{stated.tg_lambda:.2f}", "tg_lambda"),
            line("gel at a degree of cure of", shown(stated.gel, "%", 0), "gel"),
            line("degree of cure when fresh", shown(stated.start, "%"), "start"),
            line("viscosity", stated.viscosity or "not known", "viscosity"),
            *[
                line(f"  {key}", _parameter(key, value, flow=True), "viscosity")
                for key, value in stated.viscosity_parameters.items()
            ],
            line("density", f"{stated.density:.0f} kg/m³", "density"),
            line("spoiled from", shown(stated.hottest, "°C", 0), "hottest"),
            *([] if stated.fitted is Fitted.NOT else [_fit_line(stated)]),
            ["a post-cure stays below its Tg by", shown(_margin(stated), "K", 0), ""],
        ],
    )
    yield (
        "Held at one temperature, thin and without lag",
        ["", "gels after", f"{100 * MOSTLY:.0f} % after", *(f"Tg, {h / 3600:.0f} h" for h in HOLDS), ""],
        [
            [
                shown(h.temperature, "°C", 0),
                _time(h.gel),
                _time(h.mostly),
                *(shown(t, "°C", 0) for t in h.tg),
                "" if h.valid else "outside",
            ]
            for h in held
        ],
    )


def resin_findings(name: str, stated: Resin, resin: CureResin, held: Sequence[HeldAt]) -> tuple[Finding, ...]:
    """Return what a person should know of a resin's table."""
    valid = resin.kinetics.valid
    outside = [shown(h.temperature, "°C", 0) for h in held if not h.valid]
    if not outside:
        return ()
    return (
        Finding(
            severity=Severity.WATCH,
            stage="resin",
            place=f"resin {name}",
            what=f"the law is not known to hold at {', '.join(outside)}",
            why=f"it may be believed from {_heats(valid.coldest, valid.hottest)}; outside it may be far off",
            do="do not plan by these lines; fit rows or curves at these temperatures",
            basis=stated.basis.of("parameters"),
            source=stated.basis.source,
        ),
    )


def resin_data(
    name: str, stated: Resin, resin: CureResin, held: Sequence[HeldAt], found: Sequence[Finding]
) -> dict[str, Any]:
    """Return a resin as one JSON object; keys carry their unit, parameters are in SI."""
    valid = resin.kinetics.valid
    return {
        "resin": {
            "name": name,
            "kinetics": stated.kinetics,
            "parameters_si": stated.parameters,
            "coldest_c": valid.coldest - 273.15,
            "hottest_c": valid.hottest - 273.15,
            "heat_kj_per_kg": stated.heat / 1e3,
            "tg_uncured_c": stated.tg_uncured - 273.15,
            "tg_cured_c": stated.tg_cured - 273.15,
            "gel": stated.gel,
            "fitted": stated.fitted.value,
            "tg_error_k": stated.tg_error,
            "post_cure_margin_k": _margin(stated),
            "basis": stated.basis.all.value,
            "source": stated.basis.source,
            "held": [
                {
                    "temperature_c": h.temperature - 273.15,
                    "gel_min": h.gel / 60 if np.isfinite(h.gel) else None,
                    "mostly_min": h.mostly / 60 if np.isfinite(h.mostly) else None,
                    "tg_c": [t - 273.15 for t in h.tg],
                    "tg_after_min": [t / 60 for t in HOLDS],
                    "valid": h.valid,
                }
                for h in held
            ],
        },
        "findings": [show.finding_data(f) for f in found],
    }


def _margin(stated: Resin) -> float:
    return post_cure_margin(stated.fitted, stated.tg_error).value


def _fit_line(stated: Resin) -> list[str]:
    return [f"fitted to {stated.fitted.value}, Tg on the way", f"±{shown(stated.tg_error, 'K', 0)}", ""]


def _range(resin: CureResin) -> str:
    valid = resin.kinetics.valid
    heats = _heats(valid.coldest, valid.hottest)
    return heats if (valid.least, valid.most) == (0.0, 1.0) else f"{heats}, cured {valid.least:.0%} to {valid.most:.0%}"


def _heats(coldest: float, hottest: float) -> str:
    return f"{coldest - 273.15:.0f} to {shown(hottest, '°C', 0)}"


def _time(seconds: float) -> str:
    return hours(seconds) if np.isfinite(seconds) else "over 4 months"


def _parameter(key: str, value: float, *, flow: bool = False) -> str:
    if key in _CELSIUS:
        return shown(value, "°C")
    if key in _KELVIN:
        return shown(value, "K")
    if key[0] in "EU" and (len(key) == 1 or key[1:].isdigit()):
        return f"{value / 1e3:.1f} kJ/mol"
    if key[0] == "A" and (len(key) == 1 or key[1:].isdigit()):
        return f"{value:.4g} {'Pa s' if flow else '1/s'}".replace("-", "−")
    return f"{value:.4g} 1/K" if key == "aCT" else f"{value:.4g}".replace("-", "−")
