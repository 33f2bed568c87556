"""What bodies of events are made of: the class they share, and the words that stand in them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any, TypeVar, dataclass_transform

from pydantic import ConfigDict

T = TypeVar("T")
Loop = tuple[tuple[float, float], ...]


@dataclass_transform(frozen_default=True, kw_only_default=True)
def happening(cls: type[T]) -> type[T]:
    """Make a class a frozen body: unknown keys, and numbers that are none, are refused when it is read."""
    made: Any = dataclass(frozen=True, slots=True, kw_only=True)(cls)
    made.__pydantic_config__ = ConfigDict(extra="forbid", allow_inf_nan=False)
    result: type[T] = made
    return result


class Sort(StrEnum):
    """What a thing is."""

    ROLL = "roll"
    KIT = "kit"
    OFFCUT = "offcut"
    ADHESIVE = "adhesive"
    COATING = "coating"
    CONSUMABLE = "consumable"
    MOULD = "mould"
    PLACE = "place"
    BUILD = "build"


CLOTH = (Sort.ROLL, Sort.KIT, Sort.OFFCUT)
GOODS = (Sort.ADHESIVE, Sort.COATING, Sort.CONSUMABLE)


class Use(StrEnum):
    """What a consumable is used for, which decides whether it may be used again."""

    BAG = "bag"  # a vacuum bag for a cure: one heat cycle, then never again
    DEBULK_BAG = "debulk bag"
    REUSABLE_BAG = "reusable bag"
    BREATHER = "breather"
    RELEASE_FILM = "release film"
    TAPE = "sealant tape"
    OTHER = "other"


class MassStage(StrEnum):
    """At which moment a part is weighed."""

    KIT = "kit"
    LAID = "laid"
    RAW = "raw"
    TRIMMED = "trimmed"
    FINISHED = "finished"
    FILMS = "films"  # not the part: the backing films that came off, weighed together


class Found(StrEnum):
    """What a measurement measures."""

    MASS = "mass"
    THICKNESS = "thickness"
    PINHOLES = "pinholes"
    LEAK = "leak"
    CLIMATE = "climate"
    CORE = "core temperature"
    DISTORTION = "distortion"
    HOLE = "hole position"
    DRY_FILM = "dry film"
    HOURS = "hours"
    WATER_BREAK = "water break"
    TAP = "tap test"
    DEMOULD = "demould temperature"
    THERMOCOUPLES = "thermocouples"
