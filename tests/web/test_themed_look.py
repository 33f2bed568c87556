"""A themed drawing in a real browser: attributes take the page's variables, maps stay, the mould and the ink change.

Contrast is that of WCAG 2.2 (1.4.3 and 1.4.11), measured on what the browser has painted.
"""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from bagside.geometry import Surface
from bagside.sheets import colour
from bagside.sheets.picture import LineLook, MouldLine, OnMould, mould_picture
from bagside.sheets.themed import themed
from bagside.sheets.view import View

TOKENS = Path(__file__).parents[2] / "src" / "bagside" / "web" / "looks" / "tokens.css"
FLAT = View(right=np.array([1.0, 0, 0]), up=np.array([0, 1.0, 0]), towards=np.array([0, 0, 1.0]), tilt=0.0)
PER = 10.0
"""Pixels in a millimetre on the page."""


def _sheet(wide: float, x0: float) -> Surface:
    x, y = np.array([0.0, wide, wide, 0.0]) + x0, np.array([0.0, 0.0, 0.05, 0.05])
    return Surface(np.column_stack([x, y, np.zeros(4)]), np.array([[0, 1, 2], [0, 2, 3]]))


@pytest.fixture(scope="module")
def drawing() -> str:
    """A mould 100 × 50 mm; on its right half a piece sheared by 32°; a thick line across both, 25 mm up."""
    piece = _sheet(0.05, 0.05)
    line = MouldLine(points=np.array([[0.005, 0.025, 0.0], [0.095, 0.025, 0.0]]), look=LineLook.JOIN_4)
    on = OnMould(surface=piece, values=np.full(2, np.radians(32.0)))
    return mould_picture(_sheet(0.1, 0.0), [on], lines=[line], size_mm=(103.0, 60.0), view=FLAT).svg


@pytest.fixture
def painted(page: Any, drawing: str, tmp_path: Path) -> Any:
    """Return a painter of the drawing in a theme, and the colour it gives at a place of the mould [mm]."""

    def paint(theme: str, svg: str = drawing) -> Any:
        file = tmp_path / f"{theme}.html"
        file.write_text(
            f"<!doctype html><html lang=en><meta charset=utf-8><meta name=theme-choice content={theme}>"
            f"<style>{TOKENS.read_text(encoding='utf-8')}</style>"
            f'<div style="width:{103 * PER:g}px">{themed(svg)}</div>',
            encoding="utf-8",
        )
        page.goto(file.as_uri())
        pixels = np.asarray(Image.open(io.BytesIO(page.locator("svg").screenshot())).convert("RGB"))

        def at(x: float, y: float) -> str:
            column, row = round((1.5 + x) * PER), round((51.5 - y) * PER)
            middle = np.median(pixels[row - 2 : row + 3, column - 2 : column + 3].reshape(-1, 3), axis=0)
            return "#" + "".join(f"{round(v):02x}" for v in middle)

        return at

    return paint


def near(one: str, other: str) -> bool:
    return max(abs(a - b) for a, b in zip(colour.rgb(one), colour.rgb(other), strict=True)) <= 5


def test_in_the_dark_the_mould_darkens_and_the_map_does_not(painted: Any) -> None:
    light, dark = painted("light"), painted("dark")
    assert near(light(75, 10), colour.SHEAR.colours[6])
    assert near(dark(75, 10), light(75, 10))
    assert near(light(25, 10), colour.MOULD)
    assert near(dark(25, 10), "#46545c")  # as the look states it
    assert colour.luminance(dark(25, 10)) < 0.3 * colour.luminance(light(25, 10))


def test_a_line_over_both_can_be_read_on_both(painted: Any) -> None:
    for theme in ("light", "dark"):
        at = painted(theme)
        for x in (25.0, 75.0):
            ground, line = at(x, 10.0), at(x, 25.0)
            # Ink on the darkest bands is thin on purpose; on the mould and on light bands it must be seen well.
            assert colour.contrast(ground, line) >= (3.0 if x < 50 else 2.4), (theme, x, ground, line)


def test_in_the_sun_there_is_no_grey_and_lines_are_thicker(painted: Any, page: Any) -> None:
    at = painted("sun")
    assert near(at(25, 10), "#ffffff")
    assert near(at(75, 10), colour.lit(colour.SHEAR.colours[6]))  # a map says something; it stays, unshaded
    every = "[...document.querySelectorAll('svg path[stroke-width]')]"
    widths = f"{every}.map(p => parseFloat(getComputedStyle(p).strokeWidth))"
    thick = page.evaluate(widths)
    painted("light")
    thin = page.evaluate(widths)
    np.testing.assert_allclose(thick, 1.5 * np.array(thin), rtol=1e-6)


def test_cloth_without_a_map_is_paper_in_the_sun(painted: Any) -> None:
    plain = mould_picture(_sheet(0.1, 0.0), [OnMould(surface=_sheet(0.05, 0.05))], size_mm=(103.0, 60.0), view=FLAT).svg
    assert near(painted("sun", plain)(75, 10), "#ffffff")
    assert near(painted("dark", plain)(75, 10), colour.SHEAR.colours[0])
