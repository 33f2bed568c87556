"""A fitted resin as a file for the workshop's ``materials/`` folder."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import numpy as np

from bagside.cure.fit.family import GEL, LN_K, LN_LAMBDA, LN_M, LN_N, OFFSET, TG0, TG1, E
from bagside.cure.fit.sheet import SheetFit
from bagside.cure.viscosity import CastroMacosko
from bagside.errors import InputError
from bagside.findings import Basis
from bagside.quantity import shown
from bagside.records.writing import replaced
from bagside.spec.material import Fitted, Resin
from bagside.spec.resin_sheet import ResinSheet

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_USUAL = ("heat", "density", "heat_capacity", "conductivity", "fibre_heat_capacity", "fibre_conductivity")
_UNIT = {"heat": "kJ/kg", "density": "kg/m³", "conductivity": "W/(m K)", "fibre_conductivity": "W/(m K)"}


def name_problem(name: str) -> str:
    """Return what is wrong with a resin's name, or nothing.

    Parameters
    ----------
    name
        As stated.
    """
    return "" if _BARE.fullmatch(name) else 'letters, digits, "-" and "_" are wanted, as in "ew-100"'


def resin_text(found: SheetFit, sheet: ResinSheet, usual: Resin, on: date) -> str:
    """Return a fitted resin as the text of a materials file.

    Parameters
    ----------
    found
        The fit.
    sheet
        What it was fitted to.
    usual
        A usual resin, for what the sheet does not state.
    on
        The day of the fit.
    """
    law, theta, sd = found.law, found.fit.theta, found.fit.sd
    glass = law.vitrification
    parameters = {"A1": law.A1, "E1": law.E1, "A2": law.A2, "E2": law.E2, "m": law.m, "n": law.n}
    if glass is not None:
        parameters |= {
            "tg0": glass.tg0, "tg1": glass.tg1, "tg_lambda": glass.tg_lambda, "offset": glass.offset,
            "width": glass.width,
        }  # fmt: skip
    parameters |= {"coldest": law.valid.coldest, "hottest": law.valid.hottest}
    flow = found.viscosity
    measured = {} if found.dsc is None else {"heat": found.dsc.heat}
    values = {key: getattr(sheet, key) if getattr(sheet, key) is not None else getattr(usual, key) for key in _USUAL}
    values |= measured
    own = Basis.MEASURED if found.fitted is Fitted.DSC else Basis.DATA_SHEET
    but = {key: Basis.COMMON for key in _USUAL if getattr(sheet, key) is None and key not in measured}
    but |= {
        key: Basis.DATA_SHEET
        for key in _USUAL
        if getattr(sheet, key) is not None and own is not Basis.DATA_SHEET and key not in measured
    }
    if not sheet.viscosities:
        but["viscosity"] = Basis.COMMON
    if sheet.hottest is None:
        but["hottest"] = Basis.COMMON
    if sheet.gel is None:
        but["gel"] = Basis.COMMON
    lines = [
        f"# Fitted by bagside resin fit on {on.isoformat()} to: {_one_line(found.source)}",
        "# It tells gel time and glass transition within the temperatures of its rows; the degree of cure it does not.",
        f"# k at {shown(found.fit.prior.middle, '°C', 0)} {np.exp(theta[LN_K]):.3g} 1/s, "
        f"within a factor {np.exp(sd[LN_K]):.2f}; E {theta[E] / 1e3:.1f} ±{sd[E] / 1e3:.1f} kJ/mol; "
        f"m {np.exp(theta[LN_M]):.2f} ±{np.exp(theta[LN_M]) * sd[LN_M]:.2f}; "
        f"n {np.exp(theta[LN_N]):.2f} ±{np.exp(theta[LN_N]) * sd[LN_N]:.2f}",
        f"# Tg uncured {shown(theta[TG0], '°C', 0)} ±{sd[TG0]:.0f} K, cured {shown(theta[TG1], '°C', 0)} "
        f"±{sd[TG1]:.0f} K, ratio {np.exp(theta[LN_LAMBDA]):.2f} ±{np.exp(theta[LN_LAMBDA]) * sd[LN_LAMBDA]:.2f}; "
        f"vitrification {theta[OFFSET]:.0f} ±{sd[OFFSET]:.0f} K; gel at {100 * theta[GEL]:.0f} ±{100 * sd[GEL]:.0f} %",
        f"[resin.{found.name}]",
        'kinetics = "kamal"',
        "parameters = { " + ", ".join(f"{key} = {_number(value)}" for key, value in parameters.items()) + " }",
    ]
    values["heat"] /= 1e3
    lines += [f'{key} = "{values[key]:.6g} {_UNIT.get(key, "J/(kg K)")}"' for key in _USUAL]
    lines += [
        f'tg_uncured = "{theta[TG0] - 273.15:.2f} °C"',
        f'tg_cured = "{theta[TG1] - 273.15:.2f} °C"',
        f"tg_lambda = {np.exp(theta[LN_LAMBDA]):.5f}",
        f'gel = "{100 * theta[GEL]:.2f} %"',
        f'start = "{100 * found.fit.start:g} %"',
        'viscosity = "castro-macosko"',
        f"viscosity_parameters = {{ A = {_number(flow.A)}, E = {_number(flow.E)}, gel = {_number(flow.gel)}, "
        f"a = {_number(flow.a)}, b = {_number(flow.b)} }}",
        f'hottest = "{found.hottest - 273.15:.1f} °C"',
        *([] if found.worn is None else [f'worn = "{100 * found.worn:.1f} %"']),
        f'fitted = "{found.fitted.value}"',
        f'tg_error = "{found.answer.worst:.1f} K"',
        f'basis = {{ all = "{own.value}", but = {{ '
        + ", ".join(f'{key} = "{basis.value}"' for key, basis in but.items())
        + f' }}, source = "{_one_line(found.source)}, fitted {on.isoformat()}" }}',
    ]
    return "\n".join(lines) + "\n"


def written(path: Path, text: str) -> None:
    """Write a resin's file, never over another.

    Parameters
    ----------
    path
        Of the file.
    text
        Its content.

    Raises
    ------
    InputError
        When there is a file already.
    OutputError
        When it cannot be written.
    """
    if path.exists():
        raise InputError.one("--out", f'"{path}"', "there is a file of this name, and it stays", "give another name")
    replaced(path, text)


def _one_line(text: str) -> str:
    return " ".join(text.split()).replace("\\", "/").replace('"', "'")


def _number(value: float) -> str:
    text = f"{value:.7g}"
    return text if any(c in text for c in ".e") else f"{text}.0"


def day_of(text: str) -> date:
    """Return a day as stated, or today.

    Parameters
    ----------
    text
        As 2026-03-09; empty for today.

    Raises
    ------
    InputError
        When it is no day.
    """
    if not text:
        return date.today()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError.one("--on", f'"{text}"', "a day is wanted, as in 2026-03-09") from None


def usual_flow(usual: Resin) -> CastroMacosko:
    """Return the law for viscosity of a usual resin.

    Parameters
    ----------
    usual
        A resin of the library whose viscosity follows Castro and Macosko.
    """
    return CastroMacosko(**usual.viscosity_parameters)
