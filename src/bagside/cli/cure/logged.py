"""What judging, rescuing and watching share: a log against the case it was a cure of."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from bagside.cure import CureLog
    from bagside.cure.judging import LoggedState, Range
    from bagside.planning.cure_case import CureCase

For = Annotated[
    str,
    typer.Option("--for", help="The job (its folder or job.toml), or a file of sections as demo/benches/cure.toml."),
]
WorkshopFolder = Annotated[str, typer.Option("--workshop", help="Folder of the workshop whose materials count.")]
Post = Annotated[bool, typer.Option("--post", help="It is the log of the post-cure, without the mould.")]
BeganAt = Annotated[
    str, typer.Option("--began-at", help='Degree of cure the resin began with, as in "2 %"; else as stated.')
]
SensorError = Annotated[
    str,
    typer.Option(
        "--sensor-error", help='By how much a thermocouple on the part may be off, 95 times in 100, as in "3 K".'
    ),
]

SHEET_TG = 4.0
"""What a law fitted to a data sheet leaves open of the glass transition [K], as measured on invented sheets."""


def case_for(stated: str, workshop: str) -> CureCase:
    """Return the case that ``--for`` names.

    Raises
    ------
    InputError
        When it is not there or cannot be built.
    """
    from pathlib import Path

    from bagside.cli.cure.case import opened_case
    from bagside.errors import InputError

    if not stated:
        raise InputError.one(
            "--for", "", "the job this is a cure of is wanted", "or a file of sections, as demo/benches/cure.toml"
        )
    return opened_case(Path(stated), Path(workshop) if workshop else None)


def ready(case: CureCase, *, post: bool, began_at: str) -> CureCase:
    """Return a case as a log is held against it: its post-cure when that was logged, begun with a stated cure.

    A post-cure of which it is not stated begins with what the planned cure on the mould gives.

    Raises
    ------
    InputError
        When there is no post-cure, or the degree of cure makes no sense.
    """
    from dataclasses import replace

    from bagside import cure as curing
    from bagside.cli.options import quantity
    from bagside.errors import InputError
    from bagside.quantity import Quantity

    alpha = quantity(began_at, Quantity.FRACTION, "--began-at") if began_at else None
    if alpha is not None and not 0.0 < alpha < 1.0:
        raise InputError.one("--began-at", f'"{began_at}"', "a degree of cure between 0 and 100 % is wanted")
    if not post:
        if alpha is None:
            return case
        return replace(case, on_mould=tuple(replace(s, alpha0=alpha) for s in case.on_mould))
    if case.post is None or case.post_limits is None:
        raise InputError.one("--post", "", f"{case.name} states no post-cure", "leave --post out")
    if alpha is None:
        first = curing.simulate(case.on_mould, case.resin, case.oven.air(case.programme))
        free = tuple(curing.continued(s, h, warm=False) for s, h in zip(case.free, first, strict=True))
    else:
        free = tuple(replace(s, alpha0=alpha) for s in case.free)
    return replace(case, on_mould=free, free=free, programme=case.post, limits=case.post_limits)


def state_for(log: CureLog, case: CureCase, *, sensor_error: str = "", bagged: bool = True) -> LoggedState:
    """Return what a log tells about a case.

    Raises
    ------
    InputError
        When the two do not go together.
    """
    import numpy as np

    from bagside import bagging
    from bagside.cli.options import not_negative
    from bagside.cure.judging import Trust, state_of
    from bagside.quantity import Quantity

    low, high = bagging.voids.KARDOS_TEMPERATURES
    humidity = case.humidity

    def needed(temperature: Any) -> Any:
        """Return the pressure wanted in the resin; not a number outside the criterion's range [Pa]."""
        out = np.full(temperature.shape, np.nan)
        inside = (temperature >= low) & (temperature <= high)
        out[inside] = bagging.minimum_resin_pressure_kardos_1986(temperature[inside], humidity or 0.0)
        return out

    trust = Trust(tg=SHEET_TG if case.fitted == "data sheet" else 0.0)
    if sensor_error:
        from dataclasses import replace

        trust = replace(trust, sensor=0.5 * not_negative(sensor_error, Quantity.DIFFERENCE, "--sensor-error"))
    return state_of(
        log,
        case.on_mould,
        case.resin,
        case.programme,
        case.oven,
        target=case.limits.target,
        spread=case.spread,
        trust=trust,
        ambient=case.ambient,
        needed=needed if humidity else None,
        bagged=bagged,
    )


def tg_margin(case: CureCase) -> float:
    """Return by how much Tg must stay above the temperature of a part without its mould [K]."""
    from bagside.cure.fit import post_cure_margin
    from bagside.spec.material import Fitted

    return post_cure_margin(Fitted(case.fitted), case.tg_error).value


def read_for(path: Path, texts: dict[str, Any]) -> CureLog:
    """Return a log as the options settle it.

    Raises
    ------
    InputError
        With what must be asked.
    """
    from bagside.records.logger import read_log, stated_options

    return read_log(path, stated_options(**texts))


def between(value: Range, unit: str, digits: int = 0) -> str:
    """Return a range as ``98 % (97 to 99)``."""
    from bagside.quantity import shown

    middle = shown(value.value, unit, digits)
    low, high = (shown(x, unit, digits).rsplit(" ", 1)[0] for x in (value.low, value.high))
    return middle if low == high else f"{middle} ({low} to {high})"


def range_data(value: Range | None, name: str, scale: float = 1.0, shift: float = 0.0) -> dict[str, Any]:
    """Return a range as JSON data under a name with its unit; an end that is not finite is null."""
    from math import isfinite

    if value is None:
        return {name: None, f"{name}_low": None, f"{name}_high": None}
    ends = {name: value.value, f"{name}_low": value.low, f"{name}_high": value.high}
    return {key: scale * x + shift if isfinite(x) else None for key, x in ends.items()}


def state_data(state: LoggedState) -> dict[str, Any]:
    """Return what a log tells as JSON data."""
    c, kelvin = state.course, 273.15
    per_min = 60.0
    return {
        "log": state.name,
        "end_min": state.end / 60,
        "air_from": list(state.drive.channels),
        "driven_by": state.drive.by.value,
        "stage": state.stage.value,
        "lagging": state.lagging,
        **range_data(state.cure, "cure"),
        **range_data(state.tg, "tg_c", shift=-kelvin),
        "hottest_c": state.hottest - kelvin,
        "exotherm_k": state.exotherm,
        "tool_hottest_c": None if state.tool_hottest is None else state.tool_hottest - kelvin,
        "films": state.fit.film,
        "places": [
            {
                "name": p.name,
                "sensors": list(p.sensors),
                **range_data(p.cure, "cure"),
                **range_data(p.tg, "tg_c", shift=-kelvin),
                **range_data(p.gel, "gel_min", scale=1 / 60),
                "flow_min": None if p.outcome.flow_time is None else p.outcome.flow_time / 60,
                "hottest_c": p.outcome.hottest - kelvin,
                "spread_k": p.outcome.spread,
            }
            for p in state.places
        ],
        "sensors": [
            {
                "name": s.name,
                "measures": s.sensor.value,
                "at": s.section,
                "until_min": s.until / 60,
                **range_data(s.cure, "cure"),
                **range_data(s.tg, "tg_c", shift=-kelvin),
                **range_data(s.gel, "gel_min", scale=1 / 60),
                "hottest_c": s.hottest - kelvin,
                "gaps_min": [[a / 60, b / 60] for a, b in s.gaps],
            }
            for s in state.sensors
        ],
        "heat_on_min": None if c.heat_on is None else c.heat_on / 60,
        "segments": [
            {
                "number": s.number,
                "target_c": s.target - kelvin,
                "ramp_c_per_min": None if s.rate is None else s.rate * per_min,
                "ramp_lagging_c_per_min": None if s.rate_lagging is None else s.rate_lagging * per_min,
                "dwell_min": s.dwell / 60,
                "dwell_within_3_k_min": s.dwell_tight / 60,
                "hold_asked_min": s.hold / 60,
                "leading_over_k": s.over,
            }
            for s in c.stretches
        ],
        "departure": None
        if c.departure is None
        else {
            "first_min": None if c.departure.first is None else c.departure.first / 60,
            "first_k": c.departure.first_by,
            "largest_min": c.departure.largest / 60,
            "largest_k": c.departure.largest_by,
            "by_segment_k": list(c.departure.by_segment),
        },
        "cooling_c_per_min": None if c.cooling is None else c.cooling * per_min,
        "vacuum": None
        if state.pressed is None
        else {
            "worst_mbar": state.pressed.worst / 100,
            "mean_mbar": state.pressed.mean / 100,
            "lost": [
                {
                    "from_min": x.start / 60,
                    "to_min": x.end / 60,
                    "back": x.back,
                    "soft_min": x.soft / 60,
                    "cure_leading": x.alpha_leading,
                    "cure_lagging": x.alpha_lagging,
                }
                for x in state.pressed.losses
            ],
            "void_margin_mbar": None if state.pressed.margin is None else state.pressed.margin / 100,
        },
    }


def tables(state: LoggedState) -> None:
    """Print what a log tells."""
    from bagside.cli import show
    from bagside.quantity import shown

    show.table(
        f"{state.name}: {shown(state.end, 'h')}, the part computed from the {state.drive.by.value} "
        f"({', '.join(state.drive.channels)}); in brackets what it may be, 95 times in 100",
        ["place", "cured", "Tg", "gelled after", "hottest", "held to"],
        [
            [
                p.name,
                between(p.cure, "%"),
                between(p.tg, "°C"),
                "not" if p.gel is None else f"{shown(p.gel.value, 'min', 0)}",
                shown(p.outcome.hottest, "°C", 0),
                ", ".join(p.sensors) or "–",
            ]
            for p in state.places
        ],
    )
    if state.sensors:
        show.table(
            "At the thermocouples, from their readings alone",
            ["sensor", "at", "cured", "Tg", "hottest", "missing"],
            [
                [
                    s.name,
                    s.section or "not stated",
                    between(s.cure, "%"),
                    between(s.tg, "°C"),
                    shown(s.hottest, "°C", 0),
                    _missing(s.gaps),
                ]
                for s in state.sensors
            ],
        )
    if state.course.heat_on is not None:
        show.table(
            f"The programme as it was run; dwell by {state.lagging_line.name}, overshoot by {state.leading_line.name}",
            ["segment", "air rose", "it rose", "dwell", "of", "overshoot"],
            [
                [
                    f"{s.number}: {shown(s.target, '°C', 0)}",
                    "–" if s.rate is None else shown(s.rate, "°C/min"),
                    "–" if s.rate_lagging is None else shown(s.rate_lagging, "°C/min"),
                    "not come to" if s.begins is None else shown(s.dwell, "min", 0),
                    shown(s.hold, "min", 0),
                    "–" if s.over is None else shown(max(s.over, 0.0), "K", 0),
                ]
                for s in state.course.stretches
            ],
        )
    if state.pressed is not None:
        p = state.pressed
        show.OUT.print(
            f"Vacuum until gel: {shown(p.mean, 'mbar', 0)} left in the bag on average, {shown(p.worst, 'mbar', 0)} at "
            f"worst; {_times(len(p.losses))}."
            + ("" if p.margin is None else f" Least margin against voids of water {shown(p.margin, 'mbar', 0)}.")
        )


def _times(count: int) -> str:
    return {0: "never lost", 1: "lost once"}.get(count, f"lost {count} times")


def _missing(gaps: Sequence[tuple[float, float]]) -> str:
    from bagside.quantity import shown

    return "–" if not gaps else f"{len(gaps)} gaps, {shown(sum(b - a for a, b in gaps), 'min', 0)}"
