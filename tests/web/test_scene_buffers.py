"""The buffer read back by hand, as its description says, and what is refused."""

from __future__ import annotations

import json
import struct
import zlib

import numpy as np
import pytest

from bagside.geometry import Surface
from bagside.sheets import colour
from bagside.sheets.colour import Bands
from bagside.sheets.picture import PointLook
from bagside.web.scene import Field, Look, MeshData, MeshLine, MeshPart, MeshPoint, digest_of_mesh, packed, threads
from bagside.web.scene.buffers import point_head
from bagside.web.scene.coded import Blocks, places_read, values_read, wholes_read
from bagside.web.scene.looks import stroke_of

SQUARE = Surface(
    np.array([[0.0, 0, 0], [0.1, 0, 0], [0.1, 0.1, 0], [0, 0.1, 0]]), np.array([[0, 1, 2], [0, 2, 3]], dtype=np.int64)
)


def read(buffer: bytes) -> tuple[dict[str, object], bytes]:
    assert buffer[:4] == b"BGSM"
    (length,) = struct.unpack("<I", buffer[4:8])
    assert length % 4 == 0
    return json.loads(buffer[8 : 8 + length]), zlib.decompress(buffer[8 + length :])


def test_every_array_stands_where_the_head_says() -> None:
    values = np.array([0.1, 0.2, np.nan, 0.4])
    mesh = MeshData.of(
        SQUARE,
        fields={"a": Field(values, colour.SHEAR, "A", 0.3), "b": Field(np.array([1.0, 2.0]), colour.STRETCH, "B")},
        lines=(MeshLine(np.array([[0.0, 0, 0], [50, 50, 0], [100, 100, 0]]), Look.CUT),),
        parts=(MeshPart("3A", 0, 1),),
    )
    head, data = read(packed(mesh))

    def told(place: list[int]) -> list[int]:
        """As it is described: the lowest bytes of all numbers, then the next, to the fourth."""
        begin, size = place
        return [sum(data[begin + plane * size + k] << (8 * plane) for plane in range(4)) for k in range(size)]

    def wholes(place: list[int], columns: int = 1) -> np.ndarray:
        change = np.array([-(n + 1) // 2 if n % 2 else n // 2 for n in told(place)]).reshape(columns, -1)
        return np.cumsum(change, axis=1).T

    assert head["step"] == 0.01
    np.testing.assert_allclose(0.01 * wholes(head["positions"], 3), 1000 * SQUARE.vertices, atol=0.005)
    assert wholes(head["triangles"])[:, 0].tolist() == [0, 1, 2, 0, 2, 3]
    a, b = head["fields"]
    assert (a["on"], b["on"]) == ("vertex", "triangle")
    steps = told(a["values"]["at"])
    assert steps[2] == 0, "where there is no value"
    shown = [a["values"]["low"] + a["values"]["step"] * (k - 1) for k in steps if k]
    # one digit is shown: values are told to a tenth of it
    np.testing.assert_allclose(np.degrees(shown), np.degrees(values[[0, 1, 3]]), atol=0.0051)
    assert a["limit"] == pytest.approx(np.degrees(0.3))
    assert b["limit"] is None
    (line,) = head["lines"]
    np.testing.assert_allclose(0.01 * wholes(line["points"], 3), [[0, 0, 0], [50, 50, 0], [100, 100, 0]], atol=0.005)
    assert wholes(line["counts"])[:, 0].tolist() == [3]
    assert head["parts"] == [{"name": "3A", "first": 0, "count": 1}]


def test_what_is_written_is_read_again() -> None:
    rng = np.random.default_rng(3)
    places = rng.uniform(-9000, 9000, (500, 3))
    numbers = rng.integers(0, 2**31, 400)
    values = rng.normal(0, 1e3, 300)
    values[::7] = np.nan
    blocks = Blocks()
    at, which, told = blocks.put_places(places), blocks.put_wholes(numbers), blocks.put_values(values, 1e-4)
    nothing = blocks.put_values(np.full(4, np.nan), 1e-4)
    data = zlib.decompress(blocks.packed())
    np.testing.assert_allclose(places_read(data, at), places, atol=0.0051)
    assert wholes_read(data, which).tolist() == numbers.tolist()
    np.testing.assert_allclose(values_read(data, told), values, atol=0.51e-4)
    assert np.isnan(values_read(data, nothing)).all()


def test_what_lies_too_far_away_is_refused() -> None:
    with pytest.raises(ValueError, match="too far away"):
        Blocks().put_places(np.array([[3e7, 0, 0]]))


def test_the_view_is_that_of_the_printed_pictures() -> None:
    head, _ = read(packed(MeshData.of(SQUARE)))
    view = head["view"]
    np.testing.assert_allclose(view["out"], [0, 0, 1], atol=1e-9)
    assert view["tilt"] == pytest.approx(np.radians(25))
    assert np.dot(view["right"], view["out"]) == pytest.approx(0, abs=1e-9)


def test_the_same_mesh_has_the_same_name_and_another_another() -> None:
    one = MeshData.of(SQUARE, fields={"a": Field(np.zeros(4), colour.SHEAR, "A")})
    same = MeshData.of(SQUARE, fields={"a": Field(np.zeros(4), colour.SHEAR, "A")})
    other = MeshData.of(SQUARE, fields={"a": Field(np.full(4, 1e-2), colour.SHEAR, "A")})
    assert digest_of_mesh(one) == digest_of_mesh(same)
    assert len(digest_of_mesh(one)) == 32
    assert digest_of_mesh(one) != digest_of_mesh(other)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"triangles": np.array([[0, 1, 4]])}, "vertex that does not exist"),
        ({"positions": np.array([[0, 0, np.nan]] * 4)}, "not a finite number"),
        ({"triangles": np.zeros((0, 3))}, "are wanted as"),
        ({"fields": {"a": Field(np.zeros(3), colour.SHEAR, "A")}}, "one value a vertex or one a triangle"),
        ({"fields": {"a": Field(np.zeros(4), colour.SHEAR, "A", limit=np.inf)}}, "the limit is not a finite number"),
        ({"lines": (MeshLine(np.zeros((2, 2)), Look.CUT),)}, "finite points of shape"),
    ],
)
def test_what_does_not_belong_together_is_refused(change: dict[str, object], says: str) -> None:
    given = {"positions": 1000 * SQUARE.vertices, "triangles": SQUARE.triangles, **change}
    with pytest.raises(ValueError, match=says):
        MeshData(**given)


def test_more_bands_than_the_shader_has_are_refused() -> None:
    edges = tuple(float(k) for k in range(17))
    bands = Bands(name="many", edges=edges, colours=("#ffffff",) * 17, per_si=1.0, magnitude=False)
    with pytest.raises(ValueError, match="at most 16 bands"):
        MeshData.of(SQUARE, fields={"a": Field(np.zeros(4), bands, "A")})


def test_words_on_the_picture_are_escaped() -> None:
    drawn = point_head(MeshPoint((0, 0, 0), PointLook.LABEL, "<script>3A</script>"))["drawn"]
    assert "<script>" not in drawn
    assert "&lt;script&gt;" in drawn


def test_lines_are_as_wide_on_the_screen_as_the_look_says() -> None:
    # /looks: .6 hair, 1 thin, 1.6 edge, 2.6 bold at 96 dpi; the printed .7 mm gives 2.8, which the eye does not part
    assert stroke_of(Look.FEATURE).weight == pytest.approx(0.6)
    assert stroke_of(Look.NET_EDGE).weight == pytest.approx(1.0)
    assert stroke_of(Look.CUT).weight == pytest.approx(1.6)
    assert stroke_of(Look.SET).weight == pytest.approx(2.6, abs=0.21)
    assert all(len(stroke_of(look).dashes) in (0, 2, 4) for look in Look), "the shader knows no other dashes"


def test_every_yarn_is_there_once_and_every_second_can_be_left_out() -> None:
    uv = SQUARE.vertices[:, :2] + 0.0003
    lines = [line for line in threads(SQUARE, uv, 0.01) if line.look is Look.WARP]
    at = sorted(round(float(line.points[0, 1]) + 0.3) for line in lines)
    assert at == [10, 20, 30, 40, 50, 60, 70, 80, 90, 100]
    even = sorted(round(float(line.points[0, 1]) + 0.3) for line in lines if line.level % 2 == 0)
    assert even == [20, 40, 60, 80, 100]
