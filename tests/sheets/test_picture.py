"""The picture on the mould: raster and vectors agree, hidden lines go, colours are the bands'."""

from __future__ import annotations

import base64
import io
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from bagside.geometry import Surface
from bagside.sheets.picture import LineLook, MouldLine, OnMould, mould_picture
from bagside.sheets.view import view_of

SQUARE = np.array([[0.0, 0.0, 0.0], [0.2, 0.0, 0.0], [0.2, 0.1, 0.0], [0.0, 0.1, 0.0]])
TWO = np.array([[0, 1, 2], [0, 2, 3]])


def _plate(z: float = 0.0) -> Surface:
    return Surface(SQUARE + np.array([0.0, 0.0, z]), TWO)


def _image(svg: str) -> Image.Image:
    found = re.search(r"data:image/png;base64,([A-Za-z0-9+/=]+)", svg)
    assert found is not None
    return Image.open(io.BytesIO(base64.b64decode(found.group(1)))).convert("RGB")


def test_more_shear_is_darker_and_the_document_reads() -> None:
    plate = _plate()
    shades = []
    for degrees in (0.0, 20.0, 42.0):
        values = np.full(2, np.radians(degrees))
        got = mould_picture(plate, [OnMould(surface=plate, values=values, label="1")])
        ET.fromstring(got.svg)
        image = _image(got.svg)
        shades.append(sum(image.getpixel((image.width // 2, image.height // 2))))
    assert shades == sorted(shades, reverse=True)
    assert len(set(shades)) == 3


def test_a_line_under_a_plate_is_hidden_and_one_on_it_is_drawn() -> None:
    plate, view = _plate(), view_of(_plate(), tilt=0.0, turn=0.0)

    def drawn(z: float) -> str:
        points = np.array([[0.05, 0.05, z], [0.15, 0.05, z]])
        return mould_picture(plate, lines=[MouldLine(points=points, look=LineLook.NET_EDGE)], view=view).svg

    bare = mould_picture(plate, view=view).svg
    assert drawn(-0.05).count("<path") == bare.count("<path")
    assert drawn(0.0).count("<path") > bare.count("<path")


def test_a_flat_piece_hides_nothing() -> None:
    plate = _plate()
    assert mould_picture(plate, [OnMould(surface=plate)]).hidden == pytest.approx(0.0, abs=0.02)


def test_a_piece_under_the_mould_is_said_to_be_hidden() -> None:
    got = mould_picture(_plate(), [OnMould(surface=_plate(-0.05))], view=view_of(_plate(), tilt=0.0))
    assert got.hidden > 0.9


def test_values_must_belong() -> None:
    with pytest.raises(ValueError, match="one value for each triangle"):
        mould_picture(_plate(), [OnMould(surface=_plate(), values=np.zeros(3))])
