"""The demo workshop is set up whole in an empty folder, and never over another one."""

from __future__ import annotations

from pathlib import Path

import pytest

from bagside import demo_shop
from bagside.errors import InputError, OutputError
from bagside.spec.opening import open_job


def test_every_job_of_it_opens(tmp_path: Path) -> None:
    demo_shop.set_up(tmp_path)
    names = sorted(p.parent.name for p in tmp_path.glob("jobs/*/job.toml"))
    assert names == ["day-hatch-lid", "footrest-plate", "left-thigh-brace", "right-thigh-brace"]
    for name in names:
        open_job(tmp_path / "jobs" / name)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["jobs", "stock.toml", "workshop.toml"]
    assert "invented" in (tmp_path / "workshop.toml").read_text(encoding="utf-8").splitlines()[0]


def test_a_workshop_that_is_there_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "workshop.toml").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError) as refused:
        demo_shop.set_up(tmp_path)
    assert str(refused.value) == (
        "workshop.toml – this folder holds a workshop already (take an empty folder to play in)"
    )
    assert (tmp_path / "workshop.toml").read_text(encoding="utf-8") == "mine"
    assert [p.name for p in tmp_path.iterdir()] == ["workshop.toml"]


def test_when_the_disk_fails_nothing_of_it_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setitem(demo_shop.MOULDS, "jobs/day-hatch-lid/mould.stl", full)
    with pytest.raises(OutputError, match=r"no space left on device\. Nothing was kept"):
        demo_shop.set_up(tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_the_built_package_carries_the_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As a wheel is laid out: the files beside the module, no checkout round it."""
    inside = tmp_path / "bagside" / "demo_shop"
    (inside / "workshop").mkdir(parents=True)
    (inside / "workshop" / "workshop.toml").write_text("", encoding="utf-8")
    monkeypatch.setattr(demo_shop, "__file__", str(inside / "__init__.py"))
    assert demo_shop.stated_in() == inside / "workshop"
    (inside / "workshop" / "workshop.toml").unlink()
    with pytest.raises(InputError, match="did not come with this package"):
        demo_shop.stated_in()
