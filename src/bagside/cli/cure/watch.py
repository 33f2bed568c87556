"""``bagside cure watch LOG --for JOB``: a cure while it runs, from the file its logger writes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.cure import log_options as given
from bagside.cli.cure import logged

if TYPE_CHECKING:
    from bagside.cure.judging import Watch


def watch(
    log: Annotated[Path, typer.Argument(help="The text file that the logger is writing.")],
    of: logged.For = "",
    once: Annotated[bool, typer.Option("--once", help="One look, then end.")] = False,
    look: Annotated[str, typer.Option(help="How often to look.")] = "30 s",
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
    json: Annotated[bool, typer.Option("--json", help="One JSON object a line for each look that changed.")] = False,
) -> int:
    """Watch a cure while it runs: what it is doing, when to move on by the lagging sensor, when it will be over."""
    import json as text
    import sys
    from time import monotonic, sleep

    from bagside.cli import show
    from bagside.cli.cure.watch_words import said, watch_data
    from bagside.cli.options import positive
    from bagside.cure.judging import watched
    from bagside.errors import InputError, NotSolved
    from bagside.quantity import Quantity
    from bagside.records.logger import Follower, stated_options

    pause = positive(look, Quantity.TIME, "--look")
    case = logged.ready(logged.case_for(of, workshop), post=post, began_at=began_at)
    follower = Follower(
        log,
        stated_options(
            column=column or (),
            at=at or (),
            unit=unit or (),
            pressure=pressure or (),
            ambient=ambient,
            time=time,
            time_column=time_column,
            date_order=date_order,
            every=every,
            jumps=jumps,
            decimal=decimal,
            separator=separator,
        ),
    )
    if once and not log.is_file():
        raise InputError.one(str(log), "", "this file is not there yet")
    before: Watch | None = None
    quiet, told_quiet = monotonic(), False
    try:
        while True:
            grown = follower.poll()
            found = follower.log
            if grown and found is not None:
                try:
                    state = logged.state_for(found, case, sensor_error=sensor_error, bagged=not post)
                    now = watched(state, case.programme, case.oven, case.limits)
                except NotSolved as error:
                    if once:
                        raise
                    show.ERR.print(f"This look could not be computed: {error}", style="bold", markup=False)
                    sleep(pause)
                    continue
                lines = said(before, now)
                if json and lines:
                    sys.stdout.write(text.dumps(watch_data(now), ensure_ascii=False, allow_nan=False) + "\n")
                    sys.stdout.flush()
                elif not json:
                    for line, style in lines:
                        show.OUT.print(line, style=style, markup=False, soft_wrap=True)
                before, quiet, told_quiet = now, monotonic(), False
            elif not told_quiet and monotonic() - quiet > max(600.0, 5.0 * pause):
                show.ERR.print("No new reading for ten minutes: look at the logger.", style="bold")
                told_quiet = True
            if once:
                break
            sleep(pause)
    except KeyboardInterrupt:
        show.ERR.print("Watching ended; the log and the oven go on.")
    if before is None:
        raise InputError.one(log.name, "", "two readings or more are wanted")
    return show.exit_code(before.warnings)
