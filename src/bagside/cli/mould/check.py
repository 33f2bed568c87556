"""``bagside mould check MESH``: what a mesh holds, how the part comes off, and where cloth will bridge."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bagside.cli.options import AsJson, MeshFile, Side, Unit

if TYPE_CHECKING:
    from bagside.geometry import MendReport


def check(
    mesh: MeshFile,
    unit: Unit,
    side: Side,
    keep: Annotated[str, typer.Option(help='A point on the sheet that is meant, as in "0 0 12 mm".')] = "",
    noise: Annotated[str, typer.Option(help="Roughness of a scan, to be faired away.")] = "0 mm",
    net_edge: Annotated[
        str, typer.Option(help='Points along a closed line to cut along, as in "0 0 0; 90 0 0; 90 60 0 mm".')
    ] = "",
    inside: Annotated[str, typer.Option(help="A point on the side of the net edge that stays.")] = "",
    off_table: Annotated[str, typer.Option(help="Cut a table in the scan away, so far above it.")] = "0 mm",
    beside: Annotated[
        str, typer.Option(help='Keep one side of a plane: a point and its normal, as in "0 0 5 mm; 0 0 1".')
    ] = "",
    box: Annotated[
        str, typer.Option(help='Keep what lies in a rectangle seen along z, as in "-100 -60; 100 60 mm".')
    ] = "",
    fill_holes: Annotated[str, typer.Option(help="Close holes up to this far around.")] = "0 mm",
    smallest_fillet: Annotated[
        str, typer.Option(help="Thin with care for fillets of this radius; 0 mm meshes evenly.")
    ] = "0 mm",
    size: Annotated[str, typer.Option(help="Edge length of the clean surface's triangles.")] = "3 mm",
    thickness: Annotated[str, typer.Option(help="Of the laminate that will lie in it.")] = "1 mm",
    out: Annotated[Path | None, typer.Option(help="Write the clean surface here, as STL in mm.")] = None,
    json: AsJson = False,
) -> int:
    """Look a mould's surface over: mesh, size, draft in one piece, tight inside corners."""
    from bagside import mould as moulds
    from bagside.cli import options, show
    from bagside.planning.content import ContentFile
    from bagside.planning.mould_stage import mending_findings, opened_mould, tight_corners
    from bagside.quantity import Quantity, shown
    from bagside.spec.job import Mould

    thick = options.positive(thickness, Quantity.LENGTH, "--thickness")
    stated = Mould(
        mesh=mesh.name,
        unit=unit,
        laminate_side=options.direction(side, "--side"),
        keep=options.point(keep, "--keep") if keep else None,
        noise=options.not_negative(noise, Quantity.LENGTH, "--noise"),
        size=options.positive(size, Quantity.LENGTH, "--size"),
        smallest_fillet=options.not_negative(smallest_fillet, Quantity.LENGTH, "--smallest-fillet"),
        fill_holes=options.not_negative(fill_holes, Quantity.LENGTH, "--fill-holes"),
        off_table=options.not_negative(off_table, Quantity.LENGTH, "--off-table"),
        crop=_region(beside, box),
        net_edge=tuple((x, y, z) for x, y, z in options.points(net_edge, "--net-edge")) if net_edge else (),
        inside=options.point(inside, "--inside") if inside else None,
        material="",
        thickness=0.0,
    )
    file = ContentFile.of_existing(mesh)
    opened = opened_mould(file, stated)
    report = opened.report
    if out is not None:
        _write(out, opened.work.vertices, opened.work.triangles)
    draft = moulds.draft_in_one_piece(opened.fine)
    corners = tight_corners(opened.fine, thick, stated, file, show=True, structural=False)
    found = (
        *mending_findings(report),
        *moulds.draft_findings((draft,), opened.fine.area),
        *moulds.corner_findings(corners, opened.fine.edge_length),
    )
    if json:
        facts = _facts(report) | {
            "draft_least_deg": 57.29577951308232 * draft.smallest,
            "undercut_cm2": 1e4 * draft.undercut,
            "hook_mm": 1e3 * draft.hook,
            "corners": [
                {
                    "id": c.id,
                    "length_mm": 1e3 * c.length,
                    "radius_mm": 1e3 * c.radius,
                    "needed_radius_mm": 1e3 * c.needed,
                    "bridge_gap_mm": 1e3 * c.gap,
                    "centre_mm": [1e3 * x for x in c.centre],
                    "verdict": c.verdict.value,
                }
                for c in corners
            ],
        }
        show.emit({"mould": facts, "findings": [show.finding_data(f) for f in found]})
        return show.exit_code(found)
    show.table(
        f"{report.name}, read in {report.unit}",
        ["", ""],
        [
            ["triangles read, kept", f"{report.triangles_read}, {report.triangles}"],
            ["triangles of the clean surface", str(report.clean)],
            ["size", " × ".join(f"{1e3 * s:.0f}" for s in report.size) + " mm"],
            ["area", shown(report.area, "cm²", 0)],
            ["roughness measured, stated", f"{1e3 * report.roughness:.2f}, {1e3 * report.noise:.2f} mm"],
            ["holes closed, open", f"{len(report.filled)}, {len(report.holes)}"],
            ["least draft in one piece", shown(draft.smallest, "°")],
            ["tight inside corners", str(len(corners))],
        ],
    )
    show.show_findings(found)
    return show.exit_code(found)


def _region(beside: str, box: str) -> Any:
    """Return what is kept, from a plane and a rectangle, or nothing when neither is stated."""
    from bagside.cli import options
    from bagside.errors import InputError
    from bagside.spec.region import Outline, Plane, Region, Shape

    if not beside and not box:
        return None
    plane = outline = None
    if beside:
        at, semicolon, way = beside.partition(";")
        if not semicolon:
            raise InputError.one("--beside", f'"{beside}"', 'a point and a normal are wanted, as in "0 0 5 mm; 0 0 1"')
        plane = Plane(point=options.point(at, "--beside"), normal=options.direction(way, "--beside"))
    if box:
        corners = options.points(box, "--box", 2)
        if len(corners) != 2:
            raise InputError.one("--box", f'"{box}"', 'two corners are wanted, as in "-100 -60; 100 60 mm"')
        (x0, y0), (x1, y1) = corners
        outline = Outline(shape=Shape.POLYGON, points=((x0, y0), (x1, y0), (x1, y1), (x0, y1)))
    return Region(inside=outline, beside=plane)


def _write(out: Path, vertices: Any, triangles: Any) -> None:
    import numpy as np

    from bagside.errors import OutputError

    record = np.zeros(len(triangles), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("extra", "<u2")])
    record["corners"] = 1e3 * vertices[triangles]
    c = record["corners"].astype(float)
    normal = np.cross(c[:, 1] - c[:, 0], c[:, 2] - c[:, 0])
    record["normal"] = normal / np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-30)
    head = b"clean surface, millimetres".ljust(80) + np.array([len(triangles)], dtype="<u4").tobytes()
    try:
        out.write_bytes(head + record.tobytes())
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise OutputError(f"{out}: the clean surface cannot be written ({why})") from None


def _facts(report: MendReport) -> dict[str, Any]:
    def loops(holes: tuple[tuple[float, tuple[float, float, float]], ...]) -> list[dict[str, Any]]:
        return [{"length_mm": 1e3 * length, "centre_mm": [1e3 * c for c in centre]} for length, centre in holes]

    strayed, table, edge = report.deviation, report.table, report.cropped
    return {
        "file": report.name,
        "unit": report.unit,
        "triangles_read": report.triangles_read,
        "triangles": report.triangles,
        "triangles_clean": report.clean,
        "area_m2": report.area,
        "size_mm": [1e3 * s for s in report.size],
        "sheets_cm2": [1e4 * a for a in report.components[:20]],
        "sheet_kept": report.kept,
        "passes_left_out": report.passes,
        "passes_reaching_beyond": report.beyond,
        "doubled": report.duplicates,
        "collapsed": report.degenerate,
        "slivers": report.slivers,
        "crowded_edges": report.crowded,
        "turned_over": report.flipped,
        "roughness_mm": 1e3 * report.roughness,
        "noise_mm": 1e3 * report.noise,
        "spikes_mm": [[1e3 * c for c in p] for p in report.spikes],
        "smoothed_over_mm": 1e3 * report.smoothed,
        "rim_mm": 1e3 * report.rim,
        "holes": loops(report.holes),
        "holes_closed": loops(report.filled),
        "fill_holes_mm": 1e3 * report.fill_limit,
        "table": None
        if table is None
        else {
            "point_mm": [1e3 * c for c in table.point],
            "normal": list(table.normal),
            "area_cm2": 1e4 * table.area,
            "share": table.share,
            "cut_off_above_mm": 1e3 * report.off_table,
        },
        "net_edge": None
        if edge is None
        else {
            "length_mm": 1e3 * edge.edge,
            "kept_cm2": 1e4 * edge.kept,
            "left_out_cm2": 1e4 * edge.dropped,
            "side_stated": edge.stated,
        },
        "deviation": None
        if strayed is None
        else {
            "rms_mm": 1e3 * strayed.rms,
            "p99_mm": 1e3 * strayed.most_of,
            "largest_mm": 1e3 * strayed.largest,
        },
    }
