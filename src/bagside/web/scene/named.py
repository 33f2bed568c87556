"""The words of a packed surface in the language and units of a reader: it is packed once, and read by many."""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from bagside.web.scene.buffers import MAGIC

ROUND = (1.0, 2.0, 5.0, 10.0)
"""Steps between bands, times a power of ten."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldUnit:
    """Another unit for a map.

    Parameters
    ----------
    sign, digits
        See `bagside.web.scene.Field`.
    times
        One of the unit it was packed in, in this one.
    """

    sign: str
    digits: int
    times: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldWords:
    """What a map is called.

    Parameters
    ----------
    name, spoken, limit_says
        See `bagside.web.scene.Field`.
    unit
        In which it is told; as packed when None.
    """

    name: str
    spoken: str
    limit_says: str = ""
    unit: FieldUnit | None = None


def named(buffer: bytes, words: Mapping[str, FieldWords]) -> bytes:
    """Return a packed surface whose maps are called otherwise; its arrays stay as they are.

    Parameters
    ----------
    buffer
        From `bagside.web.scene.packed`.
    words
        By the key of the map; a map that is not named stays as it is.

    Raises
    ------
    ValueError
        When the buffer is no packed surface.
    """
    if buffer[:4] != MAGIC or len(buffer) < 8:
        raise ValueError("this is no packed surface")
    (long,) = struct.unpack("<I", buffer[4:8])
    head = json.loads(buffer[8 : 8 + long])
    for field in head["fields"]:
        said = words.get(field["key"])
        if said is not None:
            field |= {"name": said.name, "spoken": said.spoken, "limitSays": said.limit_says}
            if said.unit is not None:
                field |= _told_in(said.unit, field)
    text = json.dumps(head, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode("utf-8")
    text += b" " * (-len(text) % 4)
    return MAGIC + struct.pack("<I", len(text)) + text + buffer[8 + long :]


def _told_in(unit: FieldUnit, field: Mapping[str, Any]) -> dict[str, Any]:
    """Return what of a map's head another unit changes; its bands stay as many and are round again."""
    limit = field["limit"]
    return {
        "perSi": field["perSi"] * unit.times,
        "limit": None if limit is None else limit * unit.times,
        "edges": _rounded([edge * unit.times for edge in field["edges"]]),
        "sign": unit.sign,
        "digits": unit.digits,
    }


def _rounded(edges: Sequence[float]) -> list[float]:
    """Return edges of bands as round numbers: even ones by a round step, others to two digits each."""
    if len(edges) < 2:
        return list(edges)
    steps = [b - a for a, b in pairwise(edges)]
    if edges[0] == 0.0 and max(steps) < 1.01 * min(steps):
        power = 10.0 ** math.floor(math.log10(steps[0]))
        step = next(power * r for r in ROUND if power * r > 0.9 * steps[0])
        return [round(k * step, 9) for k in range(len(edges))]
    near = [float(f"{edge:.2g}") for edge in edges]
    return near if all(a < b for a, b in pairwise(near)) else list(edges)
