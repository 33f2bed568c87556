"""The answers about a workshop become a file a person could have written, and records that say what nobody knows."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from bagside.findings import Basis
from bagside.ledger.clocks.life import life_of
from bagside.records.desk import desk
from bagside.spec.library import generic_library
from bagside.spec.opening import workshop_problems
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.workshop import Workshop
from bagside.web.founding import pictures
from bagside.web.founding.answers import Answers
from bagside.web.founding.kept import ANSWERS, answers_forgotten, answers_kept, keep_answers
from bagside.web.founding.questions import EVERY, GROUPS
from bagside.web.founding.records import records_begun
from bagside.web.founding.workshop_text import COMMON, in_currency, missing, workshop_text
from bagside.web.parts.shop_pictures import group_picture
from bagside.web.words.catalogue import LANGUAGES
from bagside.web.words.tongue import Tongue


def answered(life: str = "fresh", **more: str) -> Answers:
    answers = Answers()
    for name, value in {"name": "Invented Boats", "roll_length": "20 m", "roll_life": life, **more}.items():
        answers.answer(name, value)
    return answers


def written(folder: Path, answers: Answers) -> Workshop:
    (folder / "workshop.toml").write_text(workshop_text(answers.values, answers.left), encoding="utf-8")
    return stated_from(load_toml(folder / "workshop.toml"), Workshop, "workshop.toml")


def test_four_answers_make_a_workshop_that_has_no_fault(tmp_path: Path) -> None:
    shop = written(tmp_path, answered())
    assert list(workshop_problems(shop, "workshop.toml", generic_library())) == []
    assert (shop.name, shop.currency, shop.stock[0].called, shop.stock[0].life_used) == (
        "Invented Boats", "EUR", "R-1", 0.0,
    )  # fmt: skip
    assert shop.offers[0].material == shop.stock[0].material


def test_every_guess_is_marked_as_one_and_no_answer_is(tmp_path: Path) -> None:
    answers = answered(oven_hottest="140 °C", roll_batch='K "7"')
    written(tmp_path, answers)
    lines = (tmp_path / "workshop.toml").read_text(encoding="utf-8").splitlines()
    marked = {line.split(" = ")[0] for line in lines if COMMON in line}
    assert "hottest" not in marked
    assert {"heating", "cooling", "lag", "reaches", "labour", "bag-nylon", "sealant-tape"} <= marked
    assert r'batch = "K \"7\""' in lines


def test_a_name_cannot_write_lines_of_its_own(tmp_path: Path) -> None:
    shop = written(tmp_path, answered(name='Boats"\n[pump]\nflow = "1 m³/h"'))
    assert shop.name == 'Boats" [pump] flow = "1 m³/h"'


def test_prices_to_begin_with_are_in_the_currency_that_is_paid(tmp_path: Path) -> None:
    shop = written(tmp_path, answered(currency="GBP"))
    assert shop.currency == "GBP"
    assert in_currency("0.30 EUR/kWh", "USD") == "0.30 USD/kWh"


def test_what_is_still_wanted_is_said_where_it_is_asked() -> None:
    places = [p.place for p in missing(Answers().values, Tongue())]
    assert places == ["name", "roll_length", "roll_life"]
    known = answered(life="known")
    assert [p.place for p in missing(known.values, Tongue())] == ["roll_used"]


@pytest.mark.parametrize(
    ("life", "used", "sure"), [("fresh", 0.0, True), ("known", 40.0, True), ("unknown", None, False)]
)
def test_the_records_know_what_is_known_of_the_roll(tmp_path: Path, life: str, used: float | None, sure: bool) -> None:
    """Of cloth nobody knows anything of, all of its life counts as used: the safe side."""
    written(tmp_path, answered(life=life, roll_used="40 h"))
    with desk(tmp_path, "tester", "here", begin=True) as here:
        records_begun(here, freezer="-20 °C", life_known=life != "unknown")
        things = here.ledger.things()
        assert set(things) == {"freezer", "room", "R-1"}
        assert things["freezer"].temperature == pytest.approx(253.15)  # type: ignore[attr-defined]
        now = life_of("R-1", here.standing(), datetime.now(UTC))
    assert now.out.sure is sure
    share = 1.0 if used is None else used / (30 * 24)
    assert now.out.share == pytest.approx(share, abs=0.01)


def test_a_day_on_the_label_says_how_much_at_most_was_used(tmp_path: Path) -> None:
    made = date.today() - timedelta(days=6)
    written(tmp_path, answered(life="unknown"))
    with desk(tmp_path, "tester", "here", begin=True) as here:
        records_begun(here, freezer="-18 °C", life_known=False, made=made)
        now = life_of("R-1", here.standing(), datetime.now(UTC))
    assert 5 / 30 < now.out.share < 8 / 30
    assert not now.out.sure


def test_every_question_has_its_words_in_every_language() -> None:
    for language in LANGUAGES:
        tongue = Tongue(language=language)
        for question in EVERY:
            assert tongue.say(f"begin.q_{question.name}")
            tongue.say(f"begin.h_{question.name}")
        for group in GROUPS:
            assert tongue.say(f"begin.group_{group}")


def test_each_picture_shows_the_figures_that_are_answered() -> None:
    values = {**Answers().values, "oven_hottest": "140 °C", "freezer_temperature": "-20 °C"}
    assert "140 °C" in group_picture("oven", values, Tongue())
    assert "−20 °C" in group_picture("freezer", values, Tongue())
    assert "?" in group_picture("roll", values, Tongue())
    assert group_picture("money", values, Tongue()) == ""
    assert "<title>&lt;b&gt;</title>" in pictures.side_picture({"title": "<b>", "side": "x"})


def test_the_mark_of_common_practice_is_the_bases_own() -> None:
    assert COMMON.startswith(Basis.COMMON.value)


def test_a_restart_asks_nothing_twice(tmp_path: Path) -> None:
    answers = answers_kept(tmp_path)
    assert answers == Answers()
    answers.answer("name", "Invented Boats")
    answers.answer("currency", "GBP")
    keep_answers(answers, tmp_path)
    assert answers_kept(tmp_path) == answers
    answers_forgotten(tmp_path)
    assert answers_kept(tmp_path) == Answers()


@pytest.mark.parametrize("text", ["", "{", "[]", '{"values": 3}', '{"values": {"name": 1}, "touched": []}'])
def test_answers_that_cannot_be_read_are_begun_anew(tmp_path: Path, text: str) -> None:
    (tmp_path / ANSWERS).write_text(text, encoding="utf-8")
    assert answers_kept(tmp_path) == Answers()
