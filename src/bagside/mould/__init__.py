"""The mould: how it comes off, its tight corners, heat, size and spring-in."""

from bagside.mould.ball import rolling_ball_gap
from bagside.mould.corner_notes import corner_findings
from bagside.mould.corners import corners_of
from bagside.mould.draft import PieceDraft, draft_angles, draft_in_one_piece, draft_of, facing
from bagside.mould.draft_notes import draft_findings
from bagside.mould.hollow import hollow_radii
from bagside.mould.patch import Corner
from bagside.mould.radius import CornerVerdict, corner_pressure, needed_radius
from bagside.mould.report import LaminateFacts, MouldReport, ToolFacts, mould_report
from bagside.mould.size import SizeChain, mould_size, oversize, size_chain
from bagside.mould.spring import flange_shift, spring_in

__all__ = [
    "Corner",
    "CornerVerdict",
    "LaminateFacts",
    "MouldReport",
    "PieceDraft",
    "SizeChain",
    "ToolFacts",
    "corner_findings",
    "corner_pressure",
    "corners_of",
    "draft_angles",
    "draft_findings",
    "draft_in_one_piece",
    "draft_of",
    "facing",
    "flange_shift",
    "hollow_radii",
    "mould_report",
    "mould_size",
    "needed_radius",
    "oversize",
    "rolling_ball_gap",
    "size_chain",
    "spring_in",
]
