"""Films recovered from one thermocouple only: what it tells, and that the rest is left as stated, and said."""

from __future__ import annotations

import numpy as np

from bagside.cure.calibrate import Told, Trial, Where, calibrated, calibration_findings
from trials import BOTH, OVEN, RESIN, Truth, drawn, panel, seats, trial_log, trial_logs

BAG_ONLY, BACK_ONLY = BOTH[:1], BOTH[1:]


def test_its_doubt_holds() -> None:
    scaled = []
    for tool, sensors in (("carbon", BACK_ONLY), ("aluminium", BAG_ONLY), ("board", BACK_ONLY)):
        section, draws = panel(tool), []
        for seed in range(14):
            rng = np.random.default_rng([seed, 77, len(tool)])
            draws.append((rng, drawn(rng, film=0.5, spread=6.0)))
        for (_, truth), log in zip(draws, trial_logs(draws, section, sensors), strict=True):
            trial = Trial(log=log, inert=True, where=seats(sensors))
            c = calibrated([trial], [section], RESIN, OVEN, spread=6.0, foresee=False)
            for v, true in ((c.film_bag, 12.0 * truth.bag), (c.film_tool, 18.0 * truth.tool)):
                scaled.append(np.log(v.value / true) / (np.log(v.high / v.low) / (2.0 * 1.96)))
    assert 0.56 < (np.abs(scaled) < 1.0).mean() < 0.86
    assert (np.abs(scaled) < 1.96).mean() > 0.87


def test_what_it_does_not_tell_stays_and_is_said() -> None:
    """A board insulates: what its back feels is its own film, and hardly anything of the bag's."""
    section = panel("board")
    log = trial_log(np.random.default_rng(4), Truth(bag=1.0, tool=1.3), section, BACK_ONLY)
    c = calibrated([Trial(log=log, inert=True)], [section], RESIN, OVEN, spread=6.0)
    assert c.film_bag.told is Told.NOT
    assert abs(np.log(c.film_bag.value / 12.0)) < 0.25
    assert c.film_tool.told is Told.MEASURED
    assert c.film_tool.low < 18.0 * 1.3 < c.film_tool.high
    said = next(f for f in calibration_findings(c) if f.place == "film on the bag's side")
    assert said.what == f"the log does not tell it: {c.film_bag.low:.0f} to {c.film_bag.high:.0f} W/(m² K)"
    assert said.do.startswith("one more thermocouple under the bag would bring it to ± ")


def test_a_section_that_heats_evenly_tells_the_sum() -> None:
    """Aluminium: C dT/dt = (h1 + h2)(Ta − T): one number, and the correlation says so."""
    section = panel("aluminium")
    log = trial_log(np.random.default_rng(5), Truth(bag=1.3, tool=0.8), section, BAG_ONLY)
    c = calibrated([Trial(log=log, inert=True, where=seats(BAG_ONLY))], [section], RESIN, OVEN, foresee=False)
    assert c.film_sum.told is Told.MEASURED
    assert c.film_sum.low < 12.0 * 1.3 + 18.0 * 0.8 < c.film_sum.high
    assert c.film_sum.high / c.film_sum.low < 1.25
    assert c.correlation < -0.85
    assert Where.BAG in {s.where for s in c.sensors}
