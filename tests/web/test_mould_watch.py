"""The look at a mould that all windows share: nothing asked twice, nothing thrown away, nothing kept for ever."""

from __future__ import annotations

import json
import struct
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from tests.web.mouldfiles import as_stl, tray

from bagside.errors import InputError
from bagside.web.house import House
from bagside.web.model.job_desk import JobDesk
from bagside.web.pages.mould.edits import hole_added, line_set
from bagside.web.pages.mould.watch import mould_watch
from bagside.web.views.mould.survey import MouldSeen, survey
from bagside.web.words.tongue import Lengths, Tongue
from bagside.web.work.child import Ended
from bagside.web.work.messages import StageNews

JOB = '[mould]\nmesh = "tray.stl"\nunit = "mm"\nmaterial = "glass-epoxy"\nthickness = "6 mm"\n'


class Paper:
    """A crew that works nothing out: it keeps what it is asked until the test answers."""

    def __init__(self) -> None:
        self.asked: list[tuple[str, Callable[[Any], None], Callable[[Ended], None]]] = []

    def ask(self, key: str, _: Any, *__: Any, heard: Any, ended: Any, lane: Any = None) -> None:
        if key.startswith("mould:"):
            self.asked.append((key, heard, ended))

    def stop(self, key: str) -> None: ...


def written(folder: Path) -> Path:
    folder.mkdir(parents=True)
    as_stl(tray(n=21), folder / "tray.stl")
    (folder / "job.toml").write_text(JOB, encoding="utf-8")
    return folder / "job.toml"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return written(tmp_path / "jobs" / "tray")


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> MouldSeen:
    found = survey(lambda _: None, written(tmp_path_factory.mktemp("seen") / "jobs" / "tray"))
    assert found is not None
    return found


def opened(job: Path) -> tuple[House, JobDesk, Paper]:
    house = House(job.parents[2])
    house.close()
    crew = Paper()
    return house, JobDesk("tray", job.parent, crew, lambda: None), crew  # type: ignore[arg-type]


def test_a_second_window_asks_for_nothing_and_sees_the_same(job: Path, seen: MouldSeen) -> None:
    house, desk, crew = opened(job)
    first, second = mould_watch(house, desk), mould_watch(house, desk)
    assert first is second
    told: list[int] = []
    first.watch(lambda: told.append(1))
    second.watch(lambda: told.append(2))
    first.look()
    second.look()
    assert len(crew.asked) == 1
    crew.asked[0][2](Ended(result=seen))
    assert told[-2:] == [1, 2]
    assert second.seen is seen


def test_what_is_changed_meanwhile_is_looked_at_afterwards_and_once(job: Path, seen: MouldSeen) -> None:
    house, desk, crew = opened(job)
    watch = mould_watch(house, desk)
    watch.watch(lambda: None)
    watch.look()
    for k in range(5):
        desk.edit("hole", hole_added(f"h{k}", (0.01 * k, 0, -0.03), "6 mm"), plan=False)
    assert len(crew.asked) == 1, "the look under way is not thrown away"
    crew.asked[0][2](Ended(result=seen))
    assert len(crew.asked) == 2, "five changes are one more look"
    crew.asked[1][2](Ended(result=seen))
    assert len(crew.asked) == 2
    assert not watch.busy


def test_who_stops_the_look_keeps_what_is_seen_and_can_look_again(job: Path, seen: MouldSeen) -> None:
    house, desk, crew = opened(job)
    watch = mould_watch(house, desk)
    watch.look()
    crew.asked[0][1](StageNews(stage="Opening the mould"))
    assert watch.now == "Opening the mould"
    early = replace(seen, whole=False)
    crew.asked[0][1](early)
    watch.stop()
    crew.asked[0][2](Ended())
    assert watch.seen is early
    assert watch.stopped
    assert not watch.busy
    watch.look()
    assert len(crew.asked) == 1, "nothing that is stated has changed"
    watch.again()
    assert len(crew.asked) == 2
    assert not watch.stopped


def test_what_has_nothing_to_do_with_the_mould_is_no_reason_to_look(job: Path, seen: MouldSeen) -> None:
    house, desk, crew = opened(job)
    watch = mould_watch(house, desk)
    watch.watch(lambda: None)
    watch.look()
    crew.asked[0][2](Ended(result=seen))
    desk.edit("name", lambda document: document.update({"note": "a line for the cover"}), plan=False)
    assert len(crew.asked) == 1
    desk.edit("line", line_set("a", ((0, 0, -0.03), (0.05, 0, -0.03))), plan=False)
    assert len(crew.asked) == 2


def test_a_mesh_that_cannot_be_used_leaves_the_old_picture_and_says_why(job: Path, seen: MouldSeen) -> None:
    house, desk, crew = opened(job)
    watch = mould_watch(house, desk)
    watch.look()
    crew.asked[0][2](Ended(result=seen))
    job.write_text(JOB.replace('"mm"', '"cm"'), encoding="utf-8")
    desk.file.look()
    watch.look()
    crew.asked[1][2](Ended(error=InputError.one("tray.stl", "2.4 m", "it is too large")))
    assert watch.seen is seen
    assert [str(p) for p in watch.problems] == ["tray.stl: 2.4 m – it is too large"]


def test_pages_fetch_it_by_its_content_in_their_own_language_and_old_ones_are_let_go(
    job: Path, seen: MouldSeen
) -> None:
    house, desk, crew = opened(job)
    watch = mould_watch(house, desk)
    watch.look()
    crew.asked[0][2](Ended(result=seen))
    english, german = watch.address(Tongue()), watch.address(Tongue(language="de"))
    assert english != german
    assert watch.address(Tongue()) == english
    assert {a.rsplit("/", 1)[-1] for a in (english, german)} == set(house.blobs)
    for k in range(30):
        shifted = type(seen)(**{f: getattr(seen, f) for f in seen.__dataclass_fields__} | {"scale": 0.003 + 0.0001 * k})
        crew.asked[0][2](Ended(result=shifted))
        watch.address(Tongue())
    assert len(house.blobs) <= 3, "a thousand changes leave no thousand surfaces behind"


def test_radii_are_told_in_inches_to_who_wants_inches_and_angles_stay(job: Path, seen: MouldSeen) -> None:
    """An inch is 25.4 mm (NIST SP 811, appendix B.8)."""
    house, desk, crew = opened(job)
    watch = mould_watch(house, desk)
    watch.look()
    crew.asked[0][2](Ended(result=seen))

    def maps(tongue: Tongue) -> dict[str, Any]:
        blob = house.blobs[watch.address(tongue).rsplit("/", 1)[-1]]
        (long,) = struct.unpack("<I", blob[4:8])
        return {field["key"]: field for field in json.loads(blob[8 : 8 + long])["fields"]}

    metric, inch = maps(Tongue()), maps(Tongue(lengths=Lengths.INCH))
    assert inch["hollow"]["limit"] == pytest.approx(metric["hollow"]["limit"] / 25.4)
    assert inch["hollow"]["perSi"] == pytest.approx(1.0 / 0.0254)
    assert ", in" in inch["hollow"]["name"]
    assert ", mm" in metric["hollow"]["name"]
    assert inch["draft"]["edges"] == metric["draft"]["edges"]
