from __future__ import annotations

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
