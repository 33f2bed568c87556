"""Reading a mould's shape from STEP or IGES, through an optional library, in a process of its own.

The library is a compiled modeller that may stop the whole process on a broken file; so it runs apart, with a time
limit, and what it says is turned into one sentence. These files carry their unit, and it is used: a stated one is not.
"""

from __future__ import annotations

import importlib.util
import subprocess
import sys
import tempfile
from pathlib import Path

from bagside.errors import InputError

METRES = {"STEP": 1.0, "IGES": 0.001}  # [m] what one unit of the result is: measured with files in mm, inch and m
SUFFIXES = {".step": "STEP", ".stp": "STEP", ".iges": "IGES", ".igs": "IGES"}
LINEAR = 0.1  # [mm] how far a triangle may stray from the true surface
ANGULAR = 0.2  # [rad] and how far it may turn from it: a fillet of 3 mm gets triangles of 0.6 mm
LONGEST = 300.0  # [s]
OWN_UNIT = "its own unit"

_WORK = """
import sys, cascadio
source, target, kind, linear, angular = sys.argv[1:]
with open(source, "rb") as file:
    data = file.read()
made = cascadio.to_glb_bytes(
    data, getattr(cascadio.FileType, kind), tol_linear=float(linear), tol_angular=float(angular), use_parallel=False
)
with open(target, "wb") as file:
    file.write(made)
"""


def available() -> bool:
    """Return whether the optional library is installed."""
    return importlib.util.find_spec("cascadio") is not None


def glb_of(name: str, data: bytes, suffix: str, longest: float = LONGEST) -> bytes:
    """Return a STEP or IGES file as a GLB file, one unit of which is as long as `METRES` says.

    Parameters
    ----------
    name
        The file's name, for messages.
    data
        Its content.
    suffix
        The end of its name, one of `SUFFIXES`.
    longest
        Time it may take [s].

    Raises
    ------
    InputError
        When the library is not installed, or it cannot make triangles of the file in time.

    Notes
    -----
    Triangles stray from the true surface by no more than 0.1 mm and turn from it by no more than 0.2 rad.
    """
    kind = SUFFIXES[suffix]
    if not available():
        raise InputError.one(
            name,
            "",
            f"reading {kind} needs an optional library; install it with: pip install bagside[cad]",
            "or export the surface as STL",
        )
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder) / f"shape{suffix}", Path(folder) / "shape.glb"
        source.write_bytes(data)
        command = [sys.executable, "-c", _WORK, str(source), str(target), kind, str(LINEAR), str(ANGULAR)]
        try:
            ended = subprocess.run(command, capture_output=True, timeout=longest, check=False)
        except subprocess.TimeoutExpired:
            raise InputError.one(
                name,
                "",
                f"no triangles were made of this {kind} file in {longest:.0f} s",
                "export only the mould's face from the drawing program, or export it as STL",
            ) from None
        made = target.read_bytes() if target.is_file() else b""
    if ended.returncode != 0 or not made:
        raise InputError.one(
            name, "", f"the file cannot be read as {kind}, it is cut off, broken or holds no surface", "export it again"
        )
    return made
