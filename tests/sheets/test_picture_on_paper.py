"""The picture measured: size on paper, bands where the shear is, lines cut where something stands before them."""

from __future__ import annotations

import base64
import io
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from bagside.geometry import Surface
from bagside.sheets import colour
from bagside.sheets.picture import LineLook, MouldLine, MouldPoint, OnMould, PointLook, mould_picture
from bagside.sheets.view import View, view_of
from bagside.sheets.yarns import isolines

FLAT = View(right=np.array([1.0, 0, 0]), up=np.array([0, 1.0, 0]), towards=np.array([0, 0, 1.0]), tilt=0.0)


def sheet(width: float, height: float, z: float = 0.0, n: int = 8) -> Surface:
    across, along = np.linspace(-width / 2, width / 2, n + 1), np.linspace(-height / 2, height / 2, n + 1)
    x, y = np.meshgrid(across, along, indexing="ij")
    i, j = (a.ravel() for a in np.meshgrid(np.arange(n), np.arange(n), indexing="ij"))
    a, b = i * (n + 1) + j, (i + 1) * (n + 1) + j
    triangles = np.concatenate([np.stack([a, b, b + 1], 1), np.stack([a, b + 1, a + 1], 1)])
    return Surface(np.stack([x.ravel(), y.ravel(), np.full(x.size, z)], axis=1), triangles)


def test_the_bands_stand_where_the_shear_is() -> None:
    piece = sheet(0.1, 0.1)
    shear = np.where(piece.centroids[:, 0] > 0, np.radians(32.0), 0.0)
    svg = mould_picture(sheet(0.2, 0.1), [OnMould(surface=piece, values=shear)], size_mm=(103, 60), view=FLAT).svg
    cloth, shade = (
        Image.open(io.BytesIO(base64.b64decode(data))).convert("RGBA") for data in re.findall(r"base64,([^\"]+)", svg)
    )
    mould = re.search(r'class="mould" d="[^"]*" fill="(#[0-9a-f]{6})"', svg)
    assert mould is not None

    def at(image: Image.Image, x: float) -> np.ndarray:
        pixel = image.getpixel((round(image.width * (1.5 + x) / 103), image.height // 2))
        assert isinstance(pixel, tuple)
        return np.array(pixel, dtype=np.float64)

    for x, ink in (
        (10, colour.MOULD),
        (35, colour.SHEAR.colours[0]),
        (65, colour.SHEAR.colours[6]),
        (90, colour.MOULD),
    ):
        *rgb, alpha = at(cloth, x)
        assert alpha == (0 if ink is colour.MOULD else 255)
        ground = np.array(colour.rgb(mould[1])) if ink is colour.MOULD else np.array(rgb)
        dark = at(shade, x)[3] / 255  # shade is black over the ground
        np.testing.assert_allclose(ground * (1 - dark), colour.rgb(ink), atol=3.0)  # half a step of shade, and a bit


def test_the_picture_is_true_to_its_print_size() -> None:
    root = ET.fromstring(mould_picture(sheet(0.2, 0.1), size_mm=(103.0, 90.0), view=FLAT).svg)
    assert (root.get("width"), root.get("height")) == ("103mm", "53mm")  # 100 wide, half as high, and margins


def test_what_lies_behind_a_lid_is_not_drawn() -> None:
    ground, lid = sheet(0.2, 0.2), sheet(0.05, 0.05, z=0.05)
    both = Surface(
        np.concatenate([ground.vertices, lid.vertices]),
        np.concatenate([ground.triangles, lid.triangles + len(ground.vertices)]),
    )
    across = np.array([[-0.09, 0.001, 0.0], [0.09, 0.001, 0.0]])
    svg = mould_picture(both, lines=[MouldLine(points=across, look=LineLook.CUT)], view=FLAT, size_mm=(103, 110)).svg
    (path,) = [e.get("d") or "" for e in ET.fromstring(svg).iter() if e.get("stroke-width") == "0.4"]
    ends = np.array([[float(v) for v in re.findall(r"[-\d.]+", p)] for p in path.split("M")[1:]])
    assert ends.shape == (2, 4)
    assert ends[0, 2] == pytest.approx(1.5 + 75 / 2, abs=0.6)
    assert ends[1, 0] == pytest.approx(1.5 + 125 / 2, abs=0.6)


def test_hidden_points_are_left_out_and_hidden_area_is_said() -> None:
    under = OnMould(surface=sheet(0.1, 0.1, z=-0.05))
    hole = MouldPoint(at=(0, 0, -0.05), look=PointLook.PILOT)
    picture = mould_picture(sheet(0.2, 0.2), [under], points=[hole], view=FLAT, size_mm=(60, 60))
    assert picture.hidden == pytest.approx(1.0)
    assert "<circle" not in picture.svg
    assert "stroke-dasharray" not in picture.svg


def test_the_eye_stands_on_the_laminate_side() -> None:
    for surface in (sheet(0.2, 0.1), sheet(0.2, 0.1).flipped(), sheet(0.1, 0.3)):
        view = view_of(surface)
        axes = np.stack([view.right, view.up, view.towards])
        np.testing.assert_allclose(axes @ axes.T, np.eye(3), atol=1e-12)
        assert np.linalg.det(axes) == pytest.approx(1.0)
        assert surface.normals[0] @ view.towards == pytest.approx(np.cos(view.tilt))
        spread = np.ptp(view.seen(surface.vertices), axis=0)
        assert spread[0] > spread[1]


def test_yarns_are_where_the_coordinate_is_round() -> None:
    surface = sheet(0.1, 0.1)
    lines = isolines(surface, surface.vertices[:, 0] + 0.3 * surface.vertices[:, 1], 0.0131)
    assert len(lines) == 9  # 0, ±1 … ±4 steps of 0.0131 lie within ±0.065
    for line in lines:
        value = line[:, 0] + 0.3 * line[:, 1]
        np.testing.assert_allclose(value, np.round(value[0] / 0.0131) * 0.0131, atol=1e-8)


def test_what_does_not_belong_together_is_refused() -> None:
    piece = sheet(0.1, 0.1)
    with pytest.raises(ValueError, match="piece 3A: one value for each triangle"):
        mould_picture(piece, [OnMould(surface=piece, values=np.zeros(3), label="3A")])
    with pytest.raises(ValueError, match="positive spacing"):
        isolines(piece, piece.vertices[:, 0], 0.0)
    with pytest.raises(ValueError, match="between 0 and 80°"):
        view_of(piece, tilt=np.radians(85))
