"""``bagside build photo BUILD FILE…``: pictures of a part, kept without the place where they were taken."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.build import given
from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson


def photo(
    build: given.Serial,
    files: Annotated[list[Path], typer.Argument(metavar="FILE…", help="Pictures.")],
    caption: Annotated[str, typer.Option(help="What they show.")] = "",
    step: given.OfStep = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Keep photos with a build: each is stored by its content, the place where it was taken is taken out of it."""
    from bagside.cli.build import words
    from bagside.cli.build.found import build_called, listed, step_called
    from bagside.cli.desk import desk
    from bagside.errors import InputError, Problem
    from bagside.ledger.bodies import Photographed
    from bagside.records.attachments import Attachments
    from bagside.records.photos import picture_without_place

    lost = [f for f in files if not f.is_file()]
    if lost:
        raise InputError(Problem(place="FILE", came=f'"{f}"', wanted="there is no such file") for f in lost)
    with desk(workshop, who, at, late=late) as here:
        found = build_called(here.ledger, build)
        going = words.running(found)
        key = step_called(found, step, "--step").key if step else (going[0][0].key if going else "")
        pictures = [(f.name, picture_without_place(f.read_bytes(), f.name)) for f in files]
        store = Attachments(here.folder)
        bodies = [
            Photographed(subject=found.name, file=store.put(data, name), called=name, caption=caption, step=key)
            for name, data in pictures
        ]
        events = words.kept(here, *bodies)
        now = words.again(here, found.name)
    names = listed([name for name, _ in pictures])
    during = f" during {key}" if key else ""
    said = [f"{found.name}: {names} kept{during}, without the place where it was taken."]
    return words.answered(now, said, events=events, json=json)
