"""A small workshop with a job on a dome known in closed form, written as files, as a person would have them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import trimesh

WORKSHOP = """
name = "Test shop"
currency = "EUR"
people = 2
labour = "40 EUR/h"
[room]
temperature = "20 °C"
humidity = "50 %"
[oven]
hottest = "150 °C"
heating = "3 °C/min"
cooling = "2 °C/min"
lag = "3 min"
spread = "4 K"
film_bag = "12 W/(m² K)"
film_tool = "18 W/(m² K)"
power = "3 kW"
loss = "8 W/K"
[pump]
flow = "6 m³/h"
reaches = "20 mbar"
[[stock]]
material = "twill-200"
length = "10 m"
price = "50 EUR/m²"
[prices]
energy = "0.36 EUR/kWh"
[prices.film]
bag-nylon = "3 EUR/m²"
release-film = "3 EUR/m²"
breather = "3 EUR/m²"
[prices.tape]
sealant-tape = "1 EUR/m"
[prices.adhesive]
epoxy-toughened = "80 EUR/kg"
[prices.coating]
clear-two-pack = "60 EUR/L"
pinhole-epoxy = "30 EUR/L"
[hours]
first_day = 2026-11-30
"""

JOB = """
name = "Dome"
quantity = 2
part = "disc"
nest_time = "0.5 s"
[mould]
mesh = "dome.stl"
unit = "mm"
laminate_side = [0, 0, 1]
size = "6 mm"
tolerance = "0.1 mm"
material = "carbon-epoxy"
thickness = "5 mm"
[regions.disc]
inside = { shape = "circle", size = "160 160 mm" }
[regions.patch]
of = "disc"
near = { distance = "20 mm", points = ["30 0 98.5 mm"] }
[[holes]]
name = "middle"
at = "0 0 100 mm"
diameter = "6 mm"
[laying]
start = "0 0 100 mm"
direction = [1, 0, 0]
[[plies]]
material = "twill-200"
angle = "0°"
region = "disc"
[[plies]]
material = "twill-200"
angle = "45°"
region = "patch"
[[plies]]
material = "twill-200"
angle = "45°"
region = "disc"
[[plies]]
material = "twill-200"
angle = "0°"
region = "disc"
[cure]
service = "70 °C"
segments = [{ to = "120 °C", rate = "2 °C/min", hold = "2 h" }]
[[brackets]]
name = "foot"
at = "0 40 92 mm"
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

RADIUS, REACH = 100.0, 98.0  # [mm] the sphere, and how far out its cap goes


def dome() -> trimesh.Trimesh:
    """Return the cap of a sphere of 100 mm, its top at z = 100 mm, in millimetres; the laminate lies outside."""
    rings, around = 30, 120
    polar = np.linspace(0, np.arcsin(REACH / RADIUS), rings + 1)[1:]
    turn = 2 * np.pi * np.arange(around) / around
    p, t = np.meshgrid(polar, turn, indexing="ij")
    grid = RADIUS * np.stack([np.sin(p) * np.cos(t), np.sin(p) * np.sin(t), np.cos(p)], axis=-1).reshape(-1, 3)
    vertices = np.concatenate([[[0.0, 0.0, RADIUS]], grid])
    faces = [(0, 1 + k, 1 + (k + 1) % around) for k in range(around)]
    for r in range(rings - 1):
        for k in range(around):
            a, b = 1 + r * around + k, 1 + r * around + (k + 1) % around
            c, d = a + around, b + around
            faces += [(a, c, d), (a, d, b)]
    return trimesh.Trimesh(vertices, faces, process=False)


def written_in(root: Path, *changes: tuple[str, str], workshop: tuple[tuple[str, str], ...] = ()) -> Path:
    """Write workshop and job, with texts replaced, and return the job's file."""
    folder = root / "shop" / "jobs" / "dome"
    folder.mkdir(parents=True, exist_ok=True)
    job, around = JOB, WORKSHOP
    for old, new in changes:
        if old not in job:
            raise ValueError(old)
        job = job.replace(old, new, 1)
    for old, new in workshop:
        if old not in around:
            raise ValueError(old)
        around = around.replace(old, new, 1)
    (folder / "job.toml").write_text(job, encoding="utf-8")
    (root / "shop" / "workshop.toml").write_text(around, encoding="utf-8")
    if not (folder / "dome.stl").exists():
        dome().export(folder / "dome.stl")
    return folder / "job.toml"
