"""``bagside cure rescue LOG --for JOB --what "power cut"``: every way on after a cure went wrong, computed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from bagside.cli.cure import log_options as given
from bagside.cli.cure import logged
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.cure.judging import Moment, Option, Rescue


def rescue(
    log: given.LogFile,
    of: logged.For = "",
    what: Annotated[
        str,
        typer.Option(
            help="What went wrong: power cut, bag burst, pump stopped, power and vacuum lost, overshoot, wrong "
            "programme, cooled too fast, demoulded hot, short dwell, ramp too fast, sensor lost."
        ),
    ] = "",
    at: Annotated[
        list[str] | None,
        typer.Option(
            "--at",
            help='When, since the first reading, as in "95 min"; the end of the log when left out. And, as everywhere, '
            'the section a sensor sits at, as in "TC2=keel".',
        ),
    ] = None,
    out_for: Annotated[
        str, typer.Option(help='How much longer heat or vacuum will be gone, from the end of the log, as in "45 min".')
    ] = "",
    cooling: Annotated[
        str,
        typer.Option(help='Time in which the oven without heat loses two thirds of its heat, as in "40 min".'),
    ] = "",
    workshop: logged.WorkshopFolder = "",
    post: logged.Post = False,
    began_at: logged.BeganAt = "",
    sensor_error: logged.SensorError = "",
    column: given.Columns = None,
    unit: given.Units = None,
    pressure: given.Pressures = None,
    ambient: given.Ambient = "",
    time: given.TimeIs = "",
    time_column: given.TimeColumn = "",
    date_order: given.Order = "",
    every: given.Every = "",
    jumps: given.Jumps = "",
    decimal: given.Decimal = "",
    separator: given.Separator = "",
    sheet: given.Sheet = "",
    json: AsJson = False,
) -> int:
    """Say how to save a cure that went wrong: what is lost, how long there is, and every way on with what it gives."""
    from bagside.cli import show
    from bagside.cli.cure.verdict_words import programme_data
    from bagside.cli.options import not_negative, positive
    from bagside.cure.judging import Action, mishap_named, rescued
    from bagside.errors import InputError
    from bagside.quantity import Quantity

    kind = mishap_named(what)
    places = [text for text in at or () if "=" in text]
    times = [text for text in at or () if "=" not in text]
    if len(times) > 1:
        raise InputError.one("--at", ", ".join(times), "one time at which it went wrong is wanted")
    when = not_negative(times[0], Quantity.TIME, "--at") if times else None
    gone = not_negative(out_for, Quantity.TIME, "--out-for") if out_for else 0.0
    case = logged.ready(logged.case_for(of, workshop), post=post, began_at=began_at)
    read = logged.read_for(
        log,
        {
            "column": column or (),
            "at": places,
            "unit": unit or (),
            "pressure": pressure or (),
            "ambient": ambient,
            "time": time,
            "time_column": time_column,
            "date_order": date_order,
            "every": every,
            "jumps": jumps,
            "decimal": decimal,
            "separator": separator,
            "sheet": sheet,
        },
    )
    state = logged.state_for(read, case, sensor_error=sensor_error, bagged=not post)
    result = rescued(
        state,
        kind,
        case.programme,
        case.oven,
        case.limits,
        case.free,
        at=when,
        out_for=gone,
        room=case.room.temperature,
        cooling_time=positive(cooling, Quantity.TIME, "--cooling") if cooling else None,
        tg_margin=logged.tg_margin(case),
    )
    code = int(result.best.action is Action.STOP or show.exit_code(result.findings))
    if json:
        show.emit(
            {
                "what": kind.value,
                "then": _moment_data(result.moment),
                "now": _moment_data(result.now),
                "lost": {"weight": result.lost.weight.value, "risks": list(result.lost.risks)},
                "deadlines": None if result.deadlines is None else _deadline_data(result),
                "options": [_option_data(o, programme_data) for o in result.options],
                "state": logged.state_data(state),
                "findings": [show.finding_data(f) for f in result.findings],
            }
        )
        return code
    show.show_findings(result.findings, limit=8)
    for line, style in _lines(result):
        show.OUT.print(line, style=style)
    return code


def _lines(result: Rescue) -> list[tuple[str, str]]:
    from bagside.quantity import shown

    lines = [(f"{result.what.value}: {_moment(result.moment)}", "bold")]
    if result.now.time - result.moment.time > 60.0:
        lines.append((f"Now: {_moment(result.now)}", ""))
    lines += [(f"Lost already: {risk}.", "") for risk in result.lost.risks]
    if not result.lost.risks:
        lines.append(("Nothing is lost yet.", ""))
    d = result.deadlines
    if d is not None:
        if d.softens:
            lines.append((f"If the heat stays on, resin is soft in {shown(d.softens, 'min', 0)}.", ""))
        if d.mend is not None:
            lines.append((f"With the heat on, vacuum must be back in {shown(d.mend, 'min', 0)}.", ""))
        if d.gels_on is not None:
            lines.append((f"If the programme goes on, the first resin gels in {shown(d.gels_on, 'min', 0)}.", ""))
        if d.gels_here is not None:
            lines.append((f"If the air stays as it is, it gels in {shown(d.gels_here, 'min', 0)}.", ""))
    if result.what.heat_off or d is not None:
        lines.append(
            (
                f"Without heat the oven is taken to cool with a time constant of {shown(result.air_falls, 'min', 0)} "
                f"({result.air_falls_from}).",
                "dim",
            )
        )
    for k, o in enumerate(result.options, 1):
        lines.append((f"{k}. {o.action.value}: {o.words}", "bold" if k == 1 else ""))
        lines.append((f"   {_outcome(o, result.lost.risks)}", ""))
    return lines


def _moment(m: Moment) -> str:
    from bagside.quantity import shown

    flow = "" if m.viscosity is None else f", up to {shown(m.viscosity, 'Pa s', 0)} thick"
    bag = "" if m.left is None else f", {shown(m.left, 'mbar', 0)} left in the bag"
    cured = _span(m.lagging, m.leading, "%")
    return (
        f"after {shown(m.time, 'min', 0)} the part is at {_span(m.coolest, m.hottest, '°C')}, {m.stage.value}, {cured} "
        f"cured, Tg {shown(m.tg, '°C', 0)}{flow}{bag}"
    )


def _span(low: float, high: float, unit: str) -> str:
    from bagside.quantity import shown

    a, b = shown(low, unit, 0), shown(high, unit, 0)
    return a if a == b else f"{a.rsplit(' ', 1)[0]} to {b}"


def _outcome(o: Option, told: tuple[str, ...]) -> str:
    from bagside.quantity import shown

    end = "" if o.end is None else f"over in {shown(o.end, 'h')}, "
    flow = "" if o.flow is None else f", resin flows for {shown(o.flow, 'min', 0)} more"
    own = [risk for risk in o.risks if risk not in told]
    risks = f"; {'; '.join(own)}" if own else ""
    reaches = "reaches what is wanted" if o.meets else "does not reach what is wanted"
    least, most = shown(o.cure_low, "%", 0), shown(o.cure, "%", 0)
    cured = least if least == most else f"{least}, most probably {most}"
    return (
        f"{end}cured at least {cured}, Tg at least {shown(o.tg, '°C', 0)}, hottest {shown(o.hottest, '°C', 0)}{flow}; "
        f"{reaches}{risks}"
    )


def _moment_data(m: Moment) -> dict[str, Any]:
    return {
        "time_min": m.time / 60,
        "coolest_c": m.coolest - 273.15,
        "hottest_c": m.hottest - 273.15,
        "cure_lagging": m.lagging,
        "cure_leading": m.leading,
        "tg_c": m.tg - 273.15,
        "viscosity_pa_s": m.viscosity,
        "left_mbar": None if m.left is None else m.left / 100,
        "stage": m.stage.value,
    }


def _deadline_data(result: Rescue) -> dict[str, Any]:
    d = result.deadlines
    if d is None:
        return {}
    return {
        "softens_min": None if d.softens is None else d.softens / 60,
        "gels_if_it_goes_on_min": None if d.gels_on is None else d.gels_on / 60,
        "gels_if_air_stays_min": None if d.gels_here is None else d.gels_here / 60,
        "vacuum_back_by_with_heat_min": None if d.mend is None else d.mend / 60,
        "vacuum_back_by_min": None if d.rebag is None else d.rebag / 60,
        "flow_if_back_now_min": d.flow / 60,
    }


def _option_data(o: Option, programme_data: Any) -> dict[str, Any]:
    return {
        "action": o.action.value,
        "words": o.words,
        "programme": None if o.programme is None else programme_data(o.programme),
        "extra_hold_min": o.extra / 60,
        "before_min": None if o.before is None else o.before / 60,
        "end_min": None if o.end is None else o.end / 60,
        "cure_low": o.cure_low,
        "cure": o.cure,
        "tg_c": o.tg - 273.15,
        "hottest_c": o.hottest - 273.15,
        "flow_min": None if o.flow is None else o.flow / 60,
        "meets": o.meets,
        "lost": o.weight.value,
        "risks": list(o.risks),
    }
