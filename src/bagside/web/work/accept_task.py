"""The tasks that say what cutting a job does to the stock, and take it off, by the code of the command line."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from bagside.errors import InputError
from bagside.planning.cut_jobs import JobsCut, accepted_jobs, cut_jobs, refuse_unbought
from bagside.planning.cutting_room import Accepted
from bagside.planning.stages import Stages
from bagside.records.desk import desk
from bagside.records.kept_plan import STORE
from bagside.records.layout_file import read_layouts, write_layouts
from bagside.records.stock_file import StockFile
from bagside.records.stock_here import StockHere, StockInFile, StockInLedger
from bagside.records.with_stock import kept_here, opened_job
from bagside.spec.opening import Opened
from bagside.web.work.child import Teller


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What cutting does to the stock.

    Parameters
    ----------
    digest
        Of what is cut and where it lies.
    lengths
        Roll and length [m] of each that is pulled off.
    used
        Offcuts that are cut from.
    kept
        Name, material and area [m²] of each offcut that goes into stock.
    kits
        Names of the kits in the records; none when none are kept.
    """

    digest: str
    lengths: tuple[tuple[str, float], ...]
    used: tuple[str, ...]
    kept: tuple[tuple[str, str, float], ...]
    kits: tuple[str, ...]


def what_it_takes(tell: Teller, job: Path, who: str, device: str) -> Taken:
    """Return what cutting the job as it lies would do to the stock; nothing is written.

    Parameters
    ----------
    tell
        Not spoken through.
    job
        Its file.
    who, device
        Who asks.

    Raises
    ------
    InputError
        When the job is not as it was, it is all cut already, or cloth is still to be bought.
    """
    opened = opened_job(job, None)
    found = _found(opened)
    with _stock(opened, who, device) as stock:
        change = accepted_jobs(found, stock.first_number())
        cutting = stock.cutting(found, change)
    return _taken(found, change, () if cutting is None else tuple(k.name for k in cutting.kits))


def take_off(tell: Teller, job: Path, who: str, device: str, digest: str) -> Taken:
    """Take the job's cloth off the stock as it lies, put what is left into it, and mark the layouts as cut.

    Parameters
    ----------
    tell
        Not spoken through.
    job
        Its file.
    who, device
        Who says so.
    digest
        Of what the person agreed to.

    Raises
    ------
    InputError
        When something else would be cut than was agreed to; then nothing is taken.
    """
    opened = opened_job(job, None)
    found = _found(opened)
    if found.digest != digest:
        raise InputError.one("nest", "", "it was nested anew meanwhile", "look at it, then accept it again")
    with _stock(opened, who, device) as stock:
        change = accepted_jobs(found, stock.first_number())
        cutting = stock.cutting(found, change)
        stock.cut(change, cutting)
    write_layouts(opened.beside, found.layouts(cut=True))
    return _taken(found, change, () if cutting is None else tuple(k.name for k in cutting.kits))


def _found(opened: Opened) -> JobsCut:
    before = read_layouts(opened.beside)
    found = cut_jobs([opened], Stages(store=opened.folder / STORE), before=before)
    if all(k.cut_on is not None for k in found.kits):
        raise InputError.one("nest", opened.job.name, "all of it is cut already", "nest it again to cut it once more")
    lies = {k.material: k.cloths for k in before}
    if any(k.stored is None or lies.get(k.material) != k.stored.cloths for k in found.kits):
        raise InputError.one("nest", opened.job.name, "the stored nest cannot be cut any more", "nest it again first")
    refuse_unbought(found)
    return found


@contextmanager
def _stock(opened: Opened, who: str, device: str) -> Iterator[StockHere]:
    if kept_here(opened.folder, opened.workshop):
        with desk(opened.folder, who, device) as here:
            yield StockInLedger(desk=here)
        return
    yield StockInFile(file=StockFile.read(opened.folder), workshop=opened.workshop, library=opened.library)


def _taken(found: JobsCut, change: Accepted, kits: tuple[str, ...]) -> Taken:
    import shapely

    return Taken(
        digest=found.digest,
        lengths=tuple((t.roll, t.length) for t in change.taken),
        used=tuple(u.offcut for u in change.used),
        kept=tuple(
            (o.name, o.material, float(shapely.Polygon(o.outline, [list(h) for h in o.holes]).area))
            for o in change.offcuts
        ),
        kits=kits,
    )
