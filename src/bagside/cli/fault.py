"""A fault of the program itself: kept whole in a file, shown as a number."""

from __future__ import annotations

import platform
import secrets
import sys
import tempfile
import traceback
from importlib.metadata import version
from pathlib import Path


def kept_fault() -> str:
    """Write the exception being handled to a file and return the sentence a person sees."""
    number = secrets.token_hex(4)
    folder = Path(tempfile.gettempdir()) / "bagside-faults"
    text = (
        f"bagside {version('bagside')}, Python {platform.python_version()}, {platform.platform()}\n"
        f"command: {' '.join(sys.argv[1:])}\n\n{traceback.format_exc()}"
    )
    try:
        folder.mkdir(exist_ok=True)
        (folder / f"{number}.txt").write_text(text, encoding="utf-8")
        where = f"The whole of it is in {folder / (number + '.txt')}; send that file with your report."
    except OSError:
        where = "It could not be written to a file."
    return f"bagside: a fault of the program itself, number {number}. Nothing of yours was changed. {where}"
