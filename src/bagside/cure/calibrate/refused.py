"""What cannot be a trial, said whole before anything is computed."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from bagside.cure.calibrate.trial import Trial, thinned
from bagside.cure.judging.readings import Series, lines_of, mean_of
from bagside.cure.log import Sensor, without_gaps
from bagside.cure.section import Section
from bagside.errors import InputError, Problem, did_you_mean
from bagside.quantity import shown

SHORTEST = 1800.0  # [s]
RISE = 20.0  # [K] of the air, or of what was asked for: less tells nothing of how fast heat comes in
AHEAD = 3.0  # [K] by which a sensor that frees no heat may read hotter than the air while it rises


def refuse(trials: Sequence[Trial], sections: Sequence[Section]) -> None:
    """Refuse what cannot be a trial.

    Parameters
    ----------
    trials
        Logs.
    sections
        Of the part.

    Raises
    ------
    InputError
        With every problem of every log.
    """
    wrong = [p for s in sections for p in _section(s)]
    if len({(s.film_bag, s.film_tool) for s in sections}) > 1:
        came = ", ".join(f"{s.film_bag:g} and {s.film_tool:g} at {s.name}" for s in sections)
        wrong.append(
            Problem(
                place="films",
                came=came,
                wanted="the same at all sections are wanted: a log is fitted by one factor",
            )
        )
    if not trials:
        wrong.append(Problem(place="calibration", came="", wanted="one log or more is wanted"))
    for trial in trials:
        found = _mapped(trial, sections)
        wrong += found or _told(trial)
    if wrong:
        raise InputError(wrong)


def _section(s: Section) -> list[Problem]:
    wrong = []
    for name, value in (("film_bag", s.film_bag), ("film_tool", s.film_tool)):
        if not 0.0 < value < math.inf:
            wrong.append(
                Problem(place=f"{s.name}, {name}", came=repr(value), wanted="a film that can be fitted is wanted")
            )
    if s.emissivity_bag or s.emissivity_tool:
        wrong.append(
            Problem(
                place=f"{s.name}, emissivity",
                came=f"{s.emissivity_bag:g} and {s.emissivity_tool:g}",
                wanted="none is wanted: films as a log shows them hold radiation too",
            )
        )
    return wrong


def _mapped(trial: Trial, sections: Sequence[Section]) -> list[Problem]:
    log, names = trial.log, [s.name for s in sections]
    on = log.of(Sensor.PART, Sensor.TOOL)
    if not any(len(without_gaps(log, c)[0]) > 1 for c in on):
        return [
            Problem(
                place=log.name,
                came=", ".join(c.name for c in log.channels),
                wanted="a thermocouple on the part or the mould is wanted",
                hint="name it, as in TC2=part or TC3=tool",
            )
        ]
    wrong = []
    for c in log.of(Sensor.PART, Sensor.TOOL, Sensor.AIR):
        if c.section and c.section not in names:
            wrong.append(
                Problem(
                    place=f"{log.name}, {c.name}",
                    came=f'"{c.section}"',
                    wanted="a place of this part is wanted",
                    hint=did_you_mean(c.section, names),
                )
            )
        elif not c.section and c.sensor is not Sensor.AIR and len(sections) > 1:
            wrong.append(
                Problem(
                    place=f"{log.name}, {c.name}",
                    came="",
                    wanted=f"where it sits is wanted: {', '.join(names)}",
                    hint=f'as in "{c.name}={names[0]}"',
                )
            )
    known = [c.name for c in on]
    for name in trial.where:
        if name not in known:
            wrong.append(
                Problem(
                    place=f"{log.name}, place of {name}",
                    came="",
                    wanted="a sensor on part or mould is wanted",
                    hint=did_you_mean(name, known),
                )
            )
    return wrong


def _told(trial: Trial) -> list[Problem]:
    log = trial.log
    lasted = float(log.time[-1] - log.time[0])
    air, point = lines_of(log, Sensor.AIR), lines_of(log, Sensor.SET)
    if not air and not point and trial.programme is None:
        return [
            Problem(
                place=log.name,
                came=", ".join(c.name for c in log.channels),
                wanted="the air, the set point or the programme that was run is wanted",
                hint="name a channel, as in TC1=air; a thermocouple in the air tells most",
            )
        ]
    if lasted < SHORTEST:
        return [
            Problem(
                place=log.name,
                came=f"it lasts {shown(lasted, 'min', 0)}",
                wanted=f"half an hour with a rise of {shown(RISE, 'K', 0)} or more is wanted",
            )
        ]
    if air or point:
        line = mean_of(air or point, "air")
        rise, what = float(np.ptp(line.values)), "air" if air else "set point"
    else:
        line, what = None, "programme"
        rise = 0.0 if trial.programme is None else trial.programme.hottest - trial.programme.start
    if rise < RISE:
        return [
            Problem(
                place=log.name,
                came=f"its {what} moves by {shown(rise, 'K', 0)}",
                wanted=f"a rise of {shown(RISE, 'K', 0)} or more is wanted: without one nothing is told of how heat "
                "comes in",
            )
        ]
    return [] if line is None or not air or not trial.inert else _leading(trial, line)


def _leading(trial: Trial, air: Series) -> list[Problem]:
    """Return the sensors that run before the air while it rises though nothing frees heat."""
    wrong = []
    for c in trial.log.of(Sensor.PART, Sensor.TOOL):
        t, y = thinned(trial.log, c)
        if len(t) < 2:
            continue
        over = air.at(t)
        rising = over - air.at(t - 600.0) > 3.0
        ahead = float((y - over)[rising].mean()) if rising.sum() > 2 else 0.0
        if ahead > AHEAD:
            wrong.append(
                Problem(
                    place=f"{trial.log.name}, {c.name}",
                    came=f"while the air rises it is {shown(ahead, 'K')} hotter than the air, on average",
                    wanted="what frees no heat lags behind the air",
                    hint="are the two swapped, or was it a real cure?",
                )
            )
    return wrong
