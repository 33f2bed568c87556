"""Nesting the pieces of one small file on one cloth."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagside.cutting import FlatPiece
    from bagside.spec.bench import CardPiece


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

    from bagside import cutting
    from bagside.cli import show
    from bagside.cli.bench_file import bench_file
    from bagside.cli.options import not_negative
    from bagside.errors import InputError, Problem
    from bagside.quantity import Quantity, shown
    from bagside.spec.bench import CutFile
    from bagside.spec.library import lookup

    seconds = not_negative(time, Quantity.TIME, "--time") if time else None
    stated, library = bench_file(file, CutFile, workshop)
    problems = lookup(library.prepreg, stated.material, f"{file.name}, material", "prepreg")
    if problems:
        raise InputError(problems)

    pieces: list[FlatPiece] = []
    wrong: list[Problem] = []
    for k, card in enumerate(stated.pieces, 1):
        try:
            pieces.append(_piece(card, stated.material, f"{file.name}, piece {card.label or k}"))
        except InputError as error:
            wrong.extend(error.problems)
    if wrong:
        raise InputError(wrong)
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


def _piece(card: CardPiece, material: str, place: str) -> FlatPiece:
    """Return a piece as it is cut."""
    import math

    import numpy as np

    from bagside.cutting import FlatPiece
    from bagside.errors import InputError

    if card.points:
        loop = np.array(card.points)
    elif card.size is not None:
        x, y = card.size
        loop = np.array([[0.0, 0.0], [x, 0.0], [x, y], [0.0, y]])
    else:
        raise InputError.one(place, "", "points or a size are wanted")
    turns = None if card.free else (0.0, math.pi)
    return FlatPiece(label=card.label, material=material, loops=(loop,), turns=turns, quantity=card.copies)
