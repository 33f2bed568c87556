from __future__ import annotations

import math
from dataclasses import replace

from bagside.cutting import Cloth, Nest, Placement, Trial, nest_findings
from bagside.findings import Severity
from pieces import TWILL, piece, rectangle

NEST = Nest(
    cloth=Cloth(material=TWILL, width=0.5, length_available=1.0),
    pieces=(piece("A", rectangle(0.9, 0.4)),),
    placements=(Placement(label="A", copy=1, turn=0.0, x=0.0, y=0.0),),
    trials=(Trial(method="greedy", seed=None, seconds=0.1, length=0.9),),
)


def test_a_good_nest_is_silent() -> None:
    assert nest_findings(NEST, 0.92) == ()


def test_a_roll_too_short_stops() -> None:
    (found,) = nest_findings(NEST, 1.10)
    assert found.severity is Severity.STOP
    assert found.place == "nest of twill-200"
    assert found.what == "1.10 m of cloth are wanted, 1.00 m are on the roll"
    assert found.why == "the roll ends 0.10 m too early; the last pieces cannot be cut"
    endless = replace(NEST, cloth=replace(NEST.cloth, length_available=None))
    assert nest_findings(endless, 1.10) == ()


def test_cloth_poorly_used_is_to_be_watched() -> None:
    (found,) = nest_findings(NEST, 0.92, used_well=0.80)
    assert found.severity is Severity.WATCH
    assert found.what == "78 % of 0.92 m of cloth become pieces"
    assert found.why == "0.10 m² are paid for and left over"


def test_an_engine_that_gave_nothing_is_told_and_one_that_did_is_not() -> None:
    failed = Trial(method="engine", seed=1, seconds=0.1, length=None, note="it ended")
    worked = Trial(method="engine", seed=2, seconds=0.1, length=0.9)
    (found,) = nest_findings(replace(NEST, trials=(*NEST.trials, failed)), 0.92)
    assert found.severity is Severity.WATCH
    assert found.why == "it ended"
    assert nest_findings(replace(NEST, trials=(*NEST.trials, failed, worked)), 0.92) == ()


def test_a_search_that_was_stopped_is_told() -> None:
    (found,) = nest_findings(replace(NEST, stopped=True), 0.92)
    assert found.severity is Severity.SEEN
    assert found.what == "the search was stopped after 0 s; the best layout until then stands"


def test_copies_cut_face_down_are_to_be_turned_over() -> None:
    over = replace(NEST, placements=(replace(NEST.placements[0], flipped=True),))
    (found,) = nest_findings(over, 0.92)
    assert found.severity is Severity.WATCH
    assert found.what == "1 copy of piece A is cut face down"


def test_copies_turned_within_their_tolerance_are_told() -> None:
    askew = replace(
        NEST,
        pieces=(piece("A", rectangle(0.9, 0.4), tolerance=math.radians(3.0)),),
        placements=(replace(NEST.placements[0], turn=math.radians(-2.0), y=0.05),),
    )
    (found,) = nest_findings(askew, 0.95)
    assert found.severity is Severity.SEEN
    assert found.what == "1 copy lies up to 2.0° off the thread, within the tolerance of the ply"


def test_a_piece_that_just_fits_wants_the_roll_measured() -> None:
    close = replace(NEST, pieces=(piece("A", rectangle(0.9, 0.4985)),))
    (found,) = nest_findings(close, 0.92)
    assert found.severity is Severity.WATCH
    assert found.what == "piece A leaves 1.5 mm of the 500 mm between the edges"
    assert nest_findings(replace(NEST, pieces=(piece("A", rectangle(0.9, 0.49)),)), 0.92) == ()


def test_a_roll_that_ends_within_what_shows_asks_for_one_batch() -> None:
    shows = piece("A", rectangle(0.9, 0.4), quantity=2, visible=True, kits=("lid", "lid"))
    second = Placement(label="A", copy=2, turn=0.0, x=0.9, y=0.0)
    two = replace(NEST, pieces=(shows,), placements=(*NEST.placements, second))
    short, batch = nest_findings(two, 1.82)
    assert short.severity is Severity.STOP
    assert batch.severity is Severity.DECIDE
    assert batch.what == "piece A would not come from this roll like the others that show on the part"
    apart = replace(two, pieces=(replace(shows, kits=("lid 1", "lid 2")),))
    assert [f.severity for f in nest_findings(apart, 1.82)] == [Severity.STOP]
    hidden = replace(two, pieces=(replace(shows, visible=False),))
    assert [f.severity for f in nest_findings(hidden, 1.82)] == [Severity.STOP]
