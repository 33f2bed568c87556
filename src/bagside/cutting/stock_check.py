"""What is refused before a kit is laid on a stock, each problem by its name."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bagside.cutting.layout import Cloth
from bagside.cutting.piece import FlatPiece
from bagside.cutting.sheet import Sheet
from bagside.errors import InputError, Problem


def check_stock(
    pieces: Sequence[FlatPiece],
    sheets: Sequence[Sheet],
    cloths: Sequence[Cloth],
    prices: Sequence[float],
    cut_cost: float,
    seconds: float,
) -> None:
    """Refuse a kit or a stock that cannot be nested.

    Parameters
    ----------
    pieces, sheets, cloths, prices, cut_cost, seconds
        As `bagside.cutting.nest_stock` takes them.

    Raises
    ------
    InputError
        With every problem.
    """
    problems: list[Problem] = []
    if not pieces:
        problems.append(Problem(place="nest", came="no piece", wanted="at least one piece"))
    if not sheets and not cloths:
        problems.append(Problem(place="nest", came="no cloth", wanted="a roll or a sheet to cut from"))
    for kind, names in (("piece", [p.label for p in pieces]), ("sheet", [s.name for s in sheets])):
        for name in sorted({n for n in names if names.count(n) > 1}):
            came = f"{names.count(name)} of this name"
            problems.append(Problem(place=f"{kind} {name}", came=came, wanted="a name of its own for each"))
    stock = [(f"sheet {s.name}", s.material) for s in sheets] + [(f"cloth {c.material}", c.material) for c in cloths]
    for place, material in [*((f"piece {p.label}", p.material) for p in pieces), *stock]:
        if pieces and material != pieces[0].material:
            wanted = f"{pieces[0].material}, as piece {pieces[0].label}: one material at a time"
            problems.append(Problem(place=f"{place}, material", came=material, wanted=wanted))
    if len(prices) != len(cloths):
        came = f"{len(prices)} prices for {len(cloths)} rolls"
        problems.append(Problem(place="nest, prices", came=came, wanted="one price for each roll"))
    numbers = [*((f"price of roll {k}", p) for k, p in enumerate(prices, 1)), ("cost of cutting", cut_cost)]
    for name, value in [*numbers, ("time", seconds)]:
        if not (math.isfinite(value) and value >= 0.0):
            wanted = "a finite number, not negative"
            problems.append(Problem(place=f"nest, {name}", came=f"{value}", wanted=wanted))
    if problems:
        raise InputError(problems)


def refuse_what_fits_nothing(left: Sequence[FlatPiece], sheets: Sequence[Sheet], cloths: Sequence[Cloth]) -> None:
    """Refuse pieces that fit no roll and lie on no sheet.

    Parameters
    ----------
    left
        Those pieces; none is right.
    sheets, cloths
        What they could not be laid on.

    Raises
    ------
    InputError
        With each piece, its size and the largest cloth.
    """
    sizes = [(s.area, f"sheet {s.name} of {_size(*_extent(s))}") for s in sheets]
    wide = [(c.usable, f"the roll, {1e3 * c.usable:.1f} mm between its margins") for c in cloths]
    largest = [max(named)[1] for named in (wide, sizes) if named]
    if left:
        raise InputError(
            Problem(
                place=f"piece {p.label}",
                came=f"{_size(*p.size)} along and across the warp, {p.quantity} left",
                wanted=f"it fits no cloth: largest is {', and '.join(largest)}",
                hint="split the ply at a seam, turn its warp, or use a wider cloth",
            )
            for p in left
        )


def _extent(sheet: Sheet) -> tuple[float, float]:
    x0, y0, x1, y1 = sheet.polygon.bounds
    return x1 - x0, y1 - y0


def _size(length: float, width: float) -> str:
    return f"{1e3 * length:.1f} × {1e3 * width:.1f} mm"
