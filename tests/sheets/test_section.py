"""The section: the lines lie as high as the thickness says, and what is drawn is stated."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from bagside.sheets.section import PlyInSection, section_view

FLAT = np.array([[0.0, 0.0], [0.2, 0.0]])


def _ply(state: str, *spans: tuple[float, float], thickness: float = 0.0002) -> PlyInSection:
    return PlyInSection(spans=spans, thickness=thickness, state=state)


def test_the_exaggeration_stated_follows_the_thickness() -> None:
    times = []
    for t in (0.0001, 0.0002):
        svg = section_view(FLAT, [_ply("laid", (0.0, 0.2), thickness=t)])
        found = re.search(r"thickness drawn ×(\d+)", svg)
        assert found is not None
        times.append(int(found.group(1)))
    assert times[0] == pytest.approx(2 * times[1], abs=1)


def test_it_is_a_document_and_each_state_adds_a_line() -> None:
    states = ["laid", "in hand", "to come"]
    sizes = []
    for k in range(4):
        svg = section_view(FLAT, [_ply(s, (0.0, 0.2)) for s in states[:k]])
        ET.fromstring(svg)
        sizes.append(svg.count("<path"))
    assert sizes == sorted(set(sizes))
    assert "the mould alone" in section_view(FLAT, [])


@pytest.mark.parametrize(
    ("profile", "plies", "why"),
    [
        (np.zeros((1, 2)), [], "two finite points"),
        (np.zeros((3, 2)), [], "no length"),
        (FLAT, [_ply("laid", (0.1, 0.05))], "run forwards"),
        (FLAT, [_ply("laid", (0.0, 0.1), thickness=0.0)], "thickness"),
    ],
)
def test_what_cannot_be_drawn_is_refused(profile: np.ndarray, plies: list[PlyInSection], why: str) -> None:
    with pytest.raises(ValueError, match=why):
        section_view(profile, plies)
