"""What docs/life.md shows is so: its sheet is read, its table of thawing times comes out, its worked example too."""

from __future__ import annotations

import re
import tomllib
from importlib.resources import files
from pathlib import Path

import pytest

from bagside.ledger.clocks.mean_kinetic import mean_kinetic_temperature
from bagside.planning.cure_life import life_sheet
from bagside.planning.thawing import roll_pack, stack_pack, thaw_in
from bagside.spec.library import Library, generic_library
from bagside.spec.reading import stated_from

DOC = (Path(__file__).parents[2] / "docs" / "life.md").read_text(encoding="utf-8")
DAY = 86400.0


def test_the_sheet_of_the_page_is_read():
    block = re.search(r"\n    \[prepreg\.hull-twill\]\n((?:    .*\n)+)", DOC)
    assert block is not None
    stated = tomllib.loads(re.sub(r"(?m)^    ", "", block[1]))
    generic = tomllib.loads(files("bagside.library").joinpath("prepregs.toml").read_text(encoding="utf-8"))
    cloth = stated_from({"prepreg": {"own": {**generic["prepreg"]["twill-200"], **stated}}}, Library, "own.toml")
    told = cloth.prepreg["own"]
    assert [x for point in told.life_points for x in point] == pytest.approx(
        [255.15, 365 * DAY, 273.15, 91 * DAY, 298.15, 28 * DAY]
    )
    # "a year in the freezer and a month outside says that twelve days there are one day here"
    twill = life_sheet(generic_library().prepreg["twill-200"])
    assert 1 / float(twill.rate(255.15)) == pytest.approx(12.2, abs=0.05)


def test_the_thawing_times_of_the_page():
    library = generic_library()
    rows = re.findall(r"\| (kit|roll|reel), (\d+) (plies|m) \| ([\d.]+) h \| ([\d.]+) h \|", DOC)
    assert len(rows) == 4
    for _, number, what, *told in rows:
        for name, hours in zip(("twill-200", "twill-400"), told, strict=True):
            cloth = library.prepreg[name]
            make = stack_pack if what == "plies" else roll_pack
            pack = make(cloth, library.resin[cloth.resin], float(number))
            assert thaw_in(pack, 255.15, 294.15, 0.65) / 3600 == pytest.approx(float(hours), abs=0.55)


def test_the_worked_example_of_the_page():
    assert "299.41 K" in DOC
    assert mean_kinetic_temperature([293.15, 303.15]) == pytest.approx(299.41, abs=0.005)
