"""A workshop with a flat plate that is known by tape measure and card, and the same plate as a mesh, as files."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import trimesh

from domeshop import WORKSHOP

LENGTH, WIDTH, FLANGE = 0.4, 0.3, 0.1  # [m] of what is laid up, and of the mould beyond it
TRIM = 0.01  # [m] laid beyond the finished part on every side
PAD = (0.12, 0.08)  # [m]

PLIES = """
[[plies]]
material = "twill-200"
angle = "0°"
region = "lay-up"
templates = ["sheet"]
[[plies]]
material = "twill-200"
angle = "45°"
region = "pad"
templates = ["patch"]
[[plies]]
material = "twill-200"
angle = "0°"
region = "lay-up"
templates = ["sheet"]
"""

REST = """
[cure]
service = "70 °C"
segments = [{ to = "120 °C", rate = "2 °C/min", hold = "2 h" }]
[[brackets]]
name = "foot"
size = "30 20 mm"
material = "carbon"
thickness = "2 mm"
adhesive = "epoxy-toughened"
load = "100 N"
[finish]
filler = "pinhole-epoxy"
fill_passes = 1
coats = [{ coating = "clear-two-pack", times = 2 }]
[replaces]
material = "aluminium"
thickness = "1 mm"
"""

HEAD = """
name = "Plate"
quantity = 2
part = "plate"
nest_time = "0.5 s"
"""

TAPED = f"""
{HEAD}
[mould]
material = "carbon-epoxy"
thickness = "5 mm"
[measured]
size = "400 300 mm"
flange = "100 mm"
[measured.places.lay-up]
area = "1200 cm²"
edge = "1400 mm"
[measured.places.plate]
area = "1064 cm²"
edge = "1320 mm"
[measured.places.pad]
area = "96 cm²"
of = "plate"
[templates.sheet]
shape = "rectangle"
size = "400 300 mm"
[templates.patch]
shape = "rectangle"
size = "120 80 mm"
[[holes]]
name = "middle"
diameter = "6 mm"
{PLIES}
{REST}
"""

MESHED = f"""
{HEAD}
[mould]
mesh = "plate.stl"
unit = "mm"
laminate_side = [0, 0, 1]
size = "10 mm"
tolerance = "0.1 mm"
material = "carbon-epoxy"
thickness = "5 mm"
[laying]
start = "0 0 0 mm"
direction = [1, 0, 0]
[regions.lay-up]
inside = {{ shape = "rounded rectangle", size = "400 300 mm" }}
[regions.plate]
inside = {{ shape = "rounded rectangle", size = "380 280 mm" }}
[regions.pad]
of = "plate"
inside = {{ shape = "rounded rectangle", size = "120 80 mm" }}
[[holes]]
name = "middle"
at = "100 80 0 mm"
diameter = "6 mm"
{PLIES}
{REST.replace('name = "foot"', 'name = "foot"' + chr(10) + 'at = "-120 90 0 mm"')}
"""


def draped(job: str) -> str:
    """Return a job whose plies are draped, and not cut from cards."""
    lines = [line for line in job.splitlines() if not line.startswith("templates = ")]
    return "\n".join(lines)


def plate() -> trimesh.Trimesh:
    """Return the mould of the plate with its flange, in millimetres: a flat sheet of squares of 10 mm."""
    x = np.arange(-1e3 * (LENGTH / 2 + FLANGE), 1e3 * (LENGTH / 2 + FLANGE) + 1, 10.0)
    y = np.arange(-1e3 * (WIDTH / 2 + FLANGE), 1e3 * (WIDTH / 2 + FLANGE) + 1, 10.0)
    at = np.stack([*np.meshgrid(x, y, indexing="ij"), np.zeros((len(x), len(y)))], axis=-1).reshape(-1, 3)
    i, j = (a.ravel() for a in np.meshgrid(np.arange(len(x) - 1), np.arange(len(y) - 1), indexing="ij"))
    a, b = i * len(y) + j, (i + 1) * len(y) + j
    return trimesh.Trimesh(at, np.concatenate([np.stack([a, b, b + 1], 1), np.stack([a, b + 1, a + 1], 1)]))


def written_in(root: Path, *changes: tuple[str, str], job: str = TAPED) -> Path:
    """Write workshop and job, with texts replaced, and return the job's file."""
    folder = root / "shop" / "jobs" / "plate"
    folder.mkdir(parents=True, exist_ok=True)
    for old, new in changes:
        if old not in job:
            raise ValueError(old)
        job = job.replace(old, new, 1)
    (folder / "job.toml").write_text(job, encoding="utf-8")
    (root / "shop" / "workshop.toml").write_text(WORKSHOP, encoding="utf-8")
    if "plate.stl" in job:
        plate().export(folder / "plate.stl")
    return folder / "job.toml"
