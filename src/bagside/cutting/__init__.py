"""Cutting: flat pieces on the roll, what that takes, and what is left over."""

from bagside.cutting.layout import Cloth, Nest, Placement, Trial
from bagside.cutting.length import Take, cutting_time, knife_path, length_to_pull, take
from bagside.cutting.nest import NestProgress, nest_roll
from bagside.cutting.noticed import nest_findings
from bagside.cutting.offcuts import KeepRule, Offcuts, offcuts
from bagside.cutting.piece import FlatPiece
from bagside.cutting.seam import PieceSeam
from bagside.cutting.verify import verify

__all__ = [
    "Cloth",
    "FlatPiece",
    "KeepRule",
    "Nest",
    "NestProgress",
    "Offcuts",
    "PieceSeam",
    "Placement",
    "Take",
    "Trial",
    "cutting_time",
    "knife_path",
    "length_to_pull",
    "nest_findings",
    "nest_roll",
    "offcuts",
    "take",
    "verify",
]
