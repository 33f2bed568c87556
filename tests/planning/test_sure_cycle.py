"""A cycle as sure as was asked, on a part whose dwell for a chance is known in closed form."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest
from scipy import stats

from bagside.cure import NOMINAL, Programme, Scenario, Segment
from bagside.cure.chance import Draws, Stage, drawn
from bagside.cure.design import Bounds
from bagside.errors import InputError
from bagside.findings import Severity
from bagside.planning.sure_cycle import designed_for_chance, sure_cycle_findings
from luck import OVEN, RATE, lognormal, normal, only, resin, thin

SCATTER = only(rate=lognormal(0.2), thermocouple=normal(1.0))
TARGET = 0.97


def draws(n: int, seed: int) -> Draws:
    return drawn(SCATTER, n, seed)


def dwell(rate: float) -> float:
    """α = 1 − 0.98 exp(−k f t) reaches 0.97 after this long, the ramp of 1000 s included."""
    return math.log(0.98 / (1.0 - TARGET)) / (RATE * rate) - 1000.0


def cycle(hold: float) -> Programme:
    return Programme(start=293.15, segments=(Segment(target=393.15, ramp=0.1, hold=hold),))


def design(ways: Sequence[Scenario]) -> Programme:
    return cycle(dwell(min(w.rate for w in ways)))


def stages(programme: Programme) -> tuple[Stage, ...]:
    bounds = Bounds(target=TARGET, hottest=400.0)
    return (Stage(sections=(thin(),), programme=programme, bounds=bounds),)


@pytest.mark.parametrize("wanted", [0.8, 0.95])
def test_the_dwell_is_that_of_the_quantile_of_the_rate(wanted: float) -> None:
    sure = designed_for_chance(
        design, stages, resin(), OVEN, draws, scenarios=(NOMINAL,), wanted=wanted, search=400, fresh=800, workers=1
    )
    assert sure.reached
    assert sure.rounds == 2
    hold = sure.design.segments[0].hold
    # as long as the wanted share of all rates needs, and not as long as the slowest of all draws
    least, most = (dwell(float(stats.lognorm(0.2).ppf(q))) for q in (1.0 - wanted, 0.3 * (1.0 - wanted)))
    assert least < hold < most
    true = 1.0 - float(stats.lognorm(0.2).cdf(math.log(0.98 / (1.0 - TARGET)) / (RATE * (1000.0 + hold))))
    told = sure.counted.chance.all_hold
    assert told.low < true < told.high
    assert told.draws == 800
    assert sure.counted.chance.draws.seed == 1
    assert len(sure.scenarios) == 2
    assert sure_cycle_findings(sure) == ()


def test_what_is_sure_already_is_designed_once() -> None:
    sure = designed_for_chance(
        lambda ways: cycle(dwell(0.4)), stages, resin(), OVEN, draws, scenarios=(NOMINAL,), search=200, fresh=200,
        workers=1,
    )  # fmt: skip
    assert (sure.rounds, sure.scenarios) == (1, (NOMINAL,))
    assert sure.counted.chance.all_hold.held == 200


def test_when_no_cycle_holds_in_what_was_drawn_the_surest_is_taken_and_it_is_said() -> None:
    def stuck(ways: Sequence[Scenario]) -> Programme:
        if min(w.rate for w in ways) < 0.9:
            raise InputError.one("cure", "", "no cycle is so long")
        return cycle(dwell(0.95))

    sure = designed_for_chance(
        stuck, stages, resin(), OVEN, draws, scenarios=(NOMINAL,), search=200, fresh=200, workers=1
    )
    assert not sure.reached
    assert sure.design == cycle(dwell(0.95))
    assert sure.stopped_by == "no cycle holds in what else was drawn: cure – no cycle is so long"
    (found,) = sure_cycle_findings(sure)
    assert (found.severity, found.what) == (Severity.DECIDE, "the surest of 2 cycles is not as sure as wanted")
    assert found.why == sure.stopped_by


def test_what_is_not_to_be_had_from_the_start_is_refused() -> None:
    def never(_: Sequence[Scenario]) -> Programme:
        raise InputError.one("cure", "", "nothing serves")

    with pytest.raises(InputError, match=r"^cure – nothing serves$"):
        designed_for_chance(never, stages, resin(), OVEN, draws, scenarios=(NOMINAL,))
    with pytest.raises(InputError) as refused:
        designed_for_chance(design, stages, resin(), OVEN, draws, scenarios=(NOMINAL,), wanted=1.0)
    assert str(refused.value) == "wanted chance: 1.0 – a chance above 0 % and below 100 % is wanted"


def test_it_can_be_stopped() -> None:
    said: list[str] = []
    sure = designed_for_chance(
        design, stages, resin(), OVEN, draws, scenarios=(NOMINAL,), search=200, fresh=200, workers=1,
        stop=lambda: True, progress=lambda what, share: said.append(what),
    )  # fmt: skip
    assert sure.stopped_by == "it was stopped"
    assert said == ["cycle 1 in 1 scenarios", "chance of cycle 1", "chance on fresh draws"]
