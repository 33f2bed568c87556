"""The page of the laminate: zones as they are drawn, and a stack that is tried before it is written."""

from __future__ import annotations

import json
import math
import pickle
import struct
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from bagside.laminate import LaidPly, Lamina, laminate_of
from bagside.planning.shaping import shaped_from
from bagside.planning.stages import Stages
from bagside.spec.library import Library, workshop_library
from bagside.spec.opening import open_job
from bagside.web.pages.laminate.compared import compared, thickness_words, zone_numbers
from bagside.web.pages.laminate.page import _runs
from bagside.web.pages.laminate.trial import AROUND, More, Trial, beside, in_bending, in_plane, rose, stack, tried
from bagside.web.scene.coded import places_read, values_read, wholes_read
from bagside.web.scene.named import named
from bagside.web.views.laminate import view as laminate
from bagside.web.views.laminate.shown import LaminateView, sorted_zones
from bagside.web.words.tongue import Lengths, Tongue
from domeshop import written_in

RADIUS, DISC, PATCH = 0.100, 0.080, 0.020
UD = Lamina(E1=135e9, E2=9e9, G12=5e9, nu12=0.3)


def laid(*degrees: float, lamina: Lamina = UD) -> tuple[LaidPly, ...]:
    return tuple(
        LaidPly(name=str(k), lamina=lamina, thickness=2e-4, angle=math.radians(a), areal_weight=0.3)
        for k, a in enumerate(degrees)
    )


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> tuple[LaminateView, Library]:
    job = open_job(written_in(tmp_path_factory.mktemp("laminate")))
    stages = Stages()
    found = laminate.early(shaped_from(job, stages, "job.toml"), job, stages)
    return found, workshop_library(job.folder)


def unpacked(buffer: bytes) -> tuple[dict[str, Any], bytes]:
    (long,) = struct.unpack("<I", buffer[4:8])
    return json.loads(buffer[8 : 8 + long]), zlib.decompress(buffer[8 + long :])


def test_the_dome_has_a_patch_and_the_rest(seen: tuple[LaminateView, Library]) -> None:
    view = seen[0]
    assert [z.layers for z in view.zones] == [(0, 2, 3), (0, 1, 2, 3)]
    patch = 2 * math.pi * RADIUS**2 * (1 - math.cos(PATCH / RADIUS))  # a cap, its reach measured over the ball
    assert view.zones[1].area == pytest.approx(patch, rel=0.06)  # counted in whole triangles of 6 mm
    assert view.stated == (0, 1, 2, 3)
    assert pickle.loads(pickle.dumps(view)).zones == view.zones


def test_what_is_picked_on_the_picture_is_the_zone_that_is_drawn_there(seen: tuple[LaminateView, Library]) -> None:
    view = seen[0]
    head, body = unpacked(view.mesh)
    at = places_read(body, head["positions"])
    corners = at[wholes_read(body, head["triangles"]).reshape(-1, 3)]
    zone = sorted_zones(view.of_triangle)
    off = np.linalg.norm(corners.mean(axis=1) - (30.0, 0.0, 98.5), axis=1)
    assert set(zone[off < 17.0]) == {2}
    assert set(zone[off > 23.0]) == {1}
    thick = values_read(body, head["fields"][0]["values"])
    assert thick[zone == 2].min() > thick[zone == 1].max()
    border = next(line for line in head["lines"] if line["look"] == "feature")
    points = places_read(body, border["points"])
    assert np.abs(np.linalg.norm(points - (30.0, 0.0, 98.5), axis=1) - 20.0).max() < 4.0


def test_the_number_of_a_zone_stands_in_it(seen: tuple[LaminateView, Library]) -> None:
    inner = seen[0].zones[1].at
    assert inner is not None
    assert math.dist(inner, (0.030, 0.0, 0.0954)) < 0.012


def test_bands_reach_the_thickest_place_in_round_steps() -> None:
    bands = laminate.bands_of(np.array([0.0009, 0.00158, np.nan]))
    assert bands.edges == (0.0, 0.2, 0.4, 0.6, 0.8, 1.0, 1.2, 1.4)
    assert laminate.bands_of(np.array([0.0123])).edges[1] == 2.0


# --- trials


def test_along_its_fibres_a_tape_is_as_stiff_as_its_sheet_says() -> None:
    """One ply pulled along and across has E1 and E2; at 45° Jones, Mechanics of Composite Materials, eq. 2.97."""
    plane = in_plane(laminate_of(list(laid(0.0))))
    at = {round(math.degrees(a)): float(e) for a, e in zip(AROUND, plane, strict=True)}
    assert at[0] == pytest.approx(UD.E1)
    assert at[90] == pytest.approx(UD.E2)
    assert at[180] == pytest.approx(UD.E1)
    give = 0.25 * (1 / UD.E1 + (1 / UD.G12 - 2 * UD.nu12 / UD.E1) + 1 / UD.E2)
    assert at[45] == pytest.approx(1 / give)


def test_four_ways_are_alike_in_the_plane_and_not_in_bending() -> None:
    made = laminate_of(list(laid(0, 45, 90, -45, -45, 90, 45, 0)))
    plane, bend = in_plane(made), in_bending(made)
    assert plane == pytest.approx(np.full(len(plane), plane[0]), rel=1e-9)
    assert bend.max() > 1.3 * bend.min()


def test_a_metal_sheet_is_a_circle_both_ways() -> None:
    metal = Lamina(E1=70e9, E2=70e9, G12=70e9 / 2.6, nu12=0.3)
    made = laminate_of(list(laid(0.0, lamina=metal)))
    for found in (in_plane(made), in_bending(made)):
        assert found == pytest.approx(np.full(len(AROUND), 70e9))


def test_a_trial_leaves_out_and_lays_on(seen: tuple[LaminateView, Library]) -> None:
    view, library = seen
    zone = view.zones[0]
    same = tried(zone, Trial(), library)
    assert same == zone.plies
    less = tried(zone, Trial(out=frozenset({2})), library)
    assert len(less) == 2
    more = tried(zone, Trial(more=(More(material="twill-200", angle=math.radians(30)),)), library)
    assert more[:-1] == zone.plies
    assert more[-1].angle == pytest.approx(math.radians(30))
    now, stiffer = (beside(stack(p), view.original) for p in (same, more))
    assert now is not None
    assert stiffer is not None
    assert stiffer.bending.ratio > now.bending.ratio
    assert stack(tried(zone, Trial(out=frozenset({0, 2, 3})), library)) is None


def test_bars_say_now_and_would_in_words_too(seen: tuple[LaminateView, Library]) -> None:
    view, library = seen
    zone, tongue = view.zones[0], Tongue()
    now = stack(zone.plies)
    plain = compared(now, None, view, True, tongue)
    assert "hollow" in plain[plain.index("Bar:") :].lower()
    assert 'class="hollow"' not in plain
    trial = Trial(out=frozenset({0}))
    would = stack(tried(zone, trial, library))
    both = compared(now, would, view, False, tongue)
    assert both.count('class="hollow"') == 3
    answer = beside(now, view.original)
    assert answer is not None
    assert f"was {tongue.share(answer.bending.ratio)}" in both
    gone = compared(now, None, view, False, tongue)
    assert "–" in gone  # every ply left out: nothing is left to compare
    numbers = zone_numbers(view, zone, now, would, False, tongue)
    assert would is not None
    assert tongue.thickness(would.thickness) in numbers
    assert "(was" in numbers


def test_the_rose_is_drawn_with_what_was_before() -> None:
    now, would = laminate_of(list(laid(0, 90))), laminate_of(list(laid(0, 90, 45)))
    alone, both = rose(now, None, ("a", "b", "c")), rose(now, would, ("a", "b", "c"))
    assert both.count("<path") == alone.count("<path") + 2


def test_runs_of_plies_are_short() -> None:
    assert _runs((0, 1, 2, 4, 5)) == "1–3, 5, 6"
    assert _runs((1, 1, 2)) == "2, 3"


def test_nothing_replaced_is_said(tmp_path: Path) -> None:
    job = open_job(written_in(tmp_path, ('[replaces]\nmaterial = "aluminium"\nthickness = "1 mm"\n', "")))
    stages = Stages()
    view = laminate.early(shaped_from(job, stages, "job.toml"), job, stages)
    assert view.original is None
    assert "nothing is compared" in compared(stack(view.zones[0].plies), None, view, True, Tongue())


def test_the_map_of_thickness_is_told_in_mils_to_a_reader_of_inches(seen: tuple[LaminateView, Library]) -> None:
    def field(tongue: Tongue) -> dict[str, Any]:
        buffer = named(seen[0].mesh, {"thickness": thickness_words(tongue)})
        (long,) = struct.unpack("<I", buffer[4:8])
        found: dict[str, Any] = json.loads(buffer[8 : 8 + long])["fields"][0]
        return found

    metric, inch = field(Tongue()), field(Tongue(lengths=Lengths.INCH))
    assert inch["sign"] == " mil"
    assert inch["perSi"] == pytest.approx(1000.0 / 0.0254)
    assert inch["values"] == metric["values"]
    assert len(inch["edges"]) == len(metric["edges"]) == len(inch["colours"])
    step = inch["edges"][1]
    assert inch["edges"] == [pytest.approx(k * step) for k in range(len(inch["edges"]))]
    assert f"{step:g}".strip("0.")[:1] in ("1", "2", "5")
    assert inch["edges"][-1] >= 0.9 * metric["edges"][-1] / 0.0254
