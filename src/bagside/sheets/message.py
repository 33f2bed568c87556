"""What every object of ``plan.json`` has in common."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

Point = Annotated[list[float], Field(min_length=3, max_length=3)]
Flat = Annotated[list[float], Field(min_length=2, max_length=2)]


class Message(BaseModel):
    """Base: nothing unknown, nothing that is not a number."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False, frozen=True)
