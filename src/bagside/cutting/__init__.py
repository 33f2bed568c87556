"""Cutting: flat pieces on rolls and offcuts, what that takes, and what is left over."""

from bagside.cutting.buying import Buy, Purchase, length_sold, to_buy
from bagside.cutting.common_lines import CommonLine, common_lines
from bagside.cutting.layout import Cloth, Nest, Placement, Trial, laid
from bagside.cutting.length import Take, cutting_time, knife_path, length_to_pull, take
from bagside.cutting.nest import NestProgress, nest_roll
from bagside.cutting.noticed import nest_findings
from bagside.cutting.offcuts import KeepRule, Offcuts, offcuts
from bagside.cutting.order import cut_numbers, cutting_order
from bagside.cutting.piece import FlatPiece
from bagside.cutting.pinned import nest_pinned
from bagside.cutting.pins import Pin
from bagside.cutting.refill import Placed, PlaceProgress, place_on
from bagside.cutting.seam import PieceSeam
from bagside.cutting.sheet import Layout, Sheet, SheetNest, kit_names
from bagside.cutting.stock import StockNest, StockProgress
from bagside.cutting.stock_nest import nest_stock
from bagside.cutting.unused import Expiring, Held, unused
from bagside.cutting.verify import verify, verify_stock
from bagside.cutting.worth import offcut_worth

__all__ = [
    "Buy",
    "Cloth",
    "CommonLine",
    "Expiring",
    "FlatPiece",
    "Held",
    "KeepRule",
    "Layout",
    "Nest",
    "NestProgress",
    "Offcuts",
    "PieceSeam",
    "Pin",
    "PlaceProgress",
    "Placed",
    "Placement",
    "Purchase",
    "Sheet",
    "SheetNest",
    "StockNest",
    "StockProgress",
    "Take",
    "Trial",
    "common_lines",
    "cut_numbers",
    "cutting_order",
    "cutting_time",
    "kit_names",
    "knife_path",
    "laid",
    "length_sold",
    "length_to_pull",
    "nest_findings",
    "nest_pinned",
    "nest_roll",
    "nest_stock",
    "offcut_worth",
    "offcuts",
    "place_on",
    "take",
    "to_buy",
    "unused",
    "verify",
    "verify_stock",
]
