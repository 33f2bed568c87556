"""Surfaces and flat shapes: reading, mending, measuring, cutting them into regions."""

from bagside.geometry.crop import Cropped, cropped
from bagside.geometry.fair import faired
from bagside.geometry.fill import HoleSeen, filled
from bagside.geometry.flat import cleaned, inside, loop_area, loop_length, loops_of, polygon, sampled, simplified
from bagside.geometry.front import spread
from bagside.geometry.geodesic import distance, trace
from bagside.geometry.lengths import distances_between, leg_lengths, line_length
from bagside.geometry.lines import joined, parallel
from bagside.geometry.locate import barycentric, nearest, triangle_values_at, vertex_values_at
from bagside.geometry.mend import mended
from bagside.geometry.mend_findings import findings as mending_findings
from bagside.geometry.mend_report import MendReport
from bagside.geometry.operators import Curvature, curvature, frames, gradients, laplacian, masses
from bagside.geometry.outline import axes, outline_polygon
from bagside.geometry.polyline import length_of, resampled, stations
from bagside.geometry.readers import UNITS, Raw, read_mesh
from bagside.geometry.regions import components, cut, regions_of
from bagside.geometry.remesh import coarse, remeshed
from bagside.geometry.scan import Opened, Wish, opened
from bagside.geometry.slice import contour_length, section
from bagside.geometry.slit import embedded, slit
from bagside.geometry.smooth import despiked, roughness, smoothed
from bagside.geometry.surface import Surface
from bagside.geometry.tabletop import Table, off_table, table_of
from bagside.geometry.thin import Deviation, deviation, thinned

__all__ = [
    "UNITS",
    "Cropped",
    "Curvature",
    "Deviation",
    "HoleSeen",
    "MendReport",
    "Opened",
    "Raw",
    "Surface",
    "Table",
    "Wish",
    "axes",
    "barycentric",
    "cleaned",
    "coarse",
    "components",
    "contour_length",
    "cropped",
    "curvature",
    "cut",
    "despiked",
    "deviation",
    "distance",
    "distances_between",
    "embedded",
    "faired",
    "filled",
    "frames",
    "gradients",
    "inside",
    "joined",
    "laplacian",
    "leg_lengths",
    "length_of",
    "line_length",
    "loop_area",
    "loop_length",
    "loops_of",
    "masses",
    "mended",
    "mending_findings",
    "nearest",
    "off_table",
    "opened",
    "outline_polygon",
    "parallel",
    "polygon",
    "read_mesh",
    "regions_of",
    "remeshed",
    "resampled",
    "roughness",
    "sampled",
    "section",
    "simplified",
    "slit",
    "smoothed",
    "spread",
    "stations",
    "table_of",
    "thinned",
    "trace",
    "triangle_values_at",
    "vertex_values_at",
]
