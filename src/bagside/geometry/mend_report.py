"""What opening a mesh found and did, in plain numbers."""

from __future__ import annotations

from dataclasses import dataclass

from bagside.geometry.crop import Cropped
from bagside.geometry.tabletop import Table
from bagside.geometry.thin import Deviation

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class MendReport:
    """What mending found and did, in plain numbers.

    Parameters
    ----------
    name
        The file.
    unit
        The unit its numbers were read in.
    triangles_read
        Number of triangles in the file.
    triangles
        Number of triangles in the surface.
    merged
        Points of the file that were joined to another one.
    duplicates
        Triangles that another one covered already, whichever way it was wound.
    degenerate
        Triangles without area, dropped.
    slivers
        Triangles flatter than stated, mended by turning their longest edge, or dropped when they had no neighbour.
    crowded
        Edges where more than two triangles met.
    components
        Area of each connected sheet, largest first [m²].
    kept
        Which of them is the surface.
    flipped
        Triangles wound the other way than most.
    rim
        Length of the longest boundary loop [m]; zero for a closed body.
    holes
        Length [m] and centre [m] of every other boundary loop.
    size
        Bounding box along x, y, z [m].
    area
        Area of the surface [m²].
    passes, passes_area
        Number and area [m²] of sheets left out because they lie on the surface: overlapping passes of the scanner.
    beyond
        Number of sheets left out that lie on the surface in part and reach beyond it.
    noise, roughness
        As stated, and as measured on the mended surface where it can be told; root mean square [m].
    spikes
        Lone vertices that stood far out and were put back, with the worst places [m].
    smoothed
        Length over which noise was taken off [m]; zero when it was not.
    filled
        Length [m] and centre [m] of every hole that was closed.
    fill_limit
        Longest way around a hole that is closed [m].
    table
        A large flat part under or around the mould, when there is one.
    off_table
        Height above it from which on the surface was kept [m]; zero when it was left.
    cropped
        What cutting along the net edge did.
    region_area
        Area that cutting down to a region left [m²]; zero when none was stated.
    clean
        Number of triangles of the surface to work with; zero when not made yet.
    deviation
        How far thinning strayed from the smooth surface before it.
    """

    name: str
    unit: str
    triangles_read: int
    triangles: int
    merged: int
    duplicates: int
    degenerate: int
    slivers: int
    crowded: int
    components: tuple[float, ...]
    kept: int
    flipped: int
    rim: float
    holes: tuple[tuple[float, Place], ...]
    size: tuple[float, float, float]
    area: float
    passes: int = 0
    passes_area: float = 0.0
    beyond: int = 0
    noise: float = 0.0
    roughness: float = 0.0
    spikes: tuple[Place, ...] = ()
    smoothed: float = 0.0
    filled: tuple[tuple[float, Place], ...] = ()
    fill_limit: float = 0.0
    table: Table | None = None
    off_table: float = 0.0
    cropped: Cropped | None = None
    region_area: float = 0.0
    clean: int = 0
    deviation: Deviation | None = None
