"""Honest files of every kind, and packed ones, made for tests."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from typing import Any

import trimesh
from openpyxl import Workbook
from PIL import Image


def png(width: int, height: int, data: bytes = b"") -> bytes:
    def part(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + part(b"IHDR", head) + part(b"IDAT", data) + part(b"IEND", b"")


def zipped(parts: dict[str, bytes], how: int = zipfile.ZIP_DEFLATED) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", how) as packed:
        for name, body in parts.items():
            packed.writestr(zipfile.ZipInfo(name), body, how)
    return out.getvalue()


def a_mesh(suffix: str) -> bytes:
    made = trimesh.creation.box().export(file_type=suffix)
    return made.encode() if isinstance(made, str) else made


def a_picture(kind: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), "white").save(out, kind)
    return out.getvalue()


def a_workbook() -> bytes:
    book, out = Workbook(), io.BytesIO()
    book.active.append(["time", "T1"])
    book.save(out)
    return out.getvalue()


def a_dxf() -> bytes:
    import ezdxf

    made = ezdxf.new()
    made.modelspace().add_circle((0, 0), 5)
    out = io.StringIO()
    made.write(out)
    return out.getvalue().encode()


SVG = b'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><path d="M0 0z"/></svg>'
STEP = b"ISO-10303-21;\nHEADER;\nENDSEC;\nEND-ISO-10303-21;\n"
IGES = b"a drawing".ljust(72) + b"S      1\n" + b"1H,,1H;".ljust(72) + b"G      1\n"
GOOD: dict[str, Any] = {
    "box.stl": lambda: a_mesh("stl"), "text.STL": lambda: trimesh.creation.box().export(file_type="stl_ascii").encode(),
    "box.obj": lambda: a_mesh("obj"), "box.ply": lambda: a_mesh("ply"), "box.3mf": lambda: a_mesh("3mf"),
    "box.glb": lambda: a_mesh("glb"), "box.stp": lambda: STEP, "box.igs": lambda: IGES, "card.dxf": a_dxf,
    "card.svg": lambda: SVG, "card.jpeg": lambda: a_picture("JPEG"), "card.png": lambda: a_picture("PNG"),
    "card.webp": lambda: a_picture("WEBP"), "card.tiff": lambda: a_picture("TIFF"), "sheet.pdf": lambda: b"%PDF-1.7\n",
    "log.csv": lambda: b"time;T1\n0;20,1\n", "log.txt": lambda: "Zeit\tT °C\n".encode("utf-16"),
    "log.xlsx": a_workbook,
}  # fmt: skip
