"""What kind of file was sent, by what is in it; its name must agree.

Only beginnings and lists of contents are looked at here, in the server's own process, by code that keeps no more than a
few kilobytes. Whether the rest is whole is for the parser to say, in a process of its own (`bagside.web.guard.parsed`).
"""

from __future__ import annotations

import re
import struct
from collections.abc import Collection
from enum import StrEnum
from pathlib import Path
from xml.parsers import expat

from bagside.errors import InputError
from bagside.web.guard.packed import looked_into

HEAD = 65_536  # bytes looked at
MOST_PIXELS = 150_000_000


class Kind(StrEnum):
    """Files that are taken, each by the suffix it is kept under."""

    STL = ".stl"
    OBJ = ".obj"
    PLY = ".ply"
    THREE_MF = ".3mf"
    GLB = ".glb"
    STEP = ".step"
    IGES = ".iges"
    DXF = ".dxf"
    SVG = ".svg"
    JPEG = ".jpg"
    PNG = ".png"
    WEBP = ".webp"
    TIFF = ".tif"
    PDF = ".pdf"
    CSV = ".csv"
    WORKBOOK = ".xlsx"


MESHES = frozenset({Kind.STL, Kind.OBJ, Kind.PLY, Kind.THREE_MF, Kind.GLB, Kind.STEP, Kind.IGES})
DRAWINGS = frozenset({Kind.DXF, Kind.SVG})
PHOTOS = frozenset({Kind.JPEG, Kind.PNG, Kind.WEBP, Kind.TIFF})
SHEETS = frozenset({Kind.JPEG, Kind.PNG, Kind.WEBP, Kind.PDF})
"""Pictures of data sheets."""
LOGS = frozenset({Kind.CSV, Kind.WORKBOOK})
SUFFIXES = {
    ".jpeg": Kind.JPEG, ".tiff": Kind.TIFF, ".stp": Kind.STEP, ".igs": Kind.IGES, ".txt": Kind.CSV, ".tsv": Kind.CSV,
    ".log": Kind.CSV, ".dat": Kind.CSV, **{k.value: k for k in Kind},
}  # fmt: skip
"""Suffixes by which a kind may be called."""


def kind_of(path: Path, name: str, kinds: Collection[Kind]) -> Kind:
    """Return the kind of a file that was sent.

    Parameters
    ----------
    path
        Where it lies.
    name
        As it was called; for its suffix, and for messages.
    kinds
        That are taken here.

    Raises
    ------
    InputError
        When it is of no kind that is taken here, is not what its name says, or would unpack to too much.
    """
    suffix = Path(name).suffix.lower()
    said = SUFFIXES.get(suffix)
    wanted = "a file of one of these kinds is wanted: " + ", ".join(sorted(k.value[1:].upper() for k in kinds))
    with path.open("rb") as file:
        head = file.read(HEAD)
    if any(k in PHOTOS for k in kinds) and head[4:8] == b"ftyp":
        raise InputError.one(
            name, "a photo or film as phones pack them (HEIC, AVIF, MP4)", wanted,
            "let the camera take JPEG (most compatible), or export the photo as JPEG",
        )  # fmt: skip
    if said is None or said not in kinds:
        raise InputError.one(name, f'"{suffix}"' if suffix else "its name has no ending", wanted)
    size = path.stat().st_size
    if size == 0:
        raise InputError.one(name, "", "the file is empty", "copy it or export it again")
    if not _fits(said, path, head, size, name):
        found = next((k for k in Kind if k is not said and _known_by_sign(k, head)), None)
        came = f"its content is {found.value[1:].upper()}" if found else "its content is something else"
        raise InputError.one(name, came, f"its name says {said.value[1:].upper()}", "export it again")
    return said


def _fits(kind: Kind, path: Path, head: bytes, size: int, name: str) -> bool:
    """Return whether a file can be of a kind."""
    match kind:
        case Kind.STL:
            return _is_stl(head, size)
        case Kind.OBJ:
            return _is_text(head) and re.search(rb"(?m)^\s*v\s+[-+.\d]", head) is not None
        case Kind.SVG:
            return _is_svg(head, name)
        case Kind.DXF:
            return head.startswith(b"AutoCAD Binary DXF\r\n\x1a\x00") or (
                _is_text(head) and re.match(rb"\s*(999\r?\n[^\n]*\n\s*)*0\s*\r?\n\s*SECTION\b", head) is not None
            )
        case Kind.IGES:
            return _is_text(head) and re.match(rb"[^\r\n]{72}S *0*1\s", head) is not None
        case Kind.CSV:
            return _is_text(head)
        case Kind.THREE_MF:
            return head.startswith(b"PK") and any(n.lower().endswith(".model") for n in looked_into(path, name))
        case Kind.WORKBOOK:
            return head.startswith(b"PK") and "xl/workbook.xml" in looked_into(path, name, 200_000_000)
        case Kind.PNG | Kind.WEBP | Kind.JPEG | Kind.TIFF:
            return _known_by_sign(kind, head) and _not_too_many(kind, head, name)
        case _:
            return _known_by_sign(kind, head)


def _known_by_sign(kind: Kind, head: bytes) -> bool:
    """Return whether a file begins as one of this kind does."""
    match kind:
        case Kind.PLY:
            return re.match(rb"ply\r?\n", head) is not None
        case Kind.GLB:
            return head[:4] == b"glTF"
        case Kind.STEP:
            return head.lstrip()[:13] == b"ISO-10303-21;"
        case Kind.JPEG:
            return head[:3] == b"\xff\xd8\xff"
        case Kind.PNG:
            return head[:8] == b"\x89PNG\r\n\x1a\n" and head[12:16] == b"IHDR"
        case Kind.WEBP:
            return head[:4] == b"RIFF" and head[8:12] == b"WEBP"
        case Kind.TIFF:
            return head[:4] in (b"II*\x00", b"MM\x00*")
        case Kind.PDF:
            return head[:5] == b"%PDF-"
        case Kind.THREE_MF | Kind.WORKBOOK:
            return False  # both are zips: a sign alone does not tell
        case _:
            return False


def _is_stl(head: bytes, size: int) -> bool:
    """Return whether this can be an STL; a binary one is known by its size, whatever its first word says."""
    if len(head) >= 84 and size == 84 + 50 * int(struct.unpack("<I", head[80:84])[0]):
        return True
    if head.lstrip()[:5].lower() == b"solid" and _is_text(head):
        return True
    # One that was cut off in copying is an STL all the same: its reader says how much is missing.
    other = head.startswith(b"PK") or any(_known_by_sign(k, head) for k in Kind)
    return len(head) >= 84 and not _is_text(head) and not other


def _is_text(head: bytes) -> bool:
    """Return whether a file begins as text does: no byte that is in no text."""
    if head[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return True  # UTF-16 with its mark, as some loggers write
    return b"\x00" not in head and not any(c < 32 and c not in (9, 10, 12, 13, 26, 27) for c in head[:4096])


def _is_svg(head: bytes, name: str) -> bool:
    """Return whether a file begins as SVG; one that declares anything of its own is refused."""
    found: list[str] = []
    reader = expat.ParserCreate(namespace_separator="|")

    def declared(*_: object) -> None:
        raise InputError.one(name, "it declares entities", "they are never read", "save it as plain SVG")

    def started(tag: str, _: object) -> None:
        if not found:
            found.append(tag)

    reader.EntityDeclHandler = declared
    reader.StartElementHandler = started
    try:
        reader.Parse(head, False)
    except expat.ExpatError:
        if not found:
            return False
    return bool(found) and found[0] in ("svg", "http://www.w3.org/2000/svg|svg")


def _not_too_many(kind: Kind, head: bytes, name: str) -> bool:
    """Refuse a picture whose head says it has more pixels than are read, before anything makes room for them."""
    size = _pixels(kind, head)
    if size is not None and size[0] * size[1] > MOST_PIXELS:
        wanted = f"up to {MOST_PIXELS // 1_000_000} million pixels are read"
        raise InputError.one(name, f"{size[0]} × {size[1]} pixels", wanted, "save it smaller")
    return True


def _pixels(kind: Kind, head: bytes) -> tuple[int, int] | None:
    """Return width and height, where the head says it plainly; None leaves it to the parser."""
    if kind is Kind.PNG and len(head) >= 24:
        return struct.unpack(">II", head[16:24])
    if kind is Kind.WEBP and head[12:16] == b"VP8X" and len(head) >= 30:
        return 1 + int.from_bytes(head[24:27], "little"), 1 + int.from_bytes(head[27:30], "little")
    if kind is Kind.JPEG:
        at = 2
        while at + 9 < len(head) and head[at] == 0xFF:
            mark, length = head[at + 1], int.from_bytes(head[at + 2 : at + 4], "big")
            if 0xC0 <= mark <= 0xCF and mark not in (0xC4, 0xC8, 0xCC):
                return int.from_bytes(head[at + 7 : at + 9], "big"), int.from_bytes(head[at + 5 : at + 7], "big")
            at += 2 + length
    return None
