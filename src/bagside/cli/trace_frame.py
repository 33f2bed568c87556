"""What is done once before ``bagside trace``: sheets with markers, a table of them, a camera's lens.

``bagside trace-frame`` prints, ``bagside trace-table PHOTOS`` finds where the pages round a table lie,
``bagside trace-lens PHOTOS`` finds the lens of a camera.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.camera.readers import Photo

Photos = Annotated[list[Path], typer.Argument(help="JPEG, PNG or TIFF files as the camera wrote them.")]
RuleX = Annotated[str, typer.Option("--rule-x", help='The printed rule in x as measured, as in "180.4 mm".')]
RuleY = Annotated[str, typer.Option("--rule-y", help="The printed rule in y as measured.")]
DEGREES = 57.29577951308232


def trace_frame(
    paper: Annotated[str, typer.Option("--paper", help="A4 or A3.")] = "A3",
    out: Annotated[Path, typer.Option("--out", help="The PDF to write.")] = Path("frame.pdf"),
    table: Annotated[bool, typer.Option("--table", help="Ten A4 pages to lay round a table instead.")] = False,
    json: AsJson = False,
) -> int:
    """Print a sheet with markers, or pages of them for a table, on which photos are measured."""
    from bagside.camera.mark_pages import RULES
    from bagside.camera.marks import frame
    from bagside.cli import show
    from bagside.sheets.photo_frame import frame_pdf, table_pdf

    name = "table pages" if table else paper.upper()
    data = table_pdf() if table else frame_pdf(name)
    rules = RULES if table else frame(name).rules
    _written(out, data)
    if json:
        show.emit({"frame": {"file": str(out), "sheet": name, "rules_mm": [1e3 * r for r in rules]}})
        return 0
    rows = [["file", str(out)], ["rule in x", f"{1e3 * rules[0]:.0f} mm"], ["rule in y", f"{1e3 * rules[1]:.0f} mm"]]
    show.table(f"{name}: print at 100 %, then measure the rules", ["", ""], rows)
    return 0


def trace_table(
    photos: Photos,
    out: Annotated[Path, typer.Option("--out", help="The table's file to write.")] = Path("table.toml"),
    rule_x: RuleX = "",
    rule_y: RuleY = "",
    name: Annotated[str, typer.Option("--name", help="Of the table.")] = "table",
    lens_out: Annotated[
        Path | None, typer.Option("--lens-out", help="Keep the camera's lens from the same photos in this file, too.")
    ] = None,
    json: AsJson = False,
) -> int:
    """Find where the marker pages round a table lie, from photos of it."""
    from bagside.camera.lens import lens_text
    from bagside.camera.survey import surveyed
    from bagside.camera.table import table_text
    from bagside.cli import show
    from bagside.findings import Basis, Finding, Severity

    along = (_length(rule_x, "--rule-x"), _length(rule_y, "--rule-y"))
    with show.ERR.status(f"markers in {len(photos)} photos …", spinner="line"):
        found = surveyed(_read(photos), along_x=along[0], along_y=along[1], name=name)
    _written(out, table_text(found.frame).encode("utf-8"))
    if lens_out is not None:
        _written(lens_out, lens_text(found.lens, note=f"lens of a camera, from {len(photos)} photos").encode("utf-8"))
    findings = []
    if None in along:
        findings.append(
            Finding(
                severity=Severity.WATCH,
                stage="camera",
                place=name,
                what="not both rules were measured",
                why="a printer is off by some parts in a thousand, and everything measured on the table is with it",
                do="measure the rules on the pages and run this again with --rule-x and --rule-y",
                basis=Basis.COMMON,
            )
        )
    if json:
        show.emit(
            {
                "table": {
                    "file": str(out),
                    "size_mm": [1e3 * v for v in found.frame.paper],
                    "left_over_mm": 1e3 * found.left,
                    "corner_sd_px": found.corner_sd,
                    "dropped": found.dropped,
                    "pages": [
                        {"page": n, "photos": count, "place_sd_mm": 1e3 * found.place_sd[n]}
                        for n, count in found.photos.items()
                    ],
                },
                "findings": [show.finding_data(f) for f in findings],
            }
        )
        return 0
    size = " × ".join(f"{1e3 * v:.0f}" for v in found.frame.paper)
    rows = [
        [f"page {n}", f"{count}", f"{1e3 * found.place_sd[n]:.3f} mm" if k else "fixed"]
        for k, (n, count) in enumerate(found.photos.items())
    ]
    rows.append(["left over", "", f"{1e3 * found.left:.3f} mm"])
    show.table(f"{name}, {size} mm, in {out}", ["", "photos", "place ±"], rows)
    show.show_findings(findings)
    return 0


def trace_lens(
    photos: Photos,
    frame: Annotated[str, typer.Option("--frame", help="A4, A3 or a table's file: what is in the photos.")] = "A3",
    out: Annotated[Path, typer.Option("--out", help="The lens file to write.")] = Path("lens.toml"),
    rule_x: RuleX = "",
    rule_y: RuleY = "",
    json: AsJson = False,
) -> int:
    """Find a camera's lens from photos of a sheet with markers."""
    from bagside.camera.calibrate import calibrated
    from bagside.camera.lens import lens_text
    from bagside.camera.marks import scaled
    from bagside.camera.table import frame_named
    from bagside.cli import show

    along = (_length(rule_x, "--rule-x"), _length(rule_y, "--rule-y"))
    sheet = scaled(frame_named(frame), *along)
    with show.ERR.status(f"markers in {len(photos)} photos …", spinner="line"):
        found = calibrated(_read(photos), sheet)
    _written(out, lens_text(found.lens, note=f"lens of a camera, from {len(photos)} photos").encode("utf-8"))
    lens = found.lens
    if json:
        show.emit(
            {
                "lens": {
                    "file": str(out),
                    "focal_px": lens.f,
                    "focal_sd_px": found.focal_sd,
                    "principal_px": [lens.cx, lens.cy],
                    "radial": [lens.k1, lens.k2],
                    "tangential": [lens.p1, lens.p2],
                    "corner_sd_px": found.corner_sd,
                    "tilts_deg": [DEGREES * t for t in found.tilts],
                }
            }
        )
        return 0
    rows = [
        ["focal length", f"{lens.f:.1f} ± {found.focal_sd:.1f} px"],
        ["principal point", f"{lens.cx:.1f}, {lens.cy:.1f} px"],
        ["radial k1, k2", f"{lens.k1:.4f}, {lens.k2:.4f}"],
        ["tangential p1, p2", f"{lens.p1:.5f}, {lens.p2:.5f}"],
        ["corners", f"± {found.corner_sd:.3f} px"],
    ]
    show.table(f"lens from {len(photos)} photos, in {out}", ["", ""], rows)
    return 0


def _length(text: str, option: str) -> float | None:
    from bagside.cli import options
    from bagside.quantity import Quantity

    return options.positive(text, Quantity.LENGTH, option) if text else None


def _read(paths: Sequence[Path]) -> list[Photo]:
    from bagside.camera.readers import read_photo
    from bagside.errors import InputError, Problem

    photos, problems = [], list[Problem]()
    for path in paths:
        try:
            photos.append(read_photo(path))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    return photos


def _written(out: Path, data: bytes) -> None:
    """Write a file whole or not at all."""
    from bagside.errors import OutputError

    draft = None
    try:
        with tempfile.NamedTemporaryFile(dir=out.parent, prefix=".draft-", delete=False) as file:
            draft = Path(file.name)
            file.write(data)
        draft.chmod(0o644)
        os.replace(draft, out)
    except OSError as error:
        if draft is not None:
            draft.unlink(missing_ok=True)
        raise OutputError(f"{out}: cannot be written ({(error.strerror or str(error)).lower()})") from None
