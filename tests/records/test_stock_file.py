"""The stock file: what stands in it stays, what is added is whole, and two writers lose nothing."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from bagside.errors import InputError, OutputError
from bagside.records.stock_file import StockFile
from bagside.spec.library import Library, generic_library
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.stock import Offcut, Taken, Used
from bagside.spec.workshop import Workshop

SHOP = Path(__file__).parents[2] / "demo" / "workshop" / "workshop.toml"
OUTLINE = ((0.0, 0.0), (0.31234, 0.0), (0.3, 0.2), (0.0, 0.21))


@pytest.fixture(scope="module")
def workshop() -> Workshop:
    return stated_from(load_toml(SHOP), Workshop, "workshop.toml")


@pytest.fixture(scope="module")
def library() -> Library:
    return generic_library()


def kept(name: str) -> Offcut:
    return Offcut(
        name=name,
        material="twill-200",
        outline=OUTLINE,
        holes=(((0.05, 0.05), (0.1, 0.05), (0.1, 0.1)),),
        roll="K-114",
        batch="K-114",
        life_used=216000.0,
        made=date(2026, 11, 30),
    )


def test_what_is_added_reads_back_to_a_tenth_of_a_millimetre(
    tmp_path: Path, workshop: Workshop, library: Library
) -> None:
    file = StockFile.read(tmp_path)
    assert file.next_name() == "O-1"
    file.added(
        workshop, library, taken=[Taken(roll="K-114", length=2.3456, on=date(2026, 11, 30))], offcuts=[kept("O-1")]
    )
    again = StockFile.read(tmp_path)
    (offcut,) = again.stock.offcuts
    assert again.next_name() == "O-2"
    assert offcut.outline == tuple((pytest.approx(x, abs=5.1e-5), pytest.approx(y, abs=5.1e-5)) for x, y in OUTLINE)
    assert (offcut.life_used, offcut.made, offcut.roll) == (216000.0, date(2026, 11, 30), "K-114")
    assert len(offcut.holes[0]) == 3
    assert again.stock.taken[0].length == pytest.approx(2.346, abs=1e-6)


def test_lines_of_a_person_stay(tmp_path: Path, workshop: Workshop, library: Library) -> None:
    text = (
        "# my own words\n\n[[offcuts]]   # the good one\nname = 'long one'\nmaterial = 'twill-200'\n"
        'outline = ["0 0 mm", "900 0 mm", "900 200 mm"]\n'
    )
    (tmp_path / "stock.toml").write_text(text, encoding="utf-8")
    StockFile.read(tmp_path).added(workshop, library, used=[Used(offcut="long one", job="lid")], offcuts=[kept("O-1")])
    after = (tmp_path / "stock.toml").read_text(encoding="utf-8")
    assert after.startswith(text.rstrip("\n"))
    stock = StockFile.read(tmp_path).stock
    assert [o.name for o in stock.offcuts] == ["long one", "O-1"]
    assert [o.name for o in stock.there] == ["O-1"]


def test_a_file_changed_meanwhile_is_not_written_over(tmp_path: Path, workshop: Workshop, library: Library) -> None:
    first, second = StockFile.read(tmp_path), StockFile.read(tmp_path)
    first.added(workshop, library, offcuts=[kept("O-1")])
    with pytest.raises(InputError, match="changed by someone else"):
        second.added(workshop, library, offcuts=[kept("O-1")])
    assert len(StockFile.read(tmp_path).stock.offcuts) == 1


def test_what_does_not_go_together_is_refused_and_nothing_written(
    tmp_path: Path, workshop: Workshop, library: Library
) -> None:
    file = StockFile.read(tmp_path)
    with pytest.raises(InputError, match=r"more is taken from roll K-114 than the 14\.00 m"):
        file.added(workshop, library, taken=[Taken(roll="K-114", length=9.0), Taken(roll="K-114", length=5.5)])
    with pytest.raises(InputError, match="no offcut of this name"):
        file.added(workshop, library, used=[Used(offcut="O-9")])
    with pytest.raises(InputError, match="two offcuts have this name"):
        file.added(workshop, library, offcuts=[kept("O-1"), kept("O-1")])
    assert list(tmp_path.iterdir()) == []


def test_a_disk_that_fails_leaves_the_old_file(
    tmp_path: Path, workshop: Workshop, library: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = StockFile.read(tmp_path).added(workshop, library, offcuts=[kept("O-1")])
    before = (tmp_path / "stock.toml").read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match="no space left on device"):
        file.added(workshop, library, offcuts=[kept("O-2")])
    assert (tmp_path / "stock.toml").read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["stock.toml"]


def test_a_program_that_holds_the_file_is_waited_for_and_named(
    tmp_path: Path, workshop: Workshop, library: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bagside.records.stock_file.PATIENCE", 0.1)
    (tmp_path / ".stock.toml.lock").touch()
    with pytest.raises(InputError, match=r"another program is writing it.*remove \.stock\.toml\.lock"):
        StockFile.read(tmp_path).added(workshop, library, offcuts=[kept("O-1")])


WRITER = """
import sys
from pathlib import Path
sys.path.insert(0, str(Path(sys.argv[2]).parents[2]))
from bagside.errors import InputError
from bagside.records.stock_file import StockFile
from bagside.spec.library import generic_library
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.stock import Taken
from bagside.spec.workshop import Workshop
shop = stated_from(load_toml(Path(sys.argv[2])), Workshop, "workshop.toml")
library = generic_library()
done = 0
while done < 12:
    try:
        StockFile.read(Path(sys.argv[1])).added(shop, library, taken=[Taken(roll="K-114", length=0.1, job=sys.argv[3])])
    except InputError:
        continue
    done += 1
"""


def test_two_writers_lose_nothing(tmp_path: Path) -> None:
    runs = [
        subprocess.Popen([sys.executable, "-c", WRITER, str(tmp_path), str(SHOP), who], stderr=subprocess.PIPE)
        for who in ("left", "right")
    ]
    for run in runs:
        _, said = run.communicate(timeout=60)
        assert run.returncode == 0, said
    taken = StockFile.read(tmp_path).stock.taken
    assert sorted(t.job for t in taken) == ["left"] * 12 + ["right"] * 12
