"""The pages' views of one plan: bag and cure, join and finish say what the plan says, small and the same each time."""

from __future__ import annotations

import pickle
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from bagside.planning.plan import BuildPlan, plan_build
from bagside.planning.shaping import shaped_from
from bagside.planning.stages import Stages, digest_of
from bagside.records.with_stock import opened_job
from bagside.spec.opening import Opened
from bagside.web.pages.cure.bag import sketched
from bagside.web.pages.cure.margins import margins_table, notes_of, value_text
from bagside.web.pages.cure.said import LIMITS, limit_words, place_words, search_words
from bagside.web.views.cure import view as cure
from bagside.web.views.finish import view as finish
from bagside.web.views.join import view as join
from bagside.web.words.catalogue import catalogue
from bagside.web.words.tongue import Heat, Lengths, Tongue

JOB = Path(__file__).parents[2] / "demo" / "workshop" / "jobs" / "footrest-plate" / "job.toml"
MOST = 4_000_000  # bytes of a view


@pytest.fixture(scope="module")
def opened() -> Opened:
    return opened_job(JOB, None)


@pytest.fixture(scope="module")
def plan(opened: Opened) -> BuildPlan:
    return plan_build(opened)[0]


@pytest.fixture(scope="module")
def view(plan: BuildPlan) -> cure.CureView:
    return cure.view(plan, Stages())


def test_the_bag_is_the_plans(plan: BuildPlan, view: cure.CureView) -> None:
    bag = view.bag
    assert bag is not None
    assert [i[0] for i in bag.items] == [i.name for i in plan.bag.items]
    assert [i[1] for i in bag.items] == [i.quantity for i in plan.bag.items]
    assert [(d[0], d[1]) for d in bag.debulks] == [(d.after, 60 * d.minutes) for d in plan.bag.debulks]
    assert [leak[1] for leak in bag.leaks] == [limit.drop for limit in plan.bag.leak_limits]
    assert bag.pressure == plan.bag.pressure
    assert [c[0] for c in bag.corners] == [c.id for c in plan.mould.corners]
    ElementTree.fromstring(bag.picture)


def test_heat_comes_on_when_the_calendar_has_the_oven_closed(plan: BuildPlan, view: cure.CureView) -> None:
    step = next(s for s in plan.steps if s.key == "cure")
    slot = next(s for s in plan.calendar.slots if s.task == f"{step.name}, part 1")
    begins = view.heat_on[0]
    assert begins is not None
    assert slot.start <= begins.replace(second=59) <= slot.end
    assert (slot.end - begins).total_seconds() == pytest.approx(plan.cure.first.duration, abs=61.0)


def test_views_are_small_and_the_same_each_time(plan: BuildPlan) -> None:
    for module in (cure, join, finish):
        one, two = module.view(plan, Stages()), module.view(plan, Stages())
        assert digest_of(one) == digest_of(two)
        assert len(pickle.dumps(one)) < MOST


def test_the_early_view_has_the_cure_and_no_bag_yet(opened: Opened, view: cure.CureView) -> None:
    stages = Stages()
    found = cure.early(shaped_from(opened, stages, "job.toml"), opened, stages)
    assert found is not None
    assert found.bag is None
    assert digest_of(found.runs[0].kept) == digest_of(view.runs[0].kept)
    assert digest_of(found.case) == digest_of(view.case)


def test_the_section_through_the_bag_is_whole_and_named(view: cure.CureView) -> None:
    ElementTree.fromstring(view.through.svg)
    assert set(re.findall(r"\{(\w+)\}", view.through.svg)) == {"leading", "lagging", "scale", "title"}
    thick = {role: thickness for role, _, thickness in view.through.rows}
    layers = [s.layers[0].thickness for s in view.case.on_mould]
    assert thick["laminate"] == (min(layers), max(layers))
    assert thick["film"] is None  # nobody stated it


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("heat", list(Heat))
def test_margins_are_told_in_every_tongue(view: cure.CureView, language: str, heat: Heat) -> None:
    tongue = Tongue(language=language, heat=heat)
    for run in view.runs:
        table = margins_table(run, None, tongue)
        assert table.count("<tr") == 1 + len(run.kept)
        assert ("°F" in table) is (heat is Heat.FAHRENHEIT)
        notes = notes_of(run, tongue)
        assert notes[0]["kelvin"] == run.hottest[1]
        assert len(notes) == 1 + sum(not k.holds and k.key not in ("laminate", "tool") for k in run.kept)
        for kept in run.kept:
            assert value_text(kept.key, kept.value, tongue)


@pytest.mark.parametrize(
    ("name", "german"),
    [
        ("4 plies, 1.31 mm, coldest place", "4 Lagen, 1,31 mm, kälteste Stelle"),
        ("6 plies, 2.16 mm, mould 7.0 mm, hottest place", "6 Lagen, 2,16 mm, Form 7,0 mm, heißeste Stelle"),
        ("keel", "keel"),
    ],
)
def test_places_are_called_in_the_readers_language(name: str, german: str) -> None:
    assert place_words(name, Tongue(language="de")) == german


def test_every_limit_and_step_of_a_search_has_its_words() -> None:
    german = Tongue(language="de")
    for limit in LIMITS:
        assert limit_words(f"post-cure: {limit}", german).startswith("Nachhärten, frei stehend, ")
    assert search_words("polish, 3 ramps", german) == "feilen, 3 Rampen"
    assert search_words("something new", german) == "something new"


@pytest.mark.parametrize("file", ["cure", "join", "finish"])
def test_both_languages_have_the_same_texts_with_the_same_places(file: str) -> None:
    places = re.compile(r"\{(\w+)\}")
    english, german = (
        {k: set(places.findall(t)) for k, t in catalogue(language).items() if k.startswith(f"{file}.")}
        for language in ("en", "de")
    )
    assert english == german


def test_a_bag_seen_from_above_has_its_words_and_dimensions_as_the_reader_wants_them(view: cure.CureView) -> None:
    bag = view.bag
    assert bag is not None
    shown = sketched(bag.picture, Tongue(language="de", lengths=Lengths.INCH))
    texts = re.findall(r">([^<>]+)</(?:text|title)>", shown)
    assert "laid up" in bag.picture
    assert "laid up" not in shown
    for side in bag.sheet:
        assert f"{side / 0.0254:.1f}".replace(".", ",") in texts
        assert f"{1e3 * side:.0f}" not in texts
