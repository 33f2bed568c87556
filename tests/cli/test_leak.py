"""``bagside leak``: the numbers are the bench's own, and bad input is one clear message."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bagside.bagging import ambient_pressure, most_in_bag
from bagside.cli.app import outcome
from bagside.planning.leak_bench import bag_of_job
from bagside.planning.stages import Silent, Stages
from bagside.spec.opening import open_job
from tapeshop import written_in

DEMO = Path(__file__).parents[2] / "demo" / "benches" / "leak.toml"


def answer(capsys: pytest.CaptureFixture[str], *arguments: str, code: int = 0) -> dict[str, object]:
    assert outcome(["leak", *arguments, "--json"]) == code
    return json.loads(capsys.readouterr().out)["leak"]


def refusal(capsys: pytest.CaptureFixture[str], *arguments: str) -> list[str]:
    assert outcome(["leak", *arguments]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    return told.err.splitlines()


def test_two_readings_as_options(capsys: pytest.CaptureFixture[str]) -> None:
    """Derived: 20 L, 10 mbar in 5 min is 0.667 mbar L/s, 39.5 cm³/min."""
    found = answer(capsys, "--first", "20 mbar", "--last", "30 mbar", "--after", "5 min", "--volume", "20 L")
    assert found["leak_cm3_per_min"] == pytest.approx(39.48, abs=0.01)
    assert found["passed"] is False
    assert [c["passed"] for c in found["criteria"]] == [False, True, True, True, True, True]


def test_a_dial_in_inches(capsys: pytest.CaptureFixture[str]) -> None:
    """−29.0 to −28.5 inHg at 1010 mbar: 28.0 mbar absolute, and 16.9 mbar lost."""
    found = answer(
        capsys, "--first", "-29 inHg", "--last", "-28.5 inHg", "--after", "5 min", "--area", "1 m²", "--below",
        "--ambient", "1010 mbar", "--step", "0.1 inHg",
    )  # fmt: skip
    assert found["reached_mbar"] == pytest.approx(1010 - 29 * 33.8639, abs=0.01)
    assert found["rise_mbar"] == pytest.approx(0.5 * 33.8639, abs=0.01)


def test_the_demo(capsys: pytest.CaptureFixture[str]) -> None:
    found = answer(capsys, str(DEMO))
    assert found["free_volume_l"] == pytest.approx(1.43)
    assert found["leak_cm3_per_min"] == pytest.approx(1430 * 50.2 / 1013.25 / 20, rel=0.01)
    assert found["hold_with_receiver_min"] == pytest.approx(found["hold_min"] * (25 + 1.43) / 1.43, rel=1e-6)
    assert found["pump_holds_mbar"] > found["pump_holds_if_tight_mbar"] > 3.9
    assert found["time_to_target_s"] > found["ideal_time_to_target_s"]
    assert sum(p["chance"] for p in found["places"]) == pytest.approx(1.0)
    assert found["halvings"]


def test_tables_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert outcome(["leak", str(DEMO)]) == 0
    told = capsys.readouterr()
    for words in ("→ cosmetic oven cure ~", "hole that size", "Where to look first", "leak and outgassing"):
        assert words in told.out
    assert "find it before heating" in told.err.lower().replace("\n", " ")
    short = ["--first", "20 mbar", "--last", "20 mbar", "--after", "1 min", "--volume", "2 L", "--step", "5 mbar"]
    assert outcome(["leak", *short]) == 0
    assert "cannot tell before" in capsys.readouterr().out


def test_a_bag_not_to_be_cured_ends_with_one(capsys: pytest.CaptureFixture[str]) -> None:
    answer(capsys, "--first", "20 mbar", "--last", "90 mbar", "--after", "5 min", "--volume", "2 L", code=1)


def test_measured_volume_and_a_warm_check(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "leak.toml"
    file.write_text(
        'vessel = { volume = "1 L", vessel = "1000 mbar", bag = "20 mbar", together = "220 mbar" }\n'
        'readings = [{ at = "0 min", shows = "20 mbar", temperature = "20 °C" },'
        ' { at = "10 min", shows = "24 mbar", temperature = "20 °C" }]\n'
        'hot = [{ at = "0 min", shows = "22 mbar", temperature = "60 °C" },'
        ' { at = "10 min", shows = "62 mbar", temperature = "60 °C" }]\n'
    )
    found = answer(capsys, str(file), code=0)
    assert found["free_volume_l"] == pytest.approx(3.9)
    assert found["passed"] is True
    assert found["hot"]["passed"] is False
    assert found["hot"]["ratio"] == pytest.approx(10 * 293.15 / 333.15)
    assert outcome(["leak", str(file)]) == 0
    told = capsys.readouterr()
    assert "Warm, at 60 °C" in told.out
    assert "implodes" in told.err
    assert "heat-proof gloves" in told.err.replace("\n", " ").replace("     ", " ").replace("    ", "")


def test_water_asks_for_more_than_a_hundred_millibar(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """At 105 °C and 50 % with 40 % on the fibres 1004 − 601 / 0.6 = 2 mbar may be left: nothing is held at all."""
    file = tmp_path / "leak.toml"
    water = 'liquid_hottest = "{} °C"\nhumidity = "50 %"\n'
    file.write_text(water.format(105) + DEMO.read_text())
    assert answer(capsys, str(file))["hold_min"] == 0.0
    file.write_text(water.format(104) + DEMO.read_text())
    limit = most_in_bag(100400.0, 377.15, 0.5, 0.4)
    plain, wet = answer(capsys, str(DEMO)), answer(capsys, str(file))
    assert wet["hold_limit_mbar"] == pytest.approx(limit / 100)
    assert wet["hold_min"] == pytest.approx(plain["hold_min"] * (limit / 100 - 19) / (100 - 19))


def test_a_job_knows_its_bag(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Area, pleats, tape and pump of the job's own plan; two readings are all there is to type."""
    job = written_in(tmp_path)
    found = answer(capsys, "--first", "20 mbar", "--last", "30 mbar", "--after", "5 min", "--for", str(job))
    opened = open_job(job, None)
    plan = bag_of_job(opened, Stages(store=None, progress=Silent()))
    assert found["free_volume_l"] == pytest.approx(1e3 * (1.5e-3 * plan.area + 5e-4))
    amounts = {p["name"]: p["amount"] for p in found["places"]}
    assert amounts["pleats"] == plan.pleats.count
    assert amounts["tape run"] == pytest.approx(plan.tape_run)
    assert found["pump_holds_mbar"] is not None
    assert found["ambient_mbar"] == pytest.approx(ambient_pressure(opened.workshop.room.altitude) / 100)


def test_whole_messages(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert refusal(capsys) == [
        "bagside: 4 things cannot be used",
        *(
            f"  {o} – this is missing; state it, or give a file of readings"
            for o in ("--first", "--last", "--after", "--area, --volume or --for")
        ),
    ]
    assert refusal(
        capsys, "--first", "-980 mbar", "--last", "-970 mbar", "--after", "5 min", "--area", "1 m²", "--below"
    ) == [
        "bagside: this cannot be used",
        "  leak test, ambient – a gauge below ambient says nothing without today's ambient pressure "
        "(read a barometer at the workshop, or state its altitude)",
    ]
    assert refusal(capsys, str(DEMO), "--area", "1 m²", "--below") == [
        "bagside: 2 things cannot be used",
        "  --area – a file and this option are too much: state it in the file",
        "  --below – a file and this option are too much: state it in the file",
    ]
    file = tmp_path / "leak.toml"
    file.write_text(
        'criterion = "cosmetic"\nvolume = "2 L"\narea = "1 m²"\n'
        'readings = [{ at = "0 min", shows = "-980 mbar" }, { at = "0 min", shows = "20 mbar" }]\n'
        'hot = [{ at = "0 min", shows = "20 mbar" }, { at = "5 min", shows = "20 mbar" }]\n'
    )
    assert refusal(capsys, str(file)) == [
        "bagside: 5 things cannot be used",
        "  leak.toml, reading 1: −980.0 mbar – an absolute pressure cannot be negative "
        "(does this gauge show pressure below ambient?)",
        "  leak.toml, reading 2: 0.0 min – a later time than the one before is wanted",
        "  leak.toml, hot – the temperature of the bag is wanted with each reading",
        '  leak.toml, criterion: "cosmetic" – this is not known here (did you mean "cosmetic oven cure"?)',
        "  leak.toml, volume: volume, area – the bag's free volume is wanted in one way: volume, area, vessel or bleed "
        "(area under the bag is enough for a first look)",
    ]
    file.write_text('ambient = "1 bar"\naltitude = "10 m"\nvolume = "2 L"\nreadings = []\n')
    assert refusal(capsys, str(file)) == [
        "bagside: this cannot be used",
        "  leak.toml, altitude – barometer or altitude, one of the two is wanted",
    ]
    file.write_text('volume = "2 L"\nreadings = []\nlimit = "0 mbar"\n')
    assert refusal(capsys, str(file)) == [
        "bagside: 2 things cannot be used",
        "  leak.toml: 0 – two readings or more are wanted",
        "  leak.toml, limit – target and limit above zero are wanted",
    ]
