"""A ply that is turned is draped again; where it is cut hangs on its line alone."""

from __future__ import annotations

from pathlib import Path

from bagside.planning.shaping import shaped_from
from bagside.planning.stages import Stages
from bagside.spec.opening import open_job
from domeshop import written_in

MIDDLE = '[lines.middle]\npoints = ["-79 0 61 mm", "0 0 100 mm", "79 0 61 mm"]\n'
LINES = MIDDLE + "[lines.other]\npoints = {other}\n[laying]"
PLY = 'angle = "0°"\nregion = "disc"\n[[plies]]'
OTHER = '["0 -79 61 mm", "0 0 100 mm"]'


def kept(root: Path, stages: Stages, angle: str, other: str = OTHER) -> dict[str, bool]:
    job = written_in(
        root,
        ("[laying]", LINES.format(other=other)),
        (PLY, f'angle = "{angle}"\nregion = "disc"\ncuts = [{{ line = "middle" }}]\n[[plies]]'),
    )
    del stages.log[:]
    shaped_from(open_job(job), stages, "job.toml")
    return {done.stage: done.kept for done in stages.log}


def test_a_turned_ply_is_draped_again_but_not_cut_again(tmp_path: Path) -> None:
    stages = Stages()
    first = kept(tmp_path, stages, "0°")
    assert first["Cutting ply 1"] is False
    turned = kept(tmp_path, stages, "20°")
    assert turned["Cutting ply 1"] is True
    assert [s for s, was in turned.items() if not was] == ["Draping piece 1A", "Draping piece 1B"]


def test_a_line_that_another_ply_uses_does_not_cut_this_one_again(tmp_path: Path) -> None:
    stages = Stages()
    kept(tmp_path, stages, "0°")
    again = kept(tmp_path, stages, "0°", '["0 -79 61 mm", "5 0 99.8 mm"]')
    assert again["Cutting ply 1"] is True
