"""The words of a packed surface in the language of a reader: it is packed once, and read by many."""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping
from dataclasses import dataclass

from bagside.web.scene.buffers import MAGIC


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldWords:
    """What a map is called.

    Parameters
    ----------
    name, spoken, limit_says
        See `bagside.web.scene.Field`.
    """

    name: str
    spoken: str
    limit_says: str = ""


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
    text = json.dumps(head, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode("utf-8")
    text += b" " * (-len(text) % 4)
    return MAGIC + struct.pack("<I", len(text)) + text + buffer[8 + long :]
