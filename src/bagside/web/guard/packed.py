"""Packed files (3MF, workbooks): looked at before anything unpacks them.

A zip says of each part how large it will be, and Python's reader gives no more of a part than that, so a bomb shows
itself in its list of contents: too large in all, too many parts, or packed more tightly than honest text is. Parts that
overlap (one body, listed a thousand times) show in the sum as well. Names in the list are never used to write anything
here, but a name that leads out of a folder is a sign of ill will, and is refused.
"""

from __future__ import annotations

import stat
import zipfile
import zlib
from pathlib import Path

from bagside.errors import InputError
from bagside.web.guard.paths import fault_of

MOST_PARTS = 3000
MOST_UNPACKED = 1_500_000_000  # bytes
TIGHTEST = 250.0
"""Times a part may shrink once it is of some size; XML of meshes and cells shrinks 4 to 17 times (measured), and
deflate can do 1032."""
LARGE = 5_000_000  # bytes of a part from which on that counts
DIRECTORY = 20_000_000  # bytes of the list of contents
_CURE = "save it again from the program it came from"


def looked_into(path: Path, name: str, most: int = MOST_UNPACKED) -> frozenset[str]:
    """Return the names of the parts of a packed file that may be unpacked.

    Parameters
    ----------
    path
        Of the file.
    name
        For messages.
    most
        Bytes it may unpack to.

    Raises
    ------
    InputError
        When it is no whole zip, or would unpack to too much, or holds what an honest one does not.
    """
    try:
        with zipfile.ZipFile(path) as packed:
            parts = packed.infolist()
            start = packed.start_dir
    except (zipfile.BadZipFile, OSError, ValueError, EOFError, zlib.error, NotImplementedError, MemoryError):
        raise InputError.one(name, "", "this packed file is broken or cut off", _CURE) from None
    if len(parts) > MOST_PARTS or path.stat().st_size - start > DIRECTORY:
        raise InputError.one(name, f"{len(parts)} parts", f"up to {MOST_PARTS} parts are unpacked", _CURE)
    size = sum(part.file_size for part in parts)
    if size > most:
        came = f"{size / 1e6:.0f} MB unpacked"
        raise InputError.one(name, came, f"up to {most / 1e6:.0f} MB are unpacked", "send a smaller file")
    if sum(part.compress_size for part in parts) > path.stat().st_size:
        raise InputError.one(name, "", "its parts lie over each other", _CURE)
    for part in parts:
        _one(part, name)
    names = [part.filename for part in parts]
    if len(set(names)) != len(names):
        raise InputError.one(name, "", "it holds two parts of one name", _CURE)
    return frozenset(names)


def _one(part: zipfile.ZipInfo, name: str) -> None:
    called = part.filename.rstrip("/")
    why = fault_of(called)
    if why and why != "hidden files are not for requests" and not _is_usual(called):
        raise InputError.one(name, f'a part named "{_short(called)}"', why, _CURE)
    if part.flag_bits & 0x1:
        raise InputError.one(name, "it is locked with a password", "a file that opens without one is wanted", _CURE)
    if part.create_system == 3 and stat.S_ISLNK(part.external_attr >> 16):
        raise InputError.one(name, f'"{_short(called)}" is a link', "a packed file without links is wanted", _CURE)
    if part.file_size > LARGE and part.file_size > TIGHTEST * max(part.compress_size, 1):
        came = f"a part of {part.compress_size} bytes that unpacks to {part.file_size / 1e6:.0f} MB"
        raise InputError.one(name, came, "this is packed more tightly than a drawing or a table is", _CURE)


def _is_usual(called: str) -> bool:
    """Return whether a part is one that packages of the kind have though its name is no name of a file."""
    return called in ("[Content_Types].xml", "_rels/.rels")


def _short(called: str) -> str:
    return "".join(c if c.isprintable() else "?" for c in called[:60])
