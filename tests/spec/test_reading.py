"""Every problem of a file at once, each with its place, what came, what is wanted and a near match."""

from pathlib import Path

import pytest

from bagside.errors import InputError
from bagside.spec.beside import job_from
from bagside.spec.job import Job
from bagside.spec.reading import load_toml, place_of, stated_from
from bagside.spec.region import Region

GOOD = {
    "name": "Lid",
    "quantity": 2,
    "part": "everything",
    "mould": {"mesh": "m.stl", "unit": "mm", "laminate_side": [0, 0, 1], "material": "steel", "thickness": "6 mm"},
    "laying": {"start": "0 0 0 mm", "direction": [1, 0, 0]},
    "plies": [{"material": "twill-200", "angle": "45°"}],
    "cure": {"segments": [{"to": "120 °C", "rate": "2 °C/min", "hold": "2 h"}], "service": "80 °C"},
}


def messages(data: object) -> list[str]:
    with pytest.raises(InputError) as caught:
        job_from(data, "job.toml")  # type: ignore[arg-type]
    return [str(p) for p in caught.value.problems]


def test_a_good_job_is_si_inside() -> None:
    job = stated_from(GOOD, Job, "job.toml")
    assert job.mould.thickness == pytest.approx(0.006)
    assert job.cure.segments[0].to == pytest.approx(393.15)
    assert job.cure.segments[0].rate == pytest.approx(2 / 60)
    assert job.plies[0].angle == pytest.approx(0.7853981634)


def test_every_problem_at_once() -> None:
    bad = {**GOOD, "quantity": "two", "nmae": "x"}
    bad["mould"] = {**GOOD["mould"], "thickness": "-6 mm"}  # type: ignore[dict-item]
    del bad["mould"]["unit"]  # type: ignore[attr-defined]
    bad["plies"] = [{"material": "twill-200", "angle": 45}, {"material": "twill-200", "angle": "0°", "face": "mold"}]
    assert messages(bad) == [
        'job.toml, quantity: "two" – a whole number is wanted',
        'job.toml, mould, thickness – "-6 mm" must be more than zero',
        'job.toml, ply 1, angle – 45 has no unit; a number with a unit is wanted, as in "45°"',
        'job.toml, ply 2, face: "mold" – one of "mould" or "bag" is wanted (did you mean "mould"?)',
        'job.toml, nmae – this is not known here (did you mean "name"?)',
        "job.toml, mould, unit – this is missing and cannot be guessed",
    ]


def test_a_missing_mesh_unit_is_never_guessed() -> None:
    mould = {k: v for k, v in GOOD["mould"].items() if k != "unit"}  # type: ignore[attr-defined]
    assert messages({**GOOD, "mould": mould}) == ["job.toml, mould, unit – this is missing and cannot be guessed"]


def test_a_key_deep_inside_gets_the_near_match_of_its_own_table() -> None:
    bad = {**GOOD, "regions": {"rim": {"near": {"distanse": "3 mm", "distance": "3 mm"}}}}
    assert messages(bad) == ['job.toml, region rim, near, distanse – this is not known here (did you mean "distance"?)']


def test_points_and_directions() -> None:
    region = stated_from({"beside": {"point": "0 1.5 -2 mm", "normal": [0, 0, 2]}}, Region, "f")
    assert region.beside is not None
    assert region.beside.point == pytest.approx((0.0, 0.0015, -0.002))
    assert region.beside.normal == (0.0, 0.0, 1.0)
    with pytest.raises(InputError) as caught:
        stated_from({"beside": {"point": "0 1.5 mm", "normal": [0, 0, 0]}}, Region, "f")
    assert [str(p) for p in caught.value.problems] == [
        'f, beside, point – "0 1.5 mm" cannot be read; 3 numbers and one unit are wanted, as in "120 40 12.5 mm"',
        "f, beside, normal – [0, 0, 0] has no length; three numbers that are not all zero are wanted, as in [0, 0, 1]",
    ]


def test_unreadable_files_name_the_place(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    with pytest.raises(InputError) as caught:
        load_toml(path)
    assert str(caught.value) == f"{path} – there is no such file"
    path.write_text('name = "Lid"\nquantity = = 3\n')
    with pytest.raises(InputError) as caught:
        load_toml(path)
    assert str(caught.value) == "job.toml – this is not TOML: invalid value (at line 2, column 12)"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError) as caught:
        load_toml(path)
    assert str(caught.value) == "job.toml – this is not a text file in UTF-8"


def test_places_read_as_people_speak() -> None:
    assert place_of("job.toml", ["plies", 2, "material"]) == "job.toml, ply 3, material"
    assert place_of("job.toml", ["regions", "rim", "of"]) == "job.toml, region rim, of"
    assert place_of("job.toml", ["finish", "coats", 0, "coating"]) == "job.toml, finish, coat 1, coating"
