"""Lines and figures of a map on the surface, compared with surfaces and values that are known in closed form."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from tests.web.scenescripts import served_scripts
from tests.web.scenestand import waves

CONTOURS = """async ({ positions, triangles, values, levels }) => {
  const { contours, lengthOf } = await import("/contours.js");
  return contours(new Float32Array(positions), new Uint32Array(triangles), new Float32Array(values), levels)
    .map(({ level, lines }) => lines.map(({ points, rooms }) => ({ level, long: lengthOf(points),
      points: [...points], rooms: [...rooms] })));
}"""


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served_scripts(tmp_path_factory.mktemp("scripts")) as found:
        yield found


@pytest.fixture
def scripts(page: Any, address: str) -> Any:
    page.goto(f"{address}/")
    return page


def sphere(radius: float, n: int) -> tuple[np.ndarray, np.ndarray]:
    """Return 8 n² triangles on a sphere, each of eight faces cut n times along its sides."""
    corners: dict[tuple[int, int, int], int] = {}
    triangles = []

    def at(x: int, y: int, z: int) -> int:
        return corners.setdefault((x, y, z), len(corners))

    for sx, sy, sz in np.ndindex(2, 2, 2):
        s = 1 - 2 * np.array([sx, sy, sz])
        for i in range(n):
            for j in range(n - i):
                three = [(i, j), (i + 1, j), (i, j + 1)], [(i + 1, j), (i + 1, j + 1), (i, j + 1)]
                for one in three[: 2 if i + j < n - 1 else 1]:
                    ends = [at(s[0] * a, s[1] * b, s[2] * (n - a - b)) for a, b in one]
                    triangles.append(ends if s.prod() > 0 else ends[::-1])
    places = np.array(list(corners), dtype=float)
    return radius * places / np.linalg.norm(places, axis=1, keepdims=True), np.array(triangles)


def lines(scripts: Any, vertices: np.ndarray, triangles: np.ndarray, values: np.ndarray, levels: list[float]) -> Any:
    asked = {"positions": vertices.ravel().tolist(), "triangles": triangles.ravel().tolist(),
             "values": [None if np.isnan(v) else v for v in values.tolist()], "levels": levels}  # fmt: skip
    return scripts.evaluate(CONTOURS.replace("new Float32Array(values)", "Float32Array.from(values, (v) => v ?? NaN)"),
                            asked)  # fmt: skip


def test_heights_on_a_sphere_are_circles(scripts: Any) -> None:
    radius, n = 100.0, 40
    vertices, triangles = sphere(radius, n)
    levels = [-61.3, 0.0, 23.7, 80.1]
    found = lines(scripts, vertices, triangles, vertices[:, 2], levels)
    for level, circles in zip(levels, found, strict=True):
        assert len(circles) == 1, "each height is one line"
        (circle,) = circles
        points = np.array(circle["points"]).reshape(-1, 3)
        np.testing.assert_allclose(points[0], points[-1], atol=1e-4)
        np.testing.assert_allclose(points[:, 2], level, atol=1e-4)
        true = np.sqrt(radius**2 - level**2)
        # sides are at most radius × π / 2 / n × √2 long, and lie under the sphere by an eighth of their square / radius
        under = (radius * np.pi / 2 / n * 1.5) ** 2 / 8 / radius
        apart = np.hypot(points[:, 0], points[:, 1])
        assert apart.max() <= true + 1e-3
        assert apart.min() >= np.sqrt((radius - under) ** 2 - level**2) - 1e-3
        assert circle["long"] == pytest.approx(2 * np.pi * true, rel=2e-3)


def test_it_comes_nearer_to_the_circle_with_the_square_of_the_step(scripts: Any) -> None:
    levels = np.linspace(0.05, 0.85, 9)
    errors = []
    for n in (8, 16, 32):
        vertices, triangles = sphere(1.0, n)
        found = lines(scripts, vertices, triangles, vertices[:, 2], levels.tolist())
        errors.append((2 * np.pi * np.sqrt(1 - levels**2)).sum() - sum(circle["long"] for (circle,) in found))
    assert errors[0] / errors[1] == pytest.approx(4, rel=0.25)
    assert errors[1] / errors[2] == pytest.approx(4, rel=0.25)


def test_the_room_to_the_next_line_is_the_step_by_the_slope(scripts: Any) -> None:
    surface = waves(21)
    flat = 1000 * surface.vertices * [1, 1, 0]
    found = lines(scripts, flat, surface.triangles, 0.3 * flat[:, 0] + 0.4 * flat[:, 1], [-10.0, 0.0, 10.0, 40.0])
    for level, (line,) in zip((10, 10, 10, 30), found, strict=True):
        np.testing.assert_allclose(line["rooms"], level / 0.5, rtol=1e-4)


def test_a_line_ends_where_there_is_no_value(scripts: Any) -> None:
    surface = waves(21)
    flat = 1000 * surface.vertices * [1, 1, 0]
    values = np.where(flat[:, 1] > 1.0, np.nan, flat[:, 0])
    ((line,),) = lines(scripts, flat, surface.triangles, values, [33.0])
    assert line["long"] == pytest.approx(150, abs=0.1), "from the rim at y = -150 mm to y = 0"


def test_patches_of_one_band_are_found_with_a_place_in_each(scripts: Any) -> None:
    surface = waves(21)
    middle = 1000 * surface.centroids
    band = np.where(middle[:, 0] > 105, 2, np.where(middle[:, 0] < -105, 2, np.where(middle[:, 1] > 0, 1, -1)))
    found = scripts.evaluate(
        """async ({ positions, triangles, band }) => {
          const { patches } = await import("/contours.js");
          return patches(new Float32Array(positions), new Uint32Array(triangles), (t) => band[t]); }""",
        {"positions": (1000 * surface.vertices).ravel().tolist(), "triangles": surface.triangles.ravel().tolist(),
         "band": band.tolist()},
    )  # fmt: skip
    assert sorted((p["band"], p["size"]) for p in found) == sorted(
        [(1, int((band == 1).sum())), *[(2, int((band == 2).sum()) // 2)] * 2]
    )
    for patch in found:
        assert band[patch["triangle"]] == patch["band"]
        np.testing.assert_allclose(patch["at"], middle[patch["triangle"]], atol=1e-3)


def test_lines_stand_where_bands_meet_and_at_the_limit(scripts: Any) -> None:
    told = scripts.evaluate(
        """async () => { const { levelsOf } = await import("/contours.js");
          return [levelsOf({ edges: [0, 5, 10], limit: 7, magnitude: false }),
                  levelsOf({ edges: [0, 5, 10], limit: 10, magnitude: true })]; }"""
    )
    assert [(one["value"], one["limit"]) for one in told[0]] == [(5, False), (10, False), (7, True)]
    assert sorted((one["value"], one["limit"]) for one in told[1]) == [(-10, True), (-5, False), (5, False), (10, True)]
