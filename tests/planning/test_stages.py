"""Stages worked out side by side: the same values, once each, in order; an error stays with its task."""

from pathlib import Path

import numpy as np

import shapes
from bagside.errors import InputError, NotSolved
from bagside.planning.piece import draped_piece
from bagside.planning.stages import Failed, Stages


def squared(values: np.ndarray) -> np.ndarray:
    if values.sum() < 0:
        raise NotSolved("nothing below zero")
    if values.sum() == 0:
        raise InputError.one("values", "0", "something is wanted", "try 1")
    return values**2


def tasks() -> list[tuple[str, tuple[object, ...]]]:
    return [(f"task {k}", (np.full(5, float(k)),)) for k in (1, 2, 2, -1, 0)]


def test_results_keep_their_order_and_errors_their_place(tmp_path: Path) -> None:
    stages = Stages(store=tmp_path)
    found = stages.run_many(squared, tasks())
    assert [float(f[0]) for f in found[:3]] == [1.0, 4.0, 4.0]  # type: ignore[index]
    assert isinstance(found[3], Failed)
    assert str(found[3].error) == "nothing below zero"
    assert isinstance(found[4], Failed)
    assert str(found[4].error) == "values: 0 – something is wanted (try 1)"
    assert [d.stage for d in stages.log] == ["task 1", "task 2", "task 2", "task -1", "task 0"]
    assert [d.kept for d in stages.log] == [False, False, True, False, False]


def test_what_was_worked_out_before_is_read_again(tmp_path: Path) -> None:
    Stages(store=tmp_path).run("task 2", squared, np.full(5, 2.0))
    again = Stages(store=tmp_path)
    again.run_many(squared, tasks())
    assert [d.kept for d in again.log] == [False, True, True, False, False]
    last = Stages(store=tmp_path)
    last.run_many(squared, tasks()[:3])
    assert all(d.kept for d in last.log)


def test_without_a_store_one_task_runs_here() -> None:
    stages = Stages()
    assert float(stages.run_many(squared, tasks()[:1])[0][0]) == 1.0  # type: ignore[index]
    assert stages.run("task 1", squared, np.full(5, 1.0))[0] == 1.0
    assert [d.kept for d in stages.log] == [False, True]


def test_pieces_laid_side_by_side_are_the_same_to_the_bit() -> None:
    cap, way = shapes.hemisphere(0.1, 1.0, 12), (1.0, 0.4, 0.0)
    line = np.array([[-0.05, 0, 0.0866], [0, 0, 0.1], [0.05, 0, 0.0866]])
    asked: list[tuple[str, tuple[object, ...]]] = [
        ("plain", (cap, (0.0, 0.0, 0.1), way, "woven", 0.7)),
        ("off", (cap, (0.0, 0.0, 0.2), way, "woven", 0.7)),
        ("line", (cap, (0.0, 0.0, 0.1), way, "woven", 0.7, (), line)),
    ]
    both = Stages().run_many(draped_piece, asked)
    for (_, args), found in zip(asked, both, strict=True):
        (alone,) = Stages().run_many(draped_piece, [("alone", args)])
        assert isinstance(found, Failed) == isinstance(alone, Failed)
        if isinstance(found, Failed) or isinstance(alone, Failed):
            assert "100.0 mm off the surface" in str(found.error)  # type: ignore[union-attr]
            continue
        for name in ("uv", "warp", "weft", "shear", "stretch_warp", "stretch_weft", "line"):
            np.testing.assert_array_equal(getattr(found.drape, name), getattr(alone.drape, name))
