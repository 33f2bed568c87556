"""``bagside drape MESH``: how one cloth lies on a surface, and the flat piece to cut."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson, MeshFile, Side, Unit


def drape(
    mesh: MeshFile,
    unit: Unit,
    side: Side,
    start: Annotated[str, typer.Option(help='Where laying starts, as in "0 0 12 mm".')],
    direction: Annotated[str, typer.Option(help='Where the warp points there, as in "1 0 0".')] = "1 0 0",
    kind: Annotated[str, typer.Option(help="woven, unidirectional, non-crimp or veil.")] = "woven",
    locking: Annotated[str, typer.Option(help="Shear at which the cloth wrinkles.")] = "40°",
    size: Annotated[str, typer.Option(help="Edge length of the triangles to work with.")] = "3 mm",
    noise: Annotated[str, typer.Option(help="Roughness of a scan, to be faired away.")] = "0 mm",
    out: Annotated[Path | None, typer.Option(help="Folder for the piece: GLB in colours, flat as SVG and DXF.")] = None,
    preview: Annotated[bool, typer.Option("--preview", help="A quick look by a net of threads; no piece.")] = False,
    json: AsJson = False,
) -> int:
    """Lay one cloth on a surface: shear, stretch, and the flat piece to cut."""
    import numpy as np

    from bagside import drape as draping
    from bagside.cli import options, show
    from bagside.errors import InputError, did_you_mean
    from bagside.planning.content import ContentFile
    from bagside.planning.mould_stage import opened_mould
    from bagside.planning.ply_stage import draped_piece
    from bagside.quantity import Quantity, shown
    from bagside.spec.job import Mould
    from bagside.spec.material import ClothKind

    kinds = [k.value for k in ClothKind]
    if kind not in kinds:
        raise InputError.one("--kind", f'"{kind}"', f"one of {', '.join(kinds)} is wanted", did_you_mean(kind, kinds))
    lock = options.positive(locking, Quantity.ANGLE, "--locking")
    if preview and out is not None:
        raise InputError.one("--out", str(out), "a preview has no piece to write; leave out --preview or --out")
    mould = Mould(
        mesh=mesh.name,
        unit=unit,
        laminate_side=options.direction(side, "--side"),
        noise=options.not_negative(noise, Quantity.LENGTH, "--noise"),
        size=options.positive(size, Quantity.LENGTH, "--size"),
        material="",
        thickness=0.0,
    )
    opened = opened_mould(ContentFile.of_existing(mesh), mould)
    at = options.point(start, "--start")
    if preview:
        from bagside.cli.drape_preview import show_preview

        way = options.direction(direction, "--direction")
        return show_preview(draping.preview(opened.work, np.array(at), np.array(way)), mesh.name, lock, json=json)
    lain, pattern, _ = draped_piece(opened.work, at, options.direction(direction, "--direction"), kind, lock)
    found = draping.findings(lain, lain.law, mesh.name)
    summary = draping.summary_of(lain, lain.law)
    flat = np.concatenate(pattern.loops)
    length, width = flat.max(axis=0) - flat.min(axis=0)
    if out is not None:
        from bagside.cutting import FlatPiece
        from bagside.sheets.glb import piece_glb
        from bagside.sheets.maps import maps_of
        from bagside.sheets.package import Package
        from bagside.sheets.shapes_out import piece_dxf, piece_svg

        piece = FlatPiece(label="1", material=kind, loops=pattern.loops, marks=(("start", (0.0, 0.0)),))
        shown_map = maps_of([lain], ClothKind(kind)).first
        solid = piece_glb(lain, label="1", bands=shown_map.bands, values=shown_map.of(lain))
        note = f"{mesh.name}, {kind} cloth, {shown(pattern.area, 'cm²', 0)}"
        flat_svg = piece_svg(piece, note=note)
        Package(out).written({"piece.glb": solid, "piece.svg": flat_svg, "piece.dxf": piece_dxf(piece)})
    if json:
        show.emit(
            {
                "drape": {
                    "triangles": len(lain.surface.triangles),
                    "steps": lain.steps,
                    "scheme": lain.scheme,
                    "area_surface_m2": pattern.surface_area,
                    "area_flat_m2": pattern.area,
                    "length_along_warp_mm": 1e3 * float(length),
                    "width_mm": 1e3 * float(width),
                    "shear_median_deg": float(np.degrees(summary.shear_median)),
                    "shear_95_deg": float(np.degrees(summary.shear_95)),
                    "shear_99_deg": float(np.degrees(summary.shear_99)),
                    "yarn_strain_95_percent": 100 * summary.strain_95,
                    "yarn_strain_99_percent": 100 * summary.strain_99,
                    "outline_mm": [(1e3 * loop).round(3).tolist() for loop in pattern.loops],
                },
                "findings": [show.finding_data(f) for f in found],
            }
        )
    else:
        show.table(
            f"{mesh.name}: one piece of {kind} cloth",
            ["", ""],
            [
                ["surface", shown(pattern.surface_area, "cm²", 0)],
                ["flat", shown(pattern.area, "cm²", 0)],
                ["along the warp", shown(float(length), "mm")],
                ["across", shown(float(width), "mm")],
                ["shear, half of the area under", shown(summary.shear_median, "°")],
                ["shear, 99 % of the area under", shown(summary.shear_99, "°")],
                ["yarn strain, 99 % of the area under", shown(summary.strain_99, "%", 2)],
            ],
        )
        show.show_findings(found)
    return show.exit_code(found)
