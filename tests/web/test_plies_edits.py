"""What pages do to a job's plies and lines is what a person would have written; comments and other keys stay."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.web.model import cut_edits
from bagside.web.model import laying_edits as edits

LID = Path(__file__).parents[2] / "demo" / "workshop" / "jobs" / "day-hatch-lid" / "job.toml"
FOOTREST = LID.parents[1] / "footrest-plate" / "job.toml"
FIVE = "".join(f"\n[[plies]]  # number {k}\nmaterial = '{k}'\n" for k in range(1, 6))
PLIES = f"name = 'p'\n{FIVE}\n[cure]\nx = 1\n"
NAMED = "[patchwork]\nply = 2\n\n[[build_ups]]\nafter = 4\n" + PLIES.partition("\n")[2]


def done(text: str, act: Callable[..., Any], *arguments: Any) -> str:
    document = tomlkit.parse(text)
    act(document, *arguments)
    return tomlkit.dumps(document)


def order(text: str) -> list[str]:
    return [ply["material"] for ply in tomllib.loads(text)["plies"]]


def test_a_moved_ply_takes_its_comment_along_and_the_file_stays_as_long() -> None:
    moved = done(PLIES, edits.moved, 1, 3)
    assert order(moved) == ["1", "3", "4", "2", "5"]
    assert "[[plies]]  # number 2\nmaterial = '2'" in moved
    assert sorted(moved.splitlines()) == sorted(PLIES.splitlines())


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4)), max_size=6))
def test_moves_are_moves_of_a_list_and_what_names_a_ply_follows_it(steps: list[tuple[int, int]]) -> None:
    text, plain = NAMED, ["1", "2", "3", "4", "5"]
    for which, to in steps:
        text = done(text, edits.moved, which, to)
        plain.insert(to, plain.pop(which))
    now = tomllib.loads(text)
    assert order(text) == plain
    assert plain[now["patchwork"]["ply"] - 1] == "2"
    assert plain[now["build_ups"][0]["after"] - 1] == "4"
    assert now["cure"] == {"x": 1}
    assert len(text.splitlines()) == len(NAMED.splitlines())


def test_a_copy_lies_right_on_its_ply_and_a_mirrored_stack_reads_the_same_both_ways() -> None:
    assert order(done(PLIES, edits.copied, 1)) == ["1", "2", "2", "3", "4", "5"]
    mirrored = order(done(PLIES, edits.stack_mirrored))
    assert mirrored == mirrored[::-1] == ["1", "2", "3", "4", "5", "5", "4", "3", "2", "1"]


def test_one_ply_is_left_and_the_one_of_the_patchwork_too() -> None:
    one = "[[plies]]\nmaterial = 'a'\n"
    with pytest.raises(InputError, match="a part needs at least one ply"):
        done(one, edits.removed, 0)
    with pytest.raises(InputError, match="this ply is cut as tiles"):
        done(NAMED, edits.removed, 1)
    left = tomllib.loads(done(NAMED, edits.removed, 0))
    assert (left["patchwork"]["ply"], left["build_ups"][0]["after"]) == (1, 3)


def test_a_line_goes_with_the_last_ply_that_uses_it() -> None:
    text = LID.read_text(encoding="utf-8")
    once = done(text, edits.removed, 1)
    assert "middle" in tomllib.loads(once)["lines"]
    assert "lines" not in tomllib.loads(done(once, cut_edits.whole, 3))


def test_a_cut_is_drawn_as_a_person_would_write_it() -> None:
    text = LID.read_text(encoding="utf-8")

    def draw(document: Any) -> None:
        name = cut_edits.free_name(document, 1)
        cut_edits.line_put(document, name, [(0.0, -0.19, 0.03), (0.0125, 0.0, -0.03)])
        cut_edits.cut_added(document, 0, name, "butt", "20 mm")

    drawn = done(text, draw)
    assert '[lines.cut-1]\npoints = ["0 -190 30 mm", "12.5 0 -30 mm"]\n' in drawn
    assert 'region = "lay-up"\ncuts = [{line = "cut-1", join = "butt"}]\n\n[[plies]]' in drawn
    assert set(text.splitlines()) <= set(drawn.splitlines())  # not one line of the file is lost
    again = done(drawn, cut_edits.cut_removed, 0, 0)
    assert tomllib.loads(again) == tomllib.loads(text)


def test_a_point_moves_and_the_others_stay_as_written() -> None:
    moved = done(LID.read_text(encoding="utf-8"), cut_edits.point_put, "middle", 1, (0.001, 0.0, -0.03))
    assert 'points = ["0 -190 30 mm", "1 0 -30 mm", "0 190 30 mm"]' in moved
    with pytest.raises(InputError, match="no longer there"):
        done(moved, cut_edits.point_put, "middle", 7, (0.0, 0.0, 0.0))


def test_keys_are_set_where_they_stand_and_leave_without_a_trace() -> None:
    text = LID.read_text(encoding="utf-8")
    turned = done(text, edits.turned, 1)
    assert tomllib.loads(turned)["plies"][1]["angle"] == "-45°"
    assert done(turned, edits.turned, 1) == text
    begun = done(text, edits.put, 0, "start", "1 2 3 mm")
    assert 'region = "lay-up"\nstart = "1 2 3 mm"\n\n[[plies]]' in begun
    assert done(begun, edits.put, 0, "start", None) == text


def test_one_more_ply_is_like_the_one_under_it_but_whole() -> None:
    lid = tomllib.loads(done(LID.read_text(encoding="utf-8"), edits.one_more, 1))["plies"]
    assert lid[2] == {"material": "twill-200", "angle": "45°", "region": "lay-up"}
    card = tomllib.loads(done(FOOTREST.read_text(encoding="utf-8"), edits.one_more, 2))["plies"]
    assert card[3] == card[2]


def test_plies_written_in_one_line_are_edited_too() -> None:
    text = "plies = [{material = '1'}, {material = '2'}]\n"
    assert order(done(text, edits.moved, 0, 1)) == ["2", "1"]
    assert order(done(text, edits.added, {"material": "3"}, 2)) == ["1", "2", "3"]


def test_a_ply_that_is_gone_is_said_to_be() -> None:
    with pytest.raises(InputError, match="there is no such ply any more"):
        done(PLIES, edits.put, 9, "angle", "0°")
    with pytest.raises(InputError, match="there is no such cut any more"):
        done(PLIES, cut_edits.cut_put, 0, 0, "join", "butt")
