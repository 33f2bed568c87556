"""The eye and the tree of boxes of the surface's scripts, run in a browser and compared with arithmetic outside it."""

from __future__ import annotations

import json
import struct
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from tests.web.scenescripts import served_scripts
from tests.web.scenestand import mesh, waves

from bagside.sheets.view import view_of
from bagside.web.scene import packed


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served_scripts(tmp_path_factory.mktemp("scripts")) as found:
        yield found


@pytest.fixture
def scripts(page: Any, address: str) -> Any:
    page.goto(f"{address}/")
    return page


def nearest_met(corners: np.ndarray, origin: np.ndarray, way: np.ndarray) -> tuple[int, float] | None:
    """Return triangle and distance where a line first meets one, by solving for all of them; None when none."""
    a, u, v = corners[:, 0], corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    system = np.stack([u, v, np.broadcast_to(-way, u.shape)], axis=2)
    usable = np.abs(np.linalg.det(system)) > 1e-12
    s, t, d = np.linalg.solve(system[usable], (origin - a[usable])[:, :, None])[:, :, 0].T
    hit = (s >= 0) & (t >= 0) & (s + t <= 1)
    if not hit.any():
        return None
    where = np.flatnonzero(usable)[hit]
    best = int(np.argmin(d[hit]))
    return int(where[best]), float(d[hit][best])


def test_the_tree_meets_what_every_triangle_tried_meets(scripts: Any) -> None:
    surface = waves(25)
    rng = np.random.default_rng(7)
    origins = np.column_stack([rng.uniform(-260, 260, 120), rng.uniform(-200, 200, 120), np.full(120, 300.0)])
    ways = rng.normal([0, 0, -1.0], 0.25, (120, 3))
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    found = scripts.evaluate(
        """async ({ positions, triangles, origins, ways }) => {
          const { Tree } = await import("/tree.js");
          const tree = new Tree(new Float32Array(positions), new Uint32Array(triangles));
          return origins.map((o, k) => { const hit = tree.met(o, ways[k]);
            return hit && { ...hit }; });
        }""",
        {
            "positions": (1000 * surface.vertices).ravel().tolist(), "triangles": surface.triangles.ravel().tolist(),
            "origins": origins.tolist(), "ways": ways.tolist(),
        },
    )  # fmt: skip
    corners = 1000 * surface.corners
    met = 0
    for hit, origin, way in zip(found, origins, ways, strict=True):
        wanted = nearest_met(corners, origin, way)
        assert (hit is None) == (wanted is None)
        if hit is None or wanted is None:
            continue
        met += 1
        assert hit["distance"] == pytest.approx(wanted[1], abs=1e-2)
        place = np.array(hit["weights"]) @ corners[hit["triangle"]]
        np.testing.assert_allclose(place, origin + wanted[1] * way, atol=2e-2)
        assert hit["front"] == bool(surface.normals[hit["triangle"]] @ way < 0)
    assert 40 < met < 100, "some of the lines meet it and some pass it by"


WAYS = [(0, 0, 1), (0.3, -0.5, 0.8), (1, 0, 0.1), (-0.2, 0.9, 0.05), (0, 0, -1), (0.4, 0.4, -0.6)]


@pytest.mark.parametrize("way", WAYS)
def test_it_is_looked_at_from_where_it_is_asked_to(scripts: Any, way: tuple[float, float, float]) -> None:
    head = _head()
    seen = scripts.evaluate(
        """async ({ view, positions, way }) => {
          const { Sight } = await import("/sight.js");
          const sight = new Sight();
          sight.resized(800, 500, { top: 10, bottom: 10, left: 10, right: 10 });
          sight.of({ view, positions: new Float32Array(positions) }, false);
          const first = sight.axes;
          sight.from(way);
          const places = [];
          for (let k = 0; k < positions.length; k += 3) places.push(sight.seen(positions.slice(k, k + 3)));
          const ray = sight.ray(places[0][0], places[0][1]);
          return { first, axes: sight.axes, places, ray };
        }""",
        {"view": head["view"], "positions": (1000 * waves(9).vertices).ravel().tolist(), "way": list(way)},
    )
    unit = np.array(way) / np.linalg.norm(way)
    np.testing.assert_allclose(seen["axes"]["towards"], unit, atol=1e-6)
    axes = np.array([seen["axes"][k] for k in ("right", "up", "towards")])
    np.testing.assert_allclose(axes @ axes.T, np.eye(3), atol=1e-6)
    assert np.linalg.det(axes) == pytest.approx(1, abs=1e-6), "right, up and towards the eye are right-handed"
    x, y, _ = np.array(seen["places"]).T
    assert x.min() >= 9.9
    assert x.max() <= 790.1
    assert y.min() >= 9.9
    assert y.max() <= 490.1
    assert max(np.ptp(x) / 780, np.ptp(y) / 480) == pytest.approx(1, abs=1e-3), "it fills the picture"
    first = 1000 * waves(9).vertices[0]
    off = np.cross(first - np.array(seen["ray"]["origin"]), seen["ray"]["way"])
    np.testing.assert_allclose(off, 0, atol=1e-6)


def test_at_first_it_is_seen_as_in_the_printed_pictures(scripts: Any) -> None:
    head = _head()
    axes = scripts.evaluate(
        """async ({ view, positions }) => {
          const { Sight } = await import("/sight.js");
          const sight = new Sight();
          sight.of({ view, positions: new Float32Array(positions) }, false);
          return sight.axes;
        }""",
        {"view": head["view"], "positions": [0, 0, 0, 1, 0, 0, 0, 1, 0]},
    )
    printed = view_of(waves(41))
    for name in ("right", "up", "towards"):
        np.testing.assert_allclose(axes[name], getattr(printed, name), atol=1e-5)


def test_the_browser_reads_what_the_server_packed(scripts: Any) -> None:
    data = mesh(41)
    told = scripts.evaluate(
        """async (bytes) => {
          const { unpacked } = await import("/buffers.js");
          const { positions, triangles, fields, lines } = await unpacked(new Uint8Array(bytes).buffer);
          return { positions: [...positions], triangles: [...triangles], values: [...fields.get("ramp").values],
                   line: [...lines[0].points], counts: [...lines[0].counts] };
        }""",
        list(packed(data)),
    )
    np.testing.assert_allclose(np.array(told["positions"]).reshape(-1, 3), data.positions, atol=0.0051)
    assert told["triangles"] == data.triangles.ravel().tolist()
    np.testing.assert_allclose(np.degrees(told["values"]), np.degrees(data.fields["ramp"].values), atol=0.0051)
    np.testing.assert_allclose(np.array(told["line"]).reshape(-1, 3), data.lines[0].points, atol=0.0051)
    assert told["counts"] == [41]


def test_numbers_are_written_with_a_true_minus_and_no_minus_nought(scripts: Any) -> None:
    said = scripts.evaluate(
        """async () => { const { figuresOf } = await import("/figures.js");
          const [en, de] = [figuresOf("en"), figuresOf("de")];
          return [en(-12.34, 1, 1), en(-0.01, 1, 1), en(1234.5, 0), de(-0.75, 2)]; }"""
    )
    assert said == ["\u221212.3", "0.0", "1235", "\u22120,75"]


def _head() -> dict[str, Any]:
    buffer = packed(mesh(41))
    (length,) = struct.unpack("<I", buffer[4:8])
    return json.loads(buffer[8 : 8 + length])
