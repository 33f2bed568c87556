"""Codes against a general reader and the standard's own measures."""

from __future__ import annotations

import re

import cv2
import numpy as np
import pypdfium2
import pytest

from bagside.errors import InputError
from bagside.sheets import paper as draw
from bagside.sheets.press import pressed
from bagside.sheets.qr import DOT, QUIET, qr_code


def page(text: str, side: float) -> np.ndarray:
    svg = draw.sheet(side, side, [qr_code(text, 0.0, 0.0, side)], title="code")
    pdf = pressed("tiles.typ", {"title": "code", "width": side, "height": side, "pages": [svg]})
    return np.ascontiguousarray(
        pypdfium2.PdfDocument(pdf)[0].render(scale=300 / 72, grayscale=True).to_numpy().squeeze()
    )


@pytest.mark.parametrize(
    "text", ["A", "O-14", "http://workshop.local:8000/p/x7k3m2qa", "twill-200; ±45°; Süllrand", "9" * 70]
)
def test_a_code_of_two_centimetres_is_read_at_300_dpi(text: str) -> None:
    said, _, _ = cv2.QRCodeDetector().detectAndDecode(page(text, 20.0))
    assert said == text


@pytest.mark.published("ISO/IEC 18004: four modules of quiet zone on each side (value from memory)")
def test_the_quiet_zone_is_white_and_squares_are_whole_dots() -> None:
    data = re.search(r'd="([^"]+)"', qr_code("http://workshop.local:8000/p/x7k3m2qa", 0.0, 0.0, 20.0))
    assert data is not None
    runs = np.array(re.findall(r"M([\d.]+) ([\d.]+)h([\d.]+)v([\d.]+)", data.group(1)), dtype=float)
    module = runs[:, 3].max()
    assert module / DOT == pytest.approx(round(module / DOT), abs=0.02)
    left, top = runs[:, 0].min(), runs[:, 1].min()
    right, bottom = (runs[:, 0] + runs[:, 2]).max(), (runs[:, 1] + runs[:, 3]).max()
    assert min(left, top, 20.0 - right, 20.0 - bottom) >= QUIET * module - 1e-3
    assert (right - left) / module == pytest.approx(round((right - left) / module), abs=0.05)


def test_what_cannot_be_read_is_refused() -> None:
    with pytest.raises(InputError, match="a shorter address or a larger label"):
        qr_code("x" * 900, 0.0, 0.0, 15.0)
    with pytest.raises(InputError, match="a text or an address"):
        qr_code("", 0.0, 0.0, 15.0)
