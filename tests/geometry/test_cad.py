"""STEP and IGES through the optional library, and what is said when it is not there."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from bagside.errors import InputError
from bagside.geometry import cad, read_mesh


def iges_plane(width: float, height: float, unit: str = "2,2HMM") -> bytes:
    """Return an IGES file (version 5.3), in millimetres unless said otherwise, with one flat surface, entity 128."""
    corners = [(0, 0, 0), (width, 0, 0), (0, height, 0), (width, height, 0)]
    numbers = [128, 1, 1, 1, 1, 0, 0, 1, 0, 0, 0.0, 0.0, 1.0, 1.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0]
    numbers += [float(c) for corner in corners for c in corner] + [0.0, 1.0, 0.0, 1.0]
    words, lines, row = [str(n) for n in numbers], [], ""
    for k, word in enumerate(words):
        word += ";" if k == len(words) - 1 else ","
        if len(row) + len(word) > 63:
            lines.append(row)
            row = ""
        row += word
    lines.append(row)
    names = f"1H,,1H;,4Htest,8Htest.igs,4Htest,4Htest,32,38,7,308,15,4Htest,1.0,{unit},1,0.01,15H20200101.000000,"
    globe = [names[k : k + 72] for k in range(0, len(names), 72)]
    globe.append("0.000001,1000.0,4Htest,4Htest,11,0,15H20200101.000000;")
    field = "{:>8}" * 8
    directory = [field.format(128, 1, 0, 0, 0, 0, 0, 0) + "00000000"]
    directory.append(field.format(128, 0, 0, len(lines), 0, "", "", ""))
    directory[1] += f"{0:>8}"
    out = [f"{'flat face':<72}S{1:>7}"]
    out += [f"{line:<72}G{k + 1:>7}" for k, line in enumerate(globe)]
    out += [f"{line[:72]:<72}D{k + 1:>7}" for k, line in enumerate(directory)]
    out += [f"{line:<64}{1:>8}P{k + 1:>7}" for k, line in enumerate(lines)]
    out.append(f"S{1:>7}G{len(globe):>7}D{2:>7}P{len(lines):>7}".ljust(72) + f"T{1:>7}")
    return ("\n".join(out) + "\n").encode()


needed = pytest.mark.skipif(not cad.available(), reason="the extra cad is not installed")


@needed
def test_step_comes_in_metres_whatever_is_stated(open_data: Path) -> None:
    raw = read_mesh(open_data / "meshes" / "catamaran_demihull.step", "in")
    size = np.ptp(raw.vertices, axis=0)
    assert size == pytest.approx([2.041, 0.971, 0.209], abs=0.001)  # as the data's description states
    assert raw.unit == "its own unit"
    assert 20_000 < len(raw.triangles) < 400_000


@needed
@pytest.mark.parametrize(("unit", "metres"), [("2,2HMM", 0.001), ("1,2HIN", 0.0254), ("6,1HM", 1.0)])
def test_iges_comes_in_metres_by_the_unit_it_states(tmp_path: Path, unit: str, metres: float) -> None:
    path = tmp_path / "flat.igs"
    path.write_bytes(iges_plane(12.0, 8.0, unit))
    raw = read_mesh(path, "ft")
    assert np.ptp(raw.vertices, axis=0) == pytest.approx([12 * metres, 8 * metres, 0.0], rel=1e-6, abs=1e-9)


@needed
@pytest.mark.parametrize("suffix", [".step", ".stp", ".iges", ".igs"])
@pytest.mark.parametrize(
    "data", [b"nothing of the sort", b"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\n#1=(", bytes(range(256)) * 9]
)
def test_broken_files_are_one_sentence(tmp_path: Path, suffix: str, data: bytes) -> None:
    path = tmp_path / f"broken{suffix}"
    path.write_bytes(data)
    with pytest.raises(InputError, match=r"cannot be read as (STEP|IGES)"):
        read_mesh(path, "mm")


def test_without_the_library_the_cure_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cad, "available", lambda: False)
    path = tmp_path / "hull.stp"
    path.write_bytes(b"ISO-10303-21;")
    with pytest.raises(InputError) as caught:
        read_mesh(path, "mm")
    assert str(caught.value) == (
        "hull.stp – reading STEP needs an optional library; install it with: pip install bagside[cad] "
        "(or export the surface as STL)"
    )
