"""``bagside mould measure MESH``: draft of each piece, radii, valleys and ridges, lengths over the surface."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bagside.cli.options import AsJson, MeshFile

if TYPE_CHECKING:
    from bagside.mould import FeatureLine, MouldMeasures, PieceDraft, Undercut
    from bagside.spec.job import Mould, MouldPiece

DEGREES = 57.29577951308232


def measure(
    mesh: MeshFile,
    unit: Annotated[str, typer.Option("--unit", help="Unit of the mesh file's numbers: m, cm, mm, in or ft.")] = "",
    side: Annotated[str, typer.Option("--side", help='Direction from the mould to the laminate: "0 0 1".')] = "",
    job: Annotated[
        str, typer.Option(help="A job that states unit, side, noise and the mould's pieces, instead of here.")
    ] = "",
    keep: Annotated[str, typer.Option(help='A point on the sheet that is meant, as in "0 0 12 mm".')] = "",
    noise: Annotated[str, typer.Option(help="Roughness of a scan, to be faired away.")] = "0 mm",
    pull: Annotated[
        list[str],
        typer.Option(
            help='A piece of the mould and how it comes off: "left: 0 -1 0", for a mould in several pieces with a '
            'point and the normal of its split plane: "left: 0 -1 0 @ 0 0 0 mm / 0 -1 0".',
        ),
    ] = [],  # noqa: B006 - the command line reads it, nothing changes it
    scale: Annotated[str, typer.Option(help="Length over which curvature is read.")] = "3 mm",
    sharper: Annotated[str, typer.Option(help="Radius below which a bend is a valley or a ridge.")] = "8 mm",
    line: Annotated[
        list[str],
        typer.Option(help='A line by its points, joined by shortest ways: "0 0 0; 50 0 5; 90 0 0 mm".'),
    ] = [],  # noqa: B006
    section: Annotated[
        list[str],
        typer.Option(help='A plane across the mould by a point and its normal: "0 0 0 mm / 1 0 0".'),
    ] = [],  # noqa: B006
    json: AsJson = False,
) -> int:
    """Measure a mould's surface: draft, undercuts, radii, valleys, ridges, lengths."""
    import numpy as np

    from bagside import geometry
    from bagside import mould as moulds
    from bagside.cli import options, show
    from bagside.planning.content import ContentFile
    from bagside.planning.mould_stage import as_scanned, mending_findings, opened_mould
    from bagside.quantity import Quantity

    read_over = options.positive(scale, Quantity.LENGTH, "--scale")
    sharp = options.positive(sharper, Quantity.LENGTH, "--sharper")
    stated = _stated(mesh, unit, side, job, keep, noise, pull)
    lines = [_points(text) for text in line]
    planes = [_plane(text, "--section") for text in section]

    file = ContentFile.of_existing(mesh)
    opened = opened_mould(file, stated)
    scanned = as_scanned(file, stated)
    pieces = [
        (p.name, p.pull, p.side.point if p.side else None, p.side.normal if p.side else None) for p in stated.pieces
    ]
    found = moulds.mould_measures(
        opened.fine,
        pieces,
        scale=read_over,
        sharper_than=sharp,
        noise=min(stated.noise, 1e-4),
        scanned=scanned,
        scanned_noise=stated.noise,
    )
    legs = [geometry.leg_lengths(opened.fine, np.array(p)) for p in lines]
    cuts = [geometry.contour_length(opened.fine, point, normal) for point, normal in planes]
    findings = (*mending_findings(opened.report), *moulds.draft_findings(found.pieces, found.area))
    if json:
        show.emit(
            {
                "mould": {
                    "file": opened.report.name,
                    "area_m2": found.area,
                    "size_mm": [1e3 * s for s in found.size],
                    "pieces": [_piece(p, stated.noise) for p in found.pieces],
                    "curvature": {
                        "scale_mm": 1e3 * found.scale,
                        "tightest_hollow_radius_mm": _finite(found.hollow),
                        "tightest_raised_radius_mm": _finite(found.raised),
                        "error_per_m": found.curvature_error,
                        "scatter_mm": 1e3 * found.scatter,
                    },
                    "lines": [_line(one) for one in found.lines],
                    "lengths": [
                        {"points": text, "legs_mm": [1e3 * x for x in leg], "length_mm": 1e3 * float(leg.sum())}
                        for text, leg in zip(line, legs, strict=True)
                    ],
                    "sections": [{"plane": text, "length_mm": 1e3 * x} for text, x in zip(section, cuts, strict=True)],
                },
                "findings": [show.finding_data(f) for f in findings],
            }
        )
        return show.exit_code(findings)
    _show(opened.report.name, found, stated.noise)
    rows = [[f"line {k}", f"{1e3 * float(leg.sum()):.1f} mm"] for k, leg in enumerate(legs, 1)]
    rows += [[f"section {k}", f"{1e3 * x:.1f} mm"] for k, x in enumerate(cuts, 1)]
    if rows:
        show.table("Lengths over the surface", ["", ""], rows)
    show.show_findings(findings)
    return show.exit_code(findings)


def _stated(mesh: Path, unit: str, side: str, job: str, keep: str, noise: str, pull: list[str]) -> Mould:
    """Return what is stated of the mould, from the job or from the options."""
    from dataclasses import replace

    from bagside.cli import options
    from bagside.errors import InputError
    from bagside.quantity import Quantity
    from bagside.spec.job import Mould
    from bagside.spec.opening import open_job

    pieces = tuple(_pulled(text) for text in pull)
    if job:
        if unit or side or keep:
            raise InputError.one("--job", job, "unit, side and keep are stated by the job", "leave them out")
        mould = open_job(Path(job)).job.mould
        return replace(mould, pieces=pieces) if pieces else mould
    if not (unit and side):
        missing = " and ".join(name for name, text in (("--unit", unit), ("--side", side)) if not text)
        raise InputError.one(missing, "", 'they are wanted, as in --unit mm --side "0 0 1"', "or --job")
    return Mould(
        mesh=mesh.name,
        unit=unit,
        laminate_side=options.direction(side, "--side"),
        keep=options.point(keep, "--keep") if keep else None,
        noise=options.not_negative(noise, Quantity.LENGTH, "--noise"),
        material="",
        thickness=0.0,
        pieces=pieces,
    )


def _pulled(text: str) -> MouldPiece:
    from bagside.cli import options
    from bagside.errors import InputError
    from bagside.spec.job import MouldPiece
    from bagside.spec.region import Plane

    name, colon, rest = text.partition(":")
    if not (colon and name.strip()):
        raise InputError.one("--pull", f'"{text}"', 'a name and a direction are wanted, as in "left: 0 -1 0"')
    way, at, plane = rest.partition("@")
    direction = options.direction(way, "--pull")
    if not at:
        return MouldPiece(name=name.strip(), pull=direction)
    point, normal = _plane(plane, "--pull")
    return MouldPiece(name=name.strip(), pull=direction, side=Plane(point=point, normal=normal))


def _plane(text: str, option: str) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    from bagside.cli import options
    from bagside.errors import InputError

    point, slash, normal = text.partition("/")
    if not slash:
        raise InputError.one(option, f'"{text}"', 'a point and a normal are wanted, as in "0 0 0 mm / 1 0 0"')
    return options.point(point.strip(), option), options.direction(normal, option)


def _points(text: str) -> tuple[tuple[float, ...], ...]:
    from bagside.cli import options
    from bagside.errors import InputError

    found = options.points(text, "--line")
    if len(found) < 2:
        raise InputError.one("--line", f'"{text}"', 'two points or more are wanted, as in "0 0 0; 50 0 5 mm"')
    return found


def _finite(radius: float) -> float | None:
    return 1e3 * radius if radius < float("inf") else None


def _deep(p: PieceDraft, noise: float) -> list[Undercut]:
    """Return the undercuts that reach over the part further than the scan is rough."""
    return [u for u in p.undercuts if u.hook > noise]


def _piece(p: PieceDraft, noise: float) -> dict[str, Any]:
    return {
        "name": p.name,
        "pull": list(p.pull),
        "area_m2": p.area,
        "depth_mm": 1e3 * p.depth,
        "walls_m2": p.walls,
        "wall_draft_deg": None if p.wall is None else DEGREES * p.wall,
        "least_draft_deg": DEGREES * p.smallest,
        "wanted_draft_deg": DEGREES * p.wanted,
        "undercut_cm2": 1e4 * p.undercut,
        "hook_mm": 1e3 * p.hook,
        "undercuts": [
            {
                "area_cm2": 1e4 * u.area,
                "lean_deg": DEGREES * u.lean,
                "height_mm": 1e3 * u.height,
                "hook_mm": 1e3 * u.hook,
                "point_mm": [1e3 * c for c in u.point],
            }
            for u in _deep(p, noise)
        ],
    }


def _line(one: FeatureLine) -> dict[str, Any]:
    return {
        "id": one.id,
        "kind": one.kind.value,
        "length_mm": 1e3 * one.length,
        "radius_mm": 1e3 * one.radius,
        "radius_error_mm": None if one.radius_error is None else 1e3 * one.radius_error,
        "included_angle_deg": DEGREES * one.included,
        "bends_deg": DEGREES * one.bending,
        "closed": one.closed,
        "points_mm": (1e3 * one.points).round(3).tolist(),
    }


def _show(name: str, found: MouldMeasures, noise: float) -> None:
    from bagside.cli import show
    from bagside.quantity import shown

    def radius(r: float) -> str:
        return shown(r, "mm") if r < 10.0 else "flat"

    show.table(
        name,
        ["", ""],
        [
            ["size", " × ".join(f"{1e3 * s:.1f}" for s in found.size) + " mm"],
            ["area", shown(found.area, "cm²", 1)],
            [f"tightest hollow over {shown(found.scale, 'mm')}, 99 % are wider", radius(found.hollow)],
            [f"tightest raised over {shown(found.scale, 'mm')}, 99 % are wider", radius(found.raised)],
            ["scatter about a smooth surface", shown(found.scatter, "mm", 3)],
        ],
    )
    show.table(
        "How each piece comes off",
        ["piece", "half the walls' draft over", "least draft", "leans over", "undercuts", "hooks in by"],
        [
            [
                p.name,
                "–" if p.wall is None else shown(p.wall, "°"),
                shown(p.smallest, "°"),
                shown(p.undercut, "cm²"),
                str(len(_deep(p, noise))),
                shown(p.hook, "mm", 2),
            ]
            for p in found.pieces
        ],
    )
    if found.lines:
        show.table(
            "Valleys and ridges",
            ["", "smallest radius", "between walls", "length", ""],
            [
                [
                    f"{one.id} {one.kind.value}",
                    shown(one.radius, "mm", 2),
                    shown(one.included, "°"),
                    shown(one.length, "mm", 1),
                    "closed" if one.closed else "",
                ]
                for one in found.lines
            ],
        )
