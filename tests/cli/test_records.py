"""Backup, restore, export, import, check and rebuild as commands: one sentence each, exit codes, nothing lost."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
import typer
from typer.testing import CliRunner

from bagside.cli.records import COMMANDS, backup, restore
from bagside.errors import InputError, OutputError
from bagside.ledger.bodies import Moved, Photographed
from bagside.records.attachments import Attachments
from bagside.records.database import Ledger
from happenings import begun, event

SHOP = """# ours
name = "Skerry Kayaks"
currency = "EUR"
labour = "38 EUR/h"
[room]
temperature = "21 °C"
humidity = "50 %"
[oven]
hottest = "140 °C"
heating = "2 K/min"
cooling = "1 K/min"
lag = "4 min"
spread = "6 K"
film_bag = "18 W/(m² K)"
film_tool = "12 W/(m² K)"
power = "3 kW"
loss = "6 W/K"
[pump]
flow = "6 m³/h"
reaches = "2 kPa"
[prices]
energy = "0.32 EUR/kWh"
"""


def app() -> typer.Typer:
    def ending(command: Callable[..., int]) -> Callable[..., None]:
        from functools import wraps

        @wraps(command)
        def ended(*args: Any, **kwargs: Any) -> None:
            raise typer.Exit(command(*args, **kwargs))

        return ended

    whole = typer.Typer()
    whole.command("backup")(ending(backup))
    whole.command("restore")(ending(restore))
    for name, function in COMMANDS:
        whole.command(name)(ending(function))
    return whole


def run(*words: object) -> tuple[int, str, str]:
    """Return exit code, standard output and error of a command; what is refused is raised."""
    result = CliRunner().invoke(app(), [str(w) for w in words])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "workshop.toml").write_text(SHOP, encoding="utf-8")
    digest = Attachments(folder).put(b"a photo", "roll.jpg")
    with Ledger.opened(folder) as ledger:
        ledger.add(begun())
        ledger.add([event(Photographed(subject="R-1", file=digest, called="roll.jpg"), 5)])
    return folder


def test_a_backup_goes_and_comes_back(shop: Path, tmp_path: Path) -> None:
    code, out, err = run("backup", tmp_path / "copy.zip", "--workshop", shop)
    assert code == 0
    assert out.splitlines()[0] == str(tmp_path / "copy.zip")
    assert out.splitlines()[1].startswith("5 events and 3 files, 0.")
    assert "watch:" in err
    assert "on the same disk" in err
    new = tmp_path / "new"
    code, out, _ = run("restore", tmp_path / "copy.zip", new)
    assert code == 0
    assert out.splitlines()[0].startswith("Skerry Kayaks as it was on 20")
    assert out.splitlines()[1] == f"5 events and 3 files; records: {new / 'records.sqlite'}"
    assert run("check", "--workshop", new)[:2] == (0, "5 events and 1 file: all is well.\n")
    with pytest.raises(InputError, match="it is not empty"):
        run("restore", tmp_path / "copy.zip", new)
    code, out, _ = run("backup", tmp_path / "copies", "--workshop", shop, "--json")
    data = json.loads(out)
    assert (code, data["events"], data["files"], len(data["findings"])) == (0, 5, 3, 1)
    code, out, _ = run("restore", data["backup"], tmp_path / "third", "--json")
    assert (code, json.loads(out)["events"]) == (0, 5)


def test_a_link_to_a_folder_elsewhere_is_told(shop: Path, tmp_path: Path) -> None:
    (tmp_path / "moulds").mkdir()
    (tmp_path / "moulds" / "lid.stl").write_text("solid")
    (shop / "jobs").mkdir()
    (shop / "jobs" / "moulds").symlink_to(tmp_path / "moulds")
    (shop / "jobs" / "lid.stl").symlink_to(tmp_path / "moulds" / "lid.stl")
    code, _, err = run("backup", tmp_path / "copies", "--workshop", shop)
    assert code == 0
    assert "1 link to a folder is not followed: jobs/moulds" in " ".join(err.split())
    (made,) = (tmp_path / "copies").iterdir()
    assert (made / "jobs" / "lid.stl").read_text() == "solid"  # a link to a file is its content


def test_an_export_goes_and_comes_back(shop: Path, tmp_path: Path) -> None:
    file = tmp_path / "all.jsonl"
    assert run("export", file, "--workshop", shop)[:2] == (
        0, f"{file}: 5 events; 1 photo or log is listed, and --files copies them beside.\n",
    )  # fmt: skip
    assert run("export", file, "--files", tmp_path / "files", "--workshop", shop)[0] == 0
    other = tmp_path / "other"
    other.mkdir()
    (other / "workshop.toml").write_text(SHOP, encoding="utf-8")
    code, out, err = run("import", file, "--workshop", other)
    assert (code, out) == (0, "5 new events.\n")
    assert "1 photo or log is missing or damaged: roll.jpg" in " ".join(err.split())
    code, out, err = run("import", file, "--files", tmp_path / "files", "--workshop", other)
    assert (code, out, err) == (0, "0 new events; 5 were there already.\n", "")
    assert json.loads(run("import", file, "--workshop", other, "--json")[1]) == {
        "new": 0, "already": 5, "files": 1, "findings": [],
    }  # fmt: skip
    with Ledger.opened(shop) as one, Ledger.opened(other) as two:
        assert list(one.events()) == list(two.events())
        assert one.things(there=None) == two.things(there=None)


def test_a_file_that_is_cut_off_begins_no_records(shop: Path, tmp_path: Path) -> None:
    file = tmp_path / "all.jsonl"
    run("export", file, "--workshop", shop)
    file.write_bytes(file.read_bytes()[:-100])
    other = tmp_path / "other"
    other.mkdir()
    (other / "workshop.toml").write_text(SHOP, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        run("import", file, "--workshop", other)
    assert str(caught.value) == (
        "all.jsonl, line 7 – the file ends without its last line: it was cut off (export it again, or copy the file "
        "again; nothing was changed)"
    )
    assert [p.name for p in other.iterdir()] == ["workshop.toml"]


def test_a_workshop_without_records_is_told(tmp_path: Path) -> None:
    (tmp_path / "workshop.toml").write_text(SHOP, encoding="utf-8")
    for words in (("backup", tmp_path / "x.zip"), ("export", tmp_path / "x"), ("check",), ("rebuild",)):
        with pytest.raises(InputError, match="this workshop has no records yet"):
            run(*words, "--workshop", tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == ["workshop.toml"]


def test_check_finds_what_is_wrong_and_rebuild_puts_it_right(shop: Path) -> None:
    with Ledger.opened(shop) as ledger:
        ledger.add([event(Photographed(subject="R-1", file="0" * 64, called="lost.jpg"), 6)])
    with sqlite3.connect(shop / "records.sqlite") as connection:
        connection.execute("UPDATE things SET state = replace(state, '50.0', '60.0') WHERE name = 'R-1'")
    connection.close()
    Attachments(shop).put(b"nothing names it")
    code, out, err = run("check", "--workshop", shop)
    said = " ".join(err.split())
    assert (code, out) == (1, "")
    assert "stop: records: 1 thing is not as the events make them: R-1" in said
    assert "decide: records-files: 1 photo or log is missing or damaged: lost.jpg (00000000)" in said
    code, out, _ = run("check", "--workshop", shop, "--json")
    data = json.loads(out)
    assert (code, data["differing"], [m["called"] for m in data["missing"]], len(data["spare"])) == (
        1, ["R-1"], ["lost.jpg"], 1,
    )  # fmt: skip
    assert run("rebuild", "--workshop", shop)[:2] == (0, "4 things made anew from the events.\n")
    assert json.loads(run("rebuild", "--workshop", shop, "--json")[1]) == {"things": 4, "findings": []}
    code, _, err = run("check", "--workshop", shop)
    assert code == 0
    assert "stop" not in err


def test_a_damaged_database_is_told_and_never_written(shop: Path) -> None:
    with Ledger.opened(shop) as ledger:
        ledger.add([event(Moved(things=("R-1",), to=to), k) for k, to in enumerate(("room", "freezer") * 200, 10)])
        last = max(e.at for e in ledger.events())
        assert last - begun()[0].at > timedelta(hours=6)
    path = shop / "records.sqlite"
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.execute("PRAGMA journal_mode = DELETE")
    (root,) = connection.execute("SELECT rootpage FROM sqlite_master WHERE name LIKE 'touches%' LIMIT 1").fetchone()
    (page,) = connection.execute("PRAGMA page_size").fetchone()
    connection.close()
    with path.open("r+b") as file:
        file.seek((root - 1) * page + 8)
        file.write(b"\x7f" * 40)
    code, out, err = run("check", "--workshop", shop)
    assert (code, out) == (1, "")
    assert "stop: records: the database is damaged: " in " ".join(err.split())
    with pytest.raises(OutputError, match=r"No backup was made"):
        run("backup", shop.parent / "copy.zip", "--workshop", shop)
    assert not (shop.parent / "copy.zip").exists()


def test_the_program_ends_with_one_sentence_and_exit_code_2(
    shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from bagside.cli.app import outcome

    file = tmp_path / "log.csv"
    file.write_text("time;degrees\n")
    assert outcome(["records", "import", str(file), "--workshop", str(shop)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert " ".join(said.err.split()).endswith(
        'log.csv, line 1 – this is no export of records (a file that "bagside records export" wrote is wanted)'
    )
    assert outcome(["restore", str(file), str(tmp_path / "new")]) == 2
    assert "this is no backup" in " ".join(capsys.readouterr().err.split())
    assert outcome(["backup", str(tmp_path / "copy.tar.gz"), "--workshop", str(shop)]) == 0
    assert outcome(["records", "check", "--workshop", str(shop)]) == 0
