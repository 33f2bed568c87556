from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path

import pytest

from bagside.cutting import Cloth, Nest, Placement, engine, verify
from bagside.cutting.engine import run_engine
from bagside.cutting.instance import Instance
from pieces import TWILL, piece, rectangle, rosette

PIECES = (piece("1", rosette(), quantity=3), piece("2", rectangle(0.1, 0.13), quantity=4))
CLOTH = Cloth(material=TWILL, width=1.0, margin=0.01, gap=0.005)


def child(folder: Path, text: str) -> Path:
    file = folder / "child.py"
    file.write_text(text, encoding="utf-8")
    return file


def test_it_answers_with_every_copy_and_says_nothing_else() -> None:
    heard: list[tuple[Placement, ...] | None] = []

    def going(layout: tuple[Placement, ...] | None) -> bool:
        heard.append(layout)
        return True

    run = run_engine(PIECES, CLOTH, seconds=1, seed=1, going=going)
    assert run.failure == ""
    assert not run.stopped
    layouts = [h for h in heard if h is not None]
    assert len(layouts) == run.layouts > 0
    for layout in layouts:
        verify(Nest(cloth=CLOTH, pieces=PIECES, placements=layout))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("raise SystemExit(7)", "the nesting engine ended early with code 7: it said nothing"),
        ("raise RuntimeError('no more')", "the nesting engine ended early with code 1: RuntimeError: no more"),
        ("print('nonsense'); print('[1, 2]')", "the nesting engine ended early with code 0: [1, 2]"),
        ("import os; os.abort()", "the nesting engine ended early with code -6: it said nothing"),
    ],
)
def test_a_child_that_dies_is_told_and_not_raised(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str, words: str
) -> None:
    if "abort" in text and sys.platform == "win32":
        pytest.skip("exit codes of signals are those of POSIX")
    monkeypatch.setattr(engine, "CHILD", child(tmp_path, text))
    run = run_engine(PIECES, CLOTH, seconds=1, seed=1, going=lambda _: True)
    assert run.failure == words
    assert run.layouts == 0


def test_a_panic_of_the_engine_itself_stays_in_the_child(monkeypatch: pytest.MonkeyPatch) -> None:
    # The strip is told to be far too narrow, which the real engine answers with a panic.
    class Narrow(Instance):
        def __init__(self, *given_: object, **more: object) -> None:
            super().__init__(*given_, **more)  # type: ignore[arg-type]
            self.message["height"] = 300.0

    monkeypatch.setattr(engine, "Instance", Narrow)
    run = run_engine(PIECES, CLOTH, seconds=1, seed=1, going=lambda _: True)
    assert "does not seem to fit into the strip" in run.failure
    assert run.layouts == 0


def test_a_child_that_never_ends_is_ended(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine, "CHILD", child(tmp_path, "import time; time.sleep(60)"))
    monkeypatch.setattr(engine, "GRACE", 0.1)
    began = time.perf_counter()
    run = run_engine(PIECES, CLOTH, seconds=1, seed=1, going=lambda _: True)
    assert time.perf_counter() - began < 5.0
    assert run.failure == "the nesting engine ended early: it did not end in time"


def test_a_child_that_answers_and_never_ends_has_done_its_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    answer = '{"width": 1.0, "placed": [["0", 0.0, 9.0, 9.0]]}'
    monkeypatch.setattr(engine, "CHILD", child(tmp_path, f"import time; print('{answer}', flush=True); time.sleep(60)"))
    monkeypatch.setattr(engine, "GRACE", 0.1)
    run = run_engine(PIECES, CLOTH, seconds=1, seed=1, going=lambda _: True)
    assert (run.failure, run.stopped, run.layouts) == ("", False, 1)


def test_layouts_with_overlaps_are_kept_apart_and_only_the_last_of_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = (
        "import json\n"
        "for x in range(20):\n"
        "    print(json.dumps({'nearly': [['0', 0.0, 1000.0 + 10.0 * x, 9.0]]}))\n"
        "print(json.dumps({'done': True}))\n"
    )
    monkeypatch.setattr(engine, "CHILD", child(tmp_path, text))
    heard: list[tuple[Placement, ...] | None] = []
    run = run_engine(PIECES, CLOTH, seconds=1, seed=1, going=lambda layout: heard.append(layout) is None)
    assert [h for h in heard if h is not None] == []
    assert (run.layouts, run.failure, len(run.nearly)) == (0, "", engine.NEARLY)
    assert run.nearly[-1][0].x == pytest.approx(1.190 - 0.005 + 0.010)


def test_a_missing_interpreter_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", "/nowhere/python")
    run = run_engine(PIECES, CLOTH, seconds=1, seed=1, going=lambda _: True)
    assert run.failure == "the nesting engine ended early: it could not be started"


def test_the_child_ends_with_its_parent() -> None:
    task = {**Instance(PIECES, CLOTH).message, "seconds": 60, "seed": 1}
    process = subprocess.Popen(
        [sys.executable, "-P", str(engine.CHILD)], stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True
    )
    with process:
        assert process.stdin is not None
        process.stdin.write(json.dumps(task) + "\n")
        process.stdin.flush()
        with pytest.raises(subprocess.TimeoutExpired):
            process.wait(timeout=1.0)
        process.stdin.close()  # what the system does when the parent is gone
        assert process.wait(timeout=5.0) == 3


def test_stopping_keeps_what_there_is() -> None:
    seen: list[tuple[Placement, ...]] = []

    def going(layout: tuple[Placement, ...] | None) -> bool:
        seen.extend([] if layout is None else [layout])
        return not seen

    began = time.perf_counter()
    run = run_engine(PIECES, CLOTH, seconds=30, seed=1, going=going)
    assert time.perf_counter() - began < 10.0
    assert run.stopped
    assert run.failure == ""
    assert run.layouts == len(seen) == 1
