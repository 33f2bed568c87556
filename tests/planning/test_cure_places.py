"""Places that heat passes through, by thickness of laminate and mould, on a mesh and by tape; the mould's own limit."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from bagside.cure import Programme, Segment
from bagside.errors import InputError
from bagside.findings import Severity
from bagside.planning.cure_case import CureCase, case_of_job
from bagside.planning.cure_stage import cure_findings, cure_plan
from bagside.planning.mould_heat import mould_heat, mould_heat_findings
from bagside.planning.stages import Silent, Stages
from bagside.spec.job import Mould
from bagside.spec.job import Segment as StatedSegment
from bagside.spec.library import generic_library
from bagside.spec.opening import open_job
from tapeshop import MESHED, TAPED, draped, written_in

THICKER = '[[mould.thicker]]\nregion = "pad"\nthickness = "14 mm"\n'


def case(root: Path, job: str) -> CureCase:
    head, key, rest = job.partition('thickness = "5 mm"\n')
    file = written_in(root, job=head + key + THICKER + rest)
    return case_of_job(open_job(file), Stages(store=None, progress=Silent()))


def tools(found: CureCase) -> dict[str, float]:
    return {s.name: s.layers[1].thickness for s in found.on_mould}


def test_a_thicker_mould_is_its_own_place_by_tape(tmp_path: Path) -> None:
    found = case(tmp_path, TAPED)
    assert tools(found) == pytest.approx(
        {"2 plies, 0.46 mm, mould 5.0 mm": 0.005, "3 plies, 0.69 mm, mould 14.0 mm": 0.014}
    )
    assert found.points == (None, None)
    assert [len(s.layers) for s in found.free] == [1, 1]


def test_a_thicker_mould_is_its_own_place_on_a_mesh_and_says_where(tmp_path: Path) -> None:
    found = case(tmp_path, draped(MESHED))
    assert tools(found) == pytest.approx(
        {"2 plies, 0.46 mm, mould 5.0 mm": 0.005, "3 plies, 0.69 mm, mould 14.0 mm": 0.014}
    )
    on_pad = found.points[1]
    assert on_pad is not None
    assert abs(on_pad[0]) < 0.012  # the pad is 120 × 80 mm round the origin; triangles are 10 mm
    assert abs(on_pad[1]) < 0.012


METAL = """
[[cure.metal]]
name = "M8 insert"
material = "steel"
diameter = "20 mm"
depth = "8 mm"
inside = "0.5 mm"
region = "pad"
"""


def test_a_fixing_is_its_own_place_and_cures_last(tmp_path: Path) -> None:
    job = TAPED.replace("[[brackets]]", METAL + "[[brackets]]", 1)
    found = case_of_job(open_job(written_in(tmp_path, job=job)), Stages(store=None, progress=Silent()))
    assert found.places[-1] == "M8 insert, 3 plies, 0.69 mm"
    assert [layer.name for layer in found.on_mould[-1].layers] == ["M8 insert", "laminate", "tool"]
    assert [layer.name for layer in found.free[-1].layers] == ["M8 insert", "laminate"]
    plan = cure_plan(found)
    assert plan.lagging == len(found.places) - 1
    told = {f.what: f.place for f in cure_findings(plan, found)}
    assert told["it is the last to cure"] == "cure, M8 insert, 3 plies, 0.69 mm"
    assert told["it is the first to cure"] != told["it is the last to cure"]


def test_a_flange_is_a_strip_with_heat_from_beside(tmp_path: Path) -> None:
    strip = '[[mould.thicker]]\nregion = "plate"\nthickness = "25 mm"\nwidth = "30 mm"\nsides = 1\n'
    job = TAPED.replace('thickness = "5 mm"\n', 'thickness = "5 mm"\n' + strip, 1)
    found = case_of_job(open_job(written_in(tmp_path, job=job)), Stages(store=None, progress=Silent()))
    assert found.places[-1].startswith("mould 25 mm thick, ")
    assert 0.005 < found.on_mould[-1].layers[-1].thickness < 0.025  # part of it is heated from beside
    assert len(found.free[-1].layers) == 1
    ((place, says),) = found.spots
    assert place == found.places[-1]
    told = [f for f in cure_findings(cure_plan(found), found) if f.why == says]
    assert [f.severity for f in told] == [Severity.SEEN]


def test_a_fixing_of_an_unknown_metal_is_refused(tmp_path: Path) -> None:
    job = TAPED.replace("[[brackets]]", METAL.replace('"steel"', '"steal"') + "[[brackets]]", 1)
    with pytest.raises(InputError) as told:
        open_job(written_in(tmp_path, job=job))
    assert str(told.value) == (
        'job.toml, cure, metal M8 insert, material: "steal" – there is no tool material of this name in this workshop '
        '(did you mean "steel"?)'
    )


def test_a_place_that_does_not_exist_is_refused(tmp_path: Path) -> None:
    job = TAPED.replace('thickness = "5 mm"\n', 'thickness = "5 mm"\n' + THICKER.replace("pad", "pod"), 1)
    with pytest.raises(InputError) as told:
        open_job(written_in(tmp_path, job=job))
    assert str(told.value) == (
        'job.toml, mould, thicker 1, region: "pod" – there is no place of this name (did you mean "pad"?)'
    )


def mould(**more: object) -> Mould:
    return replace(Mould(material="carbon-epoxy", thickness=0.006), **more)  # type: ignore[arg-type]


COLD = (StatedSegment(to=313.15, rate=1.0 / 60.0, hold=12 * 3600.0),)
POST = (*COLD, StatedSegment(to=393.15, rate=0.2 / 60.0, hold=4 * 3600.0))
PART = Programme(start=293.15, segments=(Segment(target=333.15, ramp=1.0 / 60.0, hold=4 * 3600.0),))


def test_without_its_own_cure_the_material_decides() -> None:
    library = generic_library()
    heat = mould_heat(mould(), library, PART)
    assert heat.limit == library.tool["carbon-epoxy"].limit
    assert heat.tg is None
    assert mould_heat_findings(heat, 333.15) == ()


def test_a_mould_cured_cold_may_be_no_hotter_than_its_glass_transition_allows() -> None:
    """A cold cure caps about 20 K above its temperature, less the margin of 15 K: common practice, no source."""
    heat = mould_heat(mould(resin="epoxy-120", cured=COLD), generic_library(), PART)
    assert heat.tg is not None
    assert heat.limit == pytest.approx(heat.tg - 15.0)
    assert heat.limit < 345.0
    assert heat.grown is not None
    assert heat.grown > heat.tg + 3.0
    (told,) = mould_heat_findings(heat, heat.limit - 5.0)
    assert told.severity is Severity.SEEN
    assert mould_heat_findings(heat, heat.limit + 5.0) == ()


def test_pulls_cure_it_on_and_a_post_cure_leaves_the_limit_to_the_material() -> None:
    library = generic_library()
    fresh = mould_heat(mould(resin="epoxy-120", cured=COLD), library, PART)
    used = mould_heat(mould(resin="epoxy-120", cured=COLD, pulls=3), library, PART)
    assert used.limit > fresh.limit
    post = mould_heat(mould(resin="epoxy-120", cured=POST), library, PART)
    assert post.limit == min(library.tool["carbon-epoxy"].limit, (post.tg or 0.0) - 15.0)


def test_resin_and_cure_of_a_mould_belong_together() -> None:
    with pytest.raises(InputError) as told:
        mould_heat(mould(resin="epoxy-120"), generic_library(), PART)
    assert str(told.value) == (
        "job.toml, mould, cured – resin and cured belong together: what it is made of, and how it was cured"
    )
