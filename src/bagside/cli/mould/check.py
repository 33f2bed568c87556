"""``bagside mould check MESH``: what a mesh holds, how the part comes off, and where cloth will bridge."""

from __future__ import annotations

from typing import Annotated

import typer

from bagside.cli.options import AsJson, MeshFile, Side, Unit


def check(
    mesh: MeshFile,
    unit: Unit,
    side: Side,
    keep: Annotated[str, typer.Option(help='A point on the sheet that is meant, as in "0 0 12 mm".')] = "",
    noise: Annotated[str, typer.Option(help="Roughness of a scan, to be faired away.")] = "0 mm",
    thickness: Annotated[str, typer.Option(help="Of the laminate that will lie in it.")] = "1 mm",
    json: AsJson = False,
) -> int:
    """Look a mould's surface over: mesh, size, draft in one piece, tight inside corners."""
    from bagside import mould as moulds
    from bagside.cli import options, show
    from bagside.planning.content import ContentFile
    from bagside.planning.mould_stage import mending_findings, opened_mould
    from bagside.quantity import Quantity, shown
    from bagside.spec.job import Mould

    thick = options.positive(thickness, Quantity.LENGTH, "--thickness")
    stated = Mould(
        mesh=mesh.name,
        unit=unit,
        laminate_side=options.direction(side, "--side"),
        keep=options.point(keep, "--keep") if keep else None,
        noise=options.not_negative(noise, Quantity.LENGTH, "--noise"),
        material="",
        thickness=0.0,
    )
    opened = opened_mould(ContentFile.of_existing(mesh), stated)
    report = opened.report
    draft = moulds.draft_in_one_piece(opened.fine)
    corners = moulds.corners_of(opened.fine, thick, structural=False, noise=min(stated.noise, 1e-4))
    found = (
        *mending_findings(report),
        *moulds.draft_findings((draft,), opened.fine.area),
        *moulds.corner_findings(corners, opened.fine.edge_length),
    )
    if json:
        show.emit(
            {
                "mould": {
                    "file": report.name,
                    "unit": report.unit,
                    "triangles_read": report.triangles_read,
                    "triangles": report.triangles,
                    "area_m2": report.area,
                    "size_mm": [1e3 * s for s in report.size],
                    "holes": [
                        {"length_mm": 1e3 * length, "centre_mm": [1e3 * c for c in centre]}
                        for length, centre in report.holes
                    ],
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
                },
                "findings": [show.finding_data(f) for f in found],
            }
        )
        return show.exit_code(found)
    show.table(
        f"{report.name}, read in {report.unit}",
        ["", ""],
        [
            ["triangles read, kept", f"{report.triangles_read}, {report.triangles}"],
            ["size", " × ".join(f"{1e3 * s:.0f}" for s in report.size) + " mm"],
            ["area", shown(report.area, "cm²", 0)],
            ["holes", str(len(report.holes))],
            ["least draft in one piece", shown(draft.smallest, "°")],
            ["tight inside corners", str(len(corners))],
        ],
    )
    show.show_findings(found)
    return show.exit_code(found)
