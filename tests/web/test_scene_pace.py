"""How finely the surface is drawn while a hand turns it: fewer triangles, larger dots, and whole again at rest."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from tests.web.scenescripts import served_scripts
from tests.web.scenestand import waves

THIN = """async ({ positions, triangles, most }) => {
  const { thinned } = await import("/thin.js");
  const found = thinned(new Float32Array(positions), new Uint32Array(triangles), most);
  return found && { triangles: [...found.triangles], from: [...found.from] };
}"""


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served_scripts(tmp_path_factory.mktemp("scripts")) as found:
        yield found


@pytest.fixture
def scripts(page: Any, address: str) -> Any:
    page.goto(f"{address}/")
    return page


def thinned(scripts: Any, vertices: np.ndarray, triangles: np.ndarray, most: int) -> Any:
    return scripts.evaluate(
        THIN, {"positions": vertices.ravel().tolist(), "triangles": triangles.ravel().tolist(), "most": most}
    )


def test_fewer_triangles_keep_the_shape(scripts: Any) -> None:
    surface = waves(81)
    found = thinned(scripts, 1000 * surface.vertices, surface.triangles, 2000)
    few = np.array(found["triangles"]).reshape(-1, 3)
    assert 800 < len(few) <= 2300
    assert len(found["from"]) == len(few)
    corners = 1000 * surface.vertices[few]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    # 400 × 300 mm seen from above: but for a strip half a box of the grid wide along the rim all of it is still covered
    assert 0.5 * normals[:, 2].sum() == pytest.approx(400 * 300, rel=0.1)
    x, y, z = corners.mean(axis=1).T
    # a flat triangle of side h leaves a wave of curvature k by no more than k h² / 8, and its middle by less
    side = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max()
    assert np.abs(z - 20 * np.cos(x / 50) * np.cos(y / 40)).max() < 20 * (1 / 50**2 + 1 / 40**2) * side**2 / 8 + 1
    assert set(few.ravel()) <= set(range(len(surface.vertices))), "it stands on the corners that are there"


def test_what_lies_on_something_else_is_not_joined_with_it(scripts: Any) -> None:
    surface = waves(41)
    n = len(surface.vertices)
    over = np.concatenate([surface.vertices, surface.vertices + np.array([0, 0, 0.0005])])
    found = thinned(scripts, 1000 * over, np.concatenate([surface.triangles, surface.triangles + n]), 1500)
    few = np.array(found["triangles"]).reshape(-1, 3)
    under = few < n
    assert (under.all(axis=1) | ~under.any(axis=1)).all()
    assert under.any()
    assert not under.all()


def test_a_surface_of_few_triangles_stays_as_it_is(scripts: Any) -> None:
    surface = waves(9)
    assert thinned(scripts, 1000 * surface.vertices, surface.triangles, 128) is None


def test_graphics_that_follow_draw_all_and_slow_ones_as_much_as_they_can(scripts: Any) -> None:
    told = scripts.evaluate(
        """async () => {
          const { AIM, LEVELS, Pace } = await import("/pace.js");
          const quick = new Pace(), slow = new Pace(), wrong = new Pace();
          quick.rested(5);
          slow.rested(4 * AIM);
          wrong.rested(5);
          for (const p of [quick, slow, wrong]) p.taken();
          const first = [quick, slow, wrong].map((p) => LEVELS.indexOf(p.now));
          for (let k = 0; k < 30; k++) { quick.turned(6); wrong.turned(3 * AIM); }
          quick.turned(3 * AIM);   // one frame that waited for something else
          quick.turned(6);
          const then = [quick, slow, wrong].map((p) => LEVELS.indexOf(p.now));
          for (const p of [quick, slow, wrong]) p.left();
          const rest = [quick, slow, wrong].map((p) => LEVELS.indexOf(p.now));
          return { first, then, rest, last: LEVELS.length - 1,
                   falls: LEVELS.every((l, k) => !k || l.share < LEVELS[k - 1].share) };
        }"""
    )
    assert told["first"][0] == told["first"][2] == 0
    assert told["first"][1] > 0
    assert told["then"] == [0, told["first"][1], told["last"]]
    assert told["rest"] == [0, 0, 0]
    assert told["falls"]
