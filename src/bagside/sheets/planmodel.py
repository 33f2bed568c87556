"""The form of ``plan.json``, and the schema that is published beside it.

One object for each bench under the bench's name; every number's key carries its unit. `schema_text` is what stands in
``plan.schema.json``; a test holds the two together.
"""

from __future__ import annotations

import json
from typing import Annotated, Literal

from pydantic import Field

from bagside.sheets.message import Flat, Message, Point
from bagside.sheets.planmodel_cure import CureMessage
from bagside.sheets.planmodel_drape import DrapeMessage
from bagside.sheets.planmodel_mould import MouldMessage
from bagside.sheets.planmodel_tiles import PatchworkMessage, TwinMessage


class JobMessage(Message):
    """What is built."""

    name: str
    quantity: int
    note: str
    workshop: str


class ZoneMessage(Message):
    """Triangles covered by the same plies."""

    plies: list[int]
    area_cm2: float
    share_percent: float
    thickness_mm: float
    mass_g_per_m2: float
    angles_deg: list[float]
    shear_rms_deg: list[float]
    ex_gpa: float
    ey_gpa: float
    gxy_gpa: float
    nuxy: float
    ex_bending_gpa: float
    ey_bending_gpa: float
    symmetry_error: float
    balance_error: float
    a_n_per_m: list[list[float]]
    b_n: list[list[float]]
    d_n_m: list[list[float]]


class MatchMessage(Message):
    """Beside the part that is replaced: new stiffness over old."""

    bending_ratio: float
    pushed_ratio: float
    in_plane_ratio: float
    bending_thickness_mm: float
    pushed_thickness_mm: float
    in_plane_thickness_mm: float
    mass_saving_percent: float


class LaminateMessage(Message):
    """The laminate."""

    part_cm2: float
    mass_g: float
    bare_cm2: float
    zones: list[ZoneMessage]
    match: MatchMessage | None


class PlacementMessage(Message):
    """Where one copy lies on the cloth."""

    piece: str
    copy_number: int
    kit: str
    face_down: bool
    turn_deg: float
    x_mm: float
    y_mm: float


class LayoutMessage(Message):
    """What is cut from one roll or one offcut; the other name is empty, and an offcut has no width and no pull."""

    roll: str
    offcut: str
    batch: str
    width_mm: float | None
    pull_mm: float | None
    utilisation_percent: float
    cost: float
    offcuts_kept: int
    offcuts_m2: float
    placements: list[PlacementMessage]


class ClothMessage(Message):
    """One cloth: from rolls and offcuts together."""

    material: str
    pull_mm: float
    utilisation_percent: float
    cost: float
    roll_alone_cost: float | None
    knife_path_m: float
    cutting_min: float
    offcuts_kept: int
    offcuts_m2: float
    cut_on: str | None
    layouts: list[LayoutMessage]


class CardMessage(Message):
    """One piece cut from a card; ``copies`` are for each part."""

    label: str
    ply: int
    material: str
    region: str
    angle_deg: float
    copies: int
    length_mm: float
    width_mm: float
    area_cm2: float
    mass_g: float
    outline_mm: list[list[Flat]]


class CuttingMessage(Message):
    """Every cloth, and every piece that is cut from a card and not draped."""

    cloths: list[ClothMessage]
    cards: list[CardMessage] = Field(default_factory=list)


class BagItemMessage(Message):
    """One thing in the bag."""

    name: str
    quantity: float
    unit: str
    how: str
    basis: str


class DebulkMessage(Message):
    """One debulk."""

    after_ply: int
    minutes: float
    warm: bool
    why: str
    reasons: list[str] = Field(default_factory=list)
    air_min: Annotated[
        list[float] | None, Field(description="Time air needs: most permeable, middle and least permeable cloth.")
    ] = None
    life_h: float = 0.0
    may_merge: bool = False


class BreathingMessage(Message):
    """How the part breathes."""

    spacing_mm: float
    longest_mm: float
    reach_mm: float
    beyond_share: float


class PressureMapMessage(Message):
    """What presses on the lay-up where corners take from it."""

    flat_mbar: float
    least_mbar: float | None
    bridged_share: float
    resin_least_mbar: Annotated[list[float] | None, Field(description="With none and much of it carried by fibres.")]


class BaggingMessage(Message):
    """The bag."""

    kind: str
    items: list[BagItemMessage]
    sheet_mm: Flat
    tape_run_mm: float
    pleats: int
    ports: int
    pump_down_s: float
    pressure_mbar: float
    debulks: list[DebulkMessage]
    pressure_map: PressureMapMessage | None = None
    debulk_advice: list[str] = Field(default_factory=list)
    breathing: BreathingMessage | None = None


class BondMessage(Message):
    """One bonded bracket."""

    name: str
    area_cm2: float
    area_needed_cm2: float
    reserve: float | None
    mean_mpa: float
    peak_mpa: float
    adhesive_g: float
    isolate: bool
    heat_margin_k: float


class HoleMessage(Message):
    """One drilled hole; its distance to the edge is null when nobody measured it."""

    name: str
    edge_mm: float | None
    edge_wanted_mm: float
    thickness_mm: float


class JoiningMessage(Message):
    """Brackets and holes."""

    bonds: list[BondMessage]
    holes: list[HoleMessage]


class CoatMessage(Message):
    """One coating."""

    name: str
    times: int
    area_m2: float
    wet_um: float
    dry_um: float
    mixed_ml: float
    first_g: float
    second_g: float
    isocyanate: bool


class FinishingMessage(Message):
    """Coats and climate."""

    dew_point_c: float
    surface_c: float
    fill: CoatMessage | None
    coats: list[CoatMessage]


class StepMessage(Message):
    """One step."""

    key: str
    name: str
    stage: str
    do: list[str]
    boxes: list[str]
    attended_min: float
    unattended_min: float
    each: bool
    cautions: list[str]


class SlotMessage(Message):
    """When a task is done."""

    task: str
    start: str
    end: str


class TimeMessage(Message):
    """Steps and calendar."""

    attended_h_per_part: float
    steps: list[StepMessage]
    calendar: list[SlotMessage]
    start: str
    finish: str


class CostLineMessage(Message):
    """One line of cost."""

    what: str
    group: str
    total: str
    amount: float
    unit: str
    price: float
    cost: float
    basis: str


class MoneyMessage(Message):
    """Three totals and the price by number off."""

    currency: str
    repeat: float
    one_off: float
    equipment: float
    price: float
    prices: dict[str, float]
    lines: list[CostLineMessage]


class FindingMessage(Message):
    """One finding."""

    severity: Literal["stop", "decide", "watch", "seen"]
    stage: str
    place: str
    what: str
    why: str
    do: str
    basis: str
    source: str
    point_mm: Point | None


class PlanMessage(Message):
    """The whole plan."""

    format: Literal[1] = 1
    bagside: str
    made_from: str
    job: JobMessage
    inputs: dict[str, str]
    mould: MouldMessage
    drape: Annotated[
        DrapeMessage | None, Field(description="Null when the part was measured by tape: then no cloth is draped.")
    ]
    laminate: LaminateMessage
    cutting: CuttingMessage
    bagging: BaggingMessage
    cure: CureMessage
    joining: JoiningMessage
    finishing: FinishingMessage
    time: TimeMessage
    money: MoneyMessage
    patchwork: PatchworkMessage | None = None
    twin: TwinMessage | None = None
    findings: list[FindingMessage]
    files: dict[str, str]


def schema_text() -> str:
    """Return the published JSON schema of ``plan.json``."""
    schema = PlanMessage.model_json_schema()
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "bagside plan, format 1"
    return json.dumps(schema, indent=1, ensure_ascii=False, sort_keys=True) + "\n"


if __name__ == "__main__":
    from pathlib import Path

    Path(__file__).with_name("plan.schema.json").write_text(schema_text(), encoding="utf-8")
