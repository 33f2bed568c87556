"""Which columns are sensors of the cure, in which unit, and against what a pressure is told."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from bagside.cure import Sensor
from bagside.cure.log import HEAT
from bagside.errors import Problem
from bagside.records.logger import words
from bagside.records.logger.header import Column, by_name
from bagside.records.logger.numbers import is_missing, split_number
from bagside.records.logger.options import LoggerOptions, Reference
from bagside.records.logger.stamps import dated
from bagside.records.logger.times import TimePlan
from bagside.records.logger.units import LogUnit, Measures, unit_of

Floats = NDArray[np.float64]
_PLAIN = re.compile(r"(?i)(tc|t|ch|chan|channel|kanal|voie|pt|k|ai|in|input|temp)[\s._-]*\d{1,3}[a-d]?")
_UNIT_LINE = re.compile(r"(?i)\b(units?|einheit(en)?|unités?|temperature|temperatur|température|pressure|druck)\b")
UNIT_NEEDED = {Measures.TEMPERATURE: '"°C", "°F" or K', Measures.PRESSURE: "mbar, kPa, inHg, torr, bar or psi"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelPlan:
    """How one column becomes a channel.

    Parameters
    ----------
    index
        Of the column.
    name, sensor, section
        Of the channel.
    unit
        Of its numbers; for a vacuum in per cent one whose text is ``%``.
    reference
        What a pressure is told against; None when only the readings can tell, and for a temperature.
    """

    index: int
    name: str
    sensor: Sensor
    section: str
    unit: LogUnit
    reference: Reference | None


@dataclass(slots=True, kw_only=True)
class ChannelPlans:
    """All channels of a file, what was left out and what must be asked.

    Parameters
    ----------
    channels
        In the order of the file.
    aside
        Columns left out, by name, with the reason.
    asked
        What must be asked.
    unknown
        What must be asked about columns that may be anything, the time as well.
    """

    channels: list[ChannelPlan] = field(default_factory=list)
    aside: dict[str, str] = field(default_factory=dict)
    asked: list[Problem] = field(default_factory=list)
    unknown: list[Problem] = field(default_factory=list)


def channel_plans(
    columns: Sequence[Column],
    cells: Sequence[Sequence[str]],
    preamble: Iterable[Sequence[str]],
    time: TimePlan,
    options: LoggerOptions,
    name: str,
) -> ChannelPlans:
    """Return how the columns become channels.

    Parameters
    ----------
    columns
        Of the file.
    cells
        Some of each column's cells.
    preamble
        Rows above the head.
    time
        How time is read; its columns are none of the channels.
    options
        What was stated.
    name
        Of the file.
    """
    plans = ChannelPlans()
    sensors, wrong = by_name(columns, options.columns, "--column", options.may_lack)
    sections, more = by_name(columns, options.sections, "--at", options.may_lack)
    units, worse = by_name(columns, options.units, "--unit", options.may_lack)
    references, worst = by_name(columns, options.pressures, "--pressure", options.may_lack)
    plans.asked += [*wrong, *more, *worse, *worst]
    general = {u.measures: u for text in options.units.get("", ()) if (u := unit_of(text)) is not None}
    general = _told_above(preamble) | general
    unitless: dict[Measures, list[Column]] = {}
    for column in columns:
        if column.index in time.columns:
            continue
        stated = options.columns[sensors[column.index]] if column.index in sensors else Sensor.UNKNOWN
        if stated is None:
            plans.aside[column.name] = "as stated"
            continue
        own = unit_of(options.units[units[column.index]][0]) if column.index in units else None
        unit = own or column.unit or _in_cells(cells[column.index])
        if not column.heading and all(map(is_missing, cells[column.index])):
            continue  # a separator at the end of each line
        sensor, measures, reason = _meant(column, cells[column.index], stated, unit)
        if reason:
            plans.aside[column.name] = reason
            continue
        if measures is None:
            plans.unknown.append(_what(column, cells[column.index], name))
            continue
        if unit is not None and unit.text == "%":
            unit = LogUnit(text="%", measures=Measures.PRESSURE, scale=0.01, reference=Reference.DEPTH)
        unit = unit or general.get(measures)
        if unit is None or unit.measures is not measures:
            unitless.setdefault(measures, []).append(column)
            continue
        said = options.pressures[references[column.index]] if column.index in references else None
        plans.channels.append(
            ChannelPlan(
                index=column.index,
                name=column.name,
                sensor=sensor,
                section=options.sections[sections[column.index]] if column.index in sections else "",
                unit=unit,
                reference=said or _reference(column, sensor, unit, options) if measures is Measures.PRESSURE else None,
            )
        )
    plans.asked += [_unit(measures, found, cells, name) for measures, found in unitless.items()]
    if not plans.channels and not plans.asked and not plans.unknown:
        plans.asked.append(
            Problem(
                place=name,
                came=", ".join(c.name for c in columns),
                wanted="none of these columns is a temperature or a pressure; say what one is, as in "
                f'--column "{columns[-1].name}=part"',
            )
        )
    _only_one_bag(plans)
    return plans


def _told_above(preamble: Iterable[Sequence[str]]) -> dict[Measures, LogUnit]:
    """Return units that a line above the head tells for all: ``Unit: °C``."""
    found: dict[Measures, LogUnit] = {}
    for row in preamble:
        text = " ".join(row)
        if _UNIT_LINE.search(text) is None:
            continue
        for word in re.split(r"[\s:;,=]+", text)[1:]:
            unit = unit_of(word)
            if unit is not None and unit.measures in UNIT_NEEDED:
                found[unit.measures] = unit
    return found


def _in_cells(texts: Sequence[str]) -> LogUnit | None:
    """Return the unit that stands behind every number of a column, or nothing."""
    found = {n[1] for t in texts if (n := split_number(t)) is not None and not is_missing(t)}
    return unit_of(found.pop()) if len(found) == 1 else None


def _meant(
    column: Column, texts: Sequence[str], stated: Sensor, unit: LogUnit | None
) -> tuple[Sensor, Measures | None, str]:
    """Return what a column measures, or why it is left out; no measure when only a person can tell."""
    spoken = words.words_in(column.heading)
    if stated is not Sensor.UNKNOWN:
        return stated, Measures.TEMPERATURE if stated in HEAT else Measures.PRESSURE, ""
    there = [t for t in texts if not is_missing(t)]
    if there and sum(dated(t) is not None for t in there) > 0.5 * len(there):
        return Sensor.UNKNOWN, None, "it tells dates"
    if there and sum(split_number(t) is not None for t in there) < 0.5 * len(there):
        return Sensor.UNKNOWN, None, "it holds words"
    vacuum = words.speaks_of(spoken, words.VACUUM)
    if unit is not None and unit.text == "%" and vacuum:
        return Sensor.BAG, Measures.PRESSURE, ""
    if unit is not None and unit.measures not in UNIT_NEEDED:
        reason = "it tells a time" if unit.measures is Measures.TIME else f"{unit.text} is none of heat or pressure"
        return Sensor.UNKNOWN, None, reason
    bagged = vacuum or "bag" in spoken
    if unit is not None and unit.measures is Measures.PRESSURE:
        if not bagged and words.speaks_of(spoken, words.VESSEL):
            return Sensor.UNKNOWN, None, "it is the pressure of the vessel, not of the bag"
        return _pressure(spoken), Measures.PRESSURE, ""
    sensor = words.sensor_of(column.heading)
    if unit is not None:
        if sensor is Sensor.UNKNOWN and words.speaks_of(spoken, words.HEAT_ASIDE):
            return sensor, None, "its name says that it is none of the cure's"
        return sensor, Measures.TEMPERATURE, ""
    if words.speaks_of(spoken, words.PRESSURE):
        return _pressure(spoken), Measures.PRESSURE, ""
    if sensor is Sensor.UNKNOWN and (set(spoken) & (words.COUNT | words.ASIDE | words.HEAT_ASIDE)):
        return sensor, None, "its name says that it is none of the cure's"
    known = sensor is not Sensor.UNKNOWN or words.speaks_of(spoken, words.TEMPERATURE)
    if known or _PLAIN.fullmatch(column.name):
        return sensor, Measures.TEMPERATURE, ""
    if not there:
        return sensor, None, "it is empty"
    return sensor, None, ""


def _pressure(spoken: list[str]) -> Sensor:
    vacuum = words.speaks_of(spoken, words.VACUUM) or "bag" in spoken
    return Sensor.AMBIENT if words.speaks_of(spoken, words.AMBIENT) and not vacuum else Sensor.BAG


def _reference(column: Column, sensor: Sensor, unit: LogUnit, options: LoggerOptions) -> Reference | None:
    """Return what a pressure is told against, as far as head and options say."""
    spoken = set(words.words_in(column.heading))
    if unit.reference is not None:
        return unit.reference
    if spoken & words.ABSOLUTE or sensor is Sensor.AMBIENT:
        return Reference.ABSOLUTE
    if spoken & words.GAUGE:
        return Reference.GAUGE
    return options.pressures.get("")


def _only_one_bag(plans: ChannelPlans) -> None:
    """Leave out the pressure at the pump where there is another in the bag."""
    bags = [c for c in plans.channels if c.sensor is Sensor.BAG]
    pumps = [c for c in bags if set(words.words_in(c.name)) & {"pump", "pumpe", "pompe", "line", "receiver"}]
    if pumps and len(pumps) < len(bags):
        plans.channels = [c for c in plans.channels if c not in pumps]
        plans.aside |= {c.name: "it is the pressure at the pump, and there is one in the bag" for c in pumps}


def _what(column: Column, texts: Sequence[str], name: str) -> Problem:
    first = next((t for t in texts if not is_missing(t)), "")
    return Problem(
        place=f"{name}, {column.place}",
        came=f'"{first}"',
        wanted="what this measures is not told; say air, part, tool, set, bag or ambient, or - to leave it out, as in "
        f'--column "{column.name}=part"',
    )


def _unit(measures: Measures, found: Sequence[Column], cells: Sequence[Sequence[str]], name: str) -> Problem:
    first = next((t for t in cells[found[0].index] if not is_missing(t)), "")
    several = len(found) > 1
    what = f"these {measures.value}s" if several else f"this {measures.value}"
    example = UNIT_NEEDED[measures].split(",")[0].strip('"')
    return Problem(
        place=f"{name}, columns {', '.join(c.name for c in found)}" if several else f"{name}, {found[0].place}",
        came=f'"{first}"',
        wanted=f"the unit of {what} is not told and is not guessed; say --unit {UNIT_NEEDED[measures]}",
        hint=f'for one column alone, as in --unit "{found[0].name}={example}"',
    )
