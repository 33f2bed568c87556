"""Logs that cannot be a trial: what is wrong, and what is wanted, whole."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bagside.cure import Channel, CureLog, Programme, Segment, Sensor
from bagside.cure.calibrate import Beliefs, Trial, Where, calibrated
from bagside.cure.calibrate.least import Unknown, least
from bagside.errors import InputError, NotSolved
from trials import OVEN, PROGRAMME, RESIN, Truth, panel, trial_log

PANEL = panel()
LOG = trial_log(np.random.default_rng(1), Truth(), PANEL)


def only(*sensors: Sensor) -> CureLog:
    return replace(LOG, channels=tuple(c for c in LOG.channels if c.sensor in sensors))


def at(log: CureLog, section: str) -> CureLog:
    channels = tuple(replace(c, section=section) if c.sensor is Sensor.PART else c for c in log.channels)
    return replace(log, channels=channels)


def level(log: CureLog) -> CureLog:
    return replace(log, channels=tuple(replace(c, values=0.0 * c.values + 300.0) for c in log.channels))


def swapped(log: CureLog) -> CureLog:
    air, part = log.of(Sensor.AIR)[0], log.of(Sensor.TOOL)[0]
    return replace(
        log,
        channels=(
            Channel(name="TC1", sensor=Sensor.AIR, values=part.values),
            Channel(name="TC3", sensor=Sensor.TOOL, values=air.values, section="panel"),
        ),
    )


@pytest.mark.parametrize(
    ("trial", "message"),
    [
        (
            Trial(log=only(Sensor.PART, Sensor.TOOL), inert=True),
            "trial.csv: TC2, TC3 – the air, the set point or the programme that was run is wanted (name a channel, as "
            "in TC1=air; a thermocouple in the air tells most)",
        ),
        (
            Trial(log=only(Sensor.AIR), inert=True),
            "trial.csv: TC1 – a thermocouple on the part or the mould is wanted (name it, as in TC2=part or TC3=tool)",
        ),
        (
            Trial(log=LOG.until(1500.0), inert=True),
            "trial.csv: it lasts 25 min – half an hour with a rise of 20 K or more is wanted",
        ),
        (
            Trial(log=level(LOG), inert=True),
            "trial.csv: its air moves by 0 K – a rise of 20 K or more is wanted: without one nothing is told of how "
            "heat comes in",
        ),
        (
            Trial(
                log=only(Sensor.PART),
                inert=True,
                programme=Programme(start=293.15, segments=(Segment(target=300.0, ramp=0.01, hold=9000.0),)),
            ),
            "trial.csv: its programme moves by 7 K – a rise of 20 K or more is wanted: without one nothing is told of "
            "how heat comes in",
        ),
        (
            Trial(log=at(LOG, "panle"), inert=True),
            'trial.csv, TC2: "panle" – a place of this part is wanted (did you mean "panel"?)',
        ),
        (
            Trial(log=LOG, inert=True, where={"TC9": Where.BAG}),
            'trial.csv, place of TC9 – a sensor on part or mould is wanted (did you mean "TC3"?)',
        ),
    ],
    ids=["no air", "no part", "short", "no rise", "no rise asked", "no such place", "no such sensor"],
)
def test_what_cannot_be_a_trial(trial: Trial, message: str) -> None:
    with pytest.raises(InputError) as error:
        calibrated([trial], [PANEL], RESIN, OVEN)
    assert str(error.value) == message


def test_a_sensor_of_which_the_section_is_not_known_is_asked_for() -> None:
    with pytest.raises(InputError) as error:
        calibrated([Trial(log=at(LOG, ""), inert=True)], [PANEL, panel(name="rim")], RESIN, OVEN)
    assert str(error.value) == 'trial.csv, TC2 – where it sits is wanted: panel, rim (as in "TC2=panel")'


def test_swapped_sensors_are_not_fitted() -> None:
    with pytest.raises(InputError) as error:
        calibrated([Trial(log=swapped(LOG), inert=True)], [PANEL], RESIN, OVEN)
    told = str(error.value)
    ahead = told.partition("it is ")[2].partition(" K")[0]
    assert float(ahead) > 5.0
    assert told == (
        f"trial.csv, TC3: while the air rises it is {ahead} K hotter than the air, on average – what frees no heat "
        "lags behind the air (are the two swapped, or was it a real cure?)"
    )


def test_faces_that_cannot_be_fitted_and_all_problems_at_once() -> None:
    odd = replace(PANEL, film_bag=float("inf"), emissivity_tool=0.9)
    with pytest.raises(InputError) as error:
        calibrated([Trial(log=only(Sensor.AIR), inert=True)], [odd], RESIN, OVEN)
    assert str(error.value).splitlines() == [
        "panel, film_bag: inf – a film that can be fitted is wanted",
        "panel, emissivity: 0 and 0.9 – none is wanted: films as a log shows them hold radiation too",
        "trial.csv: TC1 – a thermocouple on the part or the mould is wanted (name it, as in TC2=part or TC3=tool)",
    ]


def test_sections_of_other_films_and_no_log() -> None:
    other = replace(panel(name="rim"), film_bag=20.0)
    with pytest.raises(InputError) as error:
        calibrated([], [PANEL, other], RESIN, OVEN)
    assert str(error.value).splitlines() == [
        "films: 12 and 18 at panel, 20 and 18 at rim – the same at all sections are wanted: a log is fitted by "
        "one factor",
        "calibration – one log or more is wanted",
    ]


def test_beliefs_that_make_no_sense() -> None:
    with pytest.raises(InputError) as error:
        Beliefs(film=0.0, noise=float("nan"))
    assert str(error.value).splitlines() == [
        "beliefs, film: 0.0 – above zero is wanted",
        "beliefs, noise: nan – above zero is wanted",
    ]


def test_a_fit_that_does_not_come_to_rest_says_so() -> None:
    time = np.arange(0.0, 6000.0, 300.0)

    def model(x: np.ndarray) -> tuple[list[np.ndarray], list[np.ndarray]]:
        return [np.exp(3.0 * x[0]) * time / 100.0], [3.0 * np.exp(3.0 * x[0])[None] * time[:, None] / 100.0]

    with pytest.raises(
        NotSolved, match=r"^the fit to the log did not come to rest in 2 rounds; its sum of squares is "
    ):
        least(model, [Unknown(name="x", mean=0.0, sd=5.0)], [time], [time * 9.0], Beliefs(), most=2)


def test_the_programme_may_stand_for_the_set_point() -> None:
    """Without air: the oven as stated gives it, and its lag is found with the films."""
    log = trial_log(np.random.default_rng(3), Truth(lag=1.5), panel("board"), air=0)
    trial = Trial(log=log, inert=True, programme=PROGRAMME, heat_on=0.0, where={"TC2": Where.BAG})
    c = calibrated([trial], [panel("board")], RESIN, OVEN, spread=6.0, foresee=True)
    assert c.lag is not None
    assert c.lag.low < 360.0 < c.lag.high
    assert "a thermocouple in the air" in {a.what for a in c.advice}
