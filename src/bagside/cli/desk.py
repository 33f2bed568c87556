"""What every command on the records shares: whose folder, who says so, when."""

from __future__ import annotations

import getpass
import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from bagside.records.desk import Desk

Folder = Annotated[
    Path | None, typer.Option("--workshop", help="Folder of the workshop; the nearest one from here up else.")
]
Who = Annotated[str, typer.Option("--who", help="Who says so; BAGSIDE_WHO or the name you are logged in with else.")]
At = Annotated[str, typer.Option("--at", help='When it happened, as in "2026-11-26 14:05" or "14:05"; now else.')]
Late = Annotated[bool, typer.Option("--late", help="It is written down after what came later, on purpose.")]


@contextmanager
def desk(
    workshop: Path | None, who: str = "", at: str = "", *, late: bool = False, begin: bool = False
) -> Iterator[Desk]:
    """Open the workshop's records for a command.

    Parameters
    ----------
    workshop
        Its folder; the nearest with a ``workshop.toml`` from here up when None.
    who, at, late
        As typed.
    begin
        Whether records are begun when there are none.

    Raises
    ------
    InputError
        When there is no workshop, no records, or what is typed cannot be read.
    """
    from bagside.records import desk as records

    folder = found_folder(workshop)
    moment, zone = moment_of(at)
    name = who or os.environ.get("BAGSIDE_WHO", "") or getpass.getuser()
    device = os.environ.get("BAGSIDE_DEVICE", "") or socket.gethostname() or "desk"
    with records.desk(folder, name, device, at=moment, zone=zone, late=late, begin=begin, called=str(folder)) as opened:
        yield opened


def found_folder(workshop: Path | None) -> Path:
    """Return the workshop's folder.

    Parameters
    ----------
    workshop
        As typed: the folder, or its ``workshop.toml``.

    Raises
    ------
    InputError
        When there is none.
    """
    from bagside.errors import InputError

    if workshop is not None:
        folder = workshop.parent if workshop.is_file() else workshop
        if not (folder / "workshop.toml").is_file():
            raise InputError.one("--workshop", f'"{workshop}"', "there is no workshop.toml in it")
        return folder
    here = Path.cwd()
    for folder in (here, *here.parents):
        if (folder / "workshop.toml").is_file():
            return folder
    raise InputError.one("--workshop", "", "no workshop.toml in this folder or above it", "state its folder")


def moment_of(text: str, now: datetime | None = None) -> tuple[datetime, str]:
    """Return a moment with its zone, and the zone's name or offset.

    Parameters
    ----------
    text
        ``2026-11-26 14:05``, ``14:05`` of today, either with an offset; now when empty.
    now
        For tests.

    Raises
    ------
    InputError
        When it cannot be read.
    """
    from datetime import time

    from bagside.errors import InputError

    here = now or datetime.now().astimezone()
    text = text.strip().replace("Z", "+00:00")
    if not text:
        return here, _zone(here)
    try:
        if "-" in text[:8] or "T" in text:
            moment = datetime.fromisoformat(text)
        else:
            moment = datetime.combine(here.date(), time.fromisoformat(text))
    except ValueError:
        raise InputError.one(
            "--at", f'"{text}"', 'a time is wanted, as in "2026-11-26 14:05", "14:05" or "2026-11-26T14:05+01:00"'
        ) from None
    if moment.tzinfo is None:
        moment = moment.astimezone() if now is None else moment.replace(tzinfo=here.tzinfo)
    return moment, _zone(moment)


def _zone(moment: datetime) -> str:
    """Return the offset of a moment, as in ``+01:00``."""
    text = moment.strftime("%z")
    return f"{text[:3]}:{text[3:5]}"
