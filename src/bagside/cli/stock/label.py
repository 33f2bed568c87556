"""``bagside stock label NAME …``: labels of offcuts printed again, with their life as it is now."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.desk import Folder
from bagside.cli.options import AsJson


def label(
    names: Annotated[list[str], typer.Argument(metavar="NAME …", help="Offcuts.")],
    out: Annotated[Path | None, typer.Option(help="Folder for labels.pdf.")] = None,
    labels_used: Annotated[int, typer.Option(min=0, help="Labels of the first sheet that are already used.")] = 0,
    workshop: Folder = None,
    json: AsJson = False,
) -> int:
    """Print labels of offcuts: outline, cloth, batch, life used today, last day."""
    from bagside.cli.desk import desk
    from bagside.cli.stock.found import thing_called
    from bagside.cli.stock.words import answered
    from bagside.errors import InputError
    from bagside.ledger.bodies import Sort
    from bagside.ledger.stock.shelves import on_shelf
    from bagside.sheets.cutting_files import label_sheet_of, stock_label
    from bagside.sheets.labels import labels_pdf
    from bagside.sheets.package import Package

    if out is None:
        raise InputError.one("--out", "", "a folder for labels.pdf is wanted")
    with desk(workshop) as here:
        wanted = list(dict.fromkeys(thing_called(here.ledger, n, (Sort.OFFCUT,)).name for n in names))
        shelf = on_shelf(here.standing(), here.at, wanted)
        offcuts = {o.name: o for o in shelf.stock.offcuts}
        own = [stock_label(offcuts[n], here.library) for n in wanted if n in offcuts]
        sheet = label_sheet_of(here.shop, here.library)
        pdf = labels_pdf(own, sheet, first=labels_used, base=here.shop.address, title="offcuts")
    package = Package(out)
    try:
        package.written({"labels.pdf": pdf})
    finally:
        package.dropped()
    findings = [f for f in shelf.findings() if f.place.removeprefix("offcut ") in wanted]
    count = f"{len(own)} label{'s' if len(own) != 1 else ''}"
    return answered([f"{count} in {out / 'labels.pdf'}."], findings, data={"labels": wanted}, json=json)
