"""``bagside build cure BUILD… LOG``: a cure was run: its log is kept, judged as ``cure judge`` does, and remembered."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.cure import log_options as log_given
from bagside.cli.cure import logged
from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from collections.abc import Sequence


def cure(
    builds: Annotated[
        list[str],
        typer.Argument(metavar="BUILD… LOG", help="Every part that was in the oven, and what the logger wrote."),
    ],
    post: logged.Post = False,
    no_log: Annotated[bool, typer.Option("--no-log", help="There is no log; it is then not judged.")] = False,
    hottest: Annotated[str, typer.Option(help='Without a log: hottest the parts were, as in "121 °C".')] = "",
    for_: Annotated[
        str, typer.Option("--for", help="Job it is judged by; that of the build in the workshop's jobs else.")
    ] = "",
    began_at: logged.BeganAt = "",
    sensor_error: logged.SensorError = "",
    column: log_given.Columns = None,
    section: Annotated[
        list[str] | None,
        typer.Option("--section", help='Section a sensor sits at, as in "TC2=keel". Again for each.'),
    ] = None,
    unit: log_given.Units = None,
    pressure: log_given.Pressures = None,
    ambient: log_given.Ambient = "",
    time: log_given.TimeIs = "",
    time_column: log_given.TimeColumn = "",
    date_order: log_given.Order = "",
    every: log_given.Every = "",
    jumps: log_given.Jumps = "",
    decimal: log_given.Decimal = "",
    separator: log_given.Separator = "",
    sheet: log_given.Sheet = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Attach a cure to the parts that were in the oven: degree of cure, Tg, hottest and verdict are kept with them."""
    from dataclasses import replace

    from bagside.cli.build import words
    from bagside.cli.build.cured_words import by_job, cured_body, heat_on_at, moved_on, refuse_twice, unlogged
    from bagside.cli.build.found import builds_called, listed, planned_step
    from bagside.cli.build.gated import stopped
    from bagside.cli.build.job_of import job_of
    from bagside.cli.cure.case import opened_case
    from bagside.cli.cure.judged import judged_data, judged_lines, judged_log
    from bagside.cli.desk import desk
    from bagside.records.attachments import Attachments

    names, log = _split(builds, no_log=no_log)
    options = {
        "column": column or (),
        "at": section or (),
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
    with desk(workshop, who, at, late=late) as here:
        meant = builds_called(here.ledger, ",".join(names))
        step = "post-cure" if post else "cure"
        begun = [(b, planned_step(b, step)) for b in meant]
        code = stopped(here, [(b, s) for b, s in begun if s is not None], "write it down", json=json)
        if code:
            return code
        if log is None:
            events = words.kept(here, unlogged(meant, post=post, hottest=hottest))
            now = words.again(here, meant[0].name)
            said = [f"{listed([b.name for b in meant])}: {'post-cured' if post else 'cured'}, not judged: no log."]
            return words.answered(now, said, events=events, before=meant, json=json)
        refuse_twice(meant, log, post=post)
        found = []
        for group in by_job(meant):
            path = job_of(group[0], here.folder, for_)
            judged = judged_log(
                log, opened_case(path, here.folder / "workshop.toml"), options, post=post, began_at=began_at,
                sensor_error=sensor_error,
            )  # fmt: skip
            start, guessed = heat_on_at(here, judged, group, stated=bool(at))
            found.append((group, judged, start, [*guessed, *moved_on(group, path, here)]))
        digest = Attachments(here.folder).put(log, log.name)
        writer = replace(here, late=True)  # its time is the log's, which is before what was written down since
        events = [
            writer.event(cured_body(group, judged, digest, log.name, options, post=post), start)
            for group, judged, start, _ in found
        ]
        here.ledger.add(events)
        now = words.again(here, meant[0].name)
    if not json:
        for _, judged, _, _ in found:
            judged_lines(judged)
    said = [
        f"{listed([b.name for b in group])}: {'post-cure' if post else 'cure'} kept as {judged.result.verdict.value}, "
        f"heat on {words.clock(start)}, log {digest[:8]}."
        for group, judged, start, _ in found
    ]
    code = words.answered(
        now,
        said,
        [f for _, judged, _, noted in found for f in (*judged.result.findings, *noted)],
        events=events,
        before=meant,
        data={
            "log": digest,
            "cures": [
                {"builds": [b.name for b in group], "heat_on": start.isoformat(), **judged_data(judged)}
                for group, judged, start, _ in found
            ],
        },
        json=json,
    )
    return max(code, int(any(judged.scrap for _, judged, _, _ in found)))


def _split(words_: Sequence[str], *, no_log: bool) -> tuple[list[str], Path | None]:
    """Return the builds and the log among what was typed: the log is the last, and a file.

    Raises
    ------
    InputError
        When there is no build, or no log and nobody says that there is none.
    """
    from bagside.errors import InputError

    if no_log:
        return list(words_), None
    last = Path(words_[-1])
    if not last.is_file():
        raise InputError.one(
            "LOG", f'"{last}"', "there is no such file", "the log comes last; --no-log when there is none"
        )
    if len(words_) < 2:
        raise InputError.one("BUILD", "", "the parts that were in the oven are wanted before the log")
    return list(words_[:-1]), last
