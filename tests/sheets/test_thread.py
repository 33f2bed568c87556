"""The thread at any width: nothing meets anything, what is left out is told, solid is done and dotted is ahead."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from bagside.sheets.thread import PAD, SHOWN, SMALL, Stop, Thread, thread_laid, thread_view
from bagside.sheets.typeface import width as runs

JOB = (
    Stop(name="Mould", state="done", hands_on="0.124 m²"),
    Stop(name="Plies", state="done", hands_on="6 plies, 8 pieces", note="ply 3 whole or in two"),
    Stop(name="Laminate", short="Lam.", state="done", hands_on="0.88 mm, 156 g"),
    Stop(name="Cut", state="here", hands_on="1.75 m of roll", note="1 to decide"),
    Stop(name="Bag & cure", short="Cure", state="ahead", note="1 to watch"),
    Stop(name="Join", state="ahead"),
    Stop(name="Finish", state="ahead"),
    Stop(name="Time", state="ahead"),
    Stop(name="Money", state="ahead"),
)
WORDS = st.text(alphabet="abcdefgh mnop", max_size=16).map(str.strip)


@st.composite
def jobs(draw: st.DrawFn) -> tuple[Stop, ...]:
    count = draw(st.integers(1, 10))
    here = draw(st.integers(-1, count - 1))
    out = []
    for k in range(count):
        state = "here" if k == here else "done" if k < here else draw(st.sampled_from(["done", "ahead"]))
        name = draw(WORDS) or "x"
        out.append(
            Stop(name=name, state=state, hands_on=draw(WORDS), note=draw(WORDS), short=name[:3])  # type: ignore[arg-type]
        )
    return tuple(out)


def boxes(stops: tuple[Stop, ...], laid: Thread) -> dict[str, list[tuple[float, float]]]:
    """What stands in each of the three rows, from left to right [px]."""
    over = [(p.left, p.left + p.wide) for p in laid.places]
    figures = [(w.x - 0.5 * runs(w.words, SMALL), w.x + 0.5 * runs(w.words, SMALL)) for w in laid.figures]
    notes = []
    for w in laid.notes:
        half = 0.5 * runs(w.words, SMALL, bold=stops[w.stop].state == "here")
        notes.append((w.x - half, w.x + half))
    return {"names": over, "yarn": sorted([*figures, *((a, b) for a, b, _ in laid.lines)]), "notes": sorted(notes)}


@given(jobs(), st.floats(300.0, 1500.0))
def test_nothing_on_the_thread_meets_anything(stops: tuple[Stop, ...], width: float) -> None:
    try:
        laid = thread_laid(stops, width=width)
    except ValueError:
        assume(False)
    for row in boxes(stops, laid).values():
        for (_, end), (begin, _) in pairwise(row):
            assert begin >= end - 1e-6
        for a, b in row:
            assert a >= -1e-6
            assert b <= width + 1e-6
    told = {w.stop for w in laid.figures}, {w.stop for w in laid.notes}
    for k, stop in enumerate(stops):
        kept = (not stop.hands_on or k + 1 == len(stops) or k in told[0]) and (not stop.note or k in told[1])
        assert kept != (k in laid.left_out)


@given(jobs(), st.floats(300.0, 1500.0))
def test_the_drawing_reads_and_is_as_wide_as_asked(stops: tuple[Stop, ...], width: float) -> None:
    try:
        svg = thread_view(stops, width=width)
    except ValueError:
        assume(False)
    root = ET.fromstring(svg)
    assert float((root.get("width") or "0")[:-2]) == pytest.approx(width * 25.4 / 96, abs=1e-3)


def test_with_room_everything_is_told() -> None:
    laid = thread_laid(JOB, width=1376)
    assert laid.left_out == ()
    assert [w.words for w in laid.figures] == [s.hands_on for s in JOB if s.hands_on]
    assert [p.words for p in laid.places] == [s.name for s in JOB]


def test_with_less_room_figures_go_first_then_names_shorten_then_numbers_stand() -> None:
    wide, short, narrow = (thread_laid(JOB, width=w) for w in (704, 490, 328))
    assert not wide.figures
    assert wide.left_out == (0, 1, 2, 3)
    assert [p.words for p in wide.places] == [s.name for s in JOB]
    assert [p.words for p in short.places][2:5] == ["Lam.", "Cut", "Cure"]
    assert [p.number for p in narrow.places] == [1, 2, 3, 0, 5, 6, 7, 8, 9]
    assert [p.words for p in narrow.places if p.words] == ["Cut"]
    assert "1 to decide" in [w.words for w in narrow.notes]  # what is wanted here is never left out for another


def test_solid_is_done_dotted_is_ahead() -> None:
    laid = thread_laid(JOB, width=1376)
    here = next(p for p in laid.places if p.state == "here")
    for a, b, solid in laid.lines:
        assert solid == (0.5 * (a + b) < here.x)
    later = thread_laid([*JOB[:1], Stop(name="Plies", state="here"), Stop(name="Cut", state="done")], width=500)
    assert [solid for _, _, solid in later.lines][-1]  # gone back to a stage, the rest stays done


def test_yarn_is_seen_at_both_sides_of_what_is_written_on_it() -> None:
    laid = thread_laid(JOB, width=960)
    for word in laid.figures:
        near = 0.5 * runs(word.words, SMALL) + 5.0
        beside = [b - a for a, b, _ in laid.lines if min(abs(word.x - a), abs(word.x - b)) < near]
        assert len(beside) == 2
        assert min(beside) >= SHOWN - 1e-6


def test_the_stage_in_hand_lies_in_tape() -> None:
    place = thread_laid(JOB, width=960).places[3]
    assert place.wide == pytest.approx(runs("Cut", 16.0, bold=True) + 2 * PAD)
    assert thread_view(JOB, width=960).count('data-ground="tape"') == 1


@pytest.mark.parametrize(
    ("stops", "width", "words"),
    [
        ([], 500.0, "a thread needs a stop"),
        ([Stop(name="A", state="somewhere")], 500.0, "a stop is done, here, ahead, not 'somewhere'"),  # type: ignore[arg-type]
        ([Stop(name="A", state="here"), Stop(name="B", state="here")], 500.0, "in one place at a time"),
        (JOB, 120.0, "9 stops do not fit 120 px"),
    ],
)
def test_what_makes_no_thread_is_refused(stops: list[Stop], width: float, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        thread_laid(stops, width=width)
