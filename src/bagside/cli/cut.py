"""``bagside cut``: nest the pieces of jobs on offcuts and rolls, or those of one small file on one cloth."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bagside.cli.desk import At, Late, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.findings import Finding
    from bagside.ledger.stock.accepting import Balance, Cutting, KitCut
    from bagside.planning.cut_jobs import JobsCut
    from bagside.spec.stock import Offcut


def cut(
    what: Annotated[
        list[Path], typer.Argument(help="Jobs, cut together; or one file of pieces, as demo/benches/cut.toml.")
    ],
    workshop: Annotated[
        Path | None, typer.Option(help="The workshop's file or folder; the nearest above else.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option(help="Folder for drawings, the sheet for the table, labels and the list of kits.")
    ] = None,
    time: Annotated[str, typer.Option(help='For the search, as in "60 s"; Ctrl-C stops it and keeps the best.')] = "",
    again: Annotated[bool, typer.Option("--again", help="Nest anew, whatever layout is stored with the job.")] = False,
    accept: Annotated[
        bool, typer.Option("--accept", help="It will be cut so: take it off the stock, put what is left into it.")
    ] = False,
    tiles: Annotated[bool, typer.Option("--tiles", help="Print each nest at full size over many sheets too.")] = False,
    labels_used: Annotated[int, typer.Option(help="Labels of the first sheet that are already used.")] = 0,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Nest pieces on offcuts first where that costs less, the rest on rolls; print what the cutting room needs."""
    from bagside.cli.cut_file import cut_file, is_cut_file
    from bagside.errors import InputError

    if len(what) == 1 and is_cut_file(what[0]):
        if accept or again or tiles:
            place = "--accept" if accept else "--again" if again else "--tiles"
            raise InputError.one(place, what[0].name, "this is for jobs; a file of pieces has no stock")
        return cut_file(what[0], workshop, out, time, json=json)
    from bagside.cli import show
    from bagside.cli.cut_watch import Watcher
    from bagside.cli.made import writable
    from bagside.cli.options import not_negative
    from bagside.cli.stock.accept import stock_of
    from bagside.planning.cut_jobs import accepted_jobs, cut_jobs, refuse_unbought
    from bagside.planning.stages import Stages
    from bagside.quantity import Quantity
    from bagside.records.layout_file import read_layouts, write_layouts
    from bagside.records.with_stock import opened_jobs
    from bagside.sheets.package import Package

    seconds = not_negative(time, Quantity.TIME, "--time") if time else None
    opened = opened_jobs(what, workshop, out)
    if (at or late) and not accept:
        raise InputError.one("--at", at, "this is for --accept: when it was cut")
    if accept and len(opened) > 1 and out is None:
        raise InputError.one("--accept", "", "a folder for the papers is wanted with several jobs", "state --out")
    keeps = opened[0].beside if len(opened) == 1 else out
    before = read_layouts(keeps) if keeps is not None and not again else ()
    package = None if out is None else Package(out)
    try:
        stages = Stages(store=writable(opened[0].folder / ".bagside-cache"), progress=show.Lines())
        with stock_of(opened[0], who, at, late=late) as stock:
            with Watcher() as watch:
                found = cut_jobs(opened, stages, seconds=seconds, before=before, watch=watch)
            if accept:
                refuse_unbought(found)
            change = accepted_jobs(found, stock.first_number()) if accept else None
            cutting = None if change is None else stock.cutting(found, change)
            if package is not None:
                package.written(
                    _files(found, () if change is None else change.offcuts, cutting, tiles=tiles, used=labels_used)
                )
            if change is not None:
                stock.cut(change, cutting)
            if keeps is not None:
                write_layouts(keeps, found.layouts(cut=accept))
    finally:
        if package is not None:
            package.dropped()
    return _shown(found, None if change is None else change.offcuts, cutting, out, opened[0].noticed, json=json)


def _files(
    found: JobsCut, kept: tuple[Offcut, ...], cutting: Cutting | None, *, tiles: bool, used: int
) -> dict[str, bytes]:
    from bagside.sheets.cutting_files import CutFor, cutting_files, faces_of

    faces = {
        p.label: words
        for job, pieces in found.jobs
        for p in pieces
        if (words := faces_of(job, found.library).get(p.ply)) is not None
    }
    told = CutFor(
        title=found.title,
        plies={job.name: len(job.plies) for job, _ in found.jobs},
        faces=faces,
        digest=found.digest,
        note=f"{found.title}, {found.today.isoformat()}, revision {found.digest}",
        kept=kept,
        used_labels=used,
        called={} if cutting is None else cutting.called,
    )
    return cutting_files(found.kits, told, found.library, found.workshop, tiled=tiles)


def _shown(
    found: JobsCut,
    kept: tuple[Offcut, ...] | None,
    cutting: Cutting | None,
    out: Path | None,
    noticed: tuple[Finding, ...],
    *,
    json: bool,
) -> int:
    from bagside.cli import show
    from bagside.planning.kit_notes import kit_findings
    from bagside.quantity import shown
    from bagside.sheets.planjson import cloth_message

    findings = (*noticed, *kit_findings(found.kits, found.library))
    if json:
        show.emit(
            {
                "cutting": {
                    "jobs": [job.name for job, _ in found.jobs],
                    "cloths": [cloth_message(k).model_dump(mode="json") for k in found.kits],
                    "offcuts_put_into_stock": None if kept is None else [o.name for o in kept],
                    "kits_put_into_stock": None if cutting is None else [_kit_data(k) for k in cutting.kits],
                    "balance": None if cutting is None else [_balance_data(b) for b in cutting.balances],
                },
                "findings": [show.finding_data(f) for f in findings],
            }
        )
        return show.exit_code(findings)
    currency = found.workshop.currency
    rows = []
    for kit in found.kits:
        saved = "" if kit.alone is None or not kit.sheets else f"{kit.alone - kit.weighed:.2f} {currency}"
        rows.append(
            [
                kit.material,
                shown(kit.pull, "m", 2),
                ", ".join(s.offcut.name for s in kit.sheets) or "–",
                shown(kit.utilisation, "%", 1),
                f"{kit.cost:.2f} {currency}",
                saved or "–",
                shown(kit.seconds, "min", 0),
                str(kit.kept),
            ]
        )
    show.table(
        f"{sum(p.quantity for _, ps in found.jobs for p in ps)} pieces: {found.title}",
        ["", "to pull", "offcuts", "becomes pieces", "cloth", "saved by offcuts", "at the table", "kept"],
        rows,
    )
    show.show_findings(findings)
    before = sorted({k.cut_on for k in found.kits if k.cut_on is not None})
    if kept is not None and any(k.cut_on is None for k in found.kits):
        names = ", ".join(o.name for o in kept) or "no offcut"
        show.OUT.print(f"Taken off the stock; into it went {names}.")
    if cutting is not None and cutting.kits:
        show.table(
            "Kits",
            ["", "part", "cloth", "pieces", "area"],
            [[k.name, f"{k.job}, {k.part}", k.material, str(k.pieces), shown(k.area, "m²", 3)] for k in cutting.kits],
        )
        show.table(
            "Where the cloth went",
            ["", "cut", "pieces", "kept", "waste"],
            [
                [b.source, *(shown(area, "m²", 3) for area in (b.area, b.pieces, b.kept, max(b.waste, 0.0)))]
                for b in cutting.balances
            ],
        )
    if before:
        days = ", ".join(day.isoformat() for day in before)
        show.OUT.print(f"Cut on {days} and taken off the stock then; --again nests it for cutting once more.")
    if out is not None:
        show.OUT.print(f"Drawings, cutting-sheet.pdf, labels.pdf and kit-list.pdf are in {out}.", soft_wrap=True)
    return show.exit_code(findings)


def _kit_data(kit: KitCut) -> dict[str, Any]:
    return {
        "name": kit.name,
        "job": kit.job,
        "part": kit.part,
        "material": kit.material,
        "pieces": kit.pieces,
        "area_m2": kit.area,
    }


def _balance_data(balance: Balance) -> dict[str, Any]:
    return {
        "source": balance.source,
        "cut_m2": balance.area,
        "pieces_m2": balance.pieces,
        "kept_m2": balance.kept,
        "waste_m2": balance.waste,
    }
