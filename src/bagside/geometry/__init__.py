"""Surfaces and flat shapes: reading, mending, measuring, cutting them into regions."""

from bagside.geometry.fair import faired
from bagside.geometry.flat import cleaned, inside, loop_area, loop_length, loops_of, polygon, sampled, simplified
from bagside.geometry.geodesic import distance, trace
from bagside.geometry.locate import barycentric, nearest, triangle_values_at, vertex_values_at
from bagside.geometry.mend import mended
from bagside.geometry.mend_report import MendReport
from bagside.geometry.mend_report import findings as mending_findings
from bagside.geometry.operators import Curvature, curvature, frames, gradients, laplacian, masses
from bagside.geometry.outline import axes, outline_polygon
from bagside.geometry.paths import distances_between, leg_lengths, line_length
from bagside.geometry.readers import UNITS, Raw, read_mesh
from bagside.geometry.regions import components, cut, regions_of
from bagside.geometry.remesh import coarse, remeshed
from bagside.geometry.slice import contour_length, section
from bagside.geometry.surface import Surface

__all__ = [
    "UNITS",
    "Curvature",
    "MendReport",
    "Raw",
    "Surface",
    "axes",
    "barycentric",
    "cleaned",
    "coarse",
    "components",
    "contour_length",
    "curvature",
    "cut",
    "distance",
    "distances_between",
    "faired",
    "frames",
    "gradients",
    "inside",
    "laplacian",
    "leg_lengths",
    "line_length",
    "loop_area",
    "loop_length",
    "loops_of",
    "masses",
    "mended",
    "mending_findings",
    "nearest",
    "outline_polygon",
    "polygon",
    "read_mesh",
    "regions_of",
    "remeshed",
    "sampled",
    "section",
    "simplified",
    "trace",
    "triangle_values_at",
    "vertex_values_at",
]
