"""The demo's pair of thigh braces: the left one planned whole, against the formula of the right one's mould."""

from __future__ import annotations

import shutil
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
import shapely
from scipy.integrate import dblquad

from bagside.demo_shop import brace_mould
from bagside.planning.plan import BuildPlan, plan_build
from bagside.spec.opening import open_job

DEMO = Path(__file__).parents[2] / "demo"
CORNERS = [(-95, -38), (-20, -56), (70, -50), (96, 4), (62, 55), (-30, 46)]  # [mm] as the right one's job states them


@pytest.fixture(scope="module")
def mould() -> ModuleType:
    return brace_mould


@pytest.fixture(scope="module")
def left(mould: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> BuildPlan:
    shop = tmp_path_factory.mktemp("braces")
    shutil.copy(DEMO / "workshop" / "workshop.toml", shop)
    for side in ("right", "left"):
        folder = shop / "jobs" / f"{side}-thigh-brace"
        folder.mkdir(parents=True)
        text = (DEMO / "workshop" / "jobs" / f"{side}-thigh-brace" / "job.toml").read_text(encoding="utf-8")
        (folder / "job.toml").write_text(text.replace('nest_time = "4 s"', 'nest_time = "0.1 s"'), encoding="utf-8")
    mould.written(shop / "jobs" / "right-thigh-brace" / "mould.stl")
    return plan_build(open_job(shop / "jobs" / "left-thigh-brace"))[0]


def test_its_face_is_the_formula_with_y_turned_round(left: BuildPlan, mould: ModuleType) -> None:
    x, y, z = 1e3 * left.part.vertices.T
    assert np.abs(z - mould.height(x, -y)).max() < 0.15
    assert np.abs(z - mould.height(x, y)).max() > 3.0  # the hook is on the other side


def test_its_outline_is_the_stated_polygon_with_y_turned_round(left: BuildPlan) -> None:
    (loop,) = left.part.loops
    seen = shapely.Polygon(1e3 * left.part.vertices[loop][:, :2])
    stated = shapely.Polygon([(x, -y) for x, y in CORNERS])
    assert seen.symmetric_difference(stated).area < 0.003 * stated.area


def test_its_area_is_the_integral_of_the_formula(left: BuildPlan, mould: ModuleType) -> None:
    polygon = shapely.Polygon(CORNERS)

    def stretch(y: float, x: float) -> float:
        a, b = mould.slopes(x, y)
        return float(np.sqrt(1 + a * a + b * b))

    def ends(x: float) -> tuple[float, float]:
        line = polygon.intersection(shapely.LineString([(x, -99), (x, 99)]))
        return (line.bounds[1], line.bounds[3]) if not line.is_empty else (0.0, 0.0)

    area, _ = dblquad(stretch, -95, 96, lambda x: ends(x)[0], lambda x: ends(x)[1], epsabs=1.0)
    assert 1e6 * left.part.area == pytest.approx(area, rel=2e-3)


def test_tiles_are_whole_where_the_pattern_lies_inside(left: BuildPlan) -> None:
    found = left.patchwork
    assert found is not None
    plan = found.plan
    assert found.base.mirrored
    assert plan.covered + plan.gaps + sum(x.area for x in plan.left) == pytest.approx(plan.outline)
    assert plan.gaps == pytest.approx(2 * 0.6 / 36 * plan.outline, rel=0.15)  # half of each of three pairs of sides
    assert plan.whole * np.sqrt(3) / 2 * 0.036**2 < plan.outline
    assert plan.whole >= 5
    assert len(plan.tiles) == plan.whole + len(plan.edge_tiles)


def test_its_twill_is_turned_and_the_book_can_say_what_that_did(left: BuildPlan) -> None:
    assert left.job.name == "Left thigh brace"
    assert left.twin is not None
    assert left.twin.quarter == {0, 1, 2, 3}
    assert {t.material for t in left.turned} == {"twill-200", "twill-400"}
    assert {f.stage for f in left.findings} >= {"mirror"}
