"""What a person types on the floor, word by word: names, boxes, films, values, corrections."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from bagside.cli.build.changing import changed
from bagside.cli.build.cured_words import bag_items, by_job, mould_names
from bagside.cli.build.finish import ticked
from bagside.cli.build.found import listed, meant_by, one_of, pieces_called
from bagside.cli.build.history import sentence_of
from bagside.cli.build.lay import films_each, films_to_come
from bagside.cli.build.measure import WHATS, found_of, key_of, place_called, planned_words, told, value_of
from bagside.cli.build.step_words import caution_lines
from bagside.cli.build.words import span
from bagside.errors import InputError
from bagside.ledger.bodies import Bagged, Closed, Debulked, Finished, Found, Laid, MassStage, Measured
from bagside.ledger.planned import Planned, PlannedHole, PlannedPly, PlannedPoint, PlannedStep
from bagside.ledger.things import Build, Noted
from bagside.planning.cautions import CAUTIONS, DEFERS

AT = datetime(2026, 11, 26, 9, 0, tzinfo=UTC)
PLIES = (
    PlannedPly(number=1, material="twill-200", pieces=("1",), films=2, area=0.1, mass=0.034, scatter=0.03),
    PlannedPly(number=2, material="twill-200", pieces=("2A", "2B", "2B"), films=1, area=0.1, mass=0.034, scatter=0.03),
)
PLAN = Planned(
    job="Plate", part="plate", revision="r", number=1, quantity=2, plies=PLIES,
    steps=(PlannedStep(key="lay", name="Lay", stage="Lay", boxes=("a", "b", "c")),),
)  # fmt: skip
BUILD = Build(name="P26-1", planned=PLAN, born=AT, last=AT, begun_by="Ann")


def noted(what, event: str = "e" * 32):  # type: ignore[no-untyped-def]
    return Noted(at=AT, who="Ann", event=event, what=what)


def laid(*pieces: tuple[int, str]) -> Build:
    ticks = tuple(noted(Laid(build="P26-1", ply=n, piece=p, films=1)) for n, p in pieces)
    return replace(BUILD, laid=ticks)


NAMES = ["FP26-1", "FP26-2", "FP26-10", "DHL26-1"]


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("FP26-1", ["FP26-1"]),
        ("fp26 10", ["FP26-10"]),
        ("10", ["FP26-10"]),
        ("2", ["FP26-2"]),
        ("1", ["FP26-1", "DHL26-1"]),
        ("fp1", ["FP26-1"]),
        ("d", ["DHL26-1"]),
        ("fp", ["FP26-1", "FP26-2", "FP26-10"]),
        ("x", []),
        ("", []),
        ("-", []),
    ],
)
def test_a_name_by_its_beginning_or_its_number(text: str, meant: list[str]) -> None:
    assert meant_by(text, NAMES) == meant


def test_one_of_several_words() -> None:
    assert one_of("THICK", list(WHATS), "WHAT", "none") == "thickness"
    with pytest.raises(InputError, match='WHAT: "t" – it may be thickness, tap or thermocouples; type one more letter'):
        one_of("t", list(WHATS), "WHAT", "none")
    assert listed(["a"]) == "a"
    assert listed([str(n) for n in range(20)]).endswith("11 … (20 in all)")


def test_pieces_of_which_one_is_there_twice() -> None:
    assert [p for _, p in pieces_called(BUILD, ["2"])] == ["2A", "2B", "2B"]
    assert [p for _, p in pieces_called(laid((2, "2B")), ["2"])] == ["2A", "2B"]
    assert [(p.number, piece) for p, piece in pieces_called(BUILD, ["1", "2:2b", "2A", "ply 2:2B"])] == [
        (1, "1"), (2, "2B"), (2, "2A"), (2, "2B"),
    ]  # fmt: skip
    with pytest.raises(InputError) as error:
        pieces_called(laid((1, "1")), ["1", "7", "2:9"])
    assert [p.came for p in error.value.problems] == ['"1"', '"7"', '"9"']


def test_films_are_counted_over_all_pieces_and_never_shared_out() -> None:
    three = pieces_called(BUILD, ["2"])
    assert films_each(three, 3) == [1, 1, 1]
    assert films_each(three[:1], 0) == [0]
    with pytest.raises(InputError, match="3 films are on these 3 pieces"):
        films_each(three, 2)
    with pytest.raises(InputError, match="--films 3 is planned"):
        films_each(three, -1)
    assert films_to_come(BUILD) == 5
    assert films_to_come(laid((2, "2B"), (1, "1"))) == 2


def test_boxes_are_counted_from_one() -> None:
    step = PLAN.steps[0]
    assert ticked(step, "all") == (0, 1, 2)
    assert ticked(step, "3, 1") == (0, 2)
    assert ticked(step, "") == ()
    with pytest.raises(InputError, match='"0" – this step has boxes 1 to 3'):
        ticked(step, "0")
    with pytest.raises(InputError, match="this step has no boxes to tick"):
        ticked(replace(step, boxes=()), "1")


@pytest.mark.parametrize(
    ("key", "text", "value", "shown"),
    [
        ("thickness", "1.02 mm", 0.00102, "1.02 mm"),
        ("dry-film", "45 µm", 45e-6, "45 µm"),
        ("hole", "-0.4 mm", -0.0004, "−0.40 mm"),
        ("distortion", "1.2 mm", 0.0012, "1.20 mm"),
        ("core", "17 °C", 290.15, "17.0 °C"),
        ("hours", "1.5 h", 5400.0, "1.5 h"),
        ("pinholes", "4", 4.0, "4"),
        ("water-break", "held", 1.0, "passed"),
        ("tap", "No", 0.0, "failed"),
    ],
)
def test_each_measurement_in_its_own_unit(key: str, text: str, value: float, shown: str) -> None:
    assert value_of(key, text) == pytest.approx(value, rel=1e-12)
    assert told(key, value) == shown
    assert key_of(found_of(key)) == key


def test_every_measurement_has_its_word() -> None:
    typed_elsewhere = {Found.MASS, Found.LEAK, Found.CLIMATE}
    assert {found_of(key) for key in WHATS} == set(Found) - typed_elsewhere
    assert value_of("core", "2 K", difference=True) == pytest.approx(2.0)


def test_an_event_is_changed_by_name_with_units() -> None:
    debulk = Debulked(build="P26-1", after=1, seconds=600.0, pressure=4000.0)
    assert changed(debulk, ["pressure=35 mbar", "seconds=12 min"]) == replace(debulk, pressure=3500.0, seconds=720.0)
    finish = Finished(build="P26-1", step="lay", boxes=(0,))
    assert changed(finish, ["boxes=1,3", "note=counted again"]) == replace(finish, boxes=(0, 2), note="counted again")
    mass = Measured(subject="P26-1", found=Found.MASS, value=0.4, stage=MassStage.RAW, sigma=0.001)
    assert changed(mass, ["value=500 g", "stage=trimmed", "sigma=none"]) == replace(
        mass, value=0.5, stage=MassStage.TRIMMED, sigma=None
    )
    leak = Measured(subject="P26-1", found=Found.LEAK, value=1.0, start=2000.0, end=2600.0, seconds=600.0)
    assert changed(leak, ["end=32 mbar"]).value == pytest.approx(2.0)  # type: ignore[union-attr]  # 1200 Pa in 600 s
    with pytest.raises(InputError) as error:
        changed(debulk, ["pressure=35", "vacuum=1", "after=x"])
    assert [p.place for p in error.value.problems] == ["pressure", "NAME=VALUE", "after"]


def test_builds_in_one_oven_are_judged_job_by_job() -> None:
    other = replace(BUILD, name="H26-1", planned=replace(PLAN, job="Hatch"), mould="M-2")
    bagged = replace(BUILD, bagged=(noted(Bagged(build="P26-1", items=("B-1", "T-1"))),), mould="M-1")
    again = replace(bagged, name="P26-2", bagged=(noted(Bagged(build="P26-2", items=("B-2", "T-1"))),), mould="M-3")
    assert [[b.name for b in group] for group in by_job([bagged, other, again])] == [["P26-1", "P26-2"], ["H26-1"]]
    assert bag_items([bagged, again, other]) == ("B-1", "T-1", "B-2")
    assert mould_names([bagged, other, again, BUILD]) == ("M-1", "M-2", "M-3")


def test_cautions_defer_to_those_who_know_better() -> None:
    lines = caution_lines(("isocyanate", "dust", "isocyanate", "radiation"))
    assert lines[0].startswith("Two-pack spray: isocyanates. Asthma for life. ")
    assert lines[1:] == [f"{CAUTIONS['dust'].head} {CAUTIONS['dust'].text}", "Caution: radiation.", DEFERS]
    assert caution_lines(()) == []


@pytest.mark.parametrize(
    ("seconds", "text"), [(0, "0 s"), (49.6, "50 s"), (60, "1 min"), (3599, "1 h"), (12840, "3 h 34")]
)
def test_times_as_people_say_them(seconds: float, text: str) -> None:
    assert span(seconds) == text


def test_what_happened_is_one_sentence() -> None:
    tick = Laid(build="P", ply=3, piece="3B", films=1, kit="K-1")
    assert sentence_of(tick) == "ply 3, piece 3B laid out of K-1, 1 film off"
    assert sentence_of(Closed(build="P", verdict="scrap", why="film in it")) == "closed: scrap – film in it"


def test_a_place_of_the_plan_by_its_short_name() -> None:
    points = tuple(PlannedPoint(place=f"T{k}", thickness=0.001 * k, tolerance=1e-4) for k in range(1, 12))
    plan = replace(PLAN, points=points, holes=(PlannedHole(name="pivot", off=0.001),))
    build = replace(BUILD, planned=plan)
    assert place_called(build, "thickness", "t1") == "T1"
    assert place_called(build, "thickness", "t11  bow") == "T11 bow"
    assert place_called(build, "hole", "piv") == "pivot"
    assert place_called(build, "thickness", "by the drain") == "by the drain"
    assert planned_words(build, "thickness", "T1 bow") == " (planned 1.00 mm ± 0.10 mm)"
    assert planned_words(build, "hole", "pivot") == " (it may be 1.0 mm off)"
    assert planned_words(build, "pinholes", "pivot") == ""
