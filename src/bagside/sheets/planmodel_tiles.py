"""The form of patchwork and of a mirrored part in ``plan.json``."""

from __future__ import annotations

from bagside.sheets.message import Flat, Message, Point


class TileSortMessage(Message):
    """Whole tiles that are cut alike."""

    name: str
    places: int
    outline_mm: list[Flat]


class TileMessage(Message):
    """One tile in its place, in the cloth axes of its piece."""

    number: int
    piece: str
    sort: str
    half_turn: bool
    joined: int
    area_cm2: float
    shear_95_deg: float
    outline_mm: list[list[Flat]]


class PatchworkMessage(Message):
    """A ply laid as tiles."""

    ply: int
    shape: str
    size_mm: float
    length_mm: float | None
    gap_mm: float
    overlap_mm: float
    turn_deg: float
    origin_mm: Flat
    first_piece: str
    pieces_apart: list[str]
    points_further_apart_mm: float | None
    outline_cm2: float
    covered_cm2: float
    gaps_cm2: float
    lapped_cm2: float
    left_cm2: float
    slivers_left: int
    slivers_joined: int
    sorts: list[TileSortMessage]
    tiles: list[TileMessage]


class TurnedClothMessage(Message):
    """What turning a cloth for a twin costs, for all parts."""

    material: str
    pull_mm: float
    pull_before_mm: float
    utilisation_percent: float
    utilisation_before_percent: float
    cost: float
    cost_before: float


class TwinMessage(Message):
    """What a part is the mirror image of, and how its twill was reversed."""

    of: str
    point_mm: Point
    normal: Point
    twill: str
    plies_turned: list[int]
    plies_other_face: list[int]
    cloths: list[TurnedClothMessage]
