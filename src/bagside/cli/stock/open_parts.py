"""The two sides of what can still be made: cloth with an end in sight, and open jobs with the parts they still want."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagside.cli.desk import Desk
    from bagside.findings import Finding
    from bagside.ledger.clocks.due import Due
    from bagside.ledger.shop import Shop
    from bagside.ledger.stock.makeable import Dying
    from bagside.ledger.stock.making import OpenPart
    from bagside.spec.opening import Opened
    from bagside.spec.stock import Offcut, Taken
    from bagside.spec.workshop import Roll


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenParts:
    """Parts that open jobs still want.

    Parameters
    ----------
    first
        One of the jobs, for workshop and library; None when there is none.
    parts
        One of each job.
    cut
        How many of a job have their pieces of a cloth already, by the names of both.
    findings
        Jobs that cannot be read or worked out.
    """

    first: Opened | None
    parts: tuple[OpenPart, ...]
    cut: Mapping[tuple[str, str], int]
    findings: tuple[Finding, ...]


def dying_cloth(
    here: Desk, shop: Shop, calendar: Sequence[Due], names: Sequence[str], until: datetime
) -> tuple[list[Dying], list[Finding]]:
    """Return cloth that ends soon, or that is asked for, the first to end first; and what of it is dead already.

    Parameters
    ----------
    here
        The desk.
    shop
        As it stands.
    calendar
        What ends when.
    names
        As typed; all that end until the moment when there are none.
    until
        The moment.

    Raises
    ------
    InputError
        When a name is not that of a roll or an offcut.
    """
    from dataclasses import replace

    from bagside.cli.stock.found import thing_called
    from bagside.cli.stock.list import first_ends
    from bagside.ledger.bodies import Sort
    from bagside.ledger.clocks.due import Ends
    from bagside.ledger.clocks.life import Reckoner
    from bagside.ledger.stock.makeable import Dying
    from bagside.ledger.stock.shelves import on_shelf

    asked = [thing_called(here.ledger, n, (Sort.ROLL, Sort.OFFCUT)).name for n in names]
    ends = first_ends(calendar)
    shelf = on_shelf(shop, here.at)
    cloths = {r.called: replace(r, length=_left(r.called, r.length, shelf.stock.taken)) for r in shelf.rolls}
    every: dict[str, Roll | Offcut] = {n: r for n, r in cloths.items() if r.length > 1e-3}
    every |= {o.name: o for o in shelf.stock.there}
    reckoner = Reckoner(shop)
    out = []
    for name, cloth in every.items():
        end = ends.get(name)
        soon = end is not None and end.when is not None and end.when <= until
        if name not in asked and (asked or not soon):
            continue
        life = reckoner.life(name, here.at)
        clocks = {"out-life": life.out.left_room} | ({} if life.tack is None else {"tack": life.tack.left_room})
        clock = min(clocks, key=lambda word: clocks[word])
        last, why = None, ""
        if end is not None and end.when is not None:
            by_day = end.ends is Ends.LAST_DAY
            last = end.when.date() - timedelta(days=1) if by_day else end.when.astimezone().date()
            why = "the last day that its maker allows" if by_day else "its out-life is used up then, where it lies"
        out.append(Dying(cloth=cloth, last=last, why=why, left_room=max(clocks[clock], 0.0), clock=clock))
    out.sort(key=lambda d: (d.last is None, d.last, d.name))
    told = [f for f in shelf.findings() if not asked or f.place.split(" ", 1)[1] in asked]
    return out, told


def open_parts(here: Desk, shop: Shop, jobs: Sequence[Path], materials: set[str]) -> OpenParts:
    """Return the parts that open jobs still want of some cloths.

    Parameters
    ----------
    here
        The desk.
    shop
        As it stands.
    jobs
        Their files or folders; all in ``jobs/`` of the workshop when there are none.
    materials
        Names of the cloths.

    Raises
    ------
    InputError
        When a job that was named cannot be read.
    """
    from bagside.cli import show
    from bagside.cli.made import writable
    from bagside.errors import BagsideError, InputError
    from bagside.ledger.stock.making import open_part
    from bagside.planning.stages import Stages
    from bagside.records.with_stock import with_ledger_stock
    from bagside.spec.opening import open_job

    files = list(jobs) or sorted(p for p in (here.folder / "jobs").glob("*") if (p / "job.toml").is_file())
    stages = Stages(store=writable(here.folder / ".bagside-cache"), progress=show.Lines())
    first: Opened | None = None
    parts: list[OpenPart] = []
    cut: dict[tuple[str, str], int] = {}
    findings: list[Finding] = []
    for file in files:
        try:
            opened = open_job(file, here.folder / "workshop.toml")
            if not materials & {ply.material for ply in opened.job.plies}:
                continue
            begun = _begun(opened.job.name, here)
            part = open_part(opened, stages, max(0, opened.job.quantity - begun))
        except BagsideError as error:
            if jobs and isinstance(error, InputError):
                raise
            findings.append(_unread(file, str(error)))
            continue
        first = first or with_ledger_stock([opened], now=here.at)[0]
        parts.append(part)
        for material in _cut_already(opened.beside):
            cut[part.job, material] = part.wanted
    return OpenParts(first=first, parts=tuple(parts), cut=cut, findings=tuple(findings))


def _left(name: str, whole: float, taken: Iterable[Taken]) -> float:
    return whole - sum(t.length for t in taken if t.roll == name)


def _begun(job: str, here: Desk) -> int:
    """Return how many parts of a job were begun and not scrapped."""
    from bagside.ledger.bodies import Sort
    from bagside.ledger.things import Build

    builds = here.ledger.things(Sort.BUILD, there=None).values()
    own = [b for b in builds if isinstance(b, Build) and b.planned.job == job]
    return sum(b.closed is None or b.closed.what.verdict != "scrap" for b in own)


def _cut_already(folder: Path) -> set[str]:
    """Return the cloths of which the pieces of a job are cut."""
    from bagside.records.layout_file import read_layouts

    return {k.material for k in read_layouts(folder) if k.cut_on is not None}


def _unread(file: Path, why: str) -> Finding:
    from bagside.findings import Basis, Finding, Severity

    return Finding(
        severity=Severity.WATCH,
        stage="stock",
        place=file.name,
        what="this job is not counted: it cannot be worked out as it stands",
        why=why.splitlines()[0],
        do=f"mend it, and see with bagside plan {file}",
        basis=Basis.MEASURED,
    )
