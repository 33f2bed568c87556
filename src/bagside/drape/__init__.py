"""Laying cloth on a surface: thread directions, shear, strain, and the flat piece to cut."""

from bagside.drape.laid import Drape
from bagside.drape.law import ClothLaw, law_of
from bagside.drape.patchwork import PatchworkPlan, Sort, Tile, mirrored_tiling, moved_tiling, patchwork_of
from bagside.drape.pattern import Pattern, locate, pattern_of
from bagside.drape.registration import Motion, motion_between, nearest_to, registered
from bagside.drape.solve import drape
from bagside.drape.summary import Summary, findings, percentile, summary_of
from bagside.drape.tiling import Tiling
from bagside.spec.material import ClothKind

__all__ = [
    "ClothKind",
    "ClothLaw",
    "Drape",
    "Motion",
    "PatchworkPlan",
    "Pattern",
    "Sort",
    "Summary",
    "Tile",
    "Tiling",
    "drape",
    "findings",
    "law_of",
    "locate",
    "mirrored_tiling",
    "motion_between",
    "moved_tiling",
    "nearest_to",
    "patchwork_of",
    "pattern_of",
    "percentile",
    "registered",
    "summary_of",
]
