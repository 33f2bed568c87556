"""Camera: flat outlines in true millimetres from one photograph."""

from bagside.camera.arrow import Arrow
from bagside.camera.calibrate import Calibration, calibrated
from bagside.camera.confidence import Confidence
from bagside.camera.lens import Lens, lens_text, read_lens
from bagside.camera.mark_pages import MarkPage, pages
from bagside.camera.marks import Marker, MarkFrame, frame, scaled
from bagside.camera.overlay import overlay, picture_png
from bagside.camera.readers import Photo, read_photo
from bagside.camera.rectify import Rectified
from bagside.camera.survey import Survey, surveyed
from bagside.camera.table import frame_named, read_table, table_text
from bagside.camera.trace import THICKNESS, TOLERANCE, Traced, TracedOutline, trace
from bagside.camera.view import View, view_of

__all__ = [
    "THICKNESS",
    "TOLERANCE",
    "Arrow",
    "Calibration",
    "Confidence",
    "Lens",
    "MarkFrame",
    "MarkPage",
    "Marker",
    "Photo",
    "Rectified",
    "Survey",
    "Traced",
    "TracedOutline",
    "View",
    "calibrated",
    "frame",
    "frame_named",
    "lens_text",
    "overlay",
    "pages",
    "picture_png",
    "read_lens",
    "read_photo",
    "read_table",
    "scaled",
    "surveyed",
    "table_text",
    "trace",
    "view_of",
]
