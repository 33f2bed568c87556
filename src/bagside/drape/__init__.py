"""Laying cloth on a surface: thread directions, shear, strain, and the flat piece to cut."""

from bagside.drape.angles import AngleMap, angle_findings, angles_that_survive, intended
from bagside.drape.laid import Drape
from bagside.drape.law import ClothLaw, law_of
from bagside.drape.locking import Locking, usual_locking
from bagside.drape.many import DrapeTask, draped_many
from bagside.drape.net import Net, net, preview
from bagside.drape.order import LayingOrder, OrderLine, laying_order
from bagside.drape.patchwork import PatchworkPlan, Sort, Tile, mirrored_tiling, moved_tiling, patchwork_of
from bagside.drape.pattern import Pattern, locate, pattern_of
from bagside.drape.registration import Motion, motion_between, nearest_to, registered
from bagside.drape.solve import drape
from bagside.drape.summary import Summary, findings, percentile, summary_of
from bagside.drape.tiling import Tiling
from bagside.spec.material import ClothKind

__all__ = [
    "AngleMap",
    "ClothKind",
    "ClothLaw",
    "Drape",
    "DrapeTask",
    "LayingOrder",
    "Locking",
    "Motion",
    "Net",
    "OrderLine",
    "PatchworkPlan",
    "Pattern",
    "Sort",
    "Summary",
    "Tile",
    "Tiling",
    "angle_findings",
    "angles_that_survive",
    "drape",
    "draped_many",
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
    "preview",
    "registered",
    "summary_of",
    "usual_locking",
]
