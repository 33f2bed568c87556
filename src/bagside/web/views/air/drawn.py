"""The air of the day as a chart: temperature and dew point as they were read, and where no coat may be put on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from html import escape

import numpy as np

from bagside.sheets import colour, paper
from bagside.sheets.typeface import BODY, NOTE
from bagside.web.views.air.view import Air, Reading, Why
from bagside.web.words.tongue import Heat, Tongue

WIDE, TALL = 112.0, 52.0
LEFT, RIGHT, TOP, BOTTOM = 12.0, 3.0, 4.0, 6.0
HATCH = 1.6
At = Callable[[datetime, float], tuple[float, float]]


def air_chart(air: Air, now: datetime, tongue: Tongue) -> str:
    """Return the readings of the day as SVG; empty when there are none.

    Parameters
    ----------
    air
        Of today.
    now
        The moment.
    tongue
        Of the reader.
    """
    readings = air.readings
    if not readings:
        return ""
    begin = min(readings[0].at, now - timedelta(hours=4)).astimezone(now.tzinfo)
    begin = begin.replace(minute=0, second=0, microsecond=0)
    end = now + timedelta(hours=1)
    low = min(r.dew_point for r in readings) - 2.0
    high = max(max(r.temperature, r.dew_point + air.coat_margin) for r in readings) + 2.0
    span = (end - begin).total_seconds()

    def at(moment: datetime, kelvin: float) -> tuple[float, float]:
        x = LEFT + (WIDE - LEFT - RIGHT) * (moment - begin).total_seconds() / span
        return x, TOP + (TALL - TOP - BOTTOM) * (high - kelvin) / (high - low)

    out = [*_grid(low, high, at, begin, tongue), *_hours(begin, end, at, low, now)]
    warm = [at(r.at, r.temperature) for r in readings]
    dew = [at(r.at, r.dew_point) for r in readings]
    if len(readings) > 1:
        over = [at(r.at, r.dew_point + air.coat_margin) for r in readings]
        out += _hatched(dew, over)
        out.append(paper.line(warm, weight=paper.EDGE, ink=colour.HEAT))
        out.append(paper.line(dew, weight=paper.EDGE, ink=colour.CLOTH))
    for points, ink in ((warm, colour.HEAT), (dew, colour.CLOTH)):
        out += [paper.circle(x, y, 0.9, weight=paper.THIN, ink=ink, fill=colour.PAPER) for x, y in points]
    x, _ = at(now, low)
    out.append(paper.line([(x, TOP), (x, TALL - BOTTOM)], weight=paper.THIN))
    out.append(_name(warm, tongue.say("board.room_line"), colour.HEAT, above=True))
    out.append(_name(dew, tongue.say("board.dew_line"), colour.CLOTH, above=False))
    return paper.sheet(WIDE, TALL, out, title=tongue.say("board.air_chart"))


def _name(points: Sequence[tuple[float, float]], words: str, ink: str, *, above: bool) -> str:
    x, y = points[-1]
    left = x > 0.5 * WIDE
    return paper.text(
        x - 1.6 if left else x + 1.6, y - 1.8 if above else y + 3.4, words, size=BODY, ink=ink,
        anchor="end" if left else "start",
    )  # fmt: skip


def _grid(low: float, high: float, at: At, begin: datetime, tongue: Tongue) -> list[str]:
    scale, offset = (1.8, -459.67) if tongue.heat is Heat.FAHRENHEIT else (1.0, -273.15)
    unit = "°F" if tongue.heat is Heat.FAHRENHEIT else "°C"
    shown_low, shown_high = low * scale + offset, high * scale + offset
    step = next(s for s in (2, 5, 10, 20, 50) if (shown_high - shown_low) / s <= 5.0)
    values = np.arange(np.ceil(shown_low / step) * step, shown_high, step)
    out = []
    for k, value in enumerate(values):
        _, y = at(begin, (value - offset) / scale)
        out.append(paper.line([(LEFT, y), (WIDE - RIGHT, y)], weight=paper.HAIR, ink=colour.HAIR))
        words = tongue.number(float(value)) + (f" {unit}" if k == len(values) - 1 else "")
        out.append(paper.text(LEFT - 1.5, y + 0.9, words, size=NOTE, anchor="end", ink=colour.SECOND))
    return out


def _hours(begin: datetime, end: datetime, at: At, low: float, now: datetime) -> list[str]:
    hours = (end - begin).total_seconds() / 3600.0
    every = next(h for h in (1, 2, 4, 6, 12) if hours / h <= 8)
    out = []
    moment = begin
    while moment <= end:
        if moment.hour % every == 0:
            x, y = at(moment, low)
            out.append(paper.line([(x, y), (x, y + 1.0)], weight=paper.HAIR))
            if abs((moment - now).total_seconds()) > 1200.0 * every:
                out.append(
                    paper.text(x, y + 4.0, f"{moment:%H}", size=NOTE, anchor="middle", ink=colour.SECOND)
                )  # fmt: skip
        moment += timedelta(hours=1)
    x, y = at(now, low)
    out.append(paper.line([(LEFT, y), (WIDE - RIGHT, y)], weight=paper.THIN))
    out.append(paper.rect(x - 1.2, y - 1.2, 2.4, 2.4, weight=paper.THIN, fill=colour.TAPE))
    return out


def _hatched(below: Sequence[tuple[float, float]], above: Sequence[tuple[float, float]]) -> list[str]:
    """Return strokes between two lines: no coat is put on there."""
    xs = np.arange(below[0][0] + 0.4, below[-1][0], HATCH)
    low = np.interp(xs, [p[0] for p in below], [p[1] for p in below])
    high = np.interp(xs, [p[0] for p in above], [p[1] for p in above])
    return [
        paper.line([(x, a), (x + 0.5 * HATCH, b)], weight=paper.HAIR, ink=colour.EDGE)
        for x, a, b in zip(xs.tolist(), low.tolist(), high.tolist(), strict=True)
    ]


def air_said(air: Air, now: datetime, tongue: Tongue) -> str:
    """Return in HTML whether one may spray and lay now, and what the air is like.

    Parameters
    ----------
    air
        Of today.
    now
        The moment.
    tongue
        Of the reader.
    """
    spray = _verdict("spray", air.spray, air, now, tongue)
    lay = _verdict("lay", air.lay, air, now, tongue)
    return f"<p><b>{escape(spray)}</b></p><p>{escape(lay)}</p>"


def reading_said(reading: Reading, now: datetime, tongue: Tongue) -> str:
    """Return a reading in words.

    Parameters
    ----------
    reading
        Which.
    now
        The moment.
    tongue
        Of the reader.
    """
    local = reading.at.astimezone(now.tzinfo)
    when = tongue.clock(local) if local.date() == now.date() else f"{tongue.day(local)} {tongue.clock(local)}"
    return tongue.say(
        "board.air_read", temperature=tongue.temperature(reading.temperature, 1), where=reading.where, when=when,
        humidity=tongue.share(reading.humidity), dew=tongue.temperature(reading.dew_point, 1),
    )  # fmt: skip


def _verdict(what: str, why: Why, air: Air, now: datetime, tongue: Tongue) -> str:
    values: dict[str, str] = {}
    if why is Why.OLD and air.last is not None:
        values["age"] = tongue.duration((now - air.last.at).total_seconds())
    elif why is Why.FIT:
        values["margin"] = tongue.difference(air.margin or 0.0, 0)
    elif why is Why.COLD:
        coldest = air.coat_coldest if what == "spray" else air.lay_coldest
        values["limit"] = tongue.temperature(coldest or 0.0)
    elif why is Why.HOT:
        values["limit"] = tongue.temperature(air.lay_hottest)
    elif why is Why.WET:
        wettest = air.coat_wettest if what == "spray" else air.lay_wettest
        values["limit"] = tongue.share(wettest or 0.0)
    elif why is Why.DEW:
        values |= {"margin": tongue.difference(air.margin or 0.0), "limit": tongue.difference(air.coat_margin, 0)}
    return tongue.say(f"board.{what}_{why.value}", **values)
