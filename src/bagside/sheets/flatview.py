"""A flat piece as it is cut: at a round scale, the warp lying along the sheet.

The outline is drawn from cloth coordinates as they are, u along the warp; nothing is turned to look better, so that the
arrow on the picture, on the nest and on the template all point the same way.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, polygons, union_all

from bagside.cutting import PieceSeam
from bagside.quantity import shown
from bagside.sheets import colour, marks, paper
from bagside.sheets.colour import Bands
from bagside.sheets.seam_marks import lip_of, seam_marks
from bagside.sheets.typeface import CAPTION, HEAD, NOTE, width

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
OnPaper = Callable[[Floats], Floats]

SCALES = (1, 2, 5, 10, 20, 25, 50)
"""Lengths on the piece over lengths on paper."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatPiece:
    """One flat piece in cloth coordinates, u along the warp.

    Parameters
    ----------
    label
        Its name.
    loops
        Outline first, then holes, each shape (k, 2) [m].
    uv, triangles
        Mesh under the colours, shapes (n, 2) [m] and (m, 3); None leaves the piece plain.
    values
        What is coloured, one a triangle, SI, shape (m,).
    start
        Where laying starts [m].
    holes
        Centres of holes to be piloted [m].
    note
        A few words under the name; empty for none.
    seams
        Its sides of joins.
    area
        Of one piece, flat [m²]; None leaves it out.
    mass
        Of one piece [kg]; None leaves it out.
    """

    label: str
    loops: tuple[Floats, ...]
    uv: Floats | None = None
    triangles: Ints | None = None
    values: Floats | None = None
    start: tuple[float, float] | None = None
    holes: tuple[tuple[float, float], ...] = ()
    note: str = ""
    seams: tuple[PieceSeam, ...] = ()
    area: float | None = None
    mass: float | None = None

    @property
    def much(self) -> str:
        """Its area and mass in words; empty when neither is given."""
        area = "" if self.area is None else shown(self.area, "cm²", 0 if self.area > 2e-3 else 1)
        mass = "" if self.mass is None else shown(self.mass, "g", 1)
        return ", ".join(w for w in (area, mass) if w)


def round_scale(size: tuple[float, float], room: tuple[float, float]) -> int:
    """Return the largest round scale at which a piece fits, as lengths on the piece over lengths on paper.

    Parameters
    ----------
    size
        Of the piece [m].
    room
        On paper [mm].

    Raises
    ------
    ValueError
        When it does not fit at 1 : 50.

    Examples
    --------
    >>> round_scale((0.374, 0.3), (90.0, 80.0))
    5
    """
    for scale in SCALES:
        if size[0] * 1e3 / scale <= room[0] and size[1] * 1e3 / scale <= room[1]:
            return scale
    raise ValueError(
        f"a piece of {size[0]:.2f} × {size[1]:.2f} m does not fit {room[0]:.0f} × {room[1]:.0f} mm at 1 : 50"
    )


def flat_view(
    pieces: Sequence[FlatPiece],
    *,
    bands: Bands = colour.SHEAR,
    size_mm: tuple[float, float] = (184.0, 92.0),
    yarn_spacing: float = 0.012,
) -> str:
    """Return flat pieces side by side at one round scale, with dimensions in millimetres and the warp arrow.

    Parameters
    ----------
    pieces
        At least one.
    bands
        Colours of their values.
    size_mm
        Room on paper: width and greatest height; the height used follows the pieces [mm].
    yarn_spacing
        Between the yarns drawn [m].

    Raises
    ------
    ValueError
        When there is no piece or one does not fit at 1 : 50.
    """
    if not pieces:
        raise ValueError("a flat view needs a piece")
    left, right, top, bottom, gap = 5.0, 11.0, 11.0, 11.0, 6.0
    lows = [p.loops[0].min(axis=0) for p in pieces]
    sizes = [p.loops[0].max(axis=0) - low for p, low in zip(pieces, lows, strict=True)]
    across = float(sum(s[0] for s in sizes))
    tall = float(max(s[1] for s in sizes))
    used = len(pieces) * (left + right) + (len(pieces) - 1) * gap
    scale = round_scale((across, tall), (size_mm[0] - used, size_mm[1] - top - bottom))
    unit = 1e3 / scale
    height = top + tall * unit + bottom
    spare = (size_mm[0] - used - across * unit) / len(pieces)
    out: list[str] = []
    x = 0.0
    for k, (piece, low, size) in enumerate(zip(pieces, lows, sizes, strict=True)):
        caption = f"flat, mm, 1 : {scale}" + (f", {piece.note}" if piece.note else "") if k == 0 else piece.note
        out += _one(piece, low, size, unit, x + left + 0.4 * spare, top, bands, yarn_spacing)
        out.append(paper.text(x, 4.6, piece.label, size=HEAD, bold=True))
        out.append(
            paper.text(x + width(piece.label, HEAD, bold=True) + 3, 4.6, caption, size=CAPTION, ink=colour.SECOND)
        )
        if piece.much:
            out.append(paper.text(x, 8.8, piece.much, size=CAPTION))
        x += left + right + spare + size[0] * unit + gap
    end = size_mm[0]
    out.append(paper.text(end - 22, 3.4, "warp", size=CAPTION))
    out.append(marks.warp_arrow(np.array([end - 22.0, 6.0]), np.array([end, 6.0])))
    return paper.sheet(size_mm[0], height, out, title="flat pieces " + ", ".join(p.label for p in pieces))


def _one(
    piece: FlatPiece, low: Floats, size: Floats, unit: float, x: float, y: float, bands: Bands, spacing: float
) -> list[str]:
    def at(uv: Floats) -> Floats:
        p = np.atleast_2d(uv) - low
        return np.column_stack([x + unit * p[:, 0], y + unit * (size[1] - p[:, 1])])

    outline = "".join(paper.path(at(loop), closed=True) for loop in piece.loops)
    name = f"cut-{_number(piece.label):x}"
    out = [f'<defs><clipPath id="{name}"><path d="{outline}" clip-rule="evenodd"/></clipPath></defs>']
    out.append(f'<path d="{outline}" fill="{bands.colours[bands.quiet]}" fill-rule="evenodd" stroke="none"/>')
    out += _coloured(piece, at, bands)
    out.append(f'<g clip-path="url(#{name})">{_yarns(low, size, at, spacing)}</g>')
    out.append(f'<path d="{outline}" fill="none" stroke="{colour.INK}" stroke-width="0.4" stroke-linejoin="round"/>')
    out += _seams(piece, at, unit)
    for hole in piece.holes:
        ((hx, hy),) = at(np.array(hole))
        out.append(marks.hole_ring(hx, hy, pilot=True))
    if piece.start is not None:
        ((sx, sy),) = at(np.array(piece.start))
        out.append(marks.start_cross(sx, sy))
    w, h = unit * size
    words = [f"{1e3 * s:.1f}" for s in size]
    out.append(marks.dimension(np.array([x, y + h]), np.array([x + w, y + h]), words[0], offset=6.0, size=NOTE))
    out.append(marks.dimension(np.array([x + w, y + h]), np.array([x + w, y]), words[1], offset=6.0, size=NOTE))
    return out


def _seams(piece: FlatPiece, at: OnPaper, unit: float) -> list[str]:
    outline = Polygon(piece.loops[0])
    out: list[str] = []
    for seam in piece.seams:
        lip = lip_of(seam, piece.seams)
        found = seam_marks(seam, outline, notch=2.4 / unit, pitch=1.5 / unit, letter=4.0 / unit, lip=lip)
        data = "".join(paper.path(at(h)) for h in found.hatch)
        if data:
            out.append(paper.stroked(data, weight=0.1, ink=colour.SECOND))
        if found.inside:
            out.append(paper.line(at(found.line), weight=paper.THIN, dashes=marks.BELOW))
        elif found.knife:
            out.append(paper.line(at(found.line), weight=paper.EDGE))
        elif seam.join == "slip joint":
            out.append(paper.line(at(found.line), weight=0.7, ink=colour.PAPER, dashes="0.5 1.2"))
        out += [paper.line(at(notch), weight=paper.EDGE) for notch in found.notches]
        ((x, y),) = at(np.array(found.letter))
        out.append(paper.text(x, y + 0.36 * NOTE, seam.shown, size=NOTE, bold=True, anchor="middle", halo=True))
    return out


def _number(label: str) -> int:
    """Return a number for a label that is the same in every run."""
    out = 17
    for letter in label:
        out = (31 * out + ord(letter)) % (2**31)
    return out


def _coloured(piece: FlatPiece, at: OnPaper, bands: Bands) -> list[str]:
    if piece.uv is None or piece.triangles is None or piece.values is None:
        return []
    points = at(piece.uv)
    band = bands.band(piece.values)
    out = []
    for k in np.unique(band[band != bands.quiet]):
        shape = union_all(polygons(points[piece.triangles[band == k]]))
        loops = [r for p in getattr(shape, "geoms", [shape]) for r in (p.exterior, *p.interiors)]
        data = "".join(paper.path(np.array(r.coords)[:-1], closed=True) for r in loops)
        out.append(f'<path d="{data}" fill="{bands.colours[k]}" fill-rule="evenodd" stroke="none"/>')
    return out


def _yarns(low: Floats, size: Floats, at: OnPaper, spacing: float) -> str:
    high = low + size
    out = []
    for axis, dashes, weight in ((1, "", 0.11), (0, marks.WEFT, 0.09)):
        first, last = int(np.ceil(low[axis] / spacing)), int(np.floor(high[axis] / spacing))
        data = ""
        for level in range(first, last + 1):
            ends = np.array([low, high])
            ends[:, axis] = level * spacing
            data += paper.path(at(ends))
        if data:
            out.append(paper.stroked(data, weight=weight, dashes=dashes, ink=colour.SECOND))
    return "".join(out)
