"""Each bench alone: its numbers are the bench's own, bad input is one clear message and exit code 2."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import trimesh

from bagside.cli.app import outcome
from domeshop import dome

BENCHES = Path(__file__).parents[2] / "demo" / "benches"


def answer(capsys: pytest.CaptureFixture[str], *arguments: str, code: int = 0) -> dict[str, object]:
    assert outcome([*arguments, "--json"]) == code
    found: dict[str, object] = json.loads(capsys.readouterr().out)
    return found


def refusal(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert outcome(list(arguments)) == 2
    told = capsys.readouterr()
    assert told.out == ""
    return told.err


@pytest.fixture
def mesh(tmp_path: Path) -> Path:
    path = tmp_path / "dome.stl"
    dome().export(path)
    return path


def test_laminate_against_aluminium(capsys: pytest.CaptureFixture[str]) -> None:
    # Trade table: 1.0 mm of aluminium wants 1.2 mm of quasi-isotropic carbon in bending, 1.6 mm in its plane.
    found = answer(capsys, "laminate", str(BENCHES / "laminate.toml"))["laminate"]
    assert found["thickness_mm"] == pytest.approx(4 * 0.2304, abs=0.01)
    assert found["match"]["bending_thickness_mm"] == pytest.approx(1.2, abs=0.05)
    assert found["match"]["in_plane_thickness_mm"] == pytest.approx(1.6, abs=0.12)
    assert np.abs(np.array(found["b_n"])).max() < 1e-6 * np.array(found["a_n_per_m"]).max()


def test_cut_places_every_copy(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "cut.toml"
    file.write_text((BENCHES / "cut.toml").read_text().replace('time = "6 s"', 'time = "0.5 s"'))
    found = answer(capsys, "cut", str(file), "--out", str(tmp_path / "nest"))["cutting"]
    assert len(found["placements"]) == 18
    assert {p["turn_deg"] for p in found["placements"]} <= {0.0, 180.0}
    assert (tmp_path / "nest" / "nest.dxf").exists()


def test_cut_names_a_piece_wider_than_the_cloth(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "cut.toml"
    file.write_text('material = "twill-200"\n[[pieces]]\nlabel = "door"\nsize = "500 1300 mm"\n')
    told = refusal(capsys, "cut", str(file))
    assert "door" in told
    assert "1300" in told
    assert "1250" in told or "1230" in told


def test_cure_run_gels_before_it_is_hot(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    found = answer(capsys, "cure", "run", str(BENCHES / "cure.toml"), "--out", str(tmp_path / "c"))["cure"]
    assert [s["name"] for s in found["sections"]] == [
        "panel, coldest place", "panel, hottest place", "doubler, coldest place", "doubler, hottest place",
    ]  # fmt: skip
    assert all(0.95 < s["cure_lagging"] <= 1.0 for s in found["sections"])
    assert found["sections"][3]["overshoot_k"] > found["sections"][1]["overshoot_k"]
    assert (tmp_path / "c" / "cure.csv").read_text().startswith("time_min,")


def test_bond_by_hand(capsys: pytest.CaptureFixture[str]) -> None:
    found = answer(capsys, "bond", str(BENCHES / "bond.toml"))["joining"]
    assert found["area_cm2"] == pytest.approx(10.0)
    assert found["mean_mpa"] == pytest.approx(350 / 1000, rel=1e-6)
    assert found["area_needed_cm2"] == pytest.approx(350 / 4.4 / 100, rel=1e-6)
    assert found["isolate"] is True


def test_coat_in_a_cold_shop_says_stop(capsys: pytest.CaptureFixture[str]) -> None:
    found = answer(capsys, "coat", str(BENCHES / "coat.toml"), code=1)
    assert found["finishing"]["dew_point_c"] == pytest.approx(8.6, abs=0.05)
    assert [f["severity"] for f in found["findings"]].count("stop") == 2


def test_bag_from_a_tape_measure(capsys: pytest.CaptureFixture[str]) -> None:
    found = answer(capsys, "bag", str(BENCHES / "bag.toml"))["bagging"]
    assert found["kind"] == "surface bag"
    assert found["sheet_mm"][0] > 600 + 2 * 60
    assert found["pressure_mbar"] == pytest.approx(1013.25 - 20, abs=1)


def test_bag_from_a_surface(capsys: pytest.CaptureFixture[str], mesh: Path) -> None:
    found = answer(capsys, "bag", str(mesh), "--unit", "mm", "--side", "0 0 1")["bagging"]
    assert found["kind"] == "envelope"
    assert {i["name"] for i in found["items"]} >= {"bag film", "release film", "breather", "sealant tape"}


def test_mould_check_on_a_dome(capsys: pytest.CaptureFixture[str], mesh: Path) -> None:
    found = answer(capsys, "mould", "check", str(mesh), "--unit", "mm", "--side", "0 0 1")["mould"]
    exact = 2 * np.pi * 0.1**2 * (1 - np.sqrt(1 - 0.98**2))
    assert found["area_m2"] == pytest.approx(exact, rel=2e-3)
    assert found["corners"] == []
    assert found["size_mm"][0] == pytest.approx(196, abs=0.5)


def test_drape_a_dome(capsys: pytest.CaptureFixture[str], mesh: Path, tmp_path: Path) -> None:
    found = answer(
        capsys, "drape", str(mesh), "--unit", "mm", "--side", "0 0 1", "--start", "0 0 100 mm", "--size", "6 mm",
        "--locking", "60°", "--out", str(tmp_path / "flat"),
    )["drape"]["pieces"][0]  # fmt: skip
    # Sphere net: 52.4° of shear on the bias at the equator; this dome ends at 78.5°, 42° there.
    assert 30 < found["shear_99_deg"] < 45
    assert found["yarn_strain_99_percent"] < 2.0
    assert {p.name for p in (tmp_path / "flat").iterdir()} == {"piece.dxf", "piece.glb", "piece.svg"}
    scene = trimesh.load_scene(tmp_path / "flat" / "piece.glb", process=False)
    assert set(scene.geometry) == {"piece 1", "warp", "weft"}
    low, high = scene.geometry["piece 1"].bounds
    assert high[1] == pytest.approx(0.1, abs=2e-4), "the top of the dome is up, in metres"
    assert [low[0], high[0], low[2], high[2]] == pytest.approx([-0.098, 0.098, -0.098, 0.098], abs=2e-4)
    shades = scene.geometry["piece 1"].visual.vertex_attributes["color"]
    assert 5 <= len(np.unique(shades, axis=0)) <= 9, "bands of 5° up to about 42° at the rim"


def test_drape_in_two_pieces_with_a_join(capsys: pytest.CaptureFixture[str], mesh: Path, tmp_path: Path) -> None:
    """The dome parted along a great circle: two halves, one of them with a band of 15 mm more."""
    asked = ("drape", str(mesh), "--unit", "mm", "--side", "0 0 1", "--start", "0 0 100 mm", "--size", "6 mm")
    cut = ("--cut", "-97 0 24; 0 0 100; 97 0 24 mm", "--first", "-90 0 43; 0 0 100; 90 0 43 mm")
    found = answer(capsys, *asked, *cut, "--out", str(tmp_path / "flat"))["drape"]
    one, two = found["pieces"]
    assert [one["label"], two["label"]] == ["1A", "1B"]
    half = np.pi * 0.1**2 * (1 - np.sqrt(1 - 0.98**2))
    assert one["area_surface_m2"] == pytest.approx(half, rel=6e-3)
    assert two["area_surface_m2"] > half + 0.9 * 0.015 * 2 * 0.1 * np.arcsin(0.98)
    assert [s["name"] for s in one["seams"] + two["seams"]] == ["A", "A′"]
    assert [s["over"] for s in one["seams"] + two["seams"]] == [False, True]
    names = {p.name for p in (tmp_path / "flat").iterdir()}
    assert names == {f"piece-{label}.{kind}" for label in ("1A", "1B") for kind in ("dxf", "glb", "svg")}


def test_a_cut_that_misses_the_mesh(capsys: pytest.CaptureFixture[str], mesh: Path) -> None:
    asked = ("drape", str(mesh), "--unit", "mm", "--side", "0 0 1", "--start", "0 0 100 mm", "--size", "8 mm")
    told = refusal(capsys, *asked, "--cut", "300 0 24; 400 0 24 mm")
    assert '--cut 1, line: "cut 1" – this line lies nowhere near' in told
    assert "--join" in refusal(capsys, *asked, "--join", "lap")
    assert "cuts that are found overlap" in refusal(capsys, *asked, "--auto", "--join", "butt")
    assert "--refine – a preview knows neither" in refusal(capsys, *asked, "--preview", "--refine")


def test_drape_says_where_the_start_is_off(capsys: pytest.CaptureFixture[str], mesh: Path) -> None:
    told = refusal(
        capsys, "drape", str(mesh), "--unit", "mm", "--side", "0 0 1", "--start", "0 0 134.2 mm", "--size", "8 mm"
    )
    assert "34.2 mm off the surface" in told


def test_whole_messages(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    missing = tmp_path / "no.toml"
    assert refusal(capsys, "laminate", str(missing)) == (
        f"bagside: this cannot be used\n  {missing} – there is no such file\n"
    )
    broken = tmp_path / "broken.toml"
    broken.write_text("plies = = 3\n")
    assert refusal(capsys, "laminate", str(broken)) == (
        "bagside: this cannot be used\n  broken.toml – this is not TOML: invalid value (at line 1, column 9)\n"
    )
    unknown = tmp_path / "unknown.toml"
    unknown.write_text('plies = [{ material = "twil-200", angle = "0°" }]\n')
    assert refusal(capsys, "laminate", str(unknown)) == (
        'bagside: this cannot be used\n  unknown.toml, ply 1, material: "twil-200" – there is no prepreg of this name '
        'in this workshop (did you mean "twill-200"?)\n'
    )
    thin = tmp_path / "thin.toml"
    thin.write_text((BENCHES / "bond.toml").read_text().replace('thickness = "2 mm"', 'thickness = "-2 mm"'))
    assert refusal(capsys, "bond", str(thin)) == (
        'bagside: this cannot be used\n  thin.toml, thickness – "-2 mm" must be more than zero\n'
    )


def test_meshes_that_cannot_be_used(capsys: pytest.CaptureFixture[str], mesh: Path, tmp_path: Path) -> None:
    at = ("--unit", "mm", "--side", "0 0 1")
    assert refusal(capsys, "mould", "check", str(tmp_path / "no.stl"), *at) == (
        f"bagside: this cannot be used\n  {tmp_path / 'no.stl'} – there is no such file\n"
    )
    assert refusal(capsys, "mould", "check", str(mesh), "--unit", "mmm", "--side", "0 0 1") == (
        'bagside: this cannot be used\n  dome.stl: unit "mmm" – a unit of length is wanted: m, cm, mm, in, ft '
        '(did you mean "mm"?)\n'
    )
    assert refusal(capsys, "mould", "check", str(mesh), "--unit", "mm", "--side", "up") == (
        'bagside: this cannot be used\n  --side: "up" – three numbers are wanted, as in "0 0 1"\n'
    )
    bad = dome()
    bad.vertices[7] = np.nan
    holed = tmp_path / "nan.ply"
    trimesh.Trimesh(bad.vertices, bad.faces, process=False).export(holed)
    assert "nan.ply" in refusal(capsys, "mould", "check", str(holed), *at)
    cut = tmp_path / "cut.stl"
    cut.write_bytes(mesh.read_bytes()[:5000])
    assert "cut.stl" in refusal(capsys, "mould", "check", str(cut), *at)


def test_tables_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert outcome(["laminate", str(BENCHES / "laminate.toml")]) == 0
    told = capsys.readouterr()
    assert "4 plies, first on the mould: 0° / 45° / 45° / 0°" in told.out
    assert "0.92 mm" in told.out


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("drape", "{mesh}", "--unit", "mm", "--side", "0 0 1", "--start", "0 0 100 mm", "--size", "0 mm"),
         '--size: "0 mm" – more than zero is wanted'),
        (("mould", "check", "{mesh}", "--unit", "mm", "--side", "0 0 1", "--noise", "-1 mm"),
         '--noise: "-1 mm" – zero or more is wanted'),
        (("mould", "check", "{mesh}", "--unit", "mm", "--side", "0 0 1", "--thickness", "0 mm"),
         '--thickness: "0 mm" – more than zero is wanted'),
        (("laminate", str(BENCHES / "laminate.toml"), "--workshop", "nowhere"),
         "nowhere – there is no such folder; the one that holds workshop.toml is wanted"),
        (("bag", "{mesh}"), "--unit – this is missing and cannot be guessed: m, cm, mm, in or ft"),
        (("bag", "{mesh}", "--unit", "mm", "--pump", "0 m³/h"), '--pump: "0 m³/h" – more than zero is wanted'),
    ],
)  # fmt: skip
def test_options_are_named(
    capsys: pytest.CaptureFixture[str], mesh: Path, arguments: tuple[str, ...], message: str
) -> None:
    told = refusal(capsys, *(a.format(mesh=mesh) for a in arguments))
    assert told == f"bagside: this cannot be used\n  {message}\n"


def test_a_cure_that_never_cools_and_sections_of_one_name(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    text = (BENCHES / "cure.toml").read_text().replace('name = "doubler"', 'name = "panel"')
    file = tmp_path / "cure.toml"
    file.write_text('demould = "10 °C"\n' + text, encoding="utf-8")
    assert refusal(capsys, "cure", "run", str(file)) == (
        "bagside: 2 things cannot be used\n"
        "  cure.toml, section panel – two sections have this name; each wants its own\n"
        "  cure.toml, demould: 10.0 °C – more than the room's 20.0 °C is wanted, or it never gets there\n"
    )


def test_bag_says_what_may_leak(capsys: pytest.CaptureFixture[str]) -> None:
    limits = answer(capsys, "bag", str(BENCHES / "bag.toml"))["bagging"]["leak_limits"]
    by_name = {limit["criterion"]: limit for limit in limits}
    assert by_name["infusion trade"]["drop_mbar"] == pytest.approx(33.9, abs=0.1)
