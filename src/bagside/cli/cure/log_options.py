"""What a person may settle about a logger file on the command line; the same for every command that reads one."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

LogFile = Annotated[
    Path, typer.Argument(help="What the logger wrote: CSV, TSV, other text with one row a reading, or .xlsx.")
]
Columns = Annotated[
    list[str] | None,
    typer.Option(
        "--column",
        help='What a column measures, as in "TC2=part": air, part, tool, set, bag, ambient; "-" leaves it out. Again '
        "for each column.",
    ),
]
Sections = Annotated[
    list[str] | None,
    typer.Option("--at", help='Section a sensor sits at, as in "TC2=keel". Again for each.'),
]
Units = Annotated[
    list[str] | None,
    typer.Option("--unit", help='Of columns that tell none, "°C" or "mbar"; of one, "TC2=°F". Again for each.'),
]
Pressures = Annotated[
    list[str] | None,
    typer.Option("--pressure", help='What a pressure is told against: absolute, gauge or depth; of one, "P1=gauge".'),
]
Ambient = Annotated[str, typer.Option("--ambient", help='Ambient pressure of the day, as in "1005 mbar".')]
TimeIs = Annotated[
    str,
    typer.Option(
        "--time",
        help='How time is told: clock, "12 h am", "12 h pm", s, ms, min, h, h:min, min:s, days, "unix s", "unix ms".',
    ),
]
TimeColumn = Annotated[str, typer.Option("--time-column", help="Name of the column that tells the time.")]
Order = Annotated[str, typer.Option("--date-order", help="Which part of a date comes first: day, month or year.")]
Every = Annotated[str, typer.Option("--every", help='Time between readings when no column tells it, as in "10 s".')]
Jumps = Annotated[
    str,
    typer.Option(
        "--jumps",
        help="A step of the clock that cannot be explained: continue (it was set, readings went on at their interval) "
        "or keep (that time passed).",
    ),
]
Decimal = Annotated[str, typer.Option("--decimal", help='Decimal mark, "." or ",".')]
Separator = Annotated[str, typer.Option("--separator", help="Between columns: one character, or tab or space.")]
Sheet = Annotated[str, typer.Option("--sheet", help="Of a workbook with several.")]
Keep = Annotated[
    bool,
    typer.Option(
        "--keep", help="Keep what is stated here in logger.toml beside the log, for its logger's other files."
    ),
]
