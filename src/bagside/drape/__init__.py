"""Laying cloth on a surface: thread directions, shear, strain, and the flat piece to cut."""

from bagside.drape.angles import AngleMap, angle_findings, angles_that_survive, intended
from bagside.drape.cuts import Cut, CutPiece, SeamSide, cut_pieces
from bagside.drape.joins import SeamMark, Wedge, refuse_crossed, seam_marks, wedges, with_overlaps
from bagside.drape.laid import Drape
from bagside.drape.law import ClothLaw, law_of
from bagside.drape.locking import Locking, usual_locking
from bagside.drape.net import Net, net, preview
from bagside.drape.order import LayingOrder, OrderLine, laying_order
from bagside.drape.patchwork import PatchworkPlan, Sort, Tile, mirrored_tiling, moved_tiling, patchwork_of
from bagside.drape.pattern import Pattern, locate, pattern_of
from bagside.drape.propose import Proposal, propose_cuts
from bagside.drape.registration import Motion, motion_between, nearest_to, registered
from bagside.drape.solve import drape
from bagside.drape.stagger import Staggered, staggered
from bagside.drape.summary import Summary, findings, percentile, summary_of
from bagside.drape.tiling import Tiling
from bagside.drape.trial import Limits, Trial, piece_start
from bagside.spec.lines import Join
from bagside.spec.material import ClothKind

__all__ = [
    "AngleMap",
    "ClothKind",
    "ClothLaw",
    "Cut",
    "CutPiece",
    "Drape",
    "Join",
    "LayingOrder",
    "Limits",
    "Locking",
    "Motion",
    "Net",
    "OrderLine",
    "PatchworkPlan",
    "Pattern",
    "Proposal",
    "SeamMark",
    "SeamSide",
    "Sort",
    "Staggered",
    "Summary",
    "Tile",
    "Tiling",
    "Trial",
    "Wedge",
    "angle_findings",
    "angles_that_survive",
    "cut_pieces",
    "drape",
    "findings",
    "intended",
    "law_of",
    "laying_order",
    "locate",
    "mirrored_tiling",
    "motion_between",
    "moved_tiling",
    "nearest_to",
    "net",
    "patchwork_of",
    "pattern_of",
    "percentile",
    "piece_start",
    "preview",
    "propose_cuts",
    "refuse_crossed",
    "registered",
    "seam_marks",
    "staggered",
    "summary_of",
    "usual_locking",
    "wedges",
    "with_overlaps",
]
