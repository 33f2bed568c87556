"""Names from requests, kept inside the folder they belong to.

A name is looked at as text first, by the rules of every system the folder may be carried to, and only then on the disk,
where links are followed to see where they end. Names that begin with a dot are nobody's business: the access file is
one.
"""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path

from bagside.errors import InputError

LONGEST_PART = 200  # bytes of a part in UTF-8: 255 is what file systems take, less what a draft's name adds
LONGEST = 900  # bytes
MOST_PARTS = 12
_DEVICES = frozenset(
    {"con", "prn", "aux", "nul", "conin$", "conout$", "clock$"}
    | {f"{port}{n}" for port in ("com", "lpt") for n in (*range(10), "¹", "²", "³")}
)
"""Names that Windows takes for devices, with any ending (Microsoft, "Naming Files, Paths, and Namespaces")."""
_FORBIDDEN = re.compile(r'[\x00-\x1f\x7f<>:"|?*\\]')
_WANTED = "a name of letters, digits, spaces, dots and hyphens is wanted"


def inside(folder: Path, name: str) -> Path:
    """Return the path of a file or folder that lies inside a folder; it need not be there.

    Parameters
    ----------
    folder
        In which it must lie.
    name
        From a request; parts are parted by slashes.

    Raises
    ------
    InputError
        When the name is none, or leads out of the folder, by itself or through a link.
    """
    why = fault_of(name)
    if why:
        raise InputError.one("name", _shown(name), why, _WANTED)
    base = folder.resolve()
    try:
        ends = (base / name).resolve()
        leaves = ends == base or not ends.is_relative_to(base)
    except (OSError, RuntimeError, ValueError):  # a ring of links, or a name the system does not take
        leaves = True
    if leaves:
        raise InputError.one("name", _shown(name), "it leads out of its folder", "use a file that lies in the folder")
    return base / name


def fault_of(name: str) -> str:
    """Return what is wrong with a name, as text; empty when nothing is.

    Parameters
    ----------
    name
        From a request; parts are parted by slashes.

    Examples
    --------
    >>> fault_of("jobs/lid/mould.stl"), fault_of("../lid"), fault_of("lpt1.txt")
    ('', 'it leads out of its folder', 'Windows takes it for a device')
    """
    try:
        size = len(name.encode("utf-8"))
    except UnicodeEncodeError:
        return "it holds half a character"
    if not name:
        return "it is empty"
    if size > LONGEST:
        return f"it is longer than {LONGEST} bytes"
    if name.startswith(("/", "~")) or re.match(r"[A-Za-z]:", name):
        return "it leads out of its folder"
    parts = name.split("/")
    if any(part == ".." for part in re.split(r"[/\\]", name)):
        return "it leads out of its folder"
    if len(parts) > MOST_PARTS:
        return f"it has more than {MOST_PARTS} parts"
    return next((why for part in parts if (why := _fault_of_part(part))), "")


def plain_name(name: str, otherwise: str = "file") -> str:
    """Return a name for a file somebody sent: what they called it, as far as that is a name everywhere.

    Parameters
    ----------
    name
        As sent; folders in it are left out.
    otherwise
        When nothing is left.

    Examples
    --------
    >>> plain_name("C:\\\\fakepath\\\\Deck mould (2).stl"), plain_name("../../.ssh/id"), plain_name("con.stl")
    ('Deck mould (2).stl', 'id', '_con.stl')
    """
    last = re.split(r"[/\\]", name)[-1]
    whole = unicodedata.normalize("NFC", last.encode("utf-8", "ignore").decode("utf-8"))
    kept = "".join("_" if _FORBIDDEN.match(c) or not c.isprintable() else c for c in whole).lstrip(". ~").rstrip(". ")
    stem, dot, end = kept.rpartition(".")
    if not dot:
        stem, end = kept, ""
    while stem and len((stem + dot + end).encode()) > LONGEST_PART:
        stem = stem[:-1]
    kept = (stem + dot + end).strip() if stem else ""
    if kept.partition(".")[0].rstrip().lower() in _DEVICES:
        kept = f"_{kept}"
    return kept if kept and not fault_of(kept) else otherwise


def _fault_of_part(part: str) -> str:
    if not part or part == ".":
        return "a part of it is empty"
    if part.startswith("."):
        return "hidden files are not for requests"
    if _FORBIDDEN.search(part) or not part.isprintable():
        return "it holds a character that is in no name"
    if part[-1] in ". " or part[0] == " ":
        return "a part of it ends in a dot or a space, or begins with one"
    if len(part.encode()) > LONGEST_PART:
        return f"a part of it is longer than {LONGEST_PART} bytes"
    if part.partition(".")[0].rstrip().lower() in _DEVICES:
        return "Windows takes it for a device"
    return ""


def _shown(name: str) -> str:
    short = name if len(name) <= 60 else name[:60] + "…"
    return '"' + "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in short) + '"'
