"""The form of the mould in ``plan.json``."""

from __future__ import annotations

from bagside.sheets.message import Message, Point


class DraftMessage(Message):
    """How one piece of the mould comes off."""

    name: str
    pull: Point
    area_m2: float
    smallest_draft_deg: float
    undercut_cm2: float
    hook_mm: float


class PlyInCornerMessage(Message):
    """What one ply meets in a corner."""

    ply: int
    laid_on_radius_mm: float
    stack_mm: float
    radius_left_mm: float
    pressure_at_most_percent: float
    verdict: str
    bridge_mm: float | None
    slides_in_each_side_mm: float | None
    settles_each_side_mm: float
    shorter_mm: float


class RemedyMessage(Message):
    """What helps in a corner, best first."""

    remedy: str
    effect: str
    why: str


class CornerMessage(Message):
    """One tight inside corner."""

    id: str
    length_mm: float
    radius_mm: float
    needed_radius_mm: float
    bridge_gap_mm: float
    included_angle_deg: float | None
    closed: bool
    line_bends_deg: float
    cloth_surplus_deg: float
    meetings_mm: list[Point]
    centre_mm: Point
    verdict: str
    plies: list[PlyInCornerMessage]
    remedies: list[RemedyMessage]


class HoleInMesh(Message):
    """A hole in the mesh as read."""

    length_mm: float
    centre_mm: Point


class MouldMessage(Message):
    """The mould; what only its surface tells is null or empty when the part was measured by tape."""

    file: str | None
    unit: str | None
    triangles_read: int | None
    triangles_used: int | None
    area_m2: float
    size_mm: Point
    holes: list[HoleInMesh]
    pieces: list[DraftMessage]
    corners: list[CornerMessage]
    spring_in_per_right_angle_deg: float
    part_length_mm: float
    mould_length_for_it_mm: float
    heat_margin_k: float
