"""What ``bagside drape MESH`` works out and shows: the pieces of one ply."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from bagside import drape as draping
from bagside.cli import show
from bagside.cutting import FlatPiece
from bagside.errors import InputError
from bagside.findings import Finding
from bagside.geometry import Surface
from bagside.planning.cut_stage import PlyCuts
from bagside.planning.piece import Piece
from bagside.planning.ply_stage import pieces_of
from bagside.planning.stages import Stages
from bagside.quantity import shown
from bagside.spec.job import Cure, Job, Laying, Mould, Ply
from bagside.spec.library import generic_library
from bagside.spec.lines import Cut, Join, Line, Pieces
from bagside.spec.material import ClothKind
from bagside.spec.region import EVERYTHING

Triple = tuple[float, float, float]
Points = tuple[tuple[float, ...], ...]

CLOTH = "twill-200"  # stands in for the cloth: only how it drapes is asked here
FIRST = "laid first"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One ply as the options state it.

    Parameters
    ----------
    kind, locking
        Of the cloth; angle [rad].
    start, direction
        Where laying starts [m], and where the warp points there.
    cuts
        Points of each line to cut along [m].
    join, overlap
        How cuts lie, and how wide over each other [m].
    auto
        Whether to look for cuts.
    first
        Points of the line laid first [m]; empty for straight along the warp.
    refine
        Whether to solve to the last digits.
    """

    kind: ClothKind
    locking: float
    start: Triple
    direction: Triple
    cuts: tuple[Points, ...]
    join: Join
    overlap: float
    auto: bool
    first: Points
    refine: bool


def laid(surface: Surface, mould: Mould, asked: Asked, name: str) -> tuple[tuple[Piece, ...], tuple[PlyCuts, ...]]:
    """Return the pieces of one ply over a whole surface, and where it is cut.

    Parameters
    ----------
    surface
        The mould, evenly meshed.
    mould
        For the size of the triangles.
    asked
        The ply.
    name
        Of the mesh, for messages.

    Raises
    ------
    InputError
        When the start lies off the surface or a cut cannot be made.
    NotSolved
        When a piece cannot be draped.
    """
    library = generic_library()
    cloth = replace(library.prepreg[CLOTH], kind=asked.kind, locking_angle=asked.locking)
    lines = {f"cut {n}": _line(points) for n, points in enumerate(asked.cuts, 1)}
    width = None if asked.join is Join.BUTT else asked.overlap
    ply = Ply(
        material=CLOTH,
        angle=0.0,
        pieces=Pieces.AUTO if asked.auto else Pieces.DRAWN,
        cuts=tuple(Cut(line=line, join=asked.join, overlap=width) for line in lines),
        laid_first=FIRST if asked.first else "",
    )
    if asked.first:
        lines[FIRST] = _line(asked.first)
    job = Job(
        name=name,
        quantity=1,
        part=EVERYTHING,
        mould=mould,
        lines=lines,
        laying=Laying(start=asked.start, direction=asked.direction, overlap=asked.overlap, refine=asked.refine),
        plies=(ply,),
        cure=Cure(segments=(), service=0.0),
    )
    try:
        return pieces_of(job, replace(library, prepreg={CLOTH: cloth}), {EVERYTHING: surface}, Stages(), name)
    except InputError as error:
        raise InputError([replace(p, place=_option(p.place, name)) for p in error.problems]) from error


def _line(points: Points) -> Line:
    return Line(points=tuple((p[0], p[1], p[2]) for p in points))


def _option(place: str, name: str) -> str:
    """Return the option that a place in a job stands for."""
    inside = place.removeprefix(f"{name}, ").removeprefix("ply 1, ")
    for word, option in (("laying, start", "--start"), ("laid_first", "--first"), ("cut", "--cut")):
        if inside.startswith(word):
            return f"{option}{inside.removeprefix(word)}" if word == "cut" else option
    return place


def show_pieces(
    pieces: tuple[Piece, ...], cuts: tuple[PlyCuts, ...], asked: Asked, name: str, out: Path | None, *, json: bool
) -> int:
    """Write and show pieces; return the exit code.

    Parameters
    ----------
    pieces, cuts
        From `laid`.
    asked
        The ply.
    name
        Of the mesh.
    out
        Folder for files; none are written when None.
    json
        Whether as JSON instead of tables.
    """
    places = [name] if len(pieces) == 1 else [f"piece {p.label}" for p in pieces]
    found = tuple(
        f for p, place in zip(pieces, places, strict=True) for f in draping.findings(p.drape, p.drape.law, place)
    )
    if out is not None:
        _write(pieces, asked, name, out)
    if json:
        show.emit(
            {
                "drape": {
                    "pieces": [_data(p) for p in pieces],
                    "proposals": [
                        {"enough": p.enough, "why": p.why, "tried": len(p.trials)} for c in cuts for p in c.proposals
                    ],
                },
                "findings": [show.finding_data(f) for f in found],
            }
        )
        return show.exit_code(found)
    for piece in pieces:
        _table(piece, asked, name, len(pieces))
    for proposal in (p for c in cuts for p in c.proposals):
        show.OUT.print(f"{proposal.why} ({len(proposal.trials)} ways tried)")
    return _ended(found)


def _ended(found: tuple[Finding, ...]) -> int:
    show.show_findings(found)
    return show.exit_code(found)


def _spread(piece: Piece) -> tuple[float, float]:
    flat = np.concatenate(piece.pattern.loops)
    length, width = flat.max(axis=0) - flat.min(axis=0)
    return float(length), float(width)


def _data(piece: Piece) -> dict[str, Any]:
    lain, pattern = piece.drape, piece.pattern
    summary = draping.summary_of(lain, lain.law)
    length, width = _spread(piece)
    return {
        "label": piece.label,
        "triangles": len(lain.surface.triangles),
        "steps": lain.steps,
        "scheme": lain.scheme,
        "area_surface_m2": pattern.surface_area,
        "area_flat_m2": pattern.area,
        "length_along_warp_mm": 1e3 * length,
        "width_mm": 1e3 * width,
        "shear_median_deg": float(np.degrees(summary.shear_median)),
        "shear_95_deg": float(np.degrees(summary.shear_95)),
        "shear_99_deg": float(np.degrees(summary.shear_99)),
        "yarn_strain_95_percent": 100 * summary.strain_95,
        "yarn_strain_99_percent": 100 * summary.strain_99,
        "seams": [
            {"name": s.shown, "join": s.join, "over": s.over, "overlap_mm": 1e3 * s.width, "length_mm": 1e3 * s.length}
            for s in piece.seams
        ],
        "outline_mm": [(1e3 * loop).round(3).tolist() for loop in pattern.loops],
    }


def _table(piece: Piece, asked: Asked, name: str, count: int) -> None:
    lain, pattern = piece.drape, piece.pattern
    summary = draping.summary_of(lain, lain.law)
    length, width = _spread(piece)
    title = f"{name}: one piece of {asked.kind} cloth" if count == 1 else f"{name}: piece {piece.label} of {count}"
    rows = [
        ["surface", shown(pattern.surface_area, "cm²", 0)],
        ["flat", shown(pattern.area, "cm²", 0)],
        ["along the warp", shown(length, "mm")],
        ["across", shown(width, "mm")],
        ["shear, half of the area under", shown(summary.shear_median, "°")],
        ["shear, 99 % of the area under", shown(summary.shear_99, "°")],
        ["yarn strain, 99 % of the area under", shown(summary.strain_99, "%", 2)],
    ]
    for s in piece.seams:
        rows.append([f"join {s.shown}", f"{s.join}, {shown(s.length, 'mm', 0)}" + (", on top" if s.over else "")])
    show.table(title, ["", ""], rows)


def _write(pieces: tuple[Piece, ...], asked: Asked, name: str, out: Path) -> None:
    from bagside.sheets.glb import piece_glb
    from bagside.sheets.maps import maps_of
    from bagside.sheets.package import Package
    from bagside.sheets.shapes_out import piece_dxf, piece_svg

    files: dict[str, bytes | str] = {}
    bands = maps_of([p.drape for p in pieces], asked.kind).first
    for p in pieces:
        stem = "piece" if len(pieces) == 1 else f"piece-{p.label}"
        flat = FlatPiece(
            label=p.label,
            material=asked.kind.value,
            loops=p.pattern.loops,
            marks=(("start", (0.0, 0.0)),),
            seams=p.seams,
        )
        note = f"{name}, {asked.kind.value} cloth, {shown(p.pattern.area, 'cm²', 0)}"
        files[f"{stem}.glb"] = piece_glb(p.drape, label=p.label, bands=bands.bands, values=bands.of(p.drape))
        files[f"{stem}.svg"] = piece_svg(flat, note=note)
        files[f"{stem}.dxf"] = piece_dxf(flat)
    Package(out).written(files)
