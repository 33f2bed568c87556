"""Rings and strips made into plies: how many, how wide, where; areas, volume and mass by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import shapes
from bagside.errors import InputError
from bagside.geometry import Surface, regions_of
from bagside.planning.build_ups import widths_of, with_build_ups
from bagside.planning.laminate_stage import laid_ply
from bagside.planning.measured_stage import laminate_of_places
from bagside.spec.build_up import BuildUp
from bagside.spec.job import Job
from bagside.spec.library import Library, generic_library
from bagside.spec.lines import Line
from bagside.spec.opening import open_job
from bagside.spec.patchwork import Patchwork
from bagside.spec.region import EVERYTHING, Hole
from bagside.spec.template import Card, Template
from tapeshop import TAPED, written_in

LIBRARY = generic_library()
SHEET = laid_ply("", LIBRARY.prepreg["twill-200"], 0.0)
T = SHEET.thickness
TOGGLE = Hole(name="toggle", diameter=0.012)
RING = BuildUp(name="toggle", material="twill-200", height=3.5 * T, around=("toggle",), width=0.025)
SEAM = BuildUp(name="seam", material="twill-200", height=2 * T, along=("keel",), width=0.05, angles=(0.0, math.pi / 4))


@pytest.fixture
def taped(tmp_path: Path) -> Job:
    job = open_job(written_in(tmp_path, job=TAPED)).job
    return replace(job, holes=(TOGGLE, Hole(name="pump", diameter=0.02)))


@pytest.fixture
def meshed(taped: Job) -> Job:
    return replace(
        taped,
        mould=replace(taped.mould, mesh="plate.stl"),
        measured=None,
        plies=tuple(replace(p, region=EVERYTHING, templates=()) for p in taped.plies),
        lines={"keel": Line(points=((-0.15, 0.02, 0.0), (0.15, 0.02, 0.0)))},
    )


def refused(job: Job, library: Library = LIBRARY) -> str:
    with pytest.raises(InputError) as caught:
        with_build_ups(job, library)
    return str(caught.value)


def test_as_many_layers_as_the_height_takes_each_narrower_by_the_step() -> None:
    assert widths_of(RING, LIBRARY, "") == pytest.approx((0.025, 0.021, 0.017, 0.013))  # 3.5 thicknesses: four
    assert len(widths_of(replace(RING, height=3 * T), LIBRARY, "")) == 3  # and three exactly are three
    assert widths_of(SEAM, LIBRARY, "") == pytest.approx((0.05, 0.042))  # a strip at both edges


def test_what_is_too_narrow_says_what_is_reached_and_what_would_do(taped: Job) -> None:
    job = replace(taped, build_ups=(replace(RING, height=8 * T), replace(SEAM, length=0.3, height=0.3)))
    t = f"{1000 * T:.2f} mm"
    assert refused(job) == (
        f"job.toml, build-up toggle, height: {8000 * T:.2f} mm – it takes 8 layers of {t}, and from 25.0 mm on, each "
        f"4.0 mm narrower, only 4 layers reach {4000 * T:.2f} mm before they are narrower than 10.0 mm "
        '(width = "38 mm" would do, or a smaller step)\n'
        f"job.toml, build-up seam, height: 300.00 mm – that would take {math.ceil(0.3 / T)} layers of {t}; at "
        "most 60 are made (check the unit, or use a core or a thicker cloth)"
    )
    enough = replace(RING, height=8 * T, width=0.038)
    assert widths_of(enough, LIBRARY, "")[-1] == pytest.approx(RING.narrowest)


def test_plies_are_numbered_on_and_the_patchwork_stays_the_same_ply(taped: Job) -> None:
    first = replace(RING, after=1, height=2 * T)
    last = replace(RING, name="pump", around=("pump",), height=T)
    job = replace(taped, build_ups=(first, last), patchwork=Patchwork(ply=2, size=0.05))
    made = with_build_ups(job, LIBRARY)
    order = [p.region for p in made.plies]
    assert order == ["lay-up", "toggle 1", "toggle 2", "pad", "lay-up", "pump"]
    assert made.patchwork is not None
    assert made.plies[made.patchwork.ply - 1] == job.plies[1]
    assert made.build_ups == ()
    assert with_build_ups(made, LIBRARY) is made


def test_without_a_surface_rings_and_strips_are_cards_over_places_within_each_other(taped: Job) -> None:
    both = replace(RING, around=("toggle", "pump"), open=True)
    job = replace(taped, build_ups=(both, replace(SEAM, along=("keel", "rail"), length=0.3)))
    made = with_build_ups(job, LIBRARY)
    assert made.measured is not None
    assert made.plies[3].templates[0].template == "toggle 1, 12 mm"
    assert made.templates["toggle 2, 20 mm"] == Template(shape=Card.RING, diameter=0.02 + 2 * 0.021, hole=0.02)
    strip = made.plies[-1]
    assert (strip.angle, strip.templates[0].template, strip.templates[0].copies) == (math.pi / 4, "seam 2", 2)
    assert made.templates["seam 2"] == Template(shape=Card.STRIP, size=(0.3, 0.042))
    places = made.measured.places
    assert [places[f"toggle {k}"].of for k in (1, 2, 3, 4)] == ["plate", "toggle 1", "toggle 2", "toggle 3"]
    # By hand: π (d + w) w is the area of a ring of width w round a hole of diameter d.
    ring = sum(math.pi * (d + 0.017) * 0.017 for d in (0.012, 0.02))
    assert places["toggle 3"].area == pytest.approx(ring)
    assert places["seam 1"].area == pytest.approx(2 * 0.3 * 0.05)


def test_thickness_and_mass_are_those_of_the_stepped_stack(taped: Job) -> None:
    made = with_build_ups(replace(taped, build_ups=(RING,)), LIBRARY)
    assert made.measured is not None
    prepregs = tuple(LIBRARY.prepreg[p.material] for p in made.plies)
    with_rings = laminate_of_places(made.measured, made.part, made.plies, prepregs, None)
    assert taped.measured is not None
    without = laminate_of_places(taped.measured, taped.part, taped.plies, prepregs[:3], None)
    discs = sum(math.pi / 4 * (0.012 + 2 * w) ** 2 for w in (0.025, 0.021, 0.017, 0.013))
    assert with_rings.mass - without.mass == pytest.approx(discs * SHEET.areal_weight, rel=1e-9)
    thickest = max(z.laminate.thickness for z in with_rings.zones)
    assert thickest == pytest.approx(2 * T + 4 * T)


def test_two_stacks_round_one_hole_lie_within_each_other_by_width(taped: Job) -> None:
    low = replace(RING, after=1, height=2 * T)
    high = replace(RING, name="more", height=2 * T, width=0.023)
    made = with_build_ups(replace(taped, build_ups=(low, high)), LIBRARY)
    assert made.measured is not None
    of = {name: place.of for name, place in made.measured.places.items()}
    assert (of["toggle 1"], of["more 1"], of["toggle 2"], of["more 2"]) == ("plate", "toggle 1", "more 1", "toggle 2")
    some = replace(high, around=("toggle", "pump"))
    assert refused(replace(taped, build_ups=(low, some))) == (
        "job.toml, build-up more: pump, toggle – another build-up is made at toggle, and only some of them are the "
        "same (without a surface, build-ups are at the same holes and seams or at others; state one for each set)"
    )


def test_a_seam_by_tape_takes_its_length_from_the_line_when_there_is_one(taped: Job) -> None:
    points = ((0.0, 0.0, 0.0), (0.3, 0.0, 0.0), (0.3, 0.4, 0.0))
    for closed, length in ((False, 0.7), (True, 1.2)):
        job = replace(taped, lines={"keel": Line(points=points, closed=closed)}, build_ups=(SEAM,))
        made = with_build_ups(job, LIBRARY)
        assert made.templates["seam 1"].size == pytest.approx((length, 0.05))
    assert refused(replace(taped, build_ups=(SEAM,))) == (
        'job.toml, build-up seam, along: "keel" – how long this seam is has not been stated (state length, as in '
        'length = "420 mm")'
    )


def test_what_does_not_fit_or_is_called_the_same_is_refused(taped: Job) -> None:
    pad = replace(SEAM, length=0.5, region="pad", height=T)
    assert refused(replace(taped, build_ups=(pad,))) == (
        "job.toml, place pad, area: 96 cm² – what is built up on it, and the places within it, are 154 cm² larger "
        "(state smaller widths, or the place's area anew)"
    )
    same = replace(RING, name="pad", height=T)
    assert refused(replace(taped, build_ups=(same,))) == (
        'job.toml, build-up pad, name: "pad" – a region, place or template of this name is stated already, and a layer '
        "would be called so (choose another name)"
    )


def flat() -> Surface:
    return shapes.plane(0.4, 0.3, 80, 60)


@pytest.mark.parametrize("open_", [True, False])
def test_on_a_mould_a_ring_stack_has_the_volume_worked_out_by_hand(meshed: Job, open_: bool) -> None:
    hole = replace(TOGGLE, at=(0.05, 0.02, 0.0))
    made = with_build_ups(replace(meshed, holes=(hole,), build_ups=(replace(RING, open=open_),)), LIBRARY)
    assert all(not p.templates for p in made.plies)
    regions = regions_of(flat(), made.regions, {"toggle": hole}, "job.toml", made.lines)
    volume = T * sum(regions[p.region].area for p in made.plies[3:])
    discs = sum(math.pi / 4 * ((0.012 + 2 * w) ** 2 - (0.012**2 if open_ else 0)) for w in (0.025, 0.021, 0.017, 0.013))
    assert volume == pytest.approx(T * discs, rel=2e-3)
    assert len(regions["toggle 4"].loops) == (2 if open_ else 1)
    rim = regions["toggle 4"]
    far = np.linalg.norm(rim.vertices[np.concatenate(rim.loops)] - np.array(hole.at), axis=1)
    assert far.max() == pytest.approx(0.006 + 0.013, abs=5e-5)
    if open_:
        assert far.min() == pytest.approx(0.006, abs=5e-5)


def test_on_a_mould_a_strip_runs_along_its_line_half_its_width_to_either_side(meshed: Job) -> None:
    made = with_build_ups(replace(meshed, build_ups=(replace(SEAM, region=EVERYTHING),)), LIBRARY)
    regions = regions_of(flat(), made.regions, {}, "job.toml", made.lines)
    for name, width in (("seam 1", 0.05), ("seam 2", 0.042)):
        assert regions[name].area == pytest.approx(0.3 * width + math.pi * width**2 / 4, rel=1e-3)  # its ends are round
