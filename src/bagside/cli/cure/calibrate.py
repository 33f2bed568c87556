"""``bagside cure calibrate LOG --for JOB``: films, lag and limits of this oven, so that the next plan fits."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.cure import log_options as given
from bagside.cli.cure import logged
from bagside.cli.options import AsJson


def calibrate(
    logs: Annotated[
        list[Path], typer.Argument(help="What the logger wrote in one run or several of the same part, one file each.")
    ],
    of: logged.For = "",
    workshop: logged.WorkshopFolder = "",
    inert: Annotated[
        bool, typer.Option("--inert", help="Nothing reacted: a panel that was cured before lay on the mould.")
    ] = False,
    rate: Annotated[
        bool, typer.Option("--rate", help="Fit the rate of reaction too; wants a thermocouple that shows the exotherm.")
    ] = False,
    seat: Annotated[
        list[str] | None,
        typer.Option(
            "--seat",
            help='Where in its section a sensor sat, as in "TC2=bag": bag, laminate, face (between laminate and '
            "mould) or back (of the mould). Again for each.",
        ),
    ] = None,
    heat_on: Annotated[
        str, typer.Option("--heat-on", help='When the programme began, from the first reading, as in "12 min".')
    ] = "",
    out: Annotated[
        Path | None, typer.Option(help="New file for the [oven] lines of workshop.toml; never overwrites one.")
    ] = None,
    column: given.Columns = None,
    at: given.Sections = None,
    unit: given.Units = None,
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
    """Calibrate films, lag and limits of the oven on logs of trials, so that the next plan fits this oven."""
    from bagside.cli import show
    from bagside.cli.cure import calibrate_words as words
    from bagside.cli.options import quantity
    from bagside.cure.calibrate import Trial, calibrated, calibration_findings
    from bagside.quantity import Quantity

    words.refuse_file(out)
    seats = words.seats(seat or [])
    begins = quantity(heat_on, Quantity.TIME, "--heat-on") if heat_on else None
    case = logged.case_for(of, workshop)
    texts = {
        "column": column or (),
        "at": at or (),
        "unit": unit or (),
        "pressure": (),
        "ambient": "",
        "time": time,
        "time_column": time_column,
        "date_order": date_order,
        "every": every,
        "jumps": jumps,
        "decimal": decimal,
        "separator": separator,
        "sheet": sheet,
    }
    trials = [
        Trial(log=logged.read_for(log, texts), inert=inert, where=seats, programme=case.programme, heat_on=begins)
        for log in logs
    ]
    found = calibrated(trials, case.on_mould, case.resin, case.oven, spread=case.spread, rate=rate, plan=case.programme)
    noticed = calibration_findings(found)
    text = words.oven_text(found, case.stated_oven)
    if out is not None:
        words.write_new(out, text)
    if json:
        show.emit({**words.data(found), "toml": text, "findings": [show.finding_data(f) for f in noticed]})
        return show.exit_code(noticed)
    for title, headers, rows in words.tables(found):
        show.table(title, headers, rows)
    for line in words.lines(found):
        show.OUT.print(line)
    if out is None:
        show.OUT.print(text, soft_wrap=True, markup=False)
    else:
        show.OUT.print(f"The lines for workshop.toml are in {out}.", soft_wrap=True, markup=False)
    show.show_findings(noticed)
    return show.exit_code(noticed)
