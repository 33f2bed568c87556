"""The same piece is the same DXF file in every process: what is written again is not taken for something new."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

AGAIN = """
import hashlib
from bagside.cutting import FlatPiece
from bagside.sheets.shapes_out import piece_dxf
from pieces import TWILL, rectangle
flat = FlatPiece(label="1", material=TWILL, loops=(rectangle(0.2, 0.1),))
print(hashlib.sha256(piece_dxf(flat)).hexdigest())
"""


def test_a_piece_is_the_same_file_whatever_order_a_process_gives_to_sets() -> None:
    """CPython orders sets of text by a number of chance in each process, which PYTHONHASHSEED states."""
    told = set()
    for seed in ("1", "4", "7"):  # CPython 3.11 has one order by the first, another by the rest
        path = os.pathsep.join([str(Path(__file__).parents[1]), *sys.path])
        env = os.environ | {"PYTHONHASHSEED": seed, "PYTHONPATH": path}
        done = subprocess.run([sys.executable, "-c", AGAIN], env=env, capture_output=True, text=True, check=True)
        told.add(done.stdout.strip())
    assert len(told) == 1
    assert len(told.pop()) == len(hashlib.sha256().hexdigest())
