"""DSC curves of a known resin, with noise, drift and a step in the baseline: baseline, heat and law come back."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

import dsccurves
from bagside.cure import Kamal
from bagside.cure.fit.dsc import DscFit, dsc_fitted, effective_energy, heat_of
from bagside.cure.fit.dsc_curve import DscCurve, DscKind, all_reacted, reacted
from bagside.cure.fit.dsc_noticed import dsc_findings
from bagside.cure.fit.family import LN_K, LN_M, LN_N, OFFSET, E
from bagside.cure.fit.prior import Prior, sheet_prior
from bagside.errors import InputError

SIMPLE = replace(dsccurves.LAW, vitrification=None)


def known() -> Prior:
    return sheet_prior((), dsccurves.START, tg0=268.15, tg1=395.15, tg_lambda=0.47)


@cache
def fit() -> DscFit:
    curves = [dsccurves.curve(rate=r, seed=k) for k, r in enumerate((2.0, 5.0, 10.0), 1)]
    curves.append(dsccurves.curve(hold=100.0, minutes=150.0, seed=4))
    clean = all_reacted(tuple(curves))
    return dsc_fitted(clean, known(), dsccurves.START, heat_of(clean, None, "s"), glass=True)


@pytest.mark.parametrize("rate", [2.0, 5.0, 10.0])
@pytest.mark.parametrize("seed", [None, 7])
def test_heat_of_a_ramp(rate, seed):
    found = reacted(dsccurves.curve(rate=rate, seed=seed))
    assert found.kind is DscKind.RAMP
    assert found.rate == pytest.approx(rate / 60.0, rel=1e-3)
    assert found.total == pytest.approx(dsccurves.HEAT, rel=0.03)


def test_drift_and_step_of_the_baseline_come_off():
    bare, full = (reacted(dsccurves.curve(rate=5.0, seed=s)) for s in (None, 3))
    peak = bare.heat.max()
    assert full.heat.max() == pytest.approx(peak, rel=0.01)
    off = np.interp(full.time, bare.time, bare.heat) - full.heat
    assert np.abs(np.convolve(off, np.ones(15) / 15, mode="valid")).max() < 0.02 * peak


def test_a_hold_ends_on_its_baseline():
    found = reacted(dsccurves.curve(hold=120.0, minutes=60.0, seed=2))
    assert found.kind is DscKind.HOLD
    assert found.temperature[0] == pytest.approx(393.15)
    assert found.times[1] == pytest.approx((120.0 - 25.0) / 40.0 * 60.0, abs=6.0), "where it is at temperature"
    assert 0.85 * dsccurves.HEAT < found.total < dsccurves.HEAT, "what reacts while heating up, and after, is missing"


def test_the_law_comes_back():
    found = fit()
    mean, sd = found.prior.mean, found.prior.sd
    law = dsccurves.LAW
    true = np.log(law.A2) - law.E2 / (8.314 * found.prior.middle)
    assert found.heat == pytest.approx(dsccurves.HEAT, rel=0.03)
    assert not found.chosen.two
    assert mean[E] == pytest.approx(law.E2, abs=2.5e3)
    assert mean[LN_K] == pytest.approx(true, abs=0.1)
    assert np.exp(mean[LN_N]) == pytest.approx(law.n, abs=0.12)
    assert np.exp(mean[LN_M]) == pytest.approx(law.m, abs=0.15)
    for at, wanted in ((E, law.E2), (LN_K, true), (LN_N, np.log(law.n)), (LN_M, np.log(law.m)), (OFFSET, -6.0)):
        assert abs(mean[at] - wanted) < 3.0 * sd[at], "the doubt is honest"
    assert sd[E] < 2e3
    assert found.chosen.rate_off < 0.03
    assert found.chosen.alpha_off < 0.015
    assert dsc_findings(found) == ()


def test_activation_energy_without_a_law():
    """One activation energy and no vitrification: every curve tells it at every degree of cure, whatever the law."""
    clean = all_reacted(tuple(dsccurves.curve(rate=r, law=SIMPLE) for r in (2.0, 5.0, 10.0)))
    found = dsc_fitted(clean, known(), dsccurves.START, heat_of(clean, None, "s"), glass=False)
    assert found.check.by_rate == pytest.approx(np.full(8, 7.8e4), rel=0.03)
    assert found.check.by_heating == pytest.approx(np.full(8, 7.8e4), rel=0.04)
    assert found.prior.mean[E] == pytest.approx(7.8e4, rel=0.015)
    mine = effective_energy(found.prior.mean, found.prior.middle, found.check.alpha, found.prior.middle)
    assert mine == pytest.approx(np.full(8, found.prior.mean[E]), rel=1e-6)


def test_two_activation_energies_are_seen():
    law = Kamal(A1=4.0e9, E1=1.05e5, A2=2.0e5, E2=5.6e4, m=0.9, n=1.4)
    clean = all_reacted(tuple(dsccurves.curve(rate=r, law=law, seed=9) for r in (1.0, 4.0, 16.0)))
    found = dsc_fitted(clean, known(), dsccurves.START, heat_of(clean, None, "s"), glass=False)
    one, two = (next(v for v in found.tried if v.two is w) for w in (False, True))
    assert two.score < one.score - 6.0
    assert two.rate_off < one.rate_off


def refused(curve: DscCurve) -> str:
    with pytest.raises(InputError) as e:
        reacted(curve)
    return str(e.value)


def test_curves_that_cannot_be_used():
    ramp = dsccurves.curve(rate=5.0, seed=1)
    hold = dsccurves.curve(hold=100.0, minutes=150.0, seed=1)

    def part(c: DscCurve, low: int, high: int) -> DscCurve:
        span = slice(low, high)
        return replace(c, time=c.time[span], temperature=c.temperature[span], heat=c.heat[span])

    assert refused(part(ramp, 0, 30)) == "ramp 5: 30 readings – 60 or more are wanted (export it with more points)"
    assert refused(replace(ramp, temperature=ramp.temperature[::-1])) == (
        "ramp 5 – it cools where it should heat or hold (export the heating alone)"
    )
    assert refused(replace(ramp, heat=-ramp.heat)) == (
        "ramp 5 – no reaction stands out of its baseline (is exo right, and is the sample fresh?)"
    )
    assert refused(part(ramp, 0, int(np.argmax(ramp.heat)) + 20)) == (
        "ramp 5 – it still reacts where it ends (go on to a hotter end)"
    )
    assert refused(part(ramp, int(np.argmax(ramp.heat)) - 30, 700)) == (
        "ramp 5 – it reacts already where it begins (begin the ramp colder)"
    )
    assert refused(part(hold, 0, 200)) == "hold 100 – it still reacts where it ends (hold it longer)"
    wavy = replace(hold, temperature=hold.temperature + 8.0 * np.sin(hold.time / 300.0))
    assert refused(wavy) == "hold 100 – it neither heats at one rate nor holds one temperature"


def test_every_curve_is_told_at_once():
    short = dsccurves.curve(hold=100.0, minutes=20.0, points=300)
    with pytest.raises(InputError) as e:
        all_reacted((replace(short, name="a"), replace(short, name="b")))
    assert [p.place for p in e.value.problems] == ["a", "b"]


def test_holds_alone_do_not_tell_the_heat():
    clean = all_reacted((dsccurves.curve(hold=100.0, minutes=150.0, seed=1),))
    with pytest.raises(InputError) as e:
        heat_of(clean, None, "sheet.toml")
    assert str(e.value) == (
        "sheet.toml, dsc: isothermal curves alone – they do not tell the whole heat of reaction, since they may end "
        "short of full cure (add a ramp of a fresh sample, or state heat)"
    )
    assert heat_of(clean, 4e5, "sheet.toml") == (4e5, pytest.approx(1.2e4))


def test_one_ramp_is_fitted_and_its_weakness_told():
    clean = all_reacted((dsccurves.curve(rate=5.0, seed=1),))
    found = dsc_fitted(clean, known(), dsccurves.START, heat_of(clean, None, "s"), glass=False)
    assert [f.what for f in dsc_findings(found)] == ["one temperature or ramp alone does not tell it without a law"]
    assert found.prior.sd[E] > 3.0 * fit().prior.sd[E]
