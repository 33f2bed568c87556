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
from bagside.sheets.grounds import both, on_cloth
from bagside.sheets.seam_marks import lip_of, seam_marks
from bagside.sheets.typeface import CAPTION, HEAD, NOTE, width

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
OnPaper = Callable[[Floats], Floats]

SCALES = (1, 2, 5, 10, 20, 25, 50)
"""Lengths on the piece over lengths on paper."""
LEFT, RIGHT, TOP, BOTTOM, GAP = 5.0, 11.0, 11.0, 11.0, 6.0  # [mm] round each piece
ARROW = 22.0  # [mm]
YARNS_APART = 2.0  # [mm] on paper
MOST_ROWS = 3


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
    """Return flat pieces at one round scale, in rows where that shows them larger, with dimensions and the warp arrow.

    Parameters
    ----------
    pieces
        At least one.
    bands
        Colours of their values.
    size_mm
        Room on paper: width and greatest height; the height used follows the pieces [mm].
    yarn_spacing
        Between the yarns drawn [m]; doubled until they stand 2 mm apart on paper.

    Raises
    ------
    ValueError
        When there is no piece or one does not fit at 1 : 50.
    """
    if not pieces:
        raise ValueError("a flat view needs a piece")
    tried = [_rows(pieces, count) for count in range(1, MOST_ROWS + 1)]
    rows = min(tried, key=lambda r: (_scale(r, size_mm), len(r)))
    if not np.isfinite(_scale(rows, size_mm)):
        wide, tall = np.max(_sizes(pieces), axis=0)
        raise ValueError(f"pieces of up to {wide:.2f} × {tall:.2f} m do not fit {size_mm[0]:.0f} mm at 1 : 50")
    scale = int(_scale(rows, size_mm))
    unit = 1e3 / scale
    while yarn_spacing * unit < YARNS_APART:
        yarn_spacing *= 2.0
    end = size_mm[0]
    across = [float(sum(s[0] for s in _sizes(row))) for row in rows]
    spare = [(end - _used(row) - w * unit) / len(row) for row, w in zip(rows, across, strict=True)]
    last = rows[0][-1]
    begins = end - (LEFT + RIGHT + spare[0] + unit * float(_sizes([last])[0][0]))
    label = begins + max(width(last.label, HEAD, bold=True) + 3 + width(last.note, CAPTION), width(last.much, CAPTION))
    y = 0.0 if label < end - ARROW - 2.0 else 5.0  # the arrow has the first line to itself where it would meet a name
    out = [
        paper.text(end - ARROW, 3.4, "warp", size=CAPTION),
        marks.warp_arrow(np.array([end - ARROW, 6.0]), np.array([end, 6.0])),
    ]
    stated = f"flat, mm, 1 : {scale}"
    for row, free in zip(rows, spare, strict=True):
        x = 0.0
        for piece in row:
            low, (size,) = piece.loops[0].min(axis=0), _sizes([piece])
            out += _one(piece, low, size, unit, x + LEFT + 0.4 * free, y + TOP, bands, yarn_spacing)
            caption = ", ".join(w for w in (stated, piece.note) if w)
            stated = ""
            beside = x + width(piece.label, HEAD, bold=True) + 3
            out.append(paper.text(x, y + 4.6, piece.label, size=HEAD, bold=True))
            out.append(paper.text(beside, y + 4.6, caption, size=CAPTION, ink=colour.SECOND))
            if piece.much:
                out.append(paper.text(x, y + 8.8, piece.much, size=CAPTION))
            x += LEFT + RIGHT + free + size[0] * unit + GAP
        y += TOP + unit * float(max(s[1] for s in _sizes(row))) + BOTTOM
    return paper.sheet(end, y, out, title="flat pieces " + ", ".join(p.label for p in pieces))


def _rows(pieces: Sequence[FlatPiece], count: int) -> list[list[FlatPiece]]:
    """Return pieces in rows of about equal length, in their order; fewer rows when there are fewer pieces."""
    run = np.cumsum([float(s[0]) for s in _sizes(pieces)])
    share = np.minimum((count * (run - 1e-9) / run[-1]).astype(int), count - 1)
    found = [[p for p, k in zip(pieces, share, strict=True) if k == row] for row in range(count)]
    return [row for row in found if row]


def _sizes(pieces: Sequence[FlatPiece]) -> list[Floats]:
    return [np.ptp(p.loops[0], axis=0) for p in pieces]


def _used(row: Sequence[FlatPiece]) -> float:
    return len(row) * (LEFT + RIGHT) + (len(row) - 1) * GAP


def _scale(rows: Sequence[Sequence[FlatPiece]], size_mm: tuple[float, float]) -> float:
    """Return the scale at which rows fit under each other; infinite when they do not."""
    high = size_mm[1] - len(rows) * (TOP + BOTTOM)
    tall = sum(float(max(s[1] for s in _sizes(row))) for row in rows)
    try:
        return float(
            max(
                round_scale((float(sum(s[0] for s in _sizes(row))), tall), (size_mm[0] - _used(row), high))
                for row in rows
            )
        )
    except ValueError:
        return float("inf")


def _one(
    piece: FlatPiece, low: Floats, size: Floats, unit: float, x: float, y: float, bands: Bands, spacing: float
) -> list[str]:
    def at(uv: Floats) -> Floats:
        p = np.atleast_2d(uv) - low
        return np.column_stack([x + unit * p[:, 0], y + unit * (size[1] - p[:, 1])])

    outline = "".join(paper.path(at(loop), closed=True) for loop in piece.loops)
    name = f"cut-{_number(piece.label):x}"
    out = [f'<defs><clipPath id="{name}"><path d="{outline}" clip-rule="evenodd"/></clipPath></defs>']
    cloth = [f'<path d="{outline}" fill="{bands.colours[bands.quiet]}" fill-rule="evenodd" stroke="none"/>']
    cloth += _coloured(piece, at, bands)
    cloth.append(f'<g clip-path="url(#{name})">{_yarns(low, size, at, spacing)}</g>')
    out.append(on_cloth(cloth))
    crossing = [f'<path d="{outline}" fill="none" stroke="{colour.INK}" stroke-width="0.4" stroke-linejoin="round"/>']
    crossing += _seams(piece, at, unit)
    for hole in piece.holes:
        ((hx, hy),) = at(np.array(hole))
        crossing.append(marks.hole_ring(hx, hy, pilot=True))
    if piece.start is not None:
        ((sx, sy),) = at(np.array(piece.start))
        crossing.append(marks.start_cross(sx, sy))
    out.append(both(crossing, name))
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
