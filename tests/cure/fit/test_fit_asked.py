"""What the rows leave in doubt, the one more row that would help most, and rows that are refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import resinsheets
from bagside.cure import Programme, Segment
from bagside.cure.fit import (
    Asked,
    RowKind,
    answered,
    fitted,
    one_more,
    predicted,
    required,
    sheet_prior,
    short_of,
    usual_cycle,
)
from bagside.cure.fit.course import along
from bagside.cure.fit.family import GEL, LN_K
from bagside.errors import InputError

ZERO_C = 273.15


def asked(*dwells: tuple[float, float], tg: float = 12.0, gel: float = 0.3) -> Asked:
    segments = tuple(Segment(target=c + ZERO_C, ramp=1 / 60, hold=60.0 * minutes) for c, minutes in dwells)
    return Asked(programme=Programme(start=293.15, segments=segments), tg_within=tg, gel_within=gel)


def fit_of(rows):
    return fitted(rows, sheet_prior(rows, 0.01), 0.01)


def test_the_doubt_is_honest():
    """Resins drawn from the family, their sheets with noise, fitted: errors over the foretold doubt scatter by one."""
    draw = np.random.default_rng(11)
    cycle = asked((90.0, 60.0), (115.0, 90.0))
    rows = [r for r in resinsheets.sheet("own", 3, None) if r.kind in (RowKind.TG, RowKind.GEL)]
    prior = sheet_prior(rows, 0.01)
    speed = fit_of(rows).theta[LN_K]
    tg, gel = [], []
    while len(tg) < 16:
        theta = prior.theta(draw.standard_normal((1, prior.root.shape[1])))
        theta[0, LN_K] = speed + 0.3 * draw.standard_normal()
        said = predicted(theta, prior.middle, 0.01, rows)[0] + draw.standard_normal(len(rows)) * [r.sd for r in rows]
        seen = [
            replace(r, time=float(np.exp(x))) if r.kind is RowKind.GEL else replace(r, value=float(x))
            for r, x in zip(rows, said, strict=True)
        ]
        times = cycle.programme.breaks
        true = along(theta, prior.middle, times, cycle.programme.air(times), 0.01)
        gels = true.time_to(theta[:, GEL])[0]
        if not np.isfinite(gels):
            continue
        answer = answered(fit_of(seen), cycle)
        if np.isfinite(answer.gel):
            tg.append((answer.tg - true.tg(theta)[0, -1]) / answer.tg_sd)
            gel.append(np.log(answer.gel / gels) / answer.gel_sd)
    for off in (tg, gel):
        assert 0.5 < np.sqrt(np.mean(np.square(off))) < 1.5, off


def test_one_more_row_brings_what_it_promises():
    """The row is added as the fit expects it, the fit is done anew, and the doubt is what was foretold."""
    rows = resinsheets.sheet("own", 2, None)
    fit = fit_of(rows)
    cycle = asked((90.0, 60.0), (115.0, 60.0), tg=2.0)
    answer = answered(fit, cycle)
    more = one_more(fit, cycle, answer)
    assert more is not None
    assert more.tg_sd < 0.8 * answer.tg_sd
    after = answered(fitted((*rows, replace(more.row, name="one more")), fit.prior, 0.01), cycle)
    assert after.tg_sd == pytest.approx(more.tg_sd, rel=0.25)
    useless = replace(more.row, kind=RowKind.GEL, temperature=353.15, sd=0.15, time=rows[2].time)
    other = answered(fitted((*rows, useless), fit.prior, 0.01), cycle)
    assert other.tg_sd > 1.2 * after.tg_sd, "a gel time that is there already does less"


def test_one_option_and_a_hotter_cycle_are_refused():
    rows = resinsheets.sheet("own", 1, None)
    fit = fit_of(rows)
    cycle = asked((80.0, 60.0), (120.0, 60.0))
    with pytest.raises(InputError) as e:
        required(fit, cycle, answered(fit, cycle), "sheet.toml")
    assert str(e.value) == (
        "sheet.toml, rows: Tg after the asked cycle is 114 °C ±27.9 K and its gel time ±3 % – "
        "they do not determine it: ±12 K and ±30 % are asked "
        "(one more row would do most: Tg after 60 min at 130 °C; it brings ±3.9 K and ±3 %)"
    )


def test_rows_without_a_glass_transition_are_refused():
    rows = [r for r in resinsheets.sheet("own", 3, None) if r.kind is RowKind.GEL]
    fit = fit_of(rows)
    cycle = asked((90.0, 60.0), (115.0, 60.0))
    with pytest.raises(InputError) as e:
        required(fit, cycle, answered(fit, cycle), "sheet.toml")
    told = str(e.value)
    assert "one more row would do most: Tg after " in told


def test_enough_is_not_refused_and_a_short_cycle_does_not_gel():
    fit = fit_of(resinsheets.sheet("own", 3, None))
    enough = asked((90.0, 60.0), (115.0, 60.0))
    required(fit, enough, answered(fit, enough), "sheet.toml")
    cold = asked((50.0, 30.0), tg=30.0)
    answer = answered(fit, cold)
    assert np.isinf(answer.gel)
    assert np.isnan(answer.gel_sd)
    assert not short_of(cold, answer)


def test_the_usual_cycle_lies_within_the_rows():
    rows = resinsheets.sheet("own", 3, None)
    cycle = usual_cycle(rows)
    assert [round(s.target - ZERO_C) for s in cycle.segments] == [80, 120]
    assert cycle.segments[1].hold == max(r.time for r in rows if r.temperature == 120.0 + ZERO_C)
    assert len(usual_cycle([r for r in rows if r.temperature == 80.0 + ZERO_C]).segments) == 1
