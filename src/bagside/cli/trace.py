"""``bagside trace PHOTO``: true outlines of the flat things on a sheet with markers, from one photo."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.camera import MarkFrame, Traced, TracedOutline

DEGREES = 57.29577951308232


def trace(
    photo: Annotated[Path, typer.Argument(help="Photo of the whole sheet with the object in its window.")],
    frame: Annotated[
        str, typer.Option(help="The sheet in the photo: A3, A4, or the file of a table (table.toml).")
    ] = "A3",
    rule_x: Annotated[str, typer.Option("--rule-x", help="The printed rule along x as measured: 260.4 mm.")] = "",
    rule_y: Annotated[str, typer.Option("--rule-y", help="The printed rule along y as measured.")] = "",
    thick: Annotated[str, typer.Option(help="Thickness of the object: its top is so high over the sheet.")] = "0.3 mm",
    tolerance: Annotated[
        str, typer.Option(help="How far the outline may stray from what was read; smooths a frayed cut.")
    ] = "0.2 mm",
    warp: Annotated[
        str, typer.Option(help="Direction of the warp from the sheet's x axis: 30°, x or y; else a drawn line says it.")
    ] = "",
    lens: Annotated[Path | None, typer.Option(help="Lens of this camera, made before (lens.toml).")] = None,
    name: Annotated[str, typer.Option(help="Name of the template; the photo's when not stated.")] = "",
    out: Annotated[Path | None, typer.Option(help="Folder for outline.svg, .dxf, template.toml and pictures.")] = None,
    json: AsJson = False,
) -> int:
    """Trace flat outlines in true millimetres from one photo of a sheet with markers."""
    from bagside import camera
    from bagside.cli import options, show
    from bagside.quantity import Quantity

    thickness = options.not_negative(thick, Quantity.LENGTH, "--thick")
    strays = options.positive(tolerance, Quantity.LENGTH, "--tolerance")
    angle = _angle(warp)
    sheet = _sheet(frame, rule_x, rule_y)
    known = None if lens is None else camera.read_lens(lens)
    package = None
    if out is not None:
        from bagside.sheets.package import Package

        package = Package(out)
    try:
        traced = camera.trace(
            camera.read_photo(photo), sheet, thickness=thickness, tolerance=strays, lens=known, warp=angle
        )
        from bagside.sheets.traced import template_names, traced_files

        names = template_names(name or photo.stem, len(traced.outlines))
        if package is not None:
            package.written(traced_files(traced, names, photo.name))
    finally:
        if package is not None:
            package.dropped()
    if json:
        show.emit(
            {
                "camera": _data(traced, names, photo.name, sheet),
                "findings": [show.finding_data(f) for f in traced.findings],
            }
        )
    else:
        _show(traced, names, photo.name)
        show.show_findings(traced.findings)
    return show.exit_code(traced.findings)


def _angle(text: str) -> float | None:
    from bagside.cli import options
    from bagside.quantity import Quantity

    if not text:
        return None
    axes = {"x": 0.0, "y": 90.0 / DEGREES}
    word = text.strip().casefold()
    return axes[word] if word in axes else options.quantity(text.replace("deg", "°"), Quantity.ANGLE, "--warp")


def _sheet(frame: str, rule_x: str, rule_y: str) -> MarkFrame:
    from bagside import camera
    from bagside.cli import options
    from bagside.quantity import Quantity

    x, y = (
        options.positive(text, Quantity.LENGTH, option) if text else None
        for text, option in ((rule_x, "--rule-x"), (rule_y, "--rule-y"))
    )
    sheet = camera.frame_named(frame)
    return sheet if x is None and y is None else camera.scaled(sheet, x, y)


def _data(traced: Traced, names: tuple[str, ...], photo: str, sheet: MarkFrame) -> dict[str, Any]:
    view = traced.view
    return {
        "photo": photo,
        "sheet": sheet.name,
        "camera_height_mm": 1e3 * float(view.camera[2]),
        "tilt_deg": DEGREES * view.tilt,
        "view_rms_px": view.rms,
        "markers_used": view.markers_used,
        "thickness_mm": 1e3 * traced.thickness,
        "tolerance_mm": 1e3 * traced.tolerance,
        "specks_dropped": traced.dropped,
        "patches_filled": traced.filled,
        "outlines": [_outline(name, one) for name, one in zip(names, traced.outlines, strict=True)],
    }


def _outline(name: str, one: TracedOutline) -> dict[str, Any]:
    return {
        "name": name,
        "size_mm": [1e3 * s for s in one.size],
        "area_cm2": 1e4 * one.area,
        "area_confidence_cm2": 1e4 * one.area_confidence,
        "confidence_mm": 1e3 * one.confidence,
        "confidence_parts_mm": {
            part: 1e3 * getattr(one.parts, part) for part in ("view", "edge", "height", "smoothing")
        },
        "edge_read_percent": 100.0 * one.read,
        "corners": one.corners,
        "warp_deg": None if one.warp is None else DEGREES * one.warp,
        "warp_either_way": one.arrow is not None and not one.arrow.headed,
        "points_mm": (1e3 * one.loops[0]).round(3).tolist(),
        "holes_mm": [(1e3 * loop).round(3).tolist() for loop in one.loops[1:]],
    }


def _show(traced: Traced, names: tuple[str, ...], photo: str) -> None:
    from bagside.cli import show
    from bagside.quantity import shown

    def warp(one: TracedOutline) -> str:
        if one.warp is None:
            return "–"
        return shown(one.warp, "°") + (", either way" if one.arrow is not None and not one.arrow.headed else "")

    view = traced.view
    show.table(
        f"{photo}: camera {shown(float(view.camera[2]), 'm', 2)} above the sheet, tilted {shown(view.tilt, '°', 0)}, "
        f"{view.markers_used} markers",
        ["outline", "size", "area", "edge within", "holes", "corners", "warp"],
        [
            [
                name,
                " × ".join(f"{1e3 * s:.1f}" for s in one.size) + " mm",
                f"{1e4 * one.area:.1f} ± {1e4 * one.area_confidence:.1f} cm²",
                f"± {1e3 * one.confidence:.2f} mm",
                str(len(one.loops) - 1),
                str(one.corners),
                warp(one),
            ]
            for name, one in zip(names, traced.outlines, strict=True)
        ],
    )
