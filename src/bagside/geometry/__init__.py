"""Surfaces and flat shapes: reading, mending, measuring, cutting them into regions."""

from bagside.geometry.fair import faired
from bagside.geometry.geodesic import distance, trace
from bagside.geometry.locate import barycentric, nearest, triangle_values_at, vertex_values_at
from bagside.geometry.mend import MendReport, mended
from bagside.geometry.mend import findings as mending_findings
from bagside.geometry.outline import axes, outline_polygon
from bagside.geometry.readers import UNITS, Raw, read_mesh
from bagside.geometry.regions import components, cut, regions_of
from bagside.geometry.remesh import coarse, remeshed
from bagside.geometry.surface import Surface

__all__ = [
    "UNITS",
    "MendReport",
    "Raw",
    "Surface",
    "axes",
    "barycentric",
    "coarse",
    "components",
    "cut",
    "distance",
    "faired",
    "mended",
    "mending_findings",
    "nearest",
    "outline_polygon",
    "read_mesh",
    "regions_of",
    "remeshed",
    "trace",
    "triangle_values_at",
    "vertex_values_at",
]
