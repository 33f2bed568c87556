"""Laying cloth on a surface: thread directions, shear, strain, and the flat piece to cut."""

from bagside.drape.laid import Drape
from bagside.drape.law import ClothLaw, law_of
from bagside.drape.pattern import Pattern, locate, pattern_of
from bagside.drape.solve import drape
from bagside.drape.summary import Summary, findings, percentile, summary_of
from bagside.spec.material import ClothKind

__all__ = [
    "ClothKind",
    "ClothLaw",
    "Drape",
    "Pattern",
    "Summary",
    "drape",
    "findings",
    "law_of",
    "locate",
    "pattern_of",
    "percentile",
    "summary_of",
]
