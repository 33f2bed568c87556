"""Pieces and sheets on the grid: each piece in each way it may lie, what is in its way, and where it may come.

Two pieces of one shape, or two turns that give one shape, are one form and share everything worked out for it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting.convex import convex_parts
from bagside.cutting.instance import SIMPLER, simpler
from bagside.cutting.layout import Placement
from bagside.cutting.nofit import UNIT, Parts, Paths, grown, inner_fit, no_fit
from bagside.cutting.piece import FlatPiece, edge_turns, turned
from bagside.cutting.sheet import Sheet

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FREE_TURNS = tuple(k * math.pi / 4 for k in range(8))
"""Turns at which a piece is tried that may lie at any angle [rad]."""
FEW_POINTS = 80
ROUGH = 1e-3
"""To which the largest circle in an area is found [m]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Form:
    """A shape on the grid, its lowest corner in x and in y at zero.

    Parameters
    ----------
    key
        Its number; forms of one shape have one.
    outline
        Shape (k, 2) [units].
    loops
        Convex parts, shape (k, 2) each [units].
    parts, mirrored
        The same as edges, and mirrored through the origin.
    size
        Length and width [units].
    area
        [m²].
    radius
        Of the largest circle in it, or a little less [m].
    """

    key: int
    outline: Ints
    loops: tuple[Floats, ...]
    parts: Parts
    mirrored: Parts
    size: tuple[int, int]
    area: float
    radius: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pose:
    """One way in which a piece may lie.

    Parameters
    ----------
    form
        Its shape then.
    turn
        [rad].
    flipped
        Whether it is cut face down.
    low
        Least x and y of its outline once turned, which the form has at zero [m].
    """

    form: Form
    turn: float
    flipped: bool
    low: tuple[float, float]

    def placement(self, label: str, copy: int, place: tuple[int, int], origin: Floats) -> Placement:
        """Return where a copy lies.

        Parameters
        ----------
        label, copy
            Which copy.
        place
            Of the form's origin [units].
        origin
            Of the grid [m].
        """
        x = float(origin[0]) + UNIT * place[0] - self.low[0]
        y = float(origin[1]) + UNIT * place[1] - self.low[1]
        return Placement(label=label, copy=copy, turn=self.turn, x=x, y=y, flipped=self.flipped)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """A sheet on the grid, its lowest corner in x and in y at zero.

    Parameters
    ----------
    sheet
        The sheet.
    origin
        Of the grid [m].
    size
        Of the rectangle round it [units].
    obstacles
        What of that rectangle is not cloth to cut from, grown by the margin.
    margin, gap
        [units].
    area
        Of the cloth to cut from [m²].
    askew
        Turn of the narrowest rectangle round it, less than a quarter turn [rad].

    Notes
    -----
    Of a sheet of very many corners up to 0.5 mm along its edges is left out, for speed.
    """

    sheet: Sheet
    origin: Floats
    size: tuple[int, int]
    obstacles: Parts
    margin: float
    gap: float
    area: float
    askew: float

    @classmethod
    def of(cls, sheet: Sheet) -> Ground:
        """Return a sheet on the grid.

        Parameters
        ----------
        sheet
            With its holes and flaws.
        """
        usable = _fewer(sheet.usable)
        x0, y0, x1, y1 = shapely.bounds(sheet.polygon).tolist()
        origin = np.array([x0, y0])
        rest = shapely.transform(shapely.box(x0, y0, x1, y1).difference(usable), lambda p: (p - origin) / UNIT)
        margin = sheet.margin / UNIT
        loops = [grown(loop, margin) for loop in convex_parts(shapely.set_precision(rest, 1.0))]
        return cls(
            sheet=sheet,
            origin=origin,
            size=(round((x1 - x0) / UNIT), round((y1 - y0) / UNIT)),
            obstacles=Parts.of(loops),
            margin=margin,
            gap=sheet.gap / UNIT,
            area=sheet.area,
            askew=_askew(sheet.outline),
        )


@dataclass(slots=True)
class Forms:
    """All forms met so far and what was worked out for them."""

    known: dict[bytes, Form] = field(default_factory=dict)
    poses_of: dict[tuple[int, bool, float], tuple[Pose, ...]] = field(default_factory=dict)
    still: dict[tuple[int, float], Parts] = field(default_factory=dict)
    pairs: dict[tuple[int, int, float], tuple[Ints, list[int]]] = field(default_factory=dict)
    inner: dict[tuple[int, int], Paths] = field(default_factory=dict)
    slim: dict[int, Floats] = field(default_factory=dict)

    def poses(self, piece: FlatPiece, turned_over: bool, askew: float = 0.0) -> tuple[Pose, ...]:
        """Return the ways in which a piece may lie, those at a stated turn first.

        Parameters
        ----------
        piece
            Any piece; it is kept for as long as these forms are.
        turned_over
            Whether it is cut from a sheet that lies the other way up than the roll.
        askew
            Of that sheet; a piece that may lie at any angle is tried along its edges too [rad].
        """
        key = (id(piece), turned_over, askew if piece.turns is None else 0.0)
        if key not in self.poses_of:
            faces = (turned_over, not turned_over) if piece.flips else (turned_over,)
            found: dict[int, Pose] = {}
            for turn in _turns(piece, key[2]):
                for flipped in faces:
                    pose = self._pose(piece, turn, flipped)
                    found.setdefault(pose.form.key, pose)
            self.poses_of[key] = tuple(found.values())
        return self.poses_of[key]

    def _pose(self, piece: FlatPiece, turn: float, flipped: bool) -> Pose:
        if id(piece) not in self.slim:
            self.slim[id(piece)] = simpler(piece.loops[0])
        loop = self.slim[id(piece)]
        points = turned((loop * np.array([1.0, -1.0]))[::-1] if flipped else loop, turn)
        low = points.min(axis=0)
        return Pose(
            form=self.form(points - low, piece.area),
            turn=turn,
            flipped=flipped,
            low=(float(low[0]), float(low[1])),
        )

    def form(self, points: Floats, area: float) -> Form:
        """Return the form of an outline.

        Parameters
        ----------
        points
            Least x and least y at zero, shape (k, 2) [m].
        area
            Of the cloth in it [m²].
        """
        # A turn or rounding may fold a spike narrower than the grid; the library takes such folds out.
        snapped = shapely.set_precision(shapely.make_valid(shapely.Polygon(points / UNIT)), 1.0)
        largest = max(shapely.get_parts(snapped), key=lambda p: float(p.area))
        ring = shapely.orient_polygons(largest).exterior
        outline: Ints = np.rint(np.asarray(ring.coords)[:-1]).astype(np.int64)
        first = min(range(len(outline)), key=lambda k: (outline[k, 0], outline[k, 1]))
        outline = np.roll(outline, -first, axis=0)
        name = outline.tobytes()
        if name not in self.known:
            loops = convex_parts(shapely.Polygon(outline))
            size = outline.max(axis=0).tolist()
            self.known[name] = Form(
                key=len(self.known),
                outline=outline,
                loops=loops,
                parts=Parts.of(loops),
                mirrored=Parts.of([-loop for loop in loops]),
                size=(int(size[0]), int(size[1])),
                area=area,
                radius=UNIT * float(shapely.maximum_inscribed_circle(largest, tolerance=ROUGH / UNIT).length),
            )
        return self.known[name]

    def inside(self, number: int, ground: Ground, form: Form) -> Paths:
        """Return where a form may come on a sheet with nothing on it.

        Parameters
        ----------
        number
            Of the sheet.
        ground
            The sheet.
        form
            What is to lie there.
        """
        key = (number, form.key)
        if key not in self.inner:
            edge = np.array([ground.margin, ground.margin])
            low = np.ceil(edge - 0.5).astype(np.int64)
            high = np.floor(np.array(ground.size) - edge - np.array(form.size) + 0.5).astype(np.int64)
            self.inner[key] = inner_fit(ground.obstacles, form.mirrored, low, high)
        return self.inner[key]

    def beside(self, still: Form, moving: Form, gap: float, place: tuple[int, int]) -> Paths:
        """Return where a form may not come because another lies at a place.

        Parameters
        ----------
        still
            What lies.
        moving
            What is to lie beside it.
        gap
            Between them [units].
        place
            Of the one that lies [units].
        """
        key = (still.key, moving.key, gap)
        found = self.pairs.get(key)
        if found is None:
            if (still.key, gap) not in self.still:
                self.still[still.key, gap] = Parts.of([grown(loop, gap) for loop in still.loops])
            paths = no_fit(self.still[still.key, gap], moving.mirrored)
            ends = np.cumsum([len(p) for p in paths]).tolist()
            corners: Ints = np.array([c for p in paths for c in p], dtype=np.int64).reshape(-1, 2)
            found = self.pairs[key] = (corners, ends)
        corners, ends = found
        moved = (corners + np.array(place)).tolist()
        return [moved[a:b] for a, b in zip([0, *ends[:-1]], ends, strict=True)]


def _turns(piece: FlatPiece, askew: float) -> tuple[float, ...]:
    if piece.turns is None:
        across = {t: float(np.ptp(turned(piece.loops[0], t)[:, 1])) for t in edge_turns(piece.loops[0])}
        narrow = sorted(across, key=lambda t: across[t])[:2]
        along = [narrow[0] + askew + k * math.pi / 2 for k in range(4)] if askew else []
        return (*FREE_TURNS, *narrow, *(t + math.pi for t in narrow), *along)
    off = (-piece.tolerance, piece.tolerance, -0.5 * piece.tolerance, 0.5 * piece.tolerance)
    return (*piece.turns, *(t + d for d in off for t in piece.turns if piece.tolerance > 0.0))


def _askew(outline: Floats) -> float:
    box = shapely.minimum_rotated_rectangle(shapely.Polygon(outline))
    (x0, y0), (x1, y1) = np.asarray(box.exterior.coords)[:2].tolist()
    turn = math.remainder(math.atan2(y1 - y0, x1 - x0), math.pi / 2)
    return turn if abs(turn) > 1e-6 else 0.0


def _fewer(usable: shapely.Geometry) -> shapely.Geometry:
    """Return an area of fewer corners inside a given one that has very many."""
    if int(shapely.get_num_coordinates(usable)) <= FEW_POINTS:
        return usable
    less = usable.buffer(-SIMPLER, join_style="mitre", mitre_limit=2.0).simplify(SIMPLER)
    return less if less.is_valid and not less.is_empty and usable.covers(less) else usable
