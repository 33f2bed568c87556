"""The mould: how it comes off, its tight corners, heat, size and spring-in."""

from bagside.mould.arms import Arm, arms_of
from bagside.mould.ball import rolling_ball_gap
from bagside.mould.bending import Bending, bending
from bagside.mould.bridge import bag_bend, bridge_height, chord_slide_in, slide_in, tow_section
from bagside.mould.corner import Corner
from bagside.mould.corner_notes import corner_findings
from bagside.mould.corners import corners_of
from bagside.mould.draft import PieceDraft, draft_angles, draft_in_one_piece, draft_of, facing
from bagside.mould.draft_notes import draft_findings
from bagside.mould.features import FeatureLine, LineKind, feature_lines
from bagside.mould.growth import PlyInCorner, largest_follower, plies_in_corner, radius_to_follow
from bagside.mould.hollow import hollow_radii
from bagside.mould.laid import LaidCorner, laid_corner
from bagside.mould.measures import MouldMeasures, mould_measures
from bagside.mould.profile import Profile, fitted_profile
from bagside.mould.radius import CornerVerdict, corner_pressure, needed_radius
from bagside.mould.remedies import remedies_for
from bagside.mould.remedy import CornerCase, Remedy, RemedyKind
from bagside.mould.report import LaminateFacts, MouldReport, ToolFacts, measured_report, mould_report
from bagside.mould.size import SizeChain, mould_size, oversize, size_chain
from bagside.mould.spring import flange_shift, spring_in
from bagside.mould.undercut import Undercut
from bagside.mould.walls import angle_defects

__all__ = [
    "Arm",
    "Bending",
    "Corner",
    "CornerCase",
    "CornerVerdict",
    "FeatureLine",
    "LaidCorner",
    "LaminateFacts",
    "LineKind",
    "MouldMeasures",
    "MouldReport",
    "PieceDraft",
    "PlyInCorner",
    "Profile",
    "Remedy",
    "RemedyKind",
    "SizeChain",
    "ToolFacts",
    "Undercut",
    "angle_defects",
    "arms_of",
    "bag_bend",
    "bending",
    "bridge_height",
    "chord_slide_in",
    "corner_findings",
    "corner_pressure",
    "corners_of",
    "draft_angles",
    "draft_findings",
    "draft_in_one_piece",
    "draft_of",
    "facing",
    "feature_lines",
    "fitted_profile",
    "flange_shift",
    "hollow_radii",
    "laid_corner",
    "largest_follower",
    "measured_report",
    "mould_measures",
    "mould_report",
    "mould_size",
    "needed_radius",
    "oversize",
    "plies_in_corner",
    "radius_to_follow",
    "remedies_for",
    "rolling_ball_gap",
    "size_chain",
    "slide_in",
    "spring_in",
    "tow_section",
]
