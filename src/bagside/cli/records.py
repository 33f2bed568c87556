"""``bagside backup``, ``bagside restore`` and ``bagside records``: the records carried out, in, and looked after."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.desk import Folder
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.findings import Finding

Files = Annotated[
    Path | None, typer.Option("--files", help="Folder of the photos and logs that belong to the records.")
]


def backup(
    to: Annotated[Path, typer.Argument(help="Folder, or an archive to be made: NAME.zip, NAME.tar, NAME.tar.gz.")],
    workshop: Folder = None,
    json: AsJson = False,
) -> int:
    """Copy the whole workshop while people go on working: records, photos, logs, tables, materials, jobs."""
    from bagside.cli import show
    from bagside.cli.desk import desk
    from bagside.records.backup import backed_up

    with desk(workshop) as here:
        made = backed_up(here.ledger, to, here.shop.name, here.at)
    found = _missing(made.missing)
    if made.left_out:
        found.append(_left_out(made.left_out))
    if made.same_disk:
        found.append(_same_disk(made.path))
    if json:
        show.emit(
            {
                "backup": str(made.path),
                "events": made.events,
                "files": made.files,
                "size_bytes": made.size,
                "findings": [show.finding_data(f) for f in found],
            }
        )
        return show.exit_code(found)
    show.OUT.print(f"{made.path}", soft_wrap=True)
    show.OUT.print(f"{_many(made.events, 'event')} and {_many(made.files, 'file')}, {made.size / 1e6:.1f} MB.")
    show.show_findings(found)
    return show.exit_code(found)


def restore(
    copy: Annotated[Path, typer.Argument(metavar="BACKUP", help="What bagside backup made.")],
    folder: Annotated[Path, typer.Argument(help="An empty folder, or one that is not there yet.")],
    records: Annotated[
        str, typer.Option(help="Address of an empty PostgreSQL database for the records; a file in the folder else.")
    ] = "",
    json: AsJson = False,
) -> int:
    """Put a backup back into an empty folder; nothing is ever written over."""
    from bagside.cli import show
    from bagside.records.backup import restored

    back = restored(copy, folder, records)
    if json:
        show.emit(
            {
                "folder": str(folder),
                "made": back.made.isoformat(),
                "workshop": back.workshop,
                "events": back.events,
                "files": back.files,
                "records": back.records,
                "findings": [],
            }
        )
        return 0
    when = back.made.astimezone()
    show.OUT.print(f"{back.workshop} as it was on {when:%Y-%m-%d %H:%M} is in {folder}.", soft_wrap=True)
    kept = f"{_many(back.events, 'event')} and {_many(back.files, 'file')}; records: {back.records}"
    show.OUT.print(kept, soft_wrap=True)
    return 0


def export(
    file: Annotated[Path, typer.Argument(help="File to be made, as records.jsonl.")],
    files: Files = None,
    workshop: Folder = None,
    json: AsJson = False,
) -> int:
    """Write everything that ever happened as lines of JSON, in the order of the ledger."""
    from bagside.cli import show
    from bagside.cli.desk import desk
    from bagside.records.carrying import exported

    with desk(workshop) as here:
        said = exported(here.ledger, file, files)
    found = _missing(said.missing)
    if json:
        show.emit(
            {
                "file": str(file),
                "events": said.events,
                "files": said.files,
                "findings": [show.finding_data(f) for f in found],
            }
        )
        return show.exit_code(found)
    beside = "copied beside" if files is not None else "listed, and --files copies them beside"
    also = f"; {_many(said.files, 'photo or log is', 'photos and logs are')} {beside}" if said.files else ""
    show.OUT.print(f"{file}: {_many(said.events, 'event')}{also}.", soft_wrap=True)
    show.show_findings(found)
    return show.exit_code(found)


def import_(
    file: Annotated[Path, typer.Argument(help="What bagside records export wrote.")],
    files: Files = None,
    workshop: Folder = None,
    json: AsJson = False,
) -> int:
    """Read an export into the records: everything in it or nothing; what is there already counts once."""
    from bagside.cli import show
    from bagside.cli.desk import desk
    from bagside.records.carrying import imported
    from bagside.records.lines import told

    for _ in told(file):  # before records are begun for it
        pass
    with desk(workshop, begin=True) as here:
        said = imported(here.ledger, file, files)
    found = _missing(said.missing)
    if json:
        show.emit(
            {
                "new": said.new,
                "already": said.already,
                "files": said.files,
                "findings": [show.finding_data(f) for f in found],
            }
        )
        return show.exit_code(found)
    already = f"; {_many(said.already, 'was', 'were')} there already" if said.already else ""
    show.OUT.print(f"{_many(said.new, 'new event')}{already}.")
    show.show_findings(found)
    return show.exit_code(found)


def check(workshop: Folder = None, json: AsJson = False) -> int:
    """Look whether the records are whole: the file, everything that follows from the events, every photo and log."""
    from bagside.cli import show
    from bagside.cli.desk import desk
    from bagside.records.attachments import Attachments, attached
    from bagside.records.carrying import NAMING
    from bagside.records.soundness import faults_of

    with desk(workshop) as here:
        ledger = here.ledger
        events = ledger.count
        faults = faults_of(ledger)
        differing = () if faults else ledger.differing()
        files = Attachments(here.folder).verify(attached(ledger.events(kinds=NAMING)))
    found = [*_damaged(faults), *_differing(differing), *_missing((*files.missing, *files.changed))]
    if json:
        show.emit(
            {
                "events": events,
                "files": files.count,
                "faults": list(faults),
                "differing": list(differing),
                "missing": [{"sha256": d, "called": c} for d, c in files.missing],
                "changed": [{"sha256": d, "called": c} for d, c in files.changed],
                "spare": list(files.spare),
                "findings": [show.finding_data(f) for f in found],
            }
        )
        return show.exit_code(found)
    if not found:
        spare = f" {_many(len(files.spare), 'file')} more that nothing names." if files.spare else ""
        show.OUT.print(f"{_many(events, 'event')} and {_many(files.count, 'file')}: all is well.{spare}")
    show.show_findings(found)
    return show.exit_code(found)


def rebuild(workshop: Folder = None, json: AsJson = False) -> int:
    """Make everything that follows from the events anew; no event is changed."""
    from bagside.cli import show
    from bagside.cli.desk import desk

    with desk(workshop) as here:
        count = here.ledger.rebuild()
    if json:
        show.emit({"things": count, "findings": []})
    else:
        show.OUT.print(f"{_many(count, 'thing')} made anew from the events.")
    return 0


def _many(count: int, one: str, more: str = "") -> str:
    return f"{count} {one if count == 1 else more or one + 's'}"


def _missing(files: Iterable[tuple[str, str]]) -> list[Finding]:
    """Return that files which the records name are not there, or not as they were."""
    from bagside.findings import Basis, Finding, Severity

    lost = [f"{called or 'a file'} ({digest[:8]})" for digest, called in files]
    if not lost:
        return []
    named = ", ".join(lost[:5]) + (f" and {len(lost) - 5} more" if len(lost) > 5 else "")
    return [
        Finding(
            severity=Severity.DECIDE,
            stage="records",
            place="records-files",
            what=f"{_many(len(lost), 'photo or log is', 'photos and logs are')} missing or damaged: {named}",
            why="the records name it, and what it shows is nowhere else",
            do="put the file back from a backup, or from the camera or the logger; attach it again when it is found",
            basis=Basis.MEASURED,
        )
    ]


def _left_out(names: tuple[str, ...]) -> Finding:
    from bagside.findings import Basis, Finding, Severity

    return Finding(
        severity=Severity.WATCH,
        stage="records",
        place="the workshop's folder",
        what=f"{_many(len(names), 'link to a folder is', 'links to folders are')} not followed: {', '.join(names[:5])}",
        why="what lies there is not in the backup",
        do="copy it by itself, or put it into the workshop's folder",
        basis=Basis.MEASURED,
    )


def _same_disk(path: Path) -> Finding:
    from bagside.findings import Basis, Finding, Severity

    return Finding(
        severity=Severity.WATCH,
        stage="records",
        place=str(path),
        what="the backup lies on the same disk as the workshop",
        why="when the disk fails or the machine is stolen both are gone",
        do="copy it to another disk, and one of them to another house",
        basis=Basis.COMMON,
    )


def _damaged(faults: Iterable[str]) -> list[Finding]:
    from bagside.findings import Basis, Finding, Severity

    return [
        Finding(
            severity=Severity.STOP,
            stage="records",
            place="records",
            what=f"the database is damaged: {fault}",
            why="more may be lost with every event that is written",
            do="stop writing, copy the folder as it is, and restore the last backup into a new one",
            basis=Basis.MEASURED,
        )
        for fault in faults
    ]


def _differing(names: tuple[str, ...]) -> list[Finding]:
    from bagside.findings import Basis, Finding, Severity

    if not names:
        return []
    named = ", ".join(names[:5]) + (f" and {len(names) - 5} more" if len(names) > 5 else "")
    return [
        Finding(
            severity=Severity.STOP,
            stage="records",
            place="records",
            what=f"{_many(len(names), 'thing is', 'things are')} not as the events make them: {named}",
            why="what is shown of them is wrong; the events themselves are whole",
            do="run bagside records rebuild, and tell us when it comes back",
            basis=Basis.MEASURED,
        )
    ]


COMMANDS: tuple[tuple[str, Callable[..., int]], ...] = (
    ("export", export),
    ("import", import_),
    ("check", check),
    ("rebuild", rebuild),
)
"""Each command of ``bagside records`` and its function; ``backup`` and ``restore`` stand for themselves."""
