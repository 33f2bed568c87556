"""Opening jobs of one workshop, with the stock that its ledger knows when it keeps one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagside.spec.opening import Opened
    from bagside.spec.workshop import Workshop


def opened_jobs(jobs: Sequence[Path], workshop: Path | None, layouts: Path | None = None) -> list[Opened]:
    """Return jobs that are worked on together.

    Parameters
    ----------
    jobs
        Their files or folders.
    workshop
        The workshop's file or folder; the nearest above each job when None.
    layouts
        Folder in which layouts of these jobs together are stored, if any.

    Raises
    ------
    InputError
        With every problem of a job; when they are of several workshops.
    """
    from bagside.errors import InputError
    from bagside.spec.opening import open_job

    file = workshop / "workshop.toml" if workshop is not None and workshop.is_dir() else workshop
    opened = [open_job(job, file) for job in jobs]
    folders = sorted({o.folder for o in opened})
    if len(folders) > 1:
        raise InputError.one("jobs", ", ".join(str(f) for f in folders), "jobs of one workshop are wanted")
    return with_ledger_stock(opened, layouts)


def opened_job(job: Path, workshop: Path | None) -> Opened:
    """Return one job.

    Parameters
    ----------
    job, workshop
        See `opened_jobs`.
    """
    return opened_jobs([job], workshop)[0]


def with_ledger_stock(
    opened: Sequence[Opened], layouts: Path | None = None, now: datetime | None = None
) -> list[Opened]:
    """Return jobs with the rolls and offcuts that the workshop's ledger knows; as they are when it keeps none.

    Parameters
    ----------
    opened
        Jobs of one workshop.
    layouts
        Folder in which layouts of these jobs together are stored, if any.
    now
        When the cloth's life is looked at; now when None.
    """
    from dataclasses import replace

    if not opened or not kept_here(opened[0].folder, opened[0].workshop):
        return list(opened)
    from bagside.ledger.shop import Shop
    from bagside.ledger.stock.shelves import on_shelf
    from bagside.planning.stages import digest_of
    from bagside.records.database.ledger import Ledger
    from bagside.records.database.standing import Standing
    from bagside.spec.opening import STOCK_FILE

    first = opened[0]

    known = {name for folder in (*(o.beside for o in opened), layouts) for name in _cut_from(folder)}
    with Ledger.opened(first.folder, first.workshop.records) as ledger:
        shop = Shop(things=Standing(ledger), library=first.library, workshop=first.workshop)
        found = on_shelf(shop, now or datetime.now().astimezone(), known)
    digest = digest_of((found.rolls, found.stock))
    return [
        replace(
            job,
            workshop=replace(job.workshop, stock=found.rolls),
            stock=found.stock,
            inputs={**{k: v for k, v in job.inputs.items() if k != STOCK_FILE}, "records": digest},
            noticed=found.findings(_materials(job)),
        )
        for job in opened
    ]


def _materials(opened: Opened) -> tuple[str, ...]:
    """Return the cloths that a job uses, each once."""
    job = opened.job
    return tuple(dict.fromkeys([*(ply.material for ply in job.plies), *(b.material for b in job.build_ups)]))


def kept_here(folder: Path, workshop: Workshop) -> bool:
    """Return whether a workshop keeps a ledger; one in which nothing ever happened is none.

    Parameters
    ----------
    folder
        Of the workshop.
    workshop
        As stated.
    """
    if not workshop.records and not (folder / "records.sqlite").exists():
        return False  # the usual case without records is told without loading the database
    from bagside.records.database.ledger import Ledger

    if not Ledger.kept_for(folder, workshop.records):
        return False
    with Ledger.opened(folder, workshop.records) as ledger:
        return ledger.count > 0


def _cut_from(folder: Path | None) -> set[str]:
    """Return the rolls and offcuts that stored layouts were cut from; a file that cannot be read is told elsewhere."""
    from bagside.errors import InputError
    from bagside.records.layout_file import read_layouts

    if folder is None:
        return set()
    try:
        layouts = read_layouts(folder)
    except InputError:
        return set()
    return {cloth.offcut or cloth.roll for k in layouts if k.cut_on is not None for cloth in k.cloths}
