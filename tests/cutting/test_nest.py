from __future__ import annotations

import json
import math
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings

from bagside.cutting import Cloth, FlatPiece, NestProgress, Placement, engine, nest_roll, verify
from bagside.cutting import nest as nest_module
from bagside.cutting.engine import EngineRun
from bagside.cutting.piece import turned
from bagside.errors import InputError, NotSolved
from pieces import TWILL, ell, kits, piece, rectangle, rosette

CLOTH = Cloth(material=TWILL, width=1.0, margin=0.01, gap=0.005)
PIECES = (piece("1", rosette(), quantity=4), piece("2", ell(), quantity=8))


@given(kits())
@settings(max_examples=6, deadline=None)
def test_the_whole_search_never_overlaps_and_never_leaves_the_cloth(
    given_: tuple[tuple[FlatPiece, ...], Cloth],
) -> None:
    pieces, cloth = given_
    nest = nest_roll(pieces, cloth, seconds=1.0, seeds=(1,))
    verify(nest)
    assert nest.length <= nest.trials[0].length + 1e-12
    assert 0.0 < nest.utilisation <= 1.0 + 1e-9


def test_the_search_is_better_than_the_first_answer() -> None:
    heard: list[NestProgress] = []
    nest = nest_roll(PIECES, CLOTH, seconds=2.0, seeds=(1,), on_progress=heard.append)
    assert nest.length < nest.trials[0].length
    assert [t.method for t in nest.trials] == ["greedy", "engine", "push", "stir"]
    assert not nest.stopped
    lengths = [h.length for h in heard]
    assert lengths == sorted(lengths, reverse=True)
    assert heard[0].seconds < 1.0
    assert heard[-1].utilisation == pytest.approx(nest.utilisation, rel=1e-12)
    for now in heard:
        assert now.nest.length == now.length
    verify(heard[0].nest)


def test_pieces_exactly_as_wide_as_the_cloth_pass_through_the_engine() -> None:
    pieces = (piece("1", rectangle(0.1, 0.98), quantity=3), piece("2", rectangle(0.30, 0.485), quantity=4))
    nest = nest_roll(pieces, CLOTH, seconds=2.0, seeds=(1,))
    engine_trial = nest.trials[1]
    assert engine_trial.note == ""
    assert engine_trial.length is not None
    assert engine_trial.length < 0.01 + 3 * 0.105 + 2 * 0.305 + 0.005
    assert nest.length == pytest.approx(0.01 + 3 * 0.1 + 2 * 0.3 + 4 * 0.005, abs=1.5e-3)


def test_curved_pieces_nearly_as_wide_as_the_cloth_pass_through_the_engine() -> None:
    disc = rosette(0.35)
    width = piece("1", disc).narrowest()[0]
    cloth = Cloth(material=TWILL, width=width + 0.020, margin=0.010, gap=0.005)
    nest = nest_roll((piece("1", disc, quantity=2), piece("2", ell(), quantity=6)), cloth, seconds=2.0, seeds=(1,))
    assert nest.trials[1].length is not None
    assert nest.trials[1].note == ""


def test_copies_are_numbered_as_the_knife_meets_them() -> None:
    nest = nest_roll(PIECES, CLOTH, seconds=0.0)
    left = [nest.placed_outline(p).bounds[0] for p in nest.placements]
    assert left == sorted(left)
    assert [p.copy for p in nest.placements if p.label == "2"] == list(range(1, 9))


def test_without_time_only_the_first_answer_is_made() -> None:
    nest = nest_roll(PIECES, CLOTH, seconds=0.9)
    assert [t.method for t in nest.trials] == ["greedy"]


@pytest.mark.parametrize(("seconds", "runs"), [(1.0, 1), (199.0, 1), (200.0, 2), (500.0, 3)])
def test_time_is_shared_among_seeds_only_when_there_is_enough(
    monkeypatch: pytest.MonkeyPatch, seconds: float, runs: int
) -> None:
    asked: list[float] = []

    def pretend(*_: object, seconds: float, **__: object) -> EngineRun:
        asked.append(seconds)
        return EngineRun(layouts=0, seconds=0.0, stopped=False, failure="")

    monkeypatch.setattr(nest_module, "run_engine", pretend)
    monkeypatch.setattr(nest_module, "STIRRED", 0.0)
    nest_roll(PIECES, CLOTH, seconds=seconds, seeds=(1, 2, 3))
    assert len(asked) == runs
    # The first gets its share of what the greedy answer left; nothing was pushed here, so later ones get more.
    assert 0.5 <= asked[0] <= seconds / runs
    assert asked == sorted(asked)
    assert sum(asked) > 0.8 * seconds or seconds == 1.0 or runs > 1


def test_a_crashing_engine_leaves_the_first_answer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    crash = tmp_path / "crash.py"
    crash.write_text("import os\nos._exit(139)\n", encoding="utf-8")
    monkeypatch.setattr(engine, "CHILD", crash)
    nest = nest_roll(PIECES, CLOTH, seconds=1.0, seeds=(1,))
    verify(nest)
    assert nest.length <= nest.trials[0].length
    assert nest.trials[1].note == "the nesting engine ended early with code 139: it said nothing"


def test_a_wrong_layout_of_the_engine_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    lying = tmp_path / "lying.py"
    lying.write_text(
        "import json, sys\n"
        "task = json.loads(sys.stdin.readline())\n"
        "placed = [[i['id'], 0.0, 300.0, 300.0] for i in task['items'] for _ in range(i['demand'])]\n"
        "print(json.dumps({'width': 1.0, 'placed': placed}))\n"
        "print(json.dumps({'done': True}))\n",
        encoding="utf-8",
    )
    monkeypatch.setattr(engine, "CHILD", lying)
    nest = nest_roll(PIECES, CLOTH, seconds=1.0, seeds=(1,))
    verify(nest)
    assert nest.length <= nest.trials[0].length
    assert nest.trials[1].note.startswith("a layout was refused: 1 copy ")
    assert nest.trials[1].length is None


def test_a_fault_in_our_own_first_answer_is_raised(monkeypatch: pytest.MonkeyPatch) -> None:
    def heap(pieces: tuple[FlatPiece, ...], _: Cloth) -> Iterator[tuple[Placement, ...]]:
        yield tuple(
            Placement(label=p.label, copy=k, turn=0.0, x=0.5, y=0.5) for p in pieces for k in range(1, p.quantity + 1)
        )

    monkeypatch.setattr(nest_module, "greedy", heap)
    with pytest.raises(NotSolved, match=r"a layout was refused: 1 copy 1 and 1 copy 2 lie 0.0000 mm apart"):
        nest_roll(PIECES, CLOTH, seconds=0.0)


def test_it_stops_when_told_and_says_so() -> None:
    def ticks() -> Iterator[bool]:
        yield from (True, True, True)
        while True:
            yield False

    tick = ticks()
    nest = nest_roll(PIECES, CLOTH, seconds=60.0, seeds=(1, 2), on_progress=lambda _: next(tick))
    assert nest.stopped
    assert nest.seconds < 10.0
    verify(nest)


def test_it_can_be_stopped_at_the_first_answer() -> None:
    nest = nest_roll(PIECES, CLOTH, seconds=60.0, on_progress=lambda _: False)
    assert nest.stopped
    assert len(nest.trials) == 1


def test_an_engine_killed_in_the_middle_keeps_what_it_gave(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # The real engine, in a process that dies as if killed half a second after its first layout.
    dying = tmp_path / "dying.py"
    dying.write_text(
        "import os, sys, threading\n"
        f"sys.path.insert(0, {str(engine.CHILD.parent)!r})\n"
        "import engine_child\n"
        "tell = engine_child.Reporter.tell\n"
        "def told(self, solution):\n"
        "    tell(self, solution)\n"
        "    threading.Timer(0.5, os._exit, [137]).start()\n"
        "engine_child.Reporter.tell = told\n"
        "engine_child.main()\n",
        encoding="utf-8",
    )
    monkeypatch.setattr(engine, "CHILD", dying)
    began = time.perf_counter()
    nest = nest_roll(PIECES, CLOTH, seconds=4.0, seeds=(1,))
    verify(nest)
    of_engine = nest.trials[1]
    assert of_engine.note == "the nesting engine ended early with code 137: it said nothing"
    assert of_engine.length is not None
    assert nest.length <= min(of_engine.length, nest.trials[0].length)
    assert time.perf_counter() - began < 8.0
    assert not nest.stopped


@pytest.mark.parametrize("width", [0.5, 0.4])
def test_rectangles_that_tile_the_cloth_come_out_at_the_known_best(width: float) -> None:
    # Closed form: 30 rectangles of 200 × 100 mm tile 500 mm (5 across) and 400 mm (4 across, or 2 turned) exactly.
    pieces = (piece("1", rectangle(0.2, 0.1), quantity=30, turns=(0.0, 0.5 * math.pi)),)
    began = time.perf_counter()
    nest = nest_roll(pieces, Cloth(material=TWILL, width=width), seconds=30.0)
    if width == 0.5:
        assert nest.length == pytest.approx(0.6 / width, abs=1e-6)
        assert time.perf_counter() - began < 5.0  # nothing can be shorter, so it does not go on
    assert nest.utilisation > 0.98


def test_an_odd_set_that_tiles_is_squeezed_close_to_it() -> None:
    # Closed form: a strip of 0.6 × 0.4 m cut by straight lines into five rectangles and two triangles.
    outlines = (
        rectangle(0.25, 0.15), rectangle(0.25, 0.25), rectangle(0.15, 0.4),
        rectangle(0.1, 0.2), rectangle(0.1, 0.2),
        np.array([[0.0, 0.0], [0.1, 0.0], [0.0, 0.4]]), np.array([[0.1, 0.0], [0.1, 0.4], [0.0, 0.4]]),
    )  # fmt: skip
    pieces = tuple(piece(str(k), o) for k, o in enumerate(outlines))
    nest = nest_roll(pieces, Cloth(material=TWILL, width=0.4), seconds=4.0, seeds=(1,))
    assert 0.6 - 1e-6 <= nest.length <= 0.66


def test_pieces_cut_face_down_come_back_as_such() -> None:
    triangle = np.array([[0.0, 0.0], [0.4, 0.0], [0.2, 0.2]])
    given_ = (piece("1", triangle, quantity=6, turns=(0.0,), flips=True), piece("2", ell(), quantity=3, flips=True))
    cloth = Cloth(material=TWILL, width=0.42, gap=0.004, selvedge=0.005)
    nest = nest_roll(given_, cloth, seconds=2.0, seeds=(1,))
    assert any(p.flipped for p in nest.placements if p.label == "1")
    up = nest_roll((piece("1", triangle, quantity=6, turns=(0.0,)), given_[1]), cloth, seconds=0.0)
    assert nest.length < up.length


def test_a_tolerance_is_used_and_kept_to() -> None:
    askew = turned(rectangle(0.4, 0.096), math.radians(2.0))
    given_ = (piece("1", askew, quantity=8, tolerance=math.radians(2.0)),)
    nest = nest_roll(given_, Cloth(material=TWILL, width=0.2), seconds=2.0, seeds=(1,))
    verify(nest)
    assert nest.length == pytest.approx(1.6, abs=0.01)  # straight they lie two across; askew 110 mm each do not


def test_five_hundred_pieces_are_answered_and_bettered() -> None:
    heard: list[NestProgress] = []
    given_ = (piece("1", rectangle(0.21, 0.13), quantity=200), piece("2", ell(), quantity=300))
    nest = nest_roll(given_, Cloth(material=TWILL, width=1.25, gap=0.005), seconds=4.0, on_progress=heard.append)
    assert heard[0].seconds < 5.0
    assert nest.length <= heard[0].length


def test_a_piece_too_wide_is_refused_with_both_widths() -> None:
    with pytest.raises(InputError) as caught:
        nest_roll((piece("7", rectangle(0.3, 1.2)),), CLOTH, seconds=0.0)
    assert str(caught.value) == (
        "piece 7: 1200.0 mm across the roll at its narrowest allowed turn – at most 980.0 mm: twill-200 is 1000.0 mm "
        "wide with 10.0 mm kept along each edge (split the ply at a seam, turn its warp, or use a wider cloth)"
    )
    nest_roll((piece("7", rectangle(0.3, 1.2), turns=(0.5 * math.pi,)),), CLOTH, seconds=0.0)


def test_no_piece_another_material_and_a_label_twice_are_refused() -> None:
    with pytest.raises(InputError, match="no piece – at least one piece"):
        nest_roll((), CLOTH, seconds=0.0)
    other = FlatPiece(label="9", material="veil-30", loops=(ell(),))
    with pytest.raises(InputError) as caught:
        nest_roll((other, piece("1", ell()), piece("1", ell())), CLOTH, seconds=0.0)
    assert [str(p) for p in caught.value.problems] == [
        "piece 1: 2 pieces – one piece of each label, with a quantity",
        "piece 9, material: veil-30 – a piece of twill-200, the cloth on the table",
    ]


@pytest.mark.parametrize("seconds", [-1.0, math.inf, math.nan])
def test_a_time_without_end_is_refused(seconds: float) -> None:
    with pytest.raises(InputError, match="nest of twill-200, time"):
        nest_roll(PIECES, CLOTH, seconds=seconds)


def test_a_cloth_without_width_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        Cloth(material=TWILL, width=0.02, margin=0.01)
    assert str(caught.value) == (
        "cloth twill-200: width 20.0 mm with margins of 10.0 mm – some width between the margins"
    )
    with pytest.raises(InputError):
        Cloth(material=TWILL, width=1.0, gap=-0.001)


def test_kits_are_named_by_copy() -> None:
    named = piece("1", ell(), quantity=2, kits=("lid 1", "lid 2"))
    nest = nest_roll((named,), CLOTH, seconds=0.0)
    assert [nest.kit(p) for p in nest.placements] == ["lid 1", "lid 2"]
    assert nest.piece("1") is named
    with pytest.raises(KeyError):
        nest.piece("2")


def test_it_works_from_a_script_without_a_guard(tmp_path: Path) -> None:
    script = tmp_path / "plain.py"
    script.write_text(
        "import numpy as np\n"
        "from bagside.cutting import Cloth, FlatPiece, nest_roll\n"
        "shape = np.array([[0, 0], [0.3, 0], [0, 0.2]], dtype=float)\n"
        "part = FlatPiece(label='1', material='t', loops=(shape,), quantity=6)\n"
        "nest = nest_roll((part,), Cloth(material='t', width=0.5), seconds=2, seeds=(1,))\n"
        "print([t.note for t in nest.trials], nest.trials[1].length is not None)\n",
        encoding="utf-8",
    )
    said = subprocess.run([sys.executable, str(script)], capture_output=True, text=True, timeout=60, check=True)
    assert said.stdout.split("\n")[0] == "['', '', '', ''] True"
    assert said.stderr == ""


@pytest.mark.published(
    "open strip-packing instances collected by ESICUP; plain bottom-left with 30 s of order search, in its notes"
)
@pytest.mark.parametrize(("name", "bottom_left", "best_known"), [("albano", 0.834, 0.898), ("swim", 0.684, 0.798)])
def test_open_instances_come_out_denser_than_plain_bottom_left(
    open_data: Path, name: str, bottom_left: float, best_known: float
) -> None:
    data = json.loads((open_data / "nesting" / f"{name}.json").read_text(encoding="utf-8"))
    scale = 1.0 / data["strip_height"]
    pieces = [
        FlatPiece(
            label=str(item["id"]),
            material=TWILL,
            loops=(scale * np.array(item["shape"]["data"], dtype=np.float64),),
            turns=tuple(math.radians(a) for a in item["allowed_orientations"]),
            quantity=item["demand"],
        )
        for item in data["items"]
    ]
    # It may go on for 30 s on a machine that is busy with other work, and is stopped once it is denser.
    nest = nest_roll(
        pieces,
        Cloth(material=TWILL, width=1.0),
        seconds=30.0,
        seeds=(1,),
        on_progress=lambda now: now.utilisation <= bottom_left,
    )
    verify(nest)
    assert bottom_left < nest.utilisation < best_known + 0.005
