"""``bagside cure read LOG``: what was understood of a logger's file, before anything is judged by it."""

from __future__ import annotations

from typing import Any

from bagside.cli.cure import log_options as given
from bagside.cli.options import AsJson


def read(
    log: given.LogFile,
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
    keep: given.Keep = False,
    json: AsJson = False,
) -> int:
    """Read a logger's file and show what was understood: columns, units, times, gaps, sensors that cannot be right."""
    from bagside.cli import show
    from bagside.cli.cure import log_table
    from bagside.records.logger import keep_settled, stated_options, understood

    texts: dict[str, Any] = {
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
    found = understood(log, stated_options(**texts))
    if keep:
        show.ERR.print(f"kept for this folder: {keep_settled(log.parent, texts)}")
    if json:
        show.emit({"log": log_table.data(found), "findings": [show.finding_data(f) for f in found.log.noticed]})
        return show.exit_code(found.log.noticed)
    show.table(
        log_table.title(found.log),
        ["column", "measures", "at", "first", "last", "lowest", "highest", "missing"],
        log_table.rows(found),
    )
    show.OUT.print(log_table.manner(found), style="dim")
    show.show_findings(found.log.noticed)
    return show.exit_code(found.log.noticed)
