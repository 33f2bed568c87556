"""A calibration in words, as tables, as data, and as the lines of ``workshop.toml``."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from bagside.cure.calibrate import Calibration, Value, Where
    from bagside.spec.workshop import Oven

FILM = "W/(m² K)"
KELVIN = 273.15
RAMP, LAG = ("°C/min", 2), ("min", 1)


def seats(texts: Sequence[str]) -> dict[str, Where]:
    """Return where each sensor sat, from texts as ``TC2=bag``.

    Raises
    ------
    InputError
        With every text that does not say so.
    """
    from bagside.cure.calibrate import Where
    from bagside.errors import InputError, Problem

    known = {w.name.lower(): w for w in Where}
    out, wrong = {}, []
    for text in texts:
        name, _, word = text.rpartition("=")
        if name.strip() and word.strip().lower() in known:
            out[name.strip()] = known[word.strip().lower()]
        else:
            wrong.append(
                Problem(
                    place="--seat",
                    came=f'"{text}"',
                    wanted=f'a column and where it sat is wanted, as in "TC2=bag": {", ".join(known)}',
                )
            )
    if wrong:
        raise InputError(wrong)
    return out


def refuse_file(out: Path | None) -> None:
    """Refuse a file that is there already, or that has no folder.

    Raises
    ------
    OutputError
        Naming it.
    """
    from bagside.errors import OutputError

    if out is None:
        return
    if out.exists():
        raise OutputError(f'"{out}" is there already; another name is wanted. Nothing was changed.')
    if not out.parent.is_dir():
        raise OutputError(f'"{out}" cannot be written: there is no folder "{out.parent}". Nothing was changed.')


def write_new(out: Path, text: str) -> None:
    """Write a file that must not be there yet.

    Raises
    ------
    OutputError
        When it is, or cannot be written.
    """
    from bagside.errors import OutputError

    try:
        with out.open("x", encoding="utf-8") as file:
            file.write(text)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise OutputError(f'"{out}" cannot be written ({why}). Nothing was changed.') from None


def _line(key: str, shown: str, comment: str) -> str:
    return f"{f'{key} = {chr(34)}{shown}{chr(34)}':<32}# {comment}"


def _number(value: float, unit: str, digits: int) -> str:
    from bagside.quantity import shown

    return shown(value, unit, digits).rsplit(" ", 1)[0] if unit != FILM else shown(value, unit, digits).split(" ")[0]


def _measured(key: str, v: Value | None, stated: float, unit: str, digits: int, otherwise: str) -> str:
    """Return a line with the number found, or the stated one and why."""
    from bagside.cure.calibrate import Told
    from bagside.quantity import shown

    if v is None:
        return _line(key, shown(stated, unit, digits), f"as stated: {otherwise}")
    span = f"{_number(v.low, unit, digits)} to {_number(v.high, unit, digits)}"
    was = _number(v.before, unit, digits)
    if v.told is Told.NOT:
        comment = f"hardly told by the log ({span}): moved only as the rest wants; was {was}"
    else:
        part = ", in part" if v.told is Told.PARTLY else ""
        comment = f"measured here{part}: {span}, 95 times in 100; was {was}"
    return _line(key, shown(v.value, unit, digits), comment)


def oven_text(c: Calibration, stated: Oven) -> str:
    """Return the lines of ``[oven]`` as found, with how sure each is."""
    from bagside.cure.calibrate import Told
    from bagside.quantity import shown

    seen = shown(c.fastest, *RAMP)
    spread = c.spread
    if spread is not None and spread.told is not Told.MEASURED and spread.value < stated.spread:
        spread_line = _line(
            "spread",
            shown(stated.spread, "K"),
            f"as stated: the places logged differ by {shown(spread.value, 'K')}, the hottest and the coldest may not "
            "be among them",
        )
    else:
        spread_line = _measured("spread", spread, stated.spread, "K", 1, "the air was logged at one place at most")
    rows = [
        f"# from {', '.join(c.logs)}",
        "[oven]",
        _measured("heating", c.heating, stated.heating, *RAMP, f"no log asked for more; {seen} was seen"),
        _measured("cooling", c.cooling, stated.cooling, *RAMP, "no log shows it cooling as fast as it can"),
        _measured("lag", c.lag, stated.lag, *LAG, "air against what was asked for was not logged"),
        spread_line,
        _measured("film_bag", c.film_bag, stated.film_bag, FILM, 1, ""),
        _measured("film_tool", c.film_tool, stated.film_tool, FILM, 1, ""),
    ]
    return "\n".join(rows) + "\n"


def _values(c: Calibration) -> list[tuple[Value | None, str, int]]:
    return [
        (c.film_bag, FILM, 1),
        (c.film_tool, FILM, 1),
        (c.film_sum, FILM, 1),
        (c.lag, *LAG),
        (c.heating, *RAMP),
        (c.cooling, *RAMP),
        (c.spread, "K", 1),
        (c.offset, "K", 1),
        (c.rate, "", 2),
    ]


def _shown(value: float, unit: str, digits: int) -> str:
    from bagside.quantity import shown

    return shown(value, unit, digits) if unit else f"{value:.{digits}f}"


def tables(c: Calibration) -> list[tuple[str, list[str], list[list[str]]]]:
    """Return title, headers and rows of each table."""
    from bagside.quantity import shown

    out = [
        (
            f"Films and oven by {', '.join(c.logs)}; it lies in the range 95 times in 100",
            ["", "before", "after", "range", ""],
            [
                [
                    v.name,
                    _shown(v.before, unit, digits),
                    _shown(v.value, unit, digits),
                    f"{_shown(v.low, unit, digits).split(' ')[0]} to {_shown(v.high, unit, digits).split(' ')[0]}",
                    v.told.value,
                ]
                for v, unit, digits in _values(c)
                if v is not None
            ],
        ),
        (
            "The sensors against the model",
            ["sensor", "sat", "missed by", "most", "after", "its own offset"],
            [
                [
                    f"{s.name}" if len(c.logs) == 1 else f"{s.log}, {s.name}",
                    f"{s.where} at {s.at}",
                    shown(s.rms, "K"),
                    shown(s.worst, "K"),
                    shown(s.worst_time, "min", 0),
                    f"{shown(s.offset, 'K')} ± {shown(1.96 * s.offset_sd, 'K')}",
                ]
                for s in c.sensors
            ],
        ),
    ]
    if c.effects:
        out.append(
            (
                "What it changes in the next plan: coolest point of the laminate when a rise ends, and when its dwell "
                "begins (5 K below)",
                ["rise", "was planned", "is expected", "dwell was planned", "is expected"],
                [
                    [
                        f"{e.segment}: to {shown(e.target, '°C', 0)}, {e.place}",
                        shown(e.before, "°C"),
                        f"{shown(e.after, '°C')} ± {shown(1.96 * e.doubt, 'K')}",
                        _when(e.dwell_before, None),
                        _when(e.dwell_after, e.dwell_doubt),
                    ]
                    for e in c.effects
                ],
            )
        )
    return out


def _when(time: float | None, doubt: float | None) -> str:
    from bagside.quantity import shown

    if time is None:
        return "not reached"
    return shown(time, "min", 0) + ("" if doubt is None else f" ± {shown(1.96 * doubt, 'min', 0)}")


def lines(c: Calibration) -> list[str]:
    """Return what tables cannot say, as sentences."""
    from bagside.quantity import shown

    total = f"both films together, {shown(c.film_sum.value, FILM, 1)} ± {shown(1.96 * _sd(c.film_sum), '%', 0)}"
    if c.correlation < -0.75:
        said = f"What this tells best is {total}: where one film is taken higher, the other must be lower."
    elif c.correlation < -0.4:
        said = f"The two films hang together: where one is taken higher, the other must be lower; {total}."
    else:
        said = f"The two films are told apart from each other; {total}."
    out = [said]
    for p in c.places:
        offset = f"{shown(abs(p.offset), 'K')} {'hotter' if p.offset > 0 else 'colder'}"
        out.append(f"{p.log}: air at {p.place} {offset} than the logged air when hottest, ± {shown(1.96 * p.sd, 'K')}.")
    if c.advice:
        best = c.advice[0]
        sensor = next((a for a in c.advice if a.sensor), None)
        out.append(_advised(c, best.what, best.film_bag, best.film_tool))
        if sensor is not None and sensor is not best:
            out.append(_advised(c, sensor.what, sensor.film_bag, sensor.film_tool, "Of thermocouples"))
    return ["\n".join(textwrap.wrap(line, 110)) for line in out]


def _sd(v: Value) -> float:
    from math import log

    return log(v.high / v.low) / (2.0 * 1.96)


def _advised(c: Calibration, what: str, bag: float, tool: float, head: str = "Next time") -> str:
    now = [100 * 1.96 * _sd(v) for v in (c.film_bag, c.film_tool)]
    return (
        f"{head}, {what} would tell most: the bag's side from ± {now[0]:.0f} % to ± {100 * bag:.0f} %, the mould's "
        f"back from ± {now[1]:.0f} % to ± {100 * tool:.0f} %."
    )


def _value_data(v: Value | None, name: str, scale: float) -> dict[str, Any]:
    if v is None:
        return {name: None}
    return {
        name: {
            "before": scale * v.before,
            "value": scale * v.value,
            "low": scale * v.low,
            "high": scale * v.high,
            "doubt_left": v.left,
            "told": v.told.value,
        }
    }


def data(c: Calibration) -> dict[str, Any]:
    """Return a calibration as JSON data."""
    return {
        "logs": list(c.logs),
        **_value_data(c.film_bag, "film_bag_w_per_m2_k", 1.0),
        **_value_data(c.film_tool, "film_tool_w_per_m2_k", 1.0),
        **_value_data(c.film_sum, "films_together_w_per_m2_k", 1.0),
        "films_correlation": c.correlation,
        **_value_data(c.lag, "lag_min", 1 / 60),
        **_value_data(c.heating, "heating_c_per_min", 60.0),
        **_value_data(c.cooling, "cooling_c_per_min", 60.0),
        "fastest_rise_seen_c_per_min": 60.0 * c.fastest,
        **_value_data(c.spread, "spread_k", 1.0),
        **_value_data(c.offset, "air_against_asked_k", 1.0),
        **_value_data(c.rate, "rate", 1.0),
        "places": [{"log": p.log, "place": p.place, "air_k": p.offset, "sd_k": p.sd} for p in c.places],
        "sensors": [
            {
                "log": s.log,
                "name": s.name,
                "at": s.at,
                "where": s.where.value,
                "rms_k": s.rms,
                "worst_k": s.worst,
                "worst_min": s.worst_time / 60,
                "offset_k": s.offset,
                "offset_sd_k": s.offset_sd,
                "wander_k": s.wander,
                "together_min": s.together / 60,
                "time_min": (s.time / 60).round(3).tolist(),
                "measured_c": (s.measured - KELVIN).round(3).tolist(),
                "fitted_c": (s.fitted - KELVIN).round(3).tolist(),
            }
            for s in c.sensors
        ],
        "one_more": [
            {"what": a.what, "film_bag": a.film_bag, "film_tool": a.film_tool, "sensor": a.sensor} for a in c.advice
        ],
        "next_plan": [
            {
                "place": e.place,
                "segment": e.segment,
                "to_c": e.target - KELVIN,
                "ramp_end_before_c": e.before - KELVIN,
                "ramp_end_after_c": e.after - KELVIN,
                "ramp_end_sd_k": e.doubt,
                "dwell_before_min": None if e.dwell_before is None else e.dwell_before / 60,
                "dwell_after_min": None if e.dwell_after is None else e.dwell_after / 60,
                "dwell_sd_min": None if e.dwell_doubt is None else e.dwell_doubt / 60,
            }
            for e in c.effects
        ],
    }
