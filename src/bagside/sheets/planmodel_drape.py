"""The form of the plies and their pieces in ``plan.json``."""

from __future__ import annotations

from pydantic import Field

from bagside.sheets.message import Flat, Message, Point


class SeamMessage(Message):
    """One side of a join of a piece; ``over`` says that this side is cut longer by the overlap and lies on top."""

    name: str
    join: str
    over: bool
    overlap_mm: float
    length_mm: float
    other: str


class AnglesMessage(Message):
    """Share of a piece's area in which threads run within an angle of the direction that is wanted."""

    within_3_deg_warp_percent: float
    within_5_deg_warp_percent: float
    within_10_deg_warp_percent: float
    within_3_deg_weft_percent: float
    within_5_deg_weft_percent: float
    within_10_deg_weft_percent: float


class PieceMessage(Message):
    """One cut piece as it drapes."""

    label: str
    ply: int
    material: str
    region: str
    angle_deg: float
    surface_cm2: float
    flat_cm2: float
    length_mm: float
    width_mm: float
    shear_median_deg: float
    shear_95_deg: float
    shear_99_deg: float
    yarn_strain_95_percent: float
    yarn_strain_99_percent: float
    over_locking_percent: float
    triangles: int
    steps: int
    scheme: str
    outline_mm: list[list[Flat]]
    holes_mm: dict[str, Flat]
    mass_g: float | None = None
    seams: list[SeamMessage] = Field(default_factory=list)
    angles: AnglesMessage | None = None


class CutMessage(Message):
    """One cut through a ply, as it lies on the mould."""

    line: str
    join: str
    overlap_mm: float
    length_mm: float
    points_mm: list[Point]


class TrialMessage(Message):
    """One way of cutting a ply that was tried."""

    what: str
    cuts: int
    cut_length_mm: float
    overlap_cm2: float
    shear_deg: float | None
    surplus_percent: float | None
    spanned_mm: float
    adds: float
    good: bool
    kept: bool


class ProposalMessage(Message):
    """What was proposed for a ply and its price; ``adds`` is in the job's money, for each part."""

    enough: bool
    why: str
    before: TrialMessage
    after: TrialMessage
    tried: list[TrialMessage] = Field(default_factory=list)


class PlyMessage(Message):
    """How one ply is cut; ``joins_apart_mm`` is the least distance to a join of the ply under or over it."""

    ply: int
    cuts: list[CutMessage] = Field(default_factory=list)
    joins_apart_mm: float | None = None
    proposals: list[ProposalMessage] = Field(default_factory=list)


class DrapeMessage(Message):
    """Every draped piece; pieces cut from cards stand under ``cutting``."""

    pieces: list[PieceMessage]
    plies: list[PlyMessage] = Field(default_factory=list)
