"""A reader of GLB files by the words of the open standard, for tests: it trusts nothing that was written."""

from __future__ import annotations

import json
import struct
from typing import Any

import numpy as np

FLOATS, BYTES = {5126: 4, 5123: 2, 5125: 4}, {"SCALAR": 1, "VEC3": 3, "VEC4": 4}


def opened(content: bytes) -> tuple[dict[str, Any], bytes]:
    """Return the JSON and the data of a container, read by the rules of the standard's chapter 4."""
    magic, version, length = struct.unpack_from("<4sII", content, 0)
    assert (magic, version, length) == (b"glTF", 2, len(content))
    size, kind = struct.unpack_from("<I4s", content, 12)
    assert kind == b"JSON"
    assert size % 4 == 0
    text = content[20 : 20 + size]
    assert text.rstrip(b" ").endswith(b"}")
    more, other = struct.unpack_from("<I4s", content, 20 + size)
    assert other == b"BIN\0"
    assert more % 4 == 0
    assert 28 + size + more == length
    return json.loads(text), content[28 + size :]


def held(document: dict[str, Any], data: bytes) -> None:
    """Hold a document against what the standard says must be so."""
    assert document["asset"]["version"] == "2.0"
    assert document["buffers"][0]["byteLength"] <= len(data) < document["buffers"][0]["byteLength"] + 4
    end = 0
    for view in document["bufferViews"]:
        assert view["byteOffset"] == end
        assert view["byteOffset"] + view["byteLength"] <= len(data)
        end = view["byteOffset"] + view["byteLength"]
        end += -end % 4
    for mesh in document["meshes"]:
        for primitive in mesh["primitives"]:
            counts = set()
            for name, index in primitive["attributes"].items():
                accessor = document["accessors"][index]
                view = document["bufferViews"][accessor["bufferView"]]
                wide = FLOATS[accessor["componentType"]] * BYTES[accessor["type"]]
                assert wide % 4 == 0, "every corner's value stands on a multiple of four bytes"
                assert view["byteOffset"] % FLOATS[accessor["componentType"]] == 0
                assert view["byteLength"] == wide * accessor["count"]
                assert view["target"] == 34962
                assert name != "POSITION" or {"min", "max"} <= set(accessor)
                counts.add(accessor["count"])
            assert len(counts) == 1
            accessor = document["accessors"][primitive["indices"]]
            view = document["bufferViews"][accessor["bufferView"]]
            kind = {5123: "<u2", 5125: "<u4"}[accessor["componentType"]]
            index = np.frombuffer(data, kind, accessor["count"], view["byteOffset"])
            assert view["target"] == 34963
            assert index.max() < counts.pop()
            assert index.max() < np.iinfo(kind).max, "the highest number means a new strip"
            assert accessor["count"] % {4: 3, 1: 2}[primitive["mode"]] == 0
            assert primitive["material"] < len(document["materials"])


def srgb(light: np.ndarray) -> np.ndarray:
    """Return linear light as it is printed (IEC 61966-2-1)."""
    return 255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


def at_corners(content: bytes) -> np.ndarray:
    """Return the colours of the first mesh's corners, read from the file by the standard's rules."""
    document, data = opened(content)
    accessor = document["accessors"][document["meshes"][0]["primitives"][0]["attributes"]["COLOR_0"]]
    assert accessor["normalized"] is True
    start = document["bufferViews"][accessor["bufferView"]]["byteOffset"]
    found = np.frombuffer(data, "<u2", 4 * accessor["count"], start).reshape(-1, 4) / 65_535
    assert (found[:, 3] == 1.0).all()
    return srgb(found[:, :3])
