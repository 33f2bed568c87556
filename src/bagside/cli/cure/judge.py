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
    from bagside.cli.cure.judged import judged_data, judged_lines, judged_log

    options = {
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
    }
    found = judged_log(
        log, logged.case_for(of, workshop), options, post=post, began_at=began_at, sensor_error=sensor_error
    )
    if out is not None:
        _drawn(out, found.stated, found.log, found.state.course.heat_on or 0.0, post)
    if json:
        show.emit(judged_data(found))
        return int(found.scrap)
    judged_lines(found)
    show.show_findings(found.result.findings)
    return int(found.scrap)


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
