"""A part known by tape measure and card takes the whole path; a flat plate both ways gives the same build."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.findings import Severity
from bagside.planning.measured_stage import laminate_of_places
from bagside.planning.plan import BuildPlan, plan_build
from bagside.planning.stages import Stages
from bagside.spec.job import Ply
from bagside.spec.library import generic_library
from bagside.spec.measured import Measured, Place
from bagside.spec.opening import open_job
from tapeshop import MESHED, TAPED, draped, written_in

FABRIC, RESIN, FIBRE_DENSITY, RESIN_DENSITY = 0.2, 0.42, 1780.0, 1220.0  # of twill-200, as its sheet states them
CURED = FABRIC / FIBRE_DENSITY + FABRIC * RESIN / (1 - RESIN) / RESIN_DENSITY  # [m] without bleed
PREPREG = FABRIC / (1 - RESIN)  # [kg/m²]
CLOTH = generic_library().prepreg["twill-200"]
CARDS = TAPED[TAPED.index("[templates.sheet]") : TAPED.index("[[holes]]")]


def planned(job: Path, store: Path | None = None) -> tuple[BuildPlan, Stages]:
    return plan_build(open_job(job), store=store)


@pytest.fixture(scope="module")
def taped(tmp_path_factory: pytest.TempPathFactory) -> BuildPlan:
    return planned(written_in(tmp_path_factory.mktemp("taped")))[0]


@pytest.fixture(scope="module")
def meshed(tmp_path_factory: pytest.TempPathFactory) -> BuildPlan:
    return planned(written_in(tmp_path_factory.mktemp("meshed"), job=draped(MESHED)))[0]


@pytest.fixture(scope="module")
def mixed(tmp_path_factory: pytest.TempPathFactory) -> BuildPlan:
    """Return the plate on its mould, its pad cut from a card and its other plies draped."""
    job = draped(MESHED).replace('region = "pad"', 'region = "pad"\ntemplates = ["patch"]') + CARDS
    return planned(written_in(tmp_path_factory.mktemp("mixed"), job=job))[0]


def test_mass_is_the_sum_by_hand(taped: BuildPlan) -> None:
    """Sum of area times areal weight over (1 − resin content): two plies over 1064 cm², one over 96 cm²."""
    assert taped.laminate.mass == pytest.approx((2 * 0.1064 + 0.0096) * PREPREG, rel=1e-9)
    assert taped.laminate.bare == 0.0


def test_thickness_is_the_closed_form(taped: BuildPlan) -> None:
    zones = {len(z.present): z for z in taped.laminate.zones}
    assert zones[2].laminate.thickness == pytest.approx(2 * CURED, rel=1e-9)
    assert zones[3].laminate.thickness == pytest.approx(3 * CURED, rel=1e-9)
    assert zones[3].area == pytest.approx(0.0096)
    assert zones[2].area == pytest.approx(0.1064 - 0.0096)
    assert zones[3].angles == pytest.approx((0.0, math.pi / 4, 0.0))


def test_a_flat_plate_by_tape_is_the_plate_on_its_mesh(taped: BuildPlan, meshed: BuildPlan) -> None:
    a, b = taped.laminate, meshed.laminate
    assert a.part.area == pytest.approx(b.part.area, rel=1e-3)
    assert a.part.edge == pytest.approx(b.part.edge, rel=1e-3)
    assert a.mass == pytest.approx(b.mass, rel=1e-3)
    assert a.thickest == pytest.approx(b.thickest, rel=1e-3)
    for own, other in zip(a.zones, b.zones, strict=True):
        assert own.area == pytest.approx(other.area, rel=2e-2)  # triangles of 10 mm straddle the pad's edge
        assert own.laminate.thickness == pytest.approx(other.laminate.thickness, rel=1e-4)
        assert own.laminate.Ex == pytest.approx(other.laminate.Ex, rel=1e-4)
        assert own.laminate.Gxy == pytest.approx(other.laminate.Gxy, rel=1e-4)
    assert a.match is not None
    assert b.match is not None
    assert a.match.bending.ratio == pytest.approx(b.match.bending.ratio, rel=1e-3)


def test_it_is_cut_from_the_same_length_of_cloth(taped: BuildPlan, meshed: BuildPlan) -> None:
    for own, other in zip(taped.cut, meshed.cut, strict=True):
        assert (own.label, own.material, own.quantity) == (other.label, other.material, other.quantity)
        assert own.area == pytest.approx(other.area, rel=1e-4)
        assert own.size == pytest.approx(other.size, rel=1e-4)
    (kit,), (other_kit,) = taped.kits, meshed.kits
    assert kit.pull == pytest.approx(other_kit.pull, abs=1e-3)
    assert kit.knife_path == pytest.approx(other_kit.knife_path, rel=1e-3)


def test_it_takes_as_long_cures_alike_and_costs_the_same(taped: BuildPlan, meshed: BuildPlan) -> None:
    for own, other in zip(taped.cure.first.outcomes, meshed.cure.first.outcomes, strict=True):
        assert own.tg == pytest.approx(other.tg, abs=0.1)
        assert own.hottest == pytest.approx(other.hottest, abs=0.1)
    assert taped.cure.first.energy.total == pytest.approx(meshed.cure.first.energy.total, rel=1e-3)
    assert [s.key for s in taped.steps] == [s.key for s in meshed.steps]
    attended = [sum(s.attended for s in plan.steps) for plan in (taped, meshed)]
    assert attended[0] == pytest.approx(attended[1], rel=1e-3)
    assert taped.cost.price == pytest.approx(meshed.cost.price, rel=1e-3)
    assert taped.finish.coats[0].volume == pytest.approx(meshed.finish.coats[0].volume, rel=1e-3)


def test_its_bag_is_that_of_the_surface_and_the_sum_by_hand(taped: BuildPlan, meshed: BuildPlan) -> None:
    own, other = taped.bag, meshed.bag
    assert own.tape_run == pytest.approx(1.4 + 2 * math.pi * 0.045, rel=1e-9)  # round a convex outline, 45 mm out
    assert own.contour == pytest.approx((0.49, 0.39))
    around = 1.4 + 2 * math.pi * 0.045 + 2 * 6 * 0.05  # six pleats of 50 mm: four corners, one on each longer side
    assert own.sheet == pytest.approx((0.49 / 0.88 * around / 2, 0.39 / 0.88 * around / 2))
    assert own.area == pytest.approx(0.12 + 1.4 * 0.045 + math.pi * 0.045**2, rel=1e-9)
    assert own.kind is other.kind
    assert own.tape_run == pytest.approx(other.tape_run, rel=5e-3)
    assert own.sheet == pytest.approx(other.sheet, rel=5e-3)
    assert own.pleats.count == other.pleats.count
    assert own.ports == other.ports
    for item, one in zip(own.items, other.items, strict=True):
        assert item.name == one.name
        assert item.quantity == pytest.approx(one.quantity, rel=1e-2), item.name
    assert own.debulks == other.debulks
    assert own.pressure == other.pressure


def test_what_wants_a_surface_is_said_once(taped: BuildPlan) -> None:
    (said,) = [f for f in taped.findings if "surface of it" in f.what]
    assert (said.severity, said.stage, said.place) == (Severity.SEEN, "mould", "mould by tape measure")
    assert not [f for f in taped.findings if f is not said and "without a surface" in f.what]
    assert taped.surface is None
    assert taped.pieces == ()


def test_a_hollow_mould_asks_for_a_radius_gauge(tmp_path: Path) -> None:
    plan, _ = planned(written_in(tmp_path, ('flange = "100 mm"', 'flange = "100 mm"\ndepth = "30 mm"')))
    (said,) = [f for f in plan.findings if "surface of it" in f.what]
    assert said.severity is Severity.WATCH
    assert "radius gauge, 6.0 mm or more is wanted" in said.do
    assert plan.bag.contour == pytest.approx((0.55, 0.45))  # down one side and up the other


def test_a_hole_and_a_bracket_stand_where_a_place_bears_their_name(tmp_path: Path) -> None:
    plan, _ = planned(written_in(tmp_path, ('name = "middle"', 'name = "pad"')))
    assert plan.joints.holes[0].thickness == pytest.approx(3 * CURED)
    assert math.isinf(plan.joints.holes[0].edge)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0.05, 0.5), st.integers(0, 7)), max_size=6),
    st.lists(st.integers(0, 8), min_size=1, max_size=6),
)
def test_mass_of_zones_is_the_sum_over_plies(nodes: list[tuple[float, int]], plies: list[int]) -> None:
    """Whatever tree of places: mass by zones is the area of each ply within the part times its areal weight."""
    places = {"laid": Place(area=1.3), "part": Place(area=1.0, edge=4.0)}
    left = {"part": 1.0}
    for share, on in nodes:
        of = sorted(left)[on % len(left)]
        name, area = f"place {len(left)}", share * left[of]
        places[name], left[name] = Place(area=area, of=of), area
        left[of] -= area
    named = [*places, "everything"]
    stack = tuple(Ply(material="twill-200", angle=0.3 * k, region=named[n % len(named)]) for k, n in enumerate(plies))
    measured = Measured(size=(1.0, 1.0), places=places)
    found = laminate_of_places(measured, "part", stack, (CLOTH,) * len(stack), None)
    own = [1.0 if p.region in ("laid", "part", "everything") else places[p.region].area for p in stack]
    assert found.mass == pytest.approx(sum(own) * PREPREG)
    assert sum(z.area for z in found.zones) + found.bare == pytest.approx(1.0)
    assert found.part.edge == 4.0


def test_a_part_that_no_ply_covers_whole_is_told(tmp_path: Path) -> None:
    text = TAPED.replace('region = "lay-up"', 'region = "pad"')
    plan, _ = planned(written_in(tmp_path, job=text))
    (said,) = [f for f in plan.findings if f.place == "the part"]
    assert (said.severity, said.what) == (Severity.DECIDE, "no ply covers 968 cm² of its 1\u2009064 cm²")


def test_a_hole_without_a_place_is_in_the_largest_zone(taped: BuildPlan) -> None:
    assert taped.joints.holes[0].thickness == pytest.approx(2 * CURED)


def told(plan: BuildPlan) -> list[str]:
    return [f"{f.place}: {f.what}" for f in plan.findings if f.place.startswith("ply ")]


def test_a_card_too_small_leaves_the_place_bare(tmp_path: Path, taped: BuildPlan) -> None:
    assert told(taped) == []
    plan, _ = planned(written_in(tmp_path, ('size = "120 80 mm"', 'size = "100 80 mm"')))
    assert told(plan) == ["ply 2, pad: its card is 80 cm², and the place 96 cm²: 16 cm² stay bare"]


def test_a_card_too_large_is_cloth_for_the_bin(tmp_path: Path) -> None:
    plan, _ = planned(written_in(tmp_path, ('["patch"]', '[{ template = "patch", copies = 2 }]')))
    # 96 cm² and 10 % in laps, and 20 mm beyond the edge of a circle as large: 175 cm²
    assert told(plan) == ["ply 2, pad: its 2 cards are 192 cm² together, and the place only 96 cm²"]
    assert plan.plies[1].count == 2
    step = next(s for s in plan.steps if s.key == "ply-2")
    assert step.boxes[:2] == ("2 pieces: 2 × 2", "4 films off")


def test_a_new_cure_does_not_nest_again(tmp_path: Path) -> None:
    store = tmp_path / "store"
    planned(written_in(tmp_path), store)
    _, stages = planned(written_in(tmp_path, ('hold = "2 h"', 'hold = "3 h"')), store)
    anew = [done.stage for done in stages.log if not done.kept]
    assert "Curing" in anew
    assert not [stage for stage in anew if stage.startswith(("Nesting", "Stacking"))]


def test_a_surface_bag_on_a_narrow_flange_is_refused(tmp_path: Path) -> None:
    job = written_in(
        tmp_path, ('flange = "100 mm"', 'flange = "40 mm"'), ("[measured]", '[bag]\nkind = "surface bag"\n[measured]')
    )
    with pytest.raises(InputError, match="62 mm or more is wanted"):
        planned(job)


def test_a_narrow_flange_asks_for_an_envelope(tmp_path: Path) -> None:
    plan, _ = planned(written_in(tmp_path, ('flange = "100 mm"', 'flange = "40 mm"')))
    assert [f.what for f in plan.findings if f.place == "flange"] == ["the flange is 40 mm wide at its narrowest"]


def test_a_patch_from_a_card_on_a_draped_part(mixed: BuildPlan, meshed: BuildPlan) -> None:
    assert [p.label for p in mixed.pieces] == ["1", "3"]
    assert [p.label for p in mixed.cut] == ["1", "2", "3"]
    assert mixed.cut[1].area == pytest.approx(0.0096)
    assert mixed.laminate.mass == pytest.approx(meshed.laminate.mass, rel=1e-4)
    for own, other in zip(mixed.laminate.zones, meshed.laminate.zones, strict=True):
        assert own.area == pytest.approx(other.area, rel=1e-3)
        assert own.angles == pytest.approx(other.angles, abs=1e-3)
    assert told(mixed) == []


def test_a_patch_from_a_card_is_held_against_its_region(tmp_path: Path) -> None:
    job = draped(MESHED).replace('region = "pad"', 'region = "pad"\ntemplates = ["patch"]') + CARDS
    disc = ('shape = "rectangle"\nsize = "120 80 mm"', 'shape = "disc"\ndiameter = "80 mm"')
    plan, _ = planned(written_in(tmp_path, disc, job=job))
    assert told(plan) == ["ply 2, pad: its card is 50 cm², and the place 96 cm²: 46 cm² stay bare"]
