"""``bagside stock freezer LOG --place PLACE``: what a logger saw there; every clock of what lay there follows it."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone, tzinfo
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bagside.cli.cure import log_options as given
from bagside.cli.desk import Folder, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.records.freezer_log import FreezerLog


def freezer(
    log: given.LogFile,
    place: Annotated[str, typer.Option(help="Where the logger lay: the name of a place.")] = "freezer",
    channel: Annotated[str, typer.Option(help="Column that was in it, when there are several temperatures.")] = "",
    zone: Annotated[
        str, typer.Option(help='Of the logger\'s clock, "+01:00" or "Europe/Berlin"; this machine\'s else.')
    ] = "",
    begins: Annotated[
        str, typer.Option(help='When the first reading was made, of a log without days: "2026-11-02 08:00".')
    ] = "",
    since: Annotated[str, typer.Option("--from", help="Readings before are left out.")] = "",
    until: Annotated[str, typer.Option(help="Readings after are left out.")] = "",
    column: given.Columns = None,
    unit: given.Units = None,
    time: given.TimeIs = "",
    time_column: given.TimeColumn = "",
    date_order: given.Order = "",
    every: given.Every = "",
    jumps: given.Jumps = "",
    decimal: given.Decimal = "",
    separator: given.Separator = "",
    sheet: given.Sheet = "",
    workshop: Folder = None,
    who: Who = "",
    json: AsJson = False,
) -> int:
    """Read a freezer's or a room's log: the file is kept, and all life that was spent there is worked out by it."""
    from bagside.cli.desk import desk
    from bagside.cli.stock.found import place_called
    from bagside.cli.stock.words import answered
    from bagside.errors import InputError
    from bagside.ledger.event import new_event
    from bagside.records.attachments import Attachments
    from bagside.records.freezer_log import logged_body
    from bagside.records.logger import stated_options

    texts: dict[str, Any] = {
        "column": column or (),
        "at": (),
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
    options = stated_options(**texts)
    if not log.is_file():
        raise InputError.one("LOG", f'"{log}"', "there is no such file")
    with desk(workshop, who, late=True) as here:
        there = place_called(here.ledger, place, "--place")
        clock = _zone(zone)
        found = logged_body(
            log,
            there.name,
            options,
            zone=clock,
            channel=channel,
            begins=_moment(begins, "--begins", None),
            since=_moment(since, "--from", clock),
            until=_moment(until, "--until", clock),
        )
        event = new_event(
            found.body, who=here.who, device=here.device, at=found.at, zone=zone or here.zone, late=True
        )
        Attachments(here.folder).put(log)
        added = here.ledger.add([event])
    return answered(_said(found, there.name), found.noticed, events=added.new, data=_data(found), json=json)


def _said(found: FreezerLog, place: str) -> list[str]:
    from bagside.cli.build.words import span
    from bagside.quantity import shown

    over = span((found.last - found.at).total_seconds())
    first, last = (t.astimezone().strftime("%Y-%m-%d %H:%M") for t in (found.at, found.last))
    warmth = f"{shown(found.coldest, '°C', 1)} to {shown(found.warmest, '°C', 1)}"
    said = [
        f"{place}: {found.readings} readings over {over}, {first} to {last}.",
        f"{warmth}; as a steady temperature {shown(found.mean_kinetic, '°C', 1)}.",
    ]
    if found.body.gaps:
        lost = sum(b - a for a, b in found.body.gaps)
        count = len(found.body.gaps)
        said.append(f"{count} gap{'s' if count > 1 else ''} of {span(lost)} in all, counted on the safe side.")
    return said


def _data(found: FreezerLog) -> dict[str, Any]:
    return {
        "log": {
            "place": found.body.place,
            "file": found.body.file,
            "readings": found.readings,
            "from": found.at.isoformat(),
            "to": found.last.isoformat(),
            "coldest_c": found.coldest - 273.15,
            "warmest_c": found.warmest - 273.15,
            "mean_kinetic_c": found.mean_kinetic - 273.15,
            "gaps": [{"from_s": a, "to_s": b} for a, b in found.body.gaps],
        }
    }


def _zone(text: str) -> tzinfo | None:
    """Return a zone: by its name, or by how far it is from Greenwich; None when nothing is typed."""
    import re
    from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

    from bagside.errors import InputError

    word = text.strip()
    if not word:
        return None
    ahead = re.fullmatch(r"([+−-])(\d{1,2}):?(\d{2})", word)
    if ahead:
        minutes = 60 * int(ahead[2]) + int(ahead[3])
        if minutes <= 14 * 60:
            return timezone(timedelta(minutes=minutes if ahead[1] == "+" else -minutes))
    try:
        return ZoneInfo(word)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise InputError.one("--zone", f'"{text}"', 'a zone is wanted, as "+01:00" or "Europe/Berlin"') from None


def _moment(text: str, option: str, zone: tzinfo | None) -> datetime | None:
    """Return a moment; with the logger's zone when it is to be compared, bare when the reader settles it."""
    from bagside.errors import InputError

    if not text.strip():
        return None
    try:
        moment = datetime.fromisoformat(text.strip())
    except ValueError:
        raise InputError.one(option, f'"{text}"', 'a moment is wanted, as in "2026-11-02 08:00"') from None
    if moment.tzinfo is None and option != "--begins":
        return moment.astimezone() if zone is None else moment.replace(tzinfo=zone)
    return moment
