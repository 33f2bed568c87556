"""Cloth as the pages draw it, and everything that happened to a thing in two languages."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime, timedelta
from types import SimpleNamespace

import pytest

from bagside.findings import Severity
from bagside.ledger.bodies import KINDS, Corrected, Sort, body_data, kind_of
from bagside.ledger.clocks.life import life_of
from bagside.ledger.stock.makeable import Dying, Makeable, PartsOf
from bagside.ledger.things import Cloth
from bagside.spec.workshop import Roll
from bagside.web.pages.freezer.makeable import told as makeable_told
from bagside.web.views.shelf.drawn import cloth_drawn, ending, what_of
from bagside.web.views.shelf.view import ClothLine, shelf
from bagside.web.views.told import told
from bagside.web.words.tongue import Lengths, Tongue
from everykind import bodies
from lifeshop import DAY, at, kit, library, roll, shop, stays

ENGLISH, GERMAN = Tongue(), Tongue(language="de")
LIFE = library(lives=((294.15, 30 * DAY),))


def lines(*cloth: Cloth, days: float = 0.0) -> dict[str, ClothLine]:
    found = shelf(shop(*cloth, told=LIFE), at(days=days))
    return {line.name: line for line in found.cloth}


class TestTheShelf:
    def test_a_roll_in_the_room_has_used_a_third_after_ten_of_thirty_days(self) -> None:
        cloth = roll(been=stays((0.0, "room")), made=at().date())
        line = lines(cloth, days=10.0)["R-1"]
        assert line.out is not None
        assert line.used == pytest.approx(1 / 3, abs=0.01)
        assert line.used == pytest.approx(life_of("R-1", shop(cloth, told=LIFE), at(days=10.0)).out.share)
        html = cloth_drawn([line], at(days=10.0), ENGLISH, longest=50.0)
        width = re.search(r'<i style="width:([0-9.]+)%"', html)
        assert width is not None
        assert float(width[1]) == pytest.approx(100 / 3, abs=1.0)
        assert 'class="bar" style="width:100.00%"' in html

    def test_a_roll_half_as_long_is_drawn_half_as_wide(self) -> None:
        found = lines(roll("R-1"), roll("R-2", length=25.0))
        html = cloth_drawn(list(found.values()), at(), ENGLISH, longest=50.0)
        assert re.findall(r'class="bar" style="width:([0-9.]+)%"', html) == ["100.00", "50.00"]

    def test_what_dies_first_stands_first(self) -> None:
        fresh, old = roll("R-1", been=stays((0.0, "freezer"))), roll("R-2", been=stays((0.0, "room")))
        assert list(lines(fresh, old, days=5.0)) == ["R-2", "R-1"]

    def test_cloth_whose_material_nobody_knows_has_no_clock_and_is_drawn_dashed(self) -> None:
        line = lines(roll("R-9", material="from-a-friend"))["R-9"]
        assert (line.out, line.used, line.severity) == (None, 1.0, Severity.SEEN)
        html = cloth_drawn([line], at(), ENGLISH, longest=50.0)
        assert "bar unknown" in html
        assert "not in the library" in html

    def test_a_kit_is_drawn_piece_by_piece(self) -> None:
        source = roll("R-1")
        own = kit("K-1", ("R-1", 0.0), ("R-1", 0.0), ("R-1", 0.0))
        own = replace(own, pieces=(replace(own.pieces[0], laid_in="HL-1"), *own.pieces[1:]))
        line = lines(source, own)["K-1"]
        assert (line.pieces, line.left) == (3, 2)
        html = cloth_drawn([line], at(), GERMAN, longest=50.0)
        assert html.count('<i class="laid">') == 1
        assert html.count("<i><u") == 2
        assert what_of(line, GERMAN) == "twill-200, Zuschnitt, noch 2 von 3 Stücken"

    def test_a_name_with_a_slash_leads_to_its_own_address(self) -> None:
        """RFC 3986: a slash and a number sign inside a value are written as %2F and %23."""
        html = cloth_drawn([lines(roll("R 7/2#b"))["R 7/2#b"]], at(), ENGLISH, longest=50.0)
        assert 'href="/freezer?name=R%207%2F2%23b"' in html

    def test_a_name_that_holds_markup_stays_text(self) -> None:
        line = lines(roll("R<b>1"))["R<b>1"]
        html = cloth_drawn([line], at(), ENGLISH, longest=50.0)
        assert "R<b>1" not in html
        assert "R&lt;b&gt;1" in html

    def test_the_end_is_told_by_the_day_when_it_is_near(self) -> None:
        line = lines(roll(been=stays((0.0, "room")), made=at().date()), days=25.0)["R-1"]
        said = ending(line, at(days=25.0), ENGLISH)
        assert line.ends is not None
        assert line.ends.when is not None
        assert line.ends.when - at(days=25.0) < timedelta(days=8)
        assert said.startswith("dies ")
        assert "left in the room" not in said

    def test_what_is_used_up_says_so_first(self) -> None:
        line = lines(roll(been=stays((0.0, "room")), made=at().date()), days=40.0)["R-1"]
        assert ending(line, at(days=40.0), GERMAN).startswith("Zeit im Raum verbraucht")
        assert line.severity is Severity.STOP

    def test_an_offcut_is_told_in_one_unit(self) -> None:
        own = Cloth(
            name="O-1", sort=Sort.OFFCUT, material="twill-200", born=at(), last=at(),
            outline=((0.0, 0.0), (0.508, 0.0), (0.508, 0.254), (0.0, 0.254)), stays=stays((0.0, "freezer")),
            life_used=0.0,
        )  # fmt: skip
        line = lines(own)["O-1"]
        assert what_of(line, ENGLISH) == "twill-200, offcut 508 × 254 mm"
        assert what_of(line, Tongue(lengths=Lengths.INCH)) == "twill-200, offcut 20.0 × 10.0 in"


def made(**more: object) -> Makeable:
    cloth = Roll(material="twill-200", length=5.0, price=40.0, name="R-1")
    part = PartsOf(
        job="Hatch lid", fit=2, on_cloth=3, wanted=4, out=7.5 * 3600, done=datetime(2026, 3, 6, 14, 30),
        others=("twill-400",),
    )  # fmt: skip
    values: dict[str, object] = {
        "dying": Dying(cloth=cloth, last=None, why="", left_room=40 * 3600.0), "parts": (part,), "area": 5.0,
        "pieces": 1.2, "unused": 1.25, "length": 3.0, "width": 1.0, "value": 50.0, "enough_life": True, "seconds": 6.0,
        **more,
    }  # fmt: skip
    return Makeable(**values)  # type: ignore[arg-type]


class TestWhatCanStillBeMade:
    def test_parts_in_time_with_what_they_need_and_what_is_left(self) -> None:
        sheet = SimpleNamespace(say=ENGLISH.say, tongue=ENGLISH)
        assert list(makeable_told(made(), sheet)) == [  # type: ignore[arg-type]
            "It gives 2 of 4 Hatch lid in 3.00 m of its length; the last is in the oven on Fri 6 Mar 14:30 when "
            "nothing else is made meanwhile.",
            "The cloth of a part is out of the freezer for 7 h 30; 40 h of out-life are left in the room.",
            "Hatch lid: no room was found for more than 3 of 4.",
            "Those parts need twill-400 besides.",
            "1250 mm (1.250 m²) would expire unused; 6 s of nesting found no better.".replace("1250", "1\u2009250"),
        ]

    def test_nothing_nobody_and_too_long(self) -> None:
        sheet = SimpleNamespace(say=GERMAN.say, tongue=GERMAN)
        dead, lonely = made(area=0.0), made(parts=())
        assert list(makeable_told(dead, sheet)) == ["Daraus lässt sich nichts mehr machen."]  # type: ignore[arg-type]
        assert "Kein offener Auftrag will noch twill-200" in makeable_told(lonely, sheet)[0]  # type: ignore[arg-type]
        slow = replace(made().parts[0], fit=0, on_cloth=0, done=None, out=60 * 3600.0)
        said = makeable_told(made(parts=(slow,)), sheet)  # type: ignore[arg-type]
        assert said[0] == "Kein ganzes Teil lässt sich daraus machen: versucht wurden Hatch lid."
        assert "länger als es lebt" in said[1]


class TestHistory:
    def test_every_kind_of_event_is_told_in_both_languages(self) -> None:
        """One body of each kind: no kind may fall through, and no place of a text may stay empty."""
        given = list(bodies())
        kinds = {kind_of(b) for b in given}
        assert kinds | {"corrected"} == set(KINDS)
        for tongue in (ENGLISH, GERMAN):
            for body in given:
                said = told(body, tongue, "nobody")
                assert said.strip(), kind_of(body)
                assert not {"{", "None"} & set(re.findall(r"\{|None", said)), (kind_of(body), said)

    def test_a_correction_tells_what_it_was(self) -> None:
        counted = next(b for b in bodies() if kind_of(b) == "counted")
        body = Corrected(corrects="a" * 32, subjects=("R-1",), kind="counted", data=body_data(counted), why="misread")
        assert told(body, ENGLISH) == f"aaaaaaaa was wrong; it was: {told(counted, ENGLISH)} – misread"
        assert told(replace(body, kind="", data={}), GERMAN) == "aaaaaaaa ist nie geschehen – misread"
