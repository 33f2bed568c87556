"""``bagside cure judge LOG --for JOB``: whether the part of a logged cure is good, or what finishes it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.cure import log_options as given
from bagside.cli.cure import logged
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.cure import CureLog
    from bagside.planning.cure_case import CureCase


def judge(
    log: given.LogFile,
    of: logged.For = "",
    workshop: logged.WorkshopFolder = "",
    post: logged.Post = False,
    began_at: logged.BeganAt = "",
    sensor_error: logged.SensorError = "",
    column: given.Columns = None,
    at: given.Sections = None,
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
    out: Annotated[
        Path | None, typer.Option(help="Folder for a chart of the plan with the log over it, and the plan's table.")
    ] = None,
    json: AsJson = False,
) -> int:
    """Judge the log of a cure: degree of cure, Tg, dwell, vacuum; good, finish it like this, or scrap, with reasons."""
    from bagside.cli import show
    from bagside.cli.cure.verdict_words import finish_data, reason_data, verdict_lines
    from bagside.cure.judging import Verdict, judged

    stated = logged.case_for(of, workshop)
    case = logged.ready(stated, post=post, began_at=began_at)
    read = logged.read_for(
        log,
        {
            "column": column or (),
            "at": at or (),
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
    result = judged(
        state,
        case.limits,
        case.programme,
        case.oven,
        case.free,
        room=case.room.temperature,
        basis=case.basis,
        source=case.source,
        tg_margin=logged.tg_margin(case),
        free_standing=post,
    )
    if out is not None:
        _drawn(out, stated, read, state.course.heat_on or 0.0, post)
    code = int(result.verdict in (Verdict.SCRAP, Verdict.SCRAP_STRUCTURE))
    if json:
        show.emit(
            {
                "verdict": result.verdict.value,
                "measure": result.measure,
                "wanted_cure": result.wanted,
                "wanted_tg_c": result.wanted_tg - 273.15,
                "reasons": [reason_data(r) for r in result.reasons],
                "finish": [finish_data(f) for f in result.finish],
                "state": logged.state_data(state),
                "findings": [show.finding_data(f) for f in result.findings],
            }
        )
        return code
    logged.tables(state)
    for line, style in verdict_lines(result):
        show.OUT.print(line, style=style)
    show.show_findings(result.findings)
    return code


def _drawn(out: Path, case: CureCase, log: CureLog, heat_on: float, post: bool) -> None:
    """Write the chart of the plan with the log over it, from heat on."""
    from dataclasses import replace

    from bagside.planning import cure_stage
    from bagside.sheets.cure_files import cure_files
    from bagside.sheets.package import Package

    there = log.time >= heat_on
    moved = replace(
        log,
        time=log.time[there] - heat_on,
        channels=tuple(replace(c, values=c.values[there]) for c in log.channels),
    )
    plan = cure_stage.cure_plan(case)
    run = plan.last if post else plan.first
    Package(out).written(cure_files(run, case, "judged", moved, png=True))
