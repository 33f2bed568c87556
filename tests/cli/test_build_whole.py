"""A whole build of the footrest plate from its bag to its end: leak, cure, mould, scale, and how it is closed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PIL import Image

from bagside.cli.app import outcome
from bagside.ledger.bodies import Finished
from bagside.planning.cure_case import CureCase
from buildcures import columns, cured, sections
from buildshop import Floor


def test_every_film_came_off_and_every_ply_is_ticked(bagged: Floor) -> None:
    found = bagged.data("show", 1, code=-1)
    assert [len(p["ticks"]) for p in found["plies"]] == [1, 1, 2, *[1] * 7]
    assert sum(t["films"] for p in found["plies"] for t in p["ticks"]) == 22  # as the plan's last box says
    assert [d["after"] for d in found["debulks"]] == [1, 5, 9]
    assert found["running"][0]["key"] == "leak"


def test_a_leak_test_says_what_the_bench_says(bagged: Floor, capsys: pytest.CaptureFixture[str]) -> None:
    found = bagged.data(
        "leak", 1, "--start", "18 mbar", "--end", "24 mbar", "--time", "10 min", "--ambient", "1005 mbar",
        "--volume", "2.2 L",
    )  # fmt: skip
    outcome(
        ["leak", "--first", "18 mbar", "--last", "24 mbar", "--after", "10 min", "--ambient", "1005 mbar",
         "--volume", "2.2 L", "--json"]
    )  # fmt: skip
    bench = json.loads(capsys.readouterr().out)
    assert found["leak"] == bench["leak"]
    body = found["kept"][0]["body"]
    assert (body["start"], body["end"], body["ambient"], body["seconds"]) == (1800.0, 2400.0, 100500.0, 600.0)
    assert body["value"] == pytest.approx(1.0)  # 600 Pa in 600 s


def test_a_leak_that_is_too_large_stops_the_hold(bagged: Floor) -> None:
    said = bagged("leak", 1, "--start", "20 mbar", "--end", "90 mbar", "--time", "10 min", code=1)
    assert "FP26-1: not tight by" in said
    bagged("finish", 1, "leak", "--tick", "all")
    assert "before hold, leak: it loses" in bagged.refused("start", 1, code=1)
    assert bagged.refused("leak", 1, "--start", "20 mbar", "--end", "21 mbar") == (
        "--time – this is missing; state it"
    )
    assert "an absolute pressure cannot be negative" in bagged.refused(
        "leak", 1, "--start", "-990 mbar", "--end", "-980 mbar", "--time", "5 min"
    )


def test_from_the_cure_to_the_end(bagged: Floor, case: CureCase, tmp_path: Path) -> None:
    """Every step is finished, what stops is passed by name, and the part is closed."""
    bagged("cure", 1, cured(bagged, case, tmp_path), *columns(case), *sections(case))
    bagged("finish", 1, "cure", "--tick", "all")
    hot = bagged.refused("pull", 1, "--temperature", "52 °C", code=1)
    assert "before demould, cool: 52 °C; 45 °C or less is wanted" in hot
    said = bagged("pull", 1, "--temperature", "38 °C", "--stuck")
    assert "FP26-1 is off its mould at 38 °C." in said
    assert "decide: FP26-1, mould: the part did not come off as it should" in said
    assert "pulled it off" in bagged.refused("pull", 1, "--temperature", "30 °C")
    bagged("finish", 1, "demould", "--tick", "all")

    planned = bagged.data("weigh", 1, "raw", "150 g", code=-1)["mass"]["planned_g"]
    off = bagged.data("weigh", 1, "raw", f"{planned + 25:.1f} g", "--scale", "1 g", code=-1)
    assert off["kept"][0]["body"]["sigma"] == pytest.approx(0.0005)  # half of what 95 in 100 lie within [kg]
    causes = off["mass"]["candidates"]
    assert causes[0]["key"] != "nothing"
    assert sum(c["chance"] for c in causes) == pytest.approx(1.0)
    assert off["findings"][0]["severity"] in ("decide", "stop")
    found = bagged.data("weigh", 1, "raw", f"{planned:.1f} g", "--scale", "1 g", code=-1)
    assert found["mass"]["candidates"][0]["key"] == "nothing"
    assert found["findings"] == []

    bagged("measure", 1, "thickness", "1.30 mm", "--place", "T1 bow", code=-1)
    bagged("measure", 1, "pinholes", "4", "--place", "show face", code=-1)
    assert bagged.refused("measure", 1, "thickness", "1.30 g") == (
        'VALUE – "1.30 g" is not a length; a number with a unit is wanted, as in "0.23 mm"'
    )
    assert bagged.refused("measure", 1, "water-break", "perhaps") == (
        'VALUE: "perhaps" – "yes" or "no" is wanted: whether it passed'
    )
    picture = tmp_path / "face.png"
    Image.new("RGB", (8, 6), "black").save(picture)
    kept = bagged.data("photo", 1, picture, "--caption", "show face", "--step", "trim")["kept"][0]["body"]
    assert (kept["called"], kept["caption"], kept["step"]) == ("face.png", "show face", "trim")

    for step in bagged.data("show", 1, code=-1)["steps_planned_and_done"]:
        if step["finished"] is None:
            bagged.keeps(Finished(build="FP26-1", step=step["key"], boxes=tuple(range(len(step["boxes"])))))
    assert "before it is closed" in bagged.refused("close", 1, "conceded", code=1)
    bagged.passes("close")
    bagged("concede", 1, "--what", "pinholes on the show face", "--why", "under the decal", "--effect", "none",
           "--by", "Ann")  # fmt: skip
    assert "FP26-1 is closed: conceded." in bagged("close", 1, "conceded")
    assert "it was closed as conceded by Ann" in bagged.refused("weigh", 1, "finished", "100 g")
    assert "No part is being made" in bagged("list")
    (line,) = bagged.data("list", "--all")["builds"]
    assert (line["closed"], line["steps_done"]) == ("conceded", 30)
    bagged("show", 1, "--history")
    lines = bagged.out.splitlines()
    assert "begun: Footrest plate, part 1 of 6" in lines[0]
    assert "closed: conceded" in lines[-1]
    assert len(lines) == bagged.count()
