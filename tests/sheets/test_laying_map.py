"""The laying map: every tile numbered, in order, true to scale."""

import re
from xml.etree import ElementTree

import numpy as np
import pytest

from bagside.sheets.laying_map import MapPiece, MapTile, laying_map

SVG = "{http://www.w3.org/2000/svg}"


def square(x: float, y: float, side: float) -> np.ndarray:
    return np.array([[x, y], [x + side, y], [x + side, y + side], [x, y + side]])


def plate(label: str = "1", heavy: bool = False) -> MapPiece:
    tiles = [
        MapTile(
            words=str(4 * r + c + 1), loops=(square(0.05 * c, 0.05 * r, 0.05),), whole=c < 3, heavy=heavy and c == 0
        )
        for r in range(3)
        for c in range(4)
    ]
    return MapPiece(label=label, loops=(square(0, 0, 0.2)[:, :] * [1, 0.75],), tiles=tuple(tiles), start=(0.025, 0.025))


def words(svg: str) -> list[str]:
    return ["".join(t.itertext()) for t in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def test_every_tile_has_its_number() -> None:
    said = words(laying_map([plate()]))
    assert [w for w in said if w.isdigit()][1:] == [str(n) for n in range(1, 13)]
    assert "tiles in the order of laying, 1 : 2" in said
    assert "whole tile, any place" in said
    assert "sheared past the lock" not in said


def test_it_is_true_to_its_scale() -> None:
    paths = re.findall(r'<path d="M([^"]+)Z"', laying_map([plate()]))
    first = np.array([[float(v) for v in p.split()] for p in paths[0].split("L")])
    assert np.ptp(first, axis=0) == pytest.approx([25.0, 25.0], abs=2e-3)


def test_a_tile_laid_later_is_drawn_over_those_before() -> None:
    one = MapTile(words="1", loops=(square(0, 0, 0.06),), whole=True)
    two = MapTile(words="2", loops=(square(0.05, 0, 0.06),), whole=False)
    svg = laying_map([MapPiece(label="1", loops=(square(0, 0, 0.12),), tiles=(one, two))])
    fills = re.findall(r'fill="(#[0-9a-f]+)" fill-rule', svg)
    assert fills == ["#ffffff", "#d5e4f0"]


def test_numbers_keep_off_the_start() -> None:
    svg = laying_map([plate()])
    cross = re.search(r'<circle cx="([\d.]+)" cy="([\d.]+)"', svg)
    number = re.search(r'<text x="([\d.]+)" y="([\d.]+)"[^>]*>1</text>', svg)
    assert cross is not None
    assert number is not None
    apart = np.hypot(float(cross[1]) - float(number[1]), float(cross[2]) - float(number[2]) + 0.9)
    assert apart > 2.5


def test_tiles_past_the_lock_have_a_bold_edge() -> None:
    svg = laying_map([plate(heavy=True)])
    assert svg.count('stroke-width="0.7"') >= 3
    assert "sheared past the lock" in words(svg)


def test_pieces_stand_side_by_side() -> None:
    said = words(laying_map([plate("1A"), plate("1B")]))
    assert "1A" in said
    assert "1B" in said


def test_a_map_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a piece"):
        laying_map([])
