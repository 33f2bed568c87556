"""``bagside resin fit FILE``: a rate law from a data sheet, with how sure it is."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson


def fit(
    file: Annotated[Path, typer.Argument(help="The sheet, typed in; see demo/benches/resin-sheet.toml.")],
    out: Annotated[Path | None, typer.Option(help="File for the resin, as workshop/materials/NAME.toml.")] = None,
    on: Annotated[str, typer.Option(help="Day of the fit, as 2026-03-09; today when not stated.")] = "",
    json: AsJson = False,
) -> int:
    """Fit a resin to its data sheet and DSC curves: law, doubt, each row against the fit."""
    from bagside.cli import show
    from bagside.cli.resin.told import fit_data, fit_tables
    from bagside.cure.fit import sheet_fitted
    from bagside.errors import InputError, OutputError
    from bagside.records.dsc_file import dsc_curves
    from bagside.records.resin_file import day_of, name_problem, resin_text, usual_flow, written
    from bagside.spec.library import generic_library
    from bagside.spec.reading import load_toml, stated_from
    from bagside.spec.resin_sheet import ResinSheet

    day = day_of(on)
    sheet = stated_from(load_toml(file), ResinSheet, file.name)
    wrong = name_problem(sheet.name)
    if wrong:
        raise InputError.one(f"{file.name}, name", f'"{sheet.name}"', wrong)
    if out is not None and not out.parent.is_dir():
        raise OutputError(f'"{out}" cannot be written: there is no folder "{out.parent}". Nothing was changed.')
    usual = generic_library().resin["epoxy-120"]
    curves = dsc_curves(sheet.dsc, file)
    if curves and not json:
        show.ERR.print(f"Reading and fitting {len(curves)} DSC curve{'s' if len(curves) > 1 else ''} …")
    found = sheet_fitted(sheet, file.name, usual_flow(usual), curves)
    if out is not None:
        written(out, resin_text(found, sheet, usual, day))
    if json:
        show.emit(fit_data(found, sheet))
        return show.exit_code(found.found)
    for title, headers, rows in fit_tables(found, sheet):
        show.table(title, headers, rows)
    if out is None:
        show.ERR.print("Nothing was written; with --out materials/NAME.toml the workshop has this resin.")
    show.show_findings(found.found)
    return show.exit_code(found.found)
