"""The form of the cure in ``plan.json``."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from bagside.sheets.message import Message, Point


class SectionMessage(Message):
    """What one section went through."""

    name: str
    hottest_c: float
    overshoot_k: float
    cure_lagging: float
    cure_leading: float
    tg_c: float
    gel_min: float | None
    gel_c: float | None
    lowest_viscosity_pa_s: float | None
    flow_min: float | None
    spread_k: float
    dwell_min: float
    tool_hottest_c: float | None
    stiff_margin_k: float


class KeptMessage(Message):
    """How closely one limit is kept where it is closest, in SI units."""

    limit: str
    margin: float
    place: str
    scenario: str
    time_min: float


class RunMessage(Message):
    """One oven run."""

    name: str
    duration_min: float
    energy_kwh: float
    tool_limit_c: float | None
    segments: list[dict[str, float]]
    reasons: Annotated[list[str], Field(description="What holds each segment back, when the cycle was looked for.")]
    kept: Annotated[list[KeptMessage], Field(description="How closely limits are kept, when it was looked for.")]
    sections: list[SectionMessage]


class PlaceMessage(Message):
    """A place that heat passes through."""

    name: str
    laminate_mm: float
    mould_mm: float | None
    point_mm: Annotated[Point | None, Field(description="On the mould; null without a surface.")]
    leads: bool
    lags: bool


class MouldHeatMessage(Message):
    """How hot the mould may be."""

    limit_c: float
    rests_on: str
    tg_c: float | None
    tg_after_c: float | None


class ChanceMessage(Message):
    """In how many of many days every limit holds."""

    holds: float
    low: float
    high: float
    draws: int


class CureMessage(Message):
    """The cure."""

    resin: str
    life_used_share: float
    start: Annotated[float, Field(description="Degree of cure when the oven is switched on.")]
    fitted: Annotated[str, Field(description="What the law was fitted to, when it was fitted here.")]
    places: list[PlaceMessage]
    mould: MouldHeatMessage | None
    chance: ChanceMessage | None = None
    runs: list[RunMessage]
