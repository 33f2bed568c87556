"""``bagside stock`` from the command line: what a person types, what is kept, and what is refused in one sentence."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from bagside.cli.app import outcome
from bagside.ledger.bodies import Cut, Moved, Received
from bagside.ledger.things import Cloth, Goods
from bagside.records.database import Ledger
from bagside.records.with_stock import kept_here
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.workshop import Workshop
from stockdesk import Desk
from tapeshop import written_in

NOW = datetime.now().astimezone()
PUT_AWAY = (NOW - timedelta(days=10)).date()
STOCK = f"""
[[offcuts]]
name = "O-1"
material = "twill-200"
roll = "twill-200"
batch = "B-7"
life_used = "100 h"
made = {PUT_AWAY.isoformat()}
outline = ["0 0 mm", "450 0 mm", "450 340 mm", "0 340 mm"]
"""


@pytest.fixture
def desk(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Desk:
    monkeypatch.setenv("BAGSIDE_WHO", "Ines")
    folder = written_in(tmp_path).parents[2]
    (folder / "stock.toml").write_text(STOCK, encoding="utf-8")
    return Desk(folder, capsys)


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop whose records were begun, to be copied."""
    folder = written_in(tmp_path_factory.mktemp("once")).parents[2]
    (folder / "stock.toml").write_text(STOCK, encoding="utf-8")
    assert outcome(["stock", "begin", "--workshop", str(folder), "--who", "Ines"]) == 0
    return folder


@pytest.fixture
def begun(desk: Desk, once: Path) -> Desk:
    shutil.rmtree(desk.folder)
    shutil.copytree(once, desk.folder)
    desk.capsys.readouterr()
    return desk


def names(desk: Desk) -> dict[str, Any]:
    with Ledger.opened(desk.folder) as ledger:
        return dict(ledger.things(there=None))


def test_nothing_is_listed_before_records_are_begun(desk: Desk) -> None:
    assert "this workshop has no records yet" in desk.refusal("stock", "list")
    assert not (desk.folder / "records.sqlite").exists()


def test_beginning_takes_over_once_and_leaves_the_files(desk: Desk) -> None:
    before = {p.name: p.read_bytes() for p in desk.folder.glob("*.toml")}
    found = desk.answer("stock", "begin")
    assert found["taken_over"] == {"place": 2, "offcut": 1, "roll": 1, "cuts": 0}
    assert desk.answer("stock", "begin")["taken_over"]["cuts"] == 0
    assert "Nothing new" in desk.says("stock", "begin")
    assert {p.name: p.read_bytes() for p in desk.folder.glob("*.toml")} == before
    assert set(names(desk)) == {"freezer", "room", "O-1", "twill-200"}


def test_files_that_contradict_themselves_begin_nothing(desk: Desk) -> None:
    file = desk.folder / "stock.toml"
    file.write_text(STOCK + '[[taken]]\nroll = "twill-200"\nlength = "11 m"\n', encoding="utf-8")
    assert "more is taken from roll twill-200 than the 10.00 m it had" in desk.refusal("stock", "begin").replace(
        "\u2009", " "
    )
    assert not (desk.folder / "records.sqlite").exists()


def test_an_outline_that_crosses_itself_begins_nothing(desk: Desk) -> None:
    crossed = '["0 0 mm", "450 340 mm", "450 0 mm", "0 340 mm"]'
    file = desk.folder / "stock.toml"
    file.write_text(STOCK.replace('["0 0 mm", "450 0 mm", "450 340 mm", "0 340 mm"]', crossed), encoding="utf-8")
    assert "stock.toml, offcut O-1, outline – its edges cross each other" in desk.refusal("stock", "begin")
    assert not (desk.folder / "records.sqlite").exists()


def test_records_in_which_nothing_happened_change_nothing(desk: Desk) -> None:
    Ledger.opened(desk.folder).close()
    workshop = stated_from(load_toml(desk.folder / "workshop.toml"), Workshop, "workshop.toml")
    assert not kept_here(desk.folder, workshop)
    desk.answer("stock", "begin")
    assert kept_here(desk.folder, workshop)


def test_labels_of_offcuts_are_printed_again(begun: Desk, tmp_path: Path) -> None:
    begun.answer("stock", "label", "O-1", "--out", tmp_path / "labels")
    page = pypdfium2.PdfDocument(tmp_path / "labels" / "labels.pdf")[0].get_textpage().get_text_range()
    assert "O-1" in page
    assert "B-7" in page
    assert "there is no offcut of this name" in begun.refusal("stock", "label", "twill-200", "--out", tmp_path)
    assert "a folder for labels.pdf is wanted" in begun.refusal("stock", "label", "O-1")


def test_a_roll_comes_and_goes_and_its_clock_runs(begun: Desk) -> None:
    """By hand: 30 days of out-life at 21 °C; stated as out for 72 h of them, so a tenth is used."""
    begun.answer(
        "stock", "receive", "roll", "K-1", "--material", "twill-200", "--length", "25 m", "--life-used", "72 h",
        "--price", "46 EUR/m²", "--batch", "B-1",
    )  # fmt: skip
    life = begun.answer("stock", "show", "K-1")["life"]
    assert life["out"]["used_percent"] == pytest.approx(10.0, abs=0.01)
    assert life["out"]["used_h"] == pytest.approx(72.0, abs=0.1)
    roll = names(begun)["K-1"]
    assert isinstance(roll, Cloth)
    assert roll.width == pytest.approx(1.25)  # the sheet's, as none was stated
    assert [s.place for s in roll.stays] == ["freezer"]
    (event,) = begun.answer("stock", "move", "K-1", "--to", "room")["kept"]
    assert event["body"] == {"things": ["K-1"], "to": "room"}
    (back,) = begun.answer("stock", "move", "k1", "--to", "freezer", "--temperature", "-20 °C")["kept"]
    assert back["body"]["sealed"] is True
    assert back["body"]["temperature"] == pytest.approx(253.15)


NOT_RECEIVED: list[tuple[list[str], str]] = [
    (["roll", "K-1", "--material", "twil-200", "--length", "25 m"], 'did you mean "twill-200"?'),
    (["roll", "K-1", "--material", "twill-200", "--length", "25"], '"25" has no unit'),
    (["roll", "K-1", "--material", "twill-200"], "how long is it?"),
    (["roll", "K-1", "--material", "twill-200", "--length", "-3 m"], "more than nothing is wanted"),
    (["roll", "K-1", "--length", "3 m"], "the name of its prepreg in the library is wanted"),
    (["roll", "K-1", "--material", "twill-200", "--length", "25 m", "--price", "46 USD/m²"], "counts in EUR"),
    (["roll", "K-1", "--material", "twill-200", "--length", "25 m", "--use-by", "2027-13-01"], "a day is wanted"),
    (["roll", "K-1", "--material", "twill-200", "--length", "25 m", "--place", "attic"], "there is no place"),
    (["roll", "O-1", "--material", "twill-200", "--length", "25 m"], "an offcut has had this name"),
    (["offcut", "O-9", "--material", "twill-200", "--outline", "0 0; 1 1; 1 0; 0 1 m"], "its edges cross"),
    (["offcut", "O-9", "--material", "twill-200", "--outline", "0 0; 1 1; 1 0; 0 1"], "one unit at the end"),
    (["offcut", "O-9", "--material", "twill-200", "--outline", "card.dxf"], "bagside keep FILE reads drawings"),
    (["kit", "X-1"], "a kit is not received, it is cut"),
    (["gadget", "X-1"], "one of roll, kit, offcut"),
    (["place", "fridge"], "how warm is it there"),
    (["consumable", "B-1", "--use", "bagg"], 'did you mean "bag"?'),
    (["consumable", "B-1", "--count", "many"], "a whole number is wanted"),
]


def test_what_cannot_be_received_is_one_sentence_and_nothing_is_kept(begun: Desk) -> None:
    before = names(begun)
    for words, told in NOT_RECEIVED:
        assert told in begun.refusal("stock", "receive", *words), words
    assert names(begun) == before


def test_an_offcut_is_no_larger_than_what_it_came_from_and_as_old(begun: Desk) -> None:
    def receive(name: str, outline: str, source: str, *more: str) -> tuple[str, ...]:
        return (
            "stock", "receive", "offcut", name, "--material", "twill-200", "--outline", outline, "--from", source, *more
        )  # fmt: skip

    told = {
        "it came from O-1, which had 0.153 m²": receive("O-9", "0 0; 1 0; 1 1; 0 1 m", "O-1"),
        "roll twill-200 had 12.50 m² in all": receive("O-9", "0 0; 20 0; 20 1; 0 1 m", "twill-200"),
        "its cloth is 1 250 mm wide": receive("O-9", "0 0; 1 0; 1 1.4; 0 1.4 m", "twill-200"),
        "20 000": receive("O-9", "0 0; 20 0; 20 20; 0 20 m", "nobody-knows", "--life-used", "1 h"),
    }
    before = names(begun)
    for sentence, words in told.items():
        assert sentence in begun.refusal(*words).replace("\u2009", " ")
    assert names(begun) == before
    begun.answer(*receive("O-9", "0 0; 200 0; 200 200; 0 200 mm", "O-1"))
    begun.answer(*receive("O-8", "0 0; 200 0; 200 200; 0 200 mm", "O-1", "--life-used", "200 h", "--batch", "B-8"))
    parent, same, stated = (begun.answer("stock", "show", n) for n in ("O-1", "O-9", "O-8"))
    assert same["life"]["out"]["used_h"] == pytest.approx(parent["life"]["out"]["used_h"], abs=0.02)
    assert stated["life"]["out"]["used_h"] == pytest.approx(200.0, abs=0.1)
    assert (same["thing"]["batch"], stated["thing"]["batch"]) == ("B-7", "B-8")
    assert same["comes_from"] == ["O-1", "twill-200"]


def test_a_clock_that_jumps_back_is_told_and_a_late_word_is_kept(begun: Desk) -> None:
    begun.answer("stock", "move", "O-1", "--to", "room")
    yesterday = (datetime.now().astimezone() - timedelta(days=1)).isoformat(timespec="minutes")
    told = begun.refusal("stock", "move", "O-1", "--to", "freezer", "--at", yesterday)
    assert "its clock has jumped back, or this is written down late" in told
    begun.answer("stock", "move", "O-1", "--to", "freezer", "--at", yesterday, "--late")
    cloth = names(begun)["O-1"]
    assert isinstance(cloth, Cloth)
    assert [s.place for s in cloth.stays] == ["freezer", "freezer", "room"]
    future = (datetime.now().astimezone() + timedelta(days=1)).isoformat(timespec="minutes")
    assert "it has not happened yet" in begun.refusal("stock", "move", "O-1", "--to", "room", "--at", future)
    assert "a time is wanted" in begun.refusal("stock", "move", "O-1", "--to", "room", "--at", "noon")
    assert "the name of a place is wanted" in begun.refusal("stock", "move", "O-1")
    assert "there is no thing of this name" in begun.refusal("stock", "move", "O-7", "--to", "room")


def test_goods_are_spent_counted_and_gone(begun: Desk) -> None:
    begun.answer("stock", "receive", "consumable", "B-1", "--use", "bag", "--count", "10", "--cures", "1")
    assert begun.answer("stock", "spend", "B-1", "--count", "3")["left"]["count"] == 7
    assert "there is only 7 of B-1" in begun.refusal("stock", "spend", "B-1", "--count", "8")
    assert begun.answer("stock", "count", "B-1", "--count", "6", "--why", "one torn")["reckoned"]["count"] == 7
    goods = names(begun)["B-1"]
    assert isinstance(goods, Goods)
    assert (goods.count, goods.there) == (6, True)
    assert "say why" in begun.refusal("stock", "discard", "B-1")
    assert "safety data sheets" in begun.says("stock", "discard", "B-1", "--why", "torn")
    assert "it is gone since" in begun.refusal("stock", "discard", "B-1", "--why", "again")
    assert "has no unit" in begun.refusal("stock", "spend", "B-1", "--mass", "20")


def test_a_bag_is_not_opened_cold(begun: Desk) -> None:
    """Condensation: 19 °C at 65 % has its dew point near 12 °C; a core straight from the freezer is far below."""
    shut = begun.answer("stock", "open", "O-1", code=1)
    assert shut["kept"] == []
    (told,) = shut["findings"]
    assert (told["severity"], "it lies in the cold" in told["what"]) == ("stop", True)
    assert "it lies in the cold" in begun.says("stock", "open", "O-1", "--core", "19 °C", code=1)
    begun.answer("stock", "move", "O-1", "--to", "room")
    assert "its core is at about" in begun.says("stock", "open", "O-1", "--ask", code=1)
    assert "the bag is wet outside" in begun.says("stock", "open", "O-1", "--core", "19 °C", "--wet", code=1)
    assert "say why" in begun.refusal("stock", "open", "O-1", "--anyway")
    low = begun.says("stock", "open", "O-1", "--core", "12 °C", "--room", "20 °C", "--humidity", "60 %", code=1)
    assert "its core was measured at 12.0 °C" in low.replace("\u2009", " ")
    (event,) = begun.answer("stock", "open", "O-1", "--core", "8 °C", "--anyway", "--why", "the bag was torn")["kept"]
    assert event["body"]["why"] == "the bag was torn"
    (event,) = begun.answer("stock", "open", "O-1", "--core", "16 °C", "--room", "20 °C", "--humidity", "60 %")["kept"]
    assert "why" not in event["body"]


@pytest.mark.published("ISO 8502-4: 3 K above the dew point; 12.0 °C for air of 20 °C and 60 % (Magnus, by hand)")
@pytest.mark.parametrize(("core", "code"), [("14.9 °C", 1), ("15.1 °C", 0)])
def test_a_measured_core_is_held_against_three_kelvin_above_the_dew_point(begun: Desk, core: str, code: int) -> None:
    begun.answer("stock", "move", "O-1", "--to", "room")
    begun.answer("stock", "open", "O-1", "--core", core, "--room", "20 °C", "--humidity", "60 %", code=code)


def test_a_correction_shows_before_and_after_and_can_void(begun: Desk) -> None:
    event = begun.answer("stock", "show", "twill-200")["history"][0]["id"]
    told = begun.says("stock", "correct", event[:8], "length=8 m", "--why", "measured again").replace("\u2009", " ")
    assert "It was: received roll twill-200 of twill-200, 10.00 m" in told
    assert "It is: received roll twill-200 of twill-200, 8.00 m" in told
    roll = names(begun)["twill-200"]
    assert isinstance(roll, Cloth)
    assert roll.left == pytest.approx(8.0)
    assert "Changed: length 10.00 m → 8.00 m" in told
    dearer = begun.says("stock", "correct", event[:8], "price=61 EUR/m²", "--why", "the bill says so")
    assert "Changed: price 50.0 → 61.0" in dearer
    assert "has no unit" in begun.refusal("stock", "correct", event[:8], "price=61", "--why", "x")
    assert "counts in EUR" in begun.refusal("stock", "correct", event[:8], "price=61 USD/m²", "--why", "x")
    assert "one of resin-rich or dry" in begun.refusal("stock", "correct", event[:8], "up=sideways", "--why", "x")
    assert "has no unit" in begun.refusal("stock", "correct", event[:8], "length=8", "--why", "x")
    assert 'did you mean "length"?' in begun.refusal("stock", "correct", event[:8], "lenght=8 m", "--why", "x")
    assert "say what is different" in begun.refusal("stock", "correct", event[:8], "--why", "x")
    assert "there is no event of this id" in begun.refusal("stock", "correct", "abcdef12", "--void", "--why", "x")
    begun.answer("stock", "correct", event[:8], "--void", "--why", "it never came")
    assert "there is no thing of this name" in begun.refusal("stock", "show", "twill-200")


def test_a_freezer_log_counts_for_what_lay_there(begun: Desk, tmp_path: Path) -> None:
    """A freezer that was off: six days at 21 °C are six of the thirty days of out-life."""
    before = begun.answer("stock", "show", "O-1")["life"]["out"]["used_h"]
    log = tmp_path / "freezer.csv"
    begin = datetime.combine(PUT_AWAY, time(12), tzinfo=UTC) + timedelta(days=1)
    rows = [f"{begin + timedelta(hours=k):%Y-%m-%d %H:%M},21.0" for k in range(6 * 24 + 1)]
    log.write_text("time,temp\n" + "\n".join(rows) + "\n", encoding="utf-8")
    options = ["--column", "temp=air", "--zone", "+00:00"]
    assert "the unit of this temperature is not told" in begun.refusal("stock", "freezer", log, *options)
    found = begun.answer("stock", "freezer", log, *options, "--unit", "°C")
    assert found["log"]["readings"] == 145
    assert found["log"]["mean_kinetic_c"] == pytest.approx(21.0, abs=0.01)
    after = begun.answer("stock", "show", "O-1")["life"]["out"]["used_h"]
    cold = 6 * 24 * (30 / 365)  # what six days in the freezer had been counted as: its sheet gives a year there
    assert after - before == pytest.approx(6 * 24 - cold, rel=0.01)
    digest = found["log"]["file"]
    assert (begun.folder / "records-files" / digest[:2] / digest).read_bytes() == log.read_bytes()
    assert "is in the records of freezer already" in begun.refusal("stock", "freezer", log, *options, "--unit", "°C")
    assert "there is no such file" in begun.refusal("stock", "freezer", tmp_path / "none.csv")
    assert "a zone is wanted" in begun.refusal("stock", "freezer", log, "--unit", "°C", "--zone", "Kiel")


def test_a_log_whose_clock_jumps_back_is_asked_about_and_nothing_is_kept(begun: Desk, tmp_path: Path) -> None:
    log = tmp_path / "back.csv"
    hours = [*range(30), *range(10, 40)]
    begin = datetime.combine(PUT_AWAY, time(12))
    rows = [f"{begin + timedelta(hours=k):%Y-%m-%d %H:%M},-18.5" for k in hours]
    log.write_text("time,temp\n" + "\n".join(rows) + "\n", encoding="utf-8")
    before = names(begun)
    assert "the clock was set back" in begun.refusal("stock", "freezer", log, "--column", "temp=air", "--unit", "°C")
    assert names(begun) == before


def test_moulds_are_released_repaired_and_tested(begun: Desk) -> None:
    begun.answer("stock", "receive", "mould", "M-1", "--material", "carbon-epoxy", "--coats-last", "5")
    begun.answer("stock", "mould", "release", "M-1", "--agent", "wax", "--coats", "4")
    begun.answer("stock", "mould", "repair", "m1", "--what", "chip filled", "--where", "flange")
    test = begun.answer("stock", "mould", "test", "M-1", "--start", "18 mbar", "--end", "22 mbar", "--time", "10 min")
    assert test["rise_mbar_per_min"] == pytest.approx(0.4)
    told = begun.says("stock", "mould", "show", "M-1")
    assert "0 pulls of 5, 5 left" in told
    assert "wax, 4 coats" in told
    assert "chip filled" in told
    assert "say which agent" in begun.refusal("stock", "mould", "release", "M-1")
    assert "one coat or more" in begun.refusal("stock", "mould", "release", "M-1", "--agent", "wax", "--coats", "0")
    assert "there is no mould of this name" in begun.refusal("stock", "mould", "repair", "O-1", "--what", "x")
    missing = begun.refusal("stock", "mould", "test", "M-1", "--start", "18 mbar")
    assert "--end" in missing
    assert "--time" in missing
    low = begun.refusal("stock", "mould", "test", "M-1", "--start", "-5 mbar", "--end", "2 mbar", "--time", "10 min")
    assert "an absolute pressure cannot be negative" in low


def test_a_place_is_made_known_read_and_shown(begun: Desk) -> None:
    begun.answer("stock", "place", "attic", "--temperature", "25 °C")
    (event,) = begun.answer("stock", "place", "attic", "--temperature", "27 °C", "--humidity", "40 %")["kept"]
    assert event["kind"] == "measured"
    assert "how warm is it there?" in begun.refusal("stock", "place", "cellar")
    assert "from 0 % to 100 %" in begun.refusal(
        "stock", "place", "attic", "--temperature", "27 °C", "--humidity", "140 %"
    )
    assert "attic, place" in begun.says("stock", "place", "attic")


def test_the_list_has_what_ends_first_at_the_top(begun: Desk) -> None:
    soon = (NOW + timedelta(days=9)).date().isoformat()
    for name, day in (("K-2", "2099-01-01"), ("K-3", soon)):
        begun.answer(
            "stock", "receive", "roll", name, "--material", "twill-200", "--length", "5 m", "--use-by", day, "--made",
            PUT_AWAY, "--life-used", "0 h",
        )  # fmt: skip
    listed = begun.answer("stock", "list")["stock"]
    assert listed[0]["name"] == "K-3"
    assert listed[0]["ends"]["what"] == "last day"
    assert {row["name"] for row in listed} == {"K-2", "K-3", "O-1", "twill-200"}
    assert [row["name"] for row in begun.answer("stock", "list", "offcuts")["stock"]] == ["O-1"]
    assert [row["name"] for row in begun.answer("stock", "list", "places")["stock"]] == ["freezer", "room"]
    assert begun.answer("stock", "list", "kits")["stock"] == []
    assert "nothing here is of this material" in begun.refusal("stock", "list", "--material", "uni")


def test_events_say_who_and_when_and_with_which_zone(begun: Desk) -> None:
    begun.answer("stock", "move", "O-1", "--to", "room", "--who", "Jon")
    with Ledger.opened(begun.folder) as ledger:
        events = list(ledger.events())
    assert {e.who for e in events} == {"Ines", "Jon"}
    assert all(e.zone for e in events)
    assert isinstance(events[-1].body, Moved)
    assert {type(e.body) for e in events} <= {Received, Moved, Cut}
