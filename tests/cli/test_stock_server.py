"""The same commands on a server that several stations share: nothing is kept in the folder, and two do not collide."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from databases import _server_ends, drop_database, new_database  # noqa: F401
from stockdesk import Desk
from tapeshop import written_in


@pytest.fixture
def desk(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Iterator[Desk]:
    url = new_database()
    monkeypatch.setenv("BAGSIDE_WHO", "Ines")
    folder = written_in(tmp_path).parents[2]
    file = folder / "workshop.toml"
    file.write_text(f'records = "{url}"\n' + file.read_text(encoding="utf-8"), encoding="utf-8")
    yield Desk(folder, capsys)
    drop_database(url)


def test_a_workshop_is_begun_cut_and_planned_on_a_server(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    job = desk.folder / "jobs" / "plate"
    before = desk.answer("cut", job)["cutting"]
    assert before["kits_put_into_stock"] is None
    assert desk.answer("stock", "begin")["taken_over"] == {"place": 2, "roll": 1, "cuts": 0}
    monkeypatch.setenv("BAGSIDE_DEVICE", "bench")
    found = desk.answer("cut", job, "--accept")["cutting"]
    assert [k["name"] for k in found["kits_put_into_stock"]] == ["P-1", "P-2"]
    monkeypatch.setenv("BAGSIDE_DEVICE", "desk")
    desk.answer("stock", "move", "P-1", "P-2", "--to", "room")
    listed = {row["name"]: row for row in desk.answer("stock", "list")["stock"]}
    assert listed["P-1"]["place"] == "room"
    assert listed["P-1"]["there"] == {"pieces": 3, "pieces_left": 3}
    pulled = 1e-3 * found["cloths"][0]["pull_mm"]
    assert listed["twill-200"]["there"]["length_m"] == pytest.approx(10.0 - pulled, abs=2e-3)
    assert desk.answer("stock", "begin")["kept"] == []
    assert not (desk.folder / "records.sqlite").exists()
