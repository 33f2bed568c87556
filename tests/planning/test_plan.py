"""One job all the way through, on a dome whose areas are known in closed form, and every way it may go wrong."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import trimesh

from bagside.errors import InputError
from bagside.planning.plan import BuildPlan, plan_build
from bagside.planning.stages import Stages
from bagside.spec.opening import open_job
from domeshop import written_in

Shop = Callable[..., Path]
RADIUS, DISC = 0.100, 0.080


def planned(job: Path, store: Path | None = None) -> tuple[BuildPlan, Stages]:
    return plan_build(open_job(job), store=store)


def refused(job: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        planned(job)
    return [str(p) for p in caught.value.problems]


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> BuildPlan:
    return planned(written_in(tmp_path_factory.mktemp("whole")))[0]


def cap(reach: float) -> float:
    """Area of a cap of the dome that reaches so far from its axis."""
    return 2 * math.pi * RADIUS**2 * (1 - math.sqrt(1 - (reach / RADIUS) ** 2))


def test_areas_and_mass_are_those_of_the_sphere(whole: BuildPlan) -> None:
    assert whole.part.area == pytest.approx(cap(DISC), rel=3e-3)
    patch = 2 * math.pi * RADIUS**2 * (1 - math.cos(0.020 / RADIUS))
    assert whole.regions["patch"].area == pytest.approx(patch, rel=5e-3)
    # 200 g/m² of fibre at 42 % resin is 344.8 g/m²; shear makes cloth lie denser by 1/cos γ.
    flat = 0.3448 * (3 * cap(DISC) + patch)
    assert flat < whole.laminate.mass < 1.08 * flat
    assert whole.laminate.bare == 0.0


def test_every_piece_covers_its_region_and_is_cut_twice(whole: BuildPlan) -> None:
    assert [p.label for p in whole.pieces] == ["1", "2", "3", "4"]
    assert whole.pieces[0].pattern.surface_area == pytest.approx(cap(DISC), rel=3e-3)
    placed = [(p.label, p.copy) for p in whole.kits[0].rolls[0].nest.placements]
    assert sorted(placed) == sorted((label, n) for label in "1234" for n in (1, 2))
    assert dict(whole.pieces[0].holes)["middle"] == pytest.approx((0.0, 0.0), abs=2e-4)


def test_zones_are_the_patch_and_the_rest(whole: BuildPlan) -> None:
    assert [z.present for z in whole.laminate.zones] == [(0, 2, 3), (0, 1, 2, 3)]
    assert whole.laminate.zones[1].area == pytest.approx(whole.regions["patch"].area, rel=0.05)
    plies = [z.laminate.thickness for z in whole.laminate.zones]
    assert plies[1] / plies[0] == pytest.approx(4 / 3, rel=0.03)


def test_the_cure_reaches_what_the_part_needs(whole: BuildPlan) -> None:
    worst = min(o.tg for o in whole.cure.first.outcomes)
    assert worst > 273.15 + 90.0
    assert whole.cure.post is None
    assert whole.cure.first.duration > 2 * 3600


def test_money_adds_up(whole: BuildPlan) -> None:
    cost = whole.cost
    assert cost.repeat == pytest.approx(sum(line.cost for line in cost.lines if line.total.value == "repeat"))
    kit = whole.kits[0]
    cloth = next(line for line in cost.lines if line.group == "cloth")
    assert cloth.cost == pytest.approx(kit.pull * kit.rolls[0].nest.cloth.width * 50.0 / 2)
    hours = sum(s.attended if s.each else s.attended / 2 for s in whole.steps if not s.one_off) / 3600
    labour = next(line for line in cost.lines if line.group == "labour")
    assert labour.cost == pytest.approx(hours * 40.0)


def test_every_step_is_in_the_calendar_once_for_each_part(whole: BuildPlan) -> None:
    expected = sum(2 if s.each else 1 for s in whole.steps)
    assert len(whole.calendar.slots) == expected


def test_cautions_stand_before_what_hurts(whole: BuildPlan) -> None:
    hazards = {s.key: s.hazards for s in whole.steps}
    assert "isocyanate" in hazards["coat-clear-two-pack"]
    assert "dust" in hazards["trim"]
    assert "drill" in hazards["trim"]
    assert "oven" in hazards["cure"]
    assert "knife" in hazards["cut"]


def test_every_finding_is_complete(whole: BuildPlan) -> None:
    assert whole.findings
    for finding in whole.findings:
        assert all((finding.stage, finding.place, finding.what)), finding
        if finding.severity.value != "seen":
            assert finding.why, finding
            assert finding.do, finding


def test_a_new_cure_does_not_drape_again(shop: Shop, tmp_path: Path) -> None:
    store = tmp_path / "store"
    planned(shop(), store)
    _, again = planned(shop(), store)
    assert all(done.kept for done in again.log)
    _, changed = planned(shop(('hold = "2 h"', 'hold = "3 h"')), store)
    kept = {done.stage: done.kept for done in changed.log}
    assert kept["Curing"] is False
    assert _after_cure(kept)
    assert all(k for s, k in kept.items() if s.startswith(("Opening", "Finding the", "Meshing", "Draping", "Nesting")))


def _after_cure(kept: dict[str, bool]) -> list[str]:
    allowed = {"Making the calendar"}
    after = [s for s, k in kept.items() if not k and s != "Curing"]
    assert set(after) <= allowed
    return after


def test_a_moved_workshop_keeps_its_results(shop: Shop, tmp_path: Path) -> None:
    store = tmp_path / "store"
    job = shop()
    planned(job, store)
    moved = tmp_path / "elsewhere"
    job.parents[2].rename(moved)
    _, again = planned(moved / "jobs" / "dome" / "job.toml", store)
    assert all(done.kept for done in again.log)


def test_names_that_do_not_exist_are_all_told_at_once(shop: Shop) -> None:
    job = shop(
        ('material = "twill-200"\nangle = "0°"', 'material = "twil-200"\nangle = "0°"'),
        ('region = "patch"', 'region = "pach"'),
        ('material = "carbon-epoxy"', 'material = "carbon-epoxi"'),
        ('mesh = "dome.stl"', 'mesh = "dom.stl"'),
    )
    assert refused(job) == [
        'job.toml, ply 2, region: "pach" – there is no region of this name (did you mean "patch"?)',
        'job.toml, mould, material: "carbon-epoxi" – there is no tool material of this name in this workshop '
        '(did you mean "carbon-epoxy"?)',
        'job.toml, ply 1, material: "twil-200" – there is no prepreg of this name in this workshop '
        '(did you mean "twill-200"?)',
        'workshop.toml, stock – no roll of "twil-200", which job.toml uses, and no offer, so its price is not known '
        '(did you mean "twill-200"?)',
        'job.toml, mould, mesh: "dom.stl" – there is no such file (did you mean "dome.stl"?)',
    ]


def test_a_missing_mesh_unit(shop: Shop) -> None:
    assert refused(shop(('unit = "mm"\n', ""))) == ["job.toml, mould, unit – this is missing and cannot be guessed"]


def test_a_negative_thickness(shop: Shop) -> None:
    assert refused(shop(('thickness = "5 mm"', 'thickness = "-5 mm"'))) == [
        'job.toml, mould, thickness – "-5 mm" must be more than zero'
    ]


def test_no_workshop_above_the_job(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text("name = 1\n")
    with pytest.raises(InputError) as caught:
        open_job(tmp_path / "job.toml")
    assert str(caught.value.problems[-1]) == (
        f"{tmp_path / 'job.toml'} – no workshop.toml in this folder or above it "
        "(state one with --workshop, or copy the one of the demo)"
    )


def test_a_ply_over_a_region_that_is_empty(shop: Shop) -> None:
    job = shop(
        ('of = "disc"\nnear', 'of = "far"\nnear'),
        ("[regions.patch]", '[regions.far]\nbeside = { point = "0 0 200 mm", normal = [0, 0, 1] }\n[regions.patch]'),
    )
    assert refused(job) == ["job.toml, region far – no part of the surface lies in it"]


def test_a_start_point_off_the_surface(shop: Shop) -> None:
    (told,) = refused(shop(('start = "0 0 100 mm"', 'start = "0 0 134.2 mm"')))
    start = 'job.toml, laying, start: "0.0 0.0 134.2 mm" – this point is 34.2 mm off the surface of region disc '
    assert told.startswith(start + "(the nearest point on it is ")
    nearest = [float(word) for word in told.removeprefix(start).split('"')[1].split()[:3]]
    assert nearest == pytest.approx([0, 0, 100], abs=0.5)


def test_cloth_narrower_than_a_piece(shop: Shop) -> None:
    job = shop(workshop=(('price = "50 EUR/m²"', 'price = "50 EUR/m²"\nwidth = "150 mm"'),))
    found = refused(job)
    assert [told.split(" ")[1].rstrip(":") for told in found] == ["1", "3", "4"]
    across = found[0].split(" ")[2]
    assert float(across) == pytest.approx(185.4, abs=1.0)  # the arc over the dome to the disc's rim: 2 R asin(0.8)
    assert found[0] == (
        f"piece 1: {across} × {across} mm along and across the warp, 2 left – it fits no cloth: largest is the roll, "
        "130.0 mm between its margins (split the ply at a seam, turn its warp, or use a wider cloth)"
    )


def test_a_direction_that_stands_up(shop: Shop) -> None:
    assert refused(shop(("direction = [1, 0, 0]", "direction = [0, 0, 1]"))) == [
        "job.toml, laying, direction: [0.0, 0.0, 1.0] – this direction stands straight up from the surface at the "
        "start point; one that lies along it is wanted"
    ]


def test_broken_meshes_are_named(shop: Shop) -> None:
    job = shop()
    mesh = job.parent / "dome.stl"
    good = mesh.read_bytes()
    mesh.write_bytes(b"")
    assert refused(job)[0].startswith("dome.stl")
    mesh.write_bytes(good[: len(good) // 2])
    assert refused(job)[0].startswith("dome.stl")
    two = trimesh.util.concatenate([trimesh.load(trimesh.util.wrap_as_stream(good), file_type="stl")] * 2)
    two.vertices[len(two.vertices) // 2 :] += np.array([0.0, 0.0, 60.0])
    two.export(mesh)
    (told,) = refused(job)
    assert "keep" in told


def test_resins_of_one_part_must_agree(shop: Shop) -> None:
    job = shop(
        ('material = "twill-200"\nangle = "45°"\nregion = "patch"', 'material = "own"\nangle = "45°"\nregion = "patch"')
    )
    folder = job.parents[2] / "materials"
    folder.mkdir(exist_ok=True)
    (folder / "own.toml").write_text(
        """
        [prepreg.own]
        kind = "woven"
        areal_weight = "200 g/m²"
        resin_content = "40 %"
        fibre_density = "1.78 g/cm³"
        resin_density = "1.22 g/cm³"
        resin = "hubert-2001"
        e1 = "60 GPa"
        e2 = "60 GPa"
        g12 = "4 GPa"
        nu12 = "0.05"
        alpha1 = "3 ppm/K"
        alpha2 = "3 ppm/K"
        width = "1 m"
        out_life = "20 day"
        basis = { all = "data sheet" }
        """,
        encoding="utf-8",
    )
    assert (
        "job.toml, plies: epoxy-120, hubert-2001 – all plies of one part must share one resin system, to cure together"
        in refused(job)
    )


def test_a_heater_too_weak_for_the_ramp_is_told(shop: Shop) -> None:
    # By hand: the mould's cap of 0.050 m² × 5 mm × 1550 kg/m³ × 1000 J/(kg K) is 390 J/K; at 2 K/min 13 W; walls 8 W/K
    # × 100 K are 800 W.
    plan, _ = planned(shop(workshop=(('power = "3 kW"', 'power = "0.5 kW"'),)))
    told = [f for f in plan.findings if "heater" in f.what]
    assert [f.what for f in told] == ["it asks for 0.8 kW and the heater has 0.5 kW"]
    strong, _ = planned(shop())
    assert not [f for f in strong.findings if "heater" in f.what]
