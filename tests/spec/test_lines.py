"""Lines and cuts as stated: their names are checked against each other before anything is worked out."""

from pathlib import Path

import pytest

import domeshop
from bagside.errors import InputError
from bagside.spec.lines import Follow, Join, Pieces
from bagside.spec.opening import open_job

LINE = """
[lines.keel]
points = ["-80 0 60 mm", "0 0 100 mm", "80 0 60 mm"]
[[plies]]
material = "twill-200"
angle = "0°"
region = "disc"
cuts = [CUTS]
MORE
[cure]
"""


def stated(root: Path, cuts: str, more: str = "") -> Path:
    return domeshop.written_in(root, ("[cure]\n", LINE.replace("CUTS", cuts).replace("MORE", more)))


def messages(path: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        open_job(path)
    return [str(p) for p in caught.value.problems]


def test_a_cut_takes_the_jobs_overlap_when_it_states_none(tmp_path: Path) -> None:
    job = open_job(stated(tmp_path, '{ line = "keel" }')).job
    assert job.plies[-1].cuts[0].join is Join.OVERLAP
    assert job.plies[-1].cuts[0].overlap is None
    assert job.laying.overlap == pytest.approx(0.015)
    assert job.plies[-1].pieces is Pieces.DRAWN
    assert job.lines["keel"].follow is Follow.STRAIGHT
    assert job.lines["keel"].points[0] == pytest.approx((-0.080, 0.0, 0.060))


def test_a_cut_along_a_line_that_is_not_there(tmp_path: Path) -> None:
    assert messages(stated(tmp_path, '{ line = "keal" }')) == [
        'job.toml, ply 5, cut 1, line: "keal" – there is no line of this name (did you mean "keel"?)'
    ]


def test_what_cannot_be_meant_is_said_for_each_cut(tmp_path: Path) -> None:
    cuts = '{ line = "keel", join = "butt", overlap = "15 mm" }, { line = "keel", overlap = "0 mm" }'
    assert messages(stated(tmp_path, cuts)) == [
        'job.toml, ply 5, cut 1, overlap: 15.0 mm – a butt has none (leave it out, or state join = "overlap")',
        'job.toml, ply 5, cut 2, line: "keel" – this ply is cut there already',
        "job.toml, ply 5, cut 2, overlap: 0 mm – more than zero is wanted"
        ' (state join = "butt" for an edge-to-edge join)',
    ]


def test_a_line_needs_two_points_and_a_closed_one_three(tmp_path: Path) -> None:
    path = stated(tmp_path, '{ line = "keel" }', 'laid_first = "kell"')
    text = path.read_text(encoding="utf-8")
    text = text.replace('points = ["-80 0 60 mm", "0 0 100 mm", "80 0 60 mm"]', 'points = ["0 0 100 mm", "80 0 60 mm"]')
    path.write_text(text.replace("[lines.keel]", "[lines.keel]\nclosed = true"), encoding="utf-8")
    assert messages(path) == [
        "job.toml, line keel, points: 2 points – at least three are wanted",
        'job.toml, ply 5, laid_first: "kell" – there is no line of this name (did you mean "keel"?)',
    ]


def test_a_word_that_is_no_join(tmp_path: Path) -> None:
    found = messages(stated(tmp_path, '{ line = "keel", join = "slip" }'))
    assert found == [
        'job.toml, ply 5, cut 1, join: "slip" – one of "overlap", "butt" or "slip joint" is wanted'
        " (known here: butt, overlap, slip joint)"
    ]
