"""The two sides of what can still be made: cloth with an end in sight, and open jobs with the parts they still want."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

from bagside.errors import BagsideError, InputError
from bagside.findings import Basis, Finding, Severity
from bagside.ledger.bodies import Sort
from bagside.ledger.builds.beginning import SCRAP
from bagside.ledger.clocks.due import Due, Ends, first_ends
from bagside.ledger.clocks.life import Reckoner
from bagside.ledger.shop import Shop
from bagside.ledger.stock.makeable import Dying
from bagside.ledger.stock.making import OpenPart, open_part
from bagside.ledger.stock.shelves import on_shelf
from bagside.ledger.things import Build
from bagside.planning.stages import Stages
from bagside.records.database.ledger import Ledger
from bagside.records.layout_file import read_layouts
from bagside.records.with_stock import with_ledger_stock
from bagside.spec.opening import Opened, open_job
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
    shop: Shop, calendar: Sequence[Due], asked: Collection[str], until: datetime, now: datetime
) -> tuple[list[Dying], list[Finding]]:
    """Return cloth that ends soon, or that is asked for, the first to end first; and what of it is dead already.

    Parameters
    ----------
    shop
        As it stands.
    calendar
        What ends when.
    asked
        Names of rolls and offcuts; all that end until the moment when there are none.
    until, now
        Until when, and the moment, with its zone.
    """


    ends = first_ends(calendar)
    shelf = on_shelf(shop, now)
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
        life = reckoner.life(name, now)
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


def open_parts(
    ledger: Ledger, folder: Path, jobs: Sequence[Path], materials: Collection[str], stages: Stages, now: datetime
) -> OpenParts:
    """Return the parts that open jobs still want of some cloths.

    Parameters
    ----------
    ledger, folder
        Of the workshop.
    jobs
        Their files or folders; all in ``jobs/`` of the workshop when there are none.
    materials
        Names of the cloths.
    stages
        Keep what is worked out.
    now
        The moment.

    Raises
    ------
    InputError
        When a job that was named cannot be read.
    """
    files = list(jobs) or sorted(p for p in (folder / "jobs").glob("*") if (p / "job.toml").is_file())
    first: Opened | None = None
    parts: list[OpenPart] = []
    cut: dict[tuple[str, str], int] = {}
    findings: list[Finding] = []
    for file in files:
        try:
            opened = open_job(file, folder / "workshop.toml")
            if not set(materials) & {ply.material for ply in opened.job.plies}:
                continue
            begun = _begun(opened.job.name, ledger)
            part = open_part(opened, stages, max(0, opened.job.quantity - begun))
        except BagsideError as error:
            if jobs and isinstance(error, InputError):
                raise
            findings.append(_unread(file, str(error)))
            continue
        first = first or with_ledger_stock([opened], now=now)[0]
        parts.append(part)
        for material in _cut_already(opened.beside):
            cut[part.job, material] = part.wanted
    return OpenParts(first=first, parts=tuple(parts), cut=cut, findings=tuple(findings))


def _left(name: str, whole: float, taken: Iterable[Taken]) -> float:
    return whole - sum(t.length for t in taken if t.roll == name)


def _begun(job: str, ledger: Ledger) -> int:
    """Return how many parts of a job were begun and not scrapped."""

    builds = ledger.things(Sort.BUILD, there=None).values()
    own = [b for b in builds if isinstance(b, Build) and b.planned.job == job]
    return sum(b.closed is None or b.closed.what.verdict != SCRAP for b in own)


def _cut_already(folder: Path) -> set[str]:
    """Return the cloths of which the pieces of a job are cut."""

    return {k.material for k in read_layouts(folder) if k.cut_on is not None}


def _unread(file: Path, why: str) -> Finding:
    return Finding(
        severity=Severity.WATCH,
        stage="stock",
        place=file.name,
        what="this job is not counted: it cannot be worked out as it stands",
        why=why.splitlines()[0],
        do=f"mend it, and see with bagside plan {file}",
        basis=Basis.MEASURED,
    )
