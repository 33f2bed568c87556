"""What planning may lay: what is left, how old it is now, and what is left out."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from bagside.findings import Severity
from bagside.ledger.bodies import Sort
from bagside.ledger.shop import Shop
from bagside.ledger.stock.shelves import on_shelf, rolls_and_offcuts
from bagside.ledger.things import Cloth, Length, Place, Stay, Thing
from bagside.ledger.words import natural
from bagside.planning.shelf import shelf
from bagside.spec.library import Library, generic_library
from bagside.spec.reading import stated_from
from bagside.spec.workshop import Workshop
from domeshop import WORKSHOP

NOW = datetime(2026, 11, 26, 12, tzinfo=UTC)
AGO = NOW - timedelta(days=20)
SQUARE = ((0.0, 0.0), (0.4, 0.0), (0.4, 0.4), (0.0, 0.4))
FREEZER = Place(name="freezer", born=AGO, last=AGO, temperature=255.15)


@pytest.fixture(scope="module")
def library() -> Library:
    return generic_library()


def shop(library: Library, *things: Thing) -> Shop:
    import tomllib

    workshop = stated_from(tomllib.loads(WORKSHOP), Workshop, "workshop.toml")
    return Shop(things={t.name: t for t in (FREEZER, *things)}, library=library, workshop=workshop)


def roll(name: str = "K-1", **changes: object) -> Cloth:
    made = Cloth(
        name=name, sort=Sort.ROLL, material="twill-200", born=AGO, last=AGO, length=10.0, width=1.25, price=46.0,
        life_used=72 * 3600.0, batch="B-1", stays=(Stay(place="freezer", since=NOW),),
    )  # fmt: skip
    return replace(made, **changes)  # type: ignore[arg-type]


def offcut(name: str = "O-1", **changes: object) -> Cloth:
    made = Cloth(
        name=name, sort=Sort.OFFCUT, material="twill-200", born=AGO, last=AGO, outline=SQUARE, comes_from="K-0",
        life_used=36 * 3600.0, stays=(Stay(place="freezer", since=NOW),),
    )  # fmt: skip
    return replace(made, **changes)  # type: ignore[arg-type]


def pulled(length: float, at: datetime = AGO) -> Length:
    return Length(length=length, job="Lid", at=at, event="0" * 32, pieces=0.0, kept=0.0)


def test_a_roll_stands_with_what_is_left_and_its_life_now(library: Library) -> None:
    """By hand: 72 h of the 720 h that its sheet gives are a tenth; 10 m less 3 m are 7 m."""
    here = shop(library, roll(pulled=(pulled(3.0),)))
    rolls, stock = rolls_and_offcuts(here, NOW)
    (one,) = rolls
    assert (one.called, one.batch, one.price, one.width) == ("K-1", "B-1", 46.0, 1.25)
    assert one.life_used == pytest.approx(72 * 3600.0, abs=0.005 * 720 * 3600)
    assert one.life_used >= 72 * 3600.0 - 1e-6
    assert [(t.roll, t.length) for t in stock.taken] == [("K-1", pytest.approx(3.0))]
    left = shelf("twill-200", replace(here.workshop, stock=rolls), stock, library, NOW.date())
    assert [r.length for r in left.rolls] == [pytest.approx(7.0)]


def test_a_count_replaces_what_was_reckoned_and_keeps_what_was_cut(library: Library) -> None:
    counted = NOW - timedelta(days=3)
    one = roll(length=5.0, counted=counted, pulled=(pulled(3.0), pulled(1.0, NOW - timedelta(days=1))), counted_pulls=1)
    assert one.left == pytest.approx(4.0)
    rolls, stock = rolls_and_offcuts(shop(library, one), NOW)
    assert rolls[0].length - sum(t.length for t in stock.taken) == pytest.approx(4.0)
    assert rolls[0].length >= 4.0 + 3.0 + 1.0 - 1e-9  # a layout that was cut from it still fits


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"use_by": date(2026, 11, 25)}, "its last day was 2026-11-25"),
        ({"life_used": 721 * 3600.0}, "its out-life is used up"),
        ({"life_used": None, "made": None}, "nobody knows how long it was out"),  # the safe side
    ],
)
def test_dead_cloth_is_left_out_and_told(library: Library, changes: dict[str, object], why: str) -> None:
    for cloth in (roll(**changes), offcut(**changes)):
        found = on_shelf(shop(library, cloth), NOW)
        assert found.rolls == ()
        assert found.stock.there == ()
        (told,) = found.findings()
        assert told.what.startswith(f"it is not used: {why}")
        assert cloth.name in told.place
        assert found.findings(["twill-400"]) == ()


def test_what_may_be_used_until_today_is_used(library: Library) -> None:
    found = on_shelf(shop(library, roll(use_by=NOW.date(), life_used=0.0, made=None)), NOW)
    assert [r.called for r in found.rolls] == ["K-1"]


def test_what_is_gone_is_left_out_unless_a_layout_was_cut_from_it(library: Library) -> None:
    gone = {"gone": NOW - timedelta(days=1), "why": "cut"}
    here = shop(library, offcut(**gone), roll(pulled=(pulled(4.0),), **gone))
    assert on_shelf(here, NOW).rolls == ()
    assert on_shelf(here, NOW).stock.offcuts == ()
    known = on_shelf(here, NOW, {"O-1", "K-1", "K-99"})
    assert [o.name for o in known.stock.offcuts] == ["O-1"]
    assert known.stock.there == ()
    assert [(r.called, r.length) for r in known.rolls] == [("K-1", 10.0)]
    assert sum(t.length for t in known.stock.taken) == pytest.approx(10.0)
    assert known.findings() == ()


def test_a_childs_offcut_is_as_old_as_its_roll_and_says_where_it_is_from(library: Library) -> None:
    child = offcut(parent="K-1", comes_from="", life_used=None, born=NOW, birth="1" * 32, stays=())
    parent = roll(pulled=(Length(length=1.0, job="", at=NOW, event="1" * 32, pieces=0.0, kept=0.16),))
    rolls, stock = rolls_and_offcuts(shop(library, parent, child), NOW)
    (one,) = stock.there
    assert one.roll == "K-1"
    assert one.life_used == pytest.approx(rolls[0].life_used)
    assert one.made == NOW.date()


def test_the_same_hour_gives_the_same_shelf(library: Library) -> None:
    """A plan does not change because time passes in the freezer: 12 h there are 0.14 % of a year."""
    here = shop(library, roll(life_used=73 * 3600.0), offcut(life_used=37 * 3600.0))
    assert rolls_and_offcuts(here, NOW) == rolls_and_offcuts(here, NOW + timedelta(minutes=50))


def test_a_roll_of_unknown_price_costs_what_others_do_and_says_so(library: Library) -> None:
    """Free cloth would win against every offcut."""
    here = shop(library, roll("K-1", price=None), roll("K-2", price=51.0))
    found = on_shelf(here, NOW)
    assert [r.price for r in found.rolls] == [51.0, 51.0]
    (said,) = found.findings(["twill-200"])
    assert (said.place, said.severity) == ("roll K-1", Severity.SEEN)
    alone = on_shelf(shop(library, roll("K-1", price=None)), NOW)
    assert [f.severity for f in alone.findings()] == [Severity.WATCH]


def test_names_come_in_the_order_of_their_numbers(library: Library) -> None:
    assert sorted(["O-10", "O-9", "A", "O-1"], key=natural) == ["A", "O-1", "O-9", "O-10"]
    found = on_shelf(shop(library, roll("K-10"), roll("K-9"), offcut("O-2")), NOW)
    assert [r.called for r in found.rolls] == ["K-9", "K-10"]


def test_other_materials_and_kits_are_passed_over(library: Library) -> None:
    here = shop(library, roll(material="gone-100"), roll("KIT", sort=Sort.KIT, length=0.0))
    assert on_shelf(here, NOW).rolls == ()
