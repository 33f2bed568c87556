"""The pictures of a cure: viscosity and water, what a logger saw, the worst place through the thickness."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from bagside.bagging import minimum_resin_pressure_kardos_1986
from bagside.cure import Channel, CureLog, Sensor
from bagside.planning.cure_case import CureCase, case_of_file
from bagside.planning.cure_stage import CurePlan, cure_plan
from bagside.sheets.cure_curves import run_curves, water_needs
from bagside.sheets.cure_files import cure_files
from bagside.sheets.curechart import cure_chart
from bagside.sheets.curedepth import depth_map, worst_moment
from bagside.sheets.curestrip import Strip, Water
from bagside.sheets.typeface import width
from bagside.spec.bench import CureFile
from bagside.spec.library import generic_library
from bagside.spec.reading import stated_from

STATED = {
    "service": "75 °C",
    "segments": [
        {"to": "80 °C", "rate": "1 °C/min", "hold": "2 h"},
        {"to": "115 °C", "rate": "0.8 °C/min", "hold": "2 h"},
    ],
    "sections": [
        {"name": n, "laminate": t, "prepreg": "twill-200", "tool": "carbon-epoxy", "tool_thickness": "6 mm"}
        for n, t in (("panel", "1 mm"), ("flange", "14 mm"))
    ],
    "oven": {
        "hottest": "150 °C", "heating": "2.5 °C/min", "cooling": "1.2 °C/min", "lag": "4 min", "spread": "6 K",
        "film_bag": "12 W/(m² K)", "film_tool": "18 W/(m² K)", "power": "3.2 kW", "loss": "9 W/K",
    },
    "room": {"temperature": "20 °C", "humidity": "55 %", "altitude": "0 m"},
    "pump": {"flow": "6 m³/h", "reaches": "20 mbar"},
}  # fmt: skip


@pytest.fixture(scope="module")
def case() -> CureCase:
    return case_of_file(stated_from(STATED, CureFile, "cure.toml"), generic_library(), "cure.toml")


@pytest.fixture(scope="module")
def plan(case: CureCase) -> CurePlan:
    return cure_plan(case)


def texts(svg: str) -> list[str]:
    return [
        "".join(e.itertext()) for e in ET.fromstring(svg).iter() if e.tag.endswith("text") and e.get("class") != "halo"
    ]


def boxes(svg: str) -> list[tuple[str, float, float, float, float]]:
    out = []
    for e in ET.fromstring(svg).iter():
        if e.tag.endswith("text") and e.get("class") != "halo":
            size, x, y = (float(e.get(k) or 0) for k in ("font-size", "x", "y"))
            words = "".join(e.itertext())
            wide = width(words, size, bold=e.get("font-weight") == "700")
            left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[e.get("text-anchor") or "start"] * wide
            out.append((words, left, y - 0.74 * size, left + wide, y))
    return out


def assert_apart(svg: str) -> None:
    found = boxes(svg)
    for i, (one, a, b, c, d) in enumerate(found):
        for other, p, q, r, s in found[i + 1 :]:
            assert min(c, r) <= max(a, p) + 0.05 or min(d, s) <= max(b, q) + 0.05, (one, other)


def test_the_strip_says_what_it_shows_and_no_two_labels_meet(case: CureCase, plan: CurePlan) -> None:
    svg = cure_chart(run_curves(plan.first, case), size_mm=(184, 122))
    assert {"viscosity", "water needs", "the bag gives", "mbar in the resin", "Pa s", "programme"} <= set(texts(svg))
    assert_apart(svg)


def test_without_pump_or_room_nothing_is_said_of_water(case: CureCase, plan: CurePlan) -> None:
    dry = replace(case, ambient=None, humidity=None)
    said = texts(cure_chart(run_curves(plan.first, dry), size_mm=(184, 122)))
    assert "viscosity" in said
    assert "water needs" not in said


def test_what_water_needs_is_the_criterion_at_the_hottest_that_is_not_gelled(case: CureCase, plan: CurePlan) -> None:
    """Against Kardos, Dudukovic & Dave 1986 at the hottest liquid cell, cell by cell."""
    got = water_needs(plan.first.histories, case.resin.gel, 0.55)
    for k in range(0, len(got), 37):
        liquid = [
            h.temperature[k, c]
            for h in plan.first.histories
            for r, c in enumerate(h.reacting)
            if h.alpha[k, r] < case.resin.gel
        ]
        if not liquid:
            assert np.isnan(got[k])
        else:
            assert got[k] == pytest.approx(minimum_resin_pressure_kardos_1986(max(liquid), 0.55))


def test_where_water_needs_more_than_the_bag_gives_it_is_hatched() -> None:
    time = np.linspace(0.0, 3600.0, 61)
    needed = np.where(time < 2400.0, 3e4 + 2.0e1 * time, np.nan)
    water = Water(needed=needed, least=np.full(61, 6e4), most=np.full(61, 1e5))
    from bagside.sheets.curestrip import strip

    def hatched(shown: Strip) -> list[str]:
        return [m for m in strip(shown, 12.0, 172.0, 90.0, 112.0, 3600.0) if "url(#keep-out)" in m]

    shown = Strip(time=time, viscosity=None, flows=30.0, water=water)
    (mark,) = hatched(shown)
    left = min(float(v) for v in re.findall(r"[ML](-?[\d.]+) ", mark))
    assert left == pytest.approx(12.0 + 160.0 * 1560.0 / 3600.0, abs=0.1)  # first output after 30 000 + 20 t > 60 000
    assert not hatched(replace(shown, water=replace(water, least=np.full(61, 9e4))))


def test_a_log_lies_over_the_chart_with_its_gaps(case: CureCase, plan: CurePlan) -> None:
    h = plan.first.histories[0]
    seen = h.laminate_temperature[:, 0] + 1.0
    seen[100:120] = np.nan
    log = CureLog(
        name="run.csv",
        time=h.time,
        channels=(
            Channel(name="TC 2", sensor=Sensor.PART, values=seen),
            Channel(name="Vac", sensor=Sensor.BAG, values=np.full(len(h.time), 2000.0)),
        ),
    )
    svg = cure_chart(run_curves(plan.first, case, log), size_mm=(184, 122))
    assert "TC 2" in texts(svg)
    assert "Vac" not in texts(svg)
    assert len(re.findall(r'stroke-dasharray="1.2 0.8"', svg)) == 2
    assert_apart(svg)


def test_the_worst_moment_by_hand(plan: CurePlan) -> None:
    h = plan.first.histories[3]
    worst = worst_moment(h)
    over = h.laminate_temperature - h.air[:, None]
    rising = np.append(False, np.diff(h.air) >= -1e-6)
    k = int(np.argmax(np.where(rising, over.max(axis=1), -np.inf)))
    assert worst.time == h.time[k]
    assert worst.temperature == h.laminate_temperature[k].max()
    assert worst.depth == h.x[h.reacting[int(np.argmax(h.laminate_temperature[k]))]]


def test_the_map_through_the_thickness_says_where_and_how_hot(plan: CurePlan) -> None:
    h = plan.first.histories[3]
    svg = depth_map(h)
    worst = worst_moment(h)
    said = texts(svg)
    assert any(f"{worst.temperature - 273.15:.0f}" in t and "deep" in t for t in said)
    assert {"bag side", "laminate", "mould", "K against the air"} <= set(said)
    assert_apart(svg)


def test_a_thin_laminate_and_one_without_a_mould_are_drawn_too(case: CureCase, plan: CurePlan) -> None:
    assert "mould" in texts(depth_map(plan.first.histories[0]))
    free = replace(case, on_mould=case.free, limits=replace(case.limits, tool=None))
    assert "mould" not in texts(depth_map(cure_plan(free).first.histories[0]))


def test_files_of_a_run(case: CureCase, plan: CurePlan, tmp_path: Path) -> None:
    files = cure_files(plan.first, case, png=True)
    assert set(files) == {"cure.csv", "cure.svg", "cure.png", "cure-depth.svg", "cure-depth.png"}
    assert all(files[n].startswith(b"\x89PNG") for n in files if n.endswith(".png"))
    for name in ("cure.svg", "cure-depth.svg"):
        ET.fromstring(files[name].decode("utf-8"))


def test_curves_of_another_length_are_refused() -> None:
    with pytest.raises(ValueError, match="the strip of a cure chart: one value for each time is wanted"):
        Strip(time=np.arange(3.0), viscosity=np.ones(2), flows=30.0, water=None)
