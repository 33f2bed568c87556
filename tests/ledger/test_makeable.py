"""What can be made before cloth dies: real nests on that cloth alone, against what fits by hand; hours by the calendar.

One plate of the tape shop wants two sheets of 400 × 300 mm and a patch of 120 × 80 mm at 45°. Of a roll of 1250 mm with
10 mm kept at its edges and 5 mm between pieces, four sheets fill the width (4 × 300 + 3 × 5 = 1215 of 1230 mm) and
leave no room for a patch beside them; two sheets leave 615 mm.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from bagside.ledger.stock.makeable import Dying, Makeable, makeable, makeable_in_turn
from bagside.ledger.stock.makeable_words import in_sentences
from bagside.ledger.stock.making import OpenPart, made_by, open_part, whole_parts
from bagside.planning.stages import Stages
from bagside.spec.opening import Opened, open_job
from bagside.spec.stock import Offcut
from bagside.spec.workshop import Roll
from tapeshop import written_in

NOW = datetime(2026, 11, 30, 8, 0)  # a Monday
PART = 2 * 0.4 * 0.3 + 0.12 * 0.08
LONG = 1e9


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Opened:
    return open_job(written_in(tmp_path_factory.mktemp("job")))


@pytest.fixture(scope="module")
def part(opened: Opened) -> OpenPart:
    return open_part(opened, Stages(), 2)


def roll(length: float, name: str = "K-1", **changes: object) -> Roll:
    made = Roll(material="twill-200", length=length, price=50.0, name=name)
    return replace(made, **changes)  # type: ignore[arg-type]


def offcut(along: float, across: float) -> Offcut:
    outline = ((0.0, 0.0), (along, 0.0), (along, across), (0.0, across))
    return Offcut(name="O-1", material="twill-200", outline=outline, price=50.0)


def asked(
    cloth: Roll | Offcut, opened: Opened, part: OpenPart, *, last: date | None = None, left: float = LONG
) -> Makeable:
    dying = Dying(cloth=cloth, last=last, why="the last day that its maker allows", left_room=left)
    return makeable(dying, opened, [part], NOW, seconds=2.0)


@pytest.mark.parametrize(("length", "count"), [(0.30, 0), (0.45, 1), (0.62, 2), (5.0, 2)])
def test_so_many_whole_parts_go_on_a_roll(opened: Opened, part: OpenPart, length: float, count: int) -> None:
    found = asked(roll(length), opened, part)
    assert found.count == count
    assert found.area == pytest.approx(1.25 * length)
    assert found.pieces == pytest.approx(count * PART)
    assert found.length is not None
    assert found.length <= length + 1e-9
    assert found.length * 1.25 + found.unused == pytest.approx(found.area)
    assert found.value == pytest.approx(50.0 * found.unused)


@pytest.mark.parametrize(("across", "count"), [(0.34, 0), (0.80, 1)])
def test_so_many_whole_parts_go_on_an_offcut(opened: Opened, part: OpenPart, across: float, count: int) -> None:
    found = asked(offcut(0.45, across), opened, part)
    assert found.count == count
    assert found.pieces + found.unused == pytest.approx(0.45 * across)


def test_cloth_whose_life_has_run_out_makes_nothing(opened: Opened, part: OpenPart) -> None:
    dead = replace(offcut(2.0, 1.0), life_used=opened.library.prepreg["twill-200"].out_life)
    found = asked(dead, opened, part, left=0.0)
    assert found.count == 0
    assert in_sentences(found, "EUR")[-1] == "Nothing can be made of it any more."


def test_parts_that_are_not_in_the_oven_in_time_are_not_counted(opened: Opened, part: OpenPart) -> None:
    course = made_by(part, 2, opened.workshop, NOW, "twill-200")
    first, second = (at.date() for at in course.into_oven)
    assert first < second  # one mould
    assert asked(roll(5.0), opened, part, last=second).count == 2
    late = asked(roll(5.0), opened, part, last=first)
    assert late.count == 1
    told = " ".join(in_sentences(late, "EUR"))
    assert f"Plate: 1 more would fit, but not be in the oven by {first.isoformat()}." in told
    assert asked(roll(5.0), opened, part, last=NOW.date() - timedelta(days=1)).count == 0


def test_parts_whose_cloth_would_be_out_too_long_are_not_counted(opened: Opened, part: OpenPart) -> None:
    out = made_by(part, 2, opened.workshop, NOW, "twill-200").out
    assert asked(roll(5.0), opened, part, left=out + 1.0).count == 2
    short = asked(roll(5.0), opened, part, left=out - 1.0)
    assert (short.count, short.enough_life) == (0, False)
    assert "its cloth would be out of the freezer for" in " ".join(in_sentences(short, "EUR"))
    assert short.unused == pytest.approx(short.area)


def test_the_hours_are_those_of_the_work(opened: Opened, part: OpenPart) -> None:
    """The times of the shop: sealed thaw twice, cutting, laying, debulks, the bag; never less than their sum."""
    course = made_by(part, 1, opened.workshop, NOW, "twill-200")
    debulks = sum(part.debulk + 60.0 * d.minutes for d in part.debulks)
    least = 2 * part.thaw + part.cut + sum(part.plies) + debulks + part.bag + part.leak + part.vacuum
    assert course.out >= least
    assert course.into_oven[0] >= NOW + timedelta(seconds=least - part.vacuum)
    hours = opened.workshop.hours
    assert all(hours.begins <= at.time() <= hours.ends for at in course.into_oven)
    two = made_by(part, 2, opened.workshop, NOW, "twill-200").into_oven
    assert two[1] - two[0] >= timedelta(seconds=part.vacuum + part.cure)  # it is on the mould until it is pulled


def test_a_part_is_all_its_pieces_in_a_kit_of_its_own(part: OpenPart) -> None:
    assert part.area("twill-200") == pytest.approx(PART)
    assert part.others("twill-200") == ()
    assert {p.label: p.kits for p in whole_parts(part, 3)} == {
        "1": ("1", "2", "3"), "2": ("1", "2", "3"), "3": ("1", "2", "3"),
    }  # fmt: skip


def test_what_one_cloth_gives_is_not_made_of_the_next_again(opened: Opened, part: OpenPart) -> None:
    dying = [
        Dying(cloth=roll(0.45, name), last=None, why="", left_room=LONG) for name in ("K-1", "K-2", "K-3")
    ]
    found = makeable_in_turn(dying, opened, [part], {}, NOW, seconds=2.0)
    assert [m.count for m in found] == [1, 1, 0]
    assert in_sentences(found[2], "EUR")[-1].startswith("No open job still wants twill-200; all 0.45")
    cut = makeable_in_turn(dying[:1], opened, [part], {("Plate", "twill-200"): 2}, NOW, seconds=2.0)
    assert cut[0].count == 0


def test_the_answer_is_said_in_sentences(opened: Opened, part: OpenPart) -> None:
    last = date(2026, 12, 20)
    told = [line.replace("\u2009", " ") for line in in_sentences(asked(roll(5.0), opened, part, last=last), "EUR")]
    assert told[0] == (
        "Roll K-1 (twill-200, 5.00 m, 6.25 m²) ends on 2026-12-20: the last day that its maker allows."
    )
    assert told[1].startswith("It gives 2 of 2 Plate: 0.50 m² of pieces in 0.")
    assert "would expire unused" in told[-1]
    assert "EUR at what it cost" in told[-1]
    assert "has no end in sight" in in_sentences(asked(roll(5.0), opened, part), "EUR")[0]


def test_a_roll_without_a_price_has_no_value(opened: Opened, part: OpenPart) -> None:
    assert asked(roll(5.0, price=0.0), opened, part).value is None
