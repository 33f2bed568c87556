"""Nesting the pieces of one small file on one cloth."""

from __future__ import annotations

from pathlib import Path


def is_cut_file(path: Path) -> bool:
    """Return whether a path is a file of pieces rather than a job.

    Parameters
    ----------
    path
        As typed.
    """
    import tomllib

    if not path.is_file():
        return False
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return path.name != "job.toml"  # what is wrong with it is told where it is read
    return "pieces" in data and "mould" not in data


def cut_file(file: Path, workshop: Path | None, out: Path | None, time: str, *, json: bool) -> int:
    """Nest pieces on one cloth: length to pull, share used, what is left; return the exit code.

    Parameters
    ----------
    file
        Pieces and cloth.
    workshop
        Folder of the workshop whose materials count.
    out
        Folder for the nest as SVG and DXF.
    time
        For the search, as typed; the file's when empty.
    json
        Whether one JSON object is printed.
    """
    import math

    import numpy as np

    from bagside import cutting
    from bagside.cli import show
    from bagside.cli.bench_file import bench_file
    from bagside.cli.options import not_negative
    from bagside.errors import InputError
    from bagside.quantity import Quantity, shown
    from bagside.spec.bench import CardPiece, CutFile
    from bagside.spec.library import lookup

    seconds = not_negative(time, Quantity.TIME, "--time") if time else None
    stated, library = bench_file(file, CutFile, workshop)
    problems = lookup(library.prepreg, stated.material, f"{file.name}, material", "prepreg")
    if problems:
        raise InputError(problems)

    def loop(piece: CardPiece, k: int) -> np.ndarray:
        if piece.points:
            return np.array(piece.points)
        if piece.size is None:
            raise InputError.one(f"{file.name}, piece {k}", "", "points or a size are wanted")
        x, y = piece.size
        return np.array([[0.0, 0.0], [x, 0.0], [x, y], [0.0, y]])

    pieces = [
        cutting.FlatPiece(
            label=p.label,
            material=stated.material,
            loops=(loop(p, k),),
            turns=None if p.free else (0.0, math.pi),
            quantity=p.copies,
        )
        for k, p in enumerate(stated.pieces, 1)
    ]
    table = stated.table
    cloth = cutting.Cloth(
        material=stated.material,
        width=stated.width or library.prepreg[stated.material].width,
        margin=table.margin,
        gap=table.gap,
        length_available=stated.length,
    )
    nest = cutting.nest_roll(pieces, cloth, seconds=stated.time if seconds is None else seconds)
    take = cutting.take(nest, end=table.end, knife=table.knife, handling=table.handling)
    left = cutting.offcuts(nest, take.pull)
    found = cutting.nest_findings(nest, take.pull)
    if out is not None:
        from bagside.sheets.package import Package
        from bagside.sheets.shapes_out import nest_dxf, nest_svg

        Package(out).written({"nest.svg": nest_svg(nest), "nest.dxf": nest_dxf(nest)})
    if json:
        show.emit(
            {
                "cutting": {
                    "material": stated.material,
                    "width_mm": 1e3 * cloth.width,
                    "pull_mm": 1e3 * take.pull,
                    "utilisation_percent": 100 * take.utilisation,
                    "knife_path_m": take.knife_path,
                    "time_min": take.seconds / 60,
                    "offcuts_kept": left.count,
                    "offcuts_area_m2": left.area,
                    "placements": [
                        {
                            "piece": p.label,
                            "copy": p.copy,
                            "turn_deg": math.degrees(p.turn),
                            "x_mm": 1e3 * p.x,
                            "y_mm": 1e3 * p.y,
                        }
                        for p in nest.placements
                    ],
                },
                "findings": [show.finding_data(f) for f in found],
            }
        )
    else:
        show.table(
            f"{sum(p.quantity for p in pieces)} pieces on {stated.material}, {shown(cloth.width, 'mm', 0)} wide",
            ["", ""],
            [
                ["length to pull", shown(take.pull, "m", 2)],
                ["becomes pieces", shown(take.utilisation, "%", 1)],
                ["knife path", shown(take.knife_path, "m", 1)],
                ["time to cut", shown(take.seconds, "min", 0)],
                ["offcuts worth keeping", f"{left.count}, {shown(left.area, 'm²', 2)}"],
            ],
        )
        show.show_findings(found)
    return show.exit_code(found)
