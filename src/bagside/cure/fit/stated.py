"""From a stated sheet to the rows that are fitted and what is known before, refusing what cannot be."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from bagside.cure.fit.prior import Prior, sheet_prior
from bagside.cure.fit.row import USUAL_ADVANCE, USUAL_SD, Kind, Row
from bagside.errors import InputError, Problem
from bagside.quantity import shown
from bagside.spec.resin_sheet import CureRow, GelRow, ResinSheet

COLDEST, HOTTEST = 273.15, 573.15
"""Temperatures between which a resin of this family may cure [K]."""
QUICKEST, SLOWEST = 10.0, 100 * 86400.0
"""Times that a sheet may state of a cure [s]."""
LONGER = 1.5
"""A hotter gel time that is so many times the colder one contradicts it."""


def rows_of(sheet: ResinSheet, file: str) -> tuple[Row, ...]:
    """Return the rows that a sheet states about the cure.

    Parameters
    ----------
    sheet
        As stated.
    file
        Its name, for messages.

    Raises
    ------
    InputError
        With every row that says nothing, or says what cannot be.
    """
    problems = list(_problems(sheet, file))
    if problems:
        raise InputError(problems)
    rows: list[Row] = []
    for k, c in enumerate(sheet.cures, 1):
        rows += _cure_rows(c, f"cure {k}")
    for k, g in enumerate(sheet.gels, 1):
        off = USUAL_SD[Kind.GEL] if g.off is None else g.off
        rows.append(Row(name=f"gel time {k}", kind=Kind.GEL, temperature=g.temperature, time=g.time, sd=off))
    for k, life in enumerate(sheet.lives, 1):
        off = USUAL_SD[Kind.LIFE] if life.off is None else life.off
        rows.append(
            Row(
                name=f"out-life {k}",
                kind=Kind.LIFE,
                temperature=life.temperature,
                time=life.life,
                sd=off,
                advance=USUAL_ADVANCE if life.advance is None else life.advance,
            )
        )
    return tuple(rows)


def prior_of(sheet: ResinSheet, rows: tuple[Row, ...]) -> Prior:
    """Return what is known before a sheet's rows are read, from what it states beside them.

    Parameters
    ----------
    sheet
        As stated.
    rows
        Its rows, at least one.
    """
    return sheet_prior(
        rows, sheet.start, tg0=sheet.tg_uncured, tg1=sheet.tg_cured, tg_lambda=sheet.tg_lambda, gel=sheet.gel
    )


def _cure_rows(c: CureRow, name: str) -> Iterator[Row]:
    for kind, value, off in ((Kind.TG, c.tg, c.tg_off), (Kind.CURE, c.cure, c.cure_off)):
        if value is not None:
            sd = USUAL_SD[kind] if off is None else off
            yield Row(name=name, kind=kind, temperature=c.temperature, time=c.time, value=value, sd=sd, ramp=c.ramp)
    if c.full:
        yield Row(
            name=name, kind=Kind.FULL, temperature=c.temperature, time=c.time, sd=USUAL_SD[Kind.FULL], ramp=c.ramp
        )


def _problems(sheet: ResinSheet, file: str) -> Iterator[Problem]:
    if not 0.0 < sheet.start <= 0.2:
        came = shown(sheet.start, "%")
        yield Problem(
            place=f"{file}, start", came=came, wanted="above 0 and up to 20 % is wanted", hint="fresh prepreg: 1 to 5 %"
        )
    if sheet.gel is not None and not sheet.start < sheet.gel < 0.95:
        yield Problem(
            place=f"{file}, gel", came=shown(sheet.gel, "%"), wanted="more than the start and below 95 % is wanted"
        )
    if sheet.tg_lambda is not None and not 0.05 <= sheet.tg_lambda <= 1.5:
        yield Problem(place=f"{file}, tg_lambda", came=f"{sheet.tg_lambda:g}", wanted="0.05 to 1.5 is wanted")
    yield from _out_of_reach(sheet, file)
    for k, c in enumerate(sheet.cures, 1):
        place = f"{file}, cure {k}"
        if c.tg is None and c.cure is None and not c.full:
            yield Problem(
                place=place, came="", wanted="it says nothing of what comes of it", hint="state tg, cure or full = true"
            )
        if c.cure is not None and not sheet.start < c.cure < 0.999:
            came = shown(c.cure, "%")
            wanted = "more than the start and below 99.9 % is wanted"
            yield Problem(place=f"{place}, cure", came=came, wanted=wanted, hint="a full cure is full = true")
        if c.tg is not None and sheet.tg_uncured is not None and c.tg <= sheet.tg_uncured:
            yield Problem(place=f"{place}, tg", came=shown(c.tg, "°C"), wanted="above that of uncured resin is wanted")
        if c.tg is not None and sheet.tg_cured is not None and c.tg > sheet.tg_cured + 15.0:
            yield Problem(
                place=f"{place}, tg",
                came=shown(c.tg, "°C"),
                wanted=f"that is above tg_cured, {shown(sheet.tg_cured, '°C')}; one of them is wrong",
            )
        for key, off in (("tg_off", c.tg_off), ("cure_off", c.cure_off)):
            if off == 0.0:
                yield Problem(place=f"{place}, {key}", came="0", wanted="more than zero is wanted: no sheet is exact")
    for what, offs in (("gel time", [g.off for g in sheet.gels]), ("out-life", [x.off for x in sheet.lives])):
        for k, off in enumerate(offs, 1):
            if off == 0.0:
                wanted = "more than zero is wanted: no sheet is exact"
                yield Problem(place=f"{file}, {what} {k}, off", came="0", wanted=wanted)
    for k, life in enumerate(sheet.lives, 1):
        if life.advance == 0.0 or (life.advance is not None and life.advance > 0.4):
            came = shown(life.advance, "%")
            wanted = "above 0 and up to 40 % is wanted"
            yield Problem(place=f"{file}, out-life {k}, advance", came=came, wanted=wanted, hint="usual: 3 to 8 %")
    for k, v in enumerate(sheet.viscosities, 1):
        if (v.temperature is None) == (v.ramp is None):
            yield Problem(
                place=f"{file}, viscosity {k}",
                came="",
                wanted="one of temperature (of fresh resin) and ramp (its least on the way up) is wanted",
            )


def _out_of_reach(sheet: ResinSheet, file: str) -> Iterator[Problem]:
    """Yield rows that no curing resin can mean, and gel times that contradict each other."""
    lines: list[tuple[str, CureRow | GelRow]] = [(f"cure {k}", c) for k, c in enumerate(sheet.cures, 1)]
    lines += [(f"gel time {k}", g) for k, g in enumerate(sheet.gels, 1)]
    for what, r in lines:
        if not COLDEST <= r.temperature <= HOTTEST:
            yield Problem(
                place=f"{file}, {what}, temperature",
                came=shown(r.temperature, "°C", 0),
                wanted=f"{shown(COLDEST, '°C', 0)} to {shown(HOTTEST, '°C', 0)} is wanted",
            )
        if not QUICKEST <= r.time <= SLOWEST:
            came = shown(r.time, "min")
            yield Problem(place=f"{file}, {what}, time", came=came, wanted="10 s to 100 days is wanted")
    order = sorted(range(len(sheet.gels)), key=lambda k: sheet.gels[k].temperature)
    for cold, hot in itertools.pairwise(order):
        a, b = sheet.gels[cold], sheet.gels[hot]
        if a.temperature < b.temperature and b.time > LONGER * a.time:
            yield Problem(
                place=f"{file}, gel time {hot + 1}, time",
                came=f"{shown(b.time, 'min')} at {shown(b.temperature, '°C', 0)}",
                wanted=f"less than the {shown(a.time, 'min')} at {shown(a.temperature, '°C', 0)} is wanted: hot resin "
                "gels sooner",
            )
