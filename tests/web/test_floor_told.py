"""A build as the device keeps it: whole, small, cautions with it, and in both languages."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from bagside.ledger.gates.gate import CLOSING, GATES
from bagside.ledger.planned import PlannedStep
from bagside.ledger.things import Build
from bagside.planning.cautions import CAUTIONS, DEFERS
from bagside.web.floor.asks import forms_of
from bagside.web.floor.pictures import Pictures
from bagside.web.floor.spoken import spoken
from bagside.web.floor.told import build_told, builds_told, state_told
from bagside.web.words.catalogue import catalogue
from floorstand import BUILD, Stand

LARGEST = 2_000_000


@pytest.fixture(scope="module")
def stand(floor_ready: Stand) -> Stand:
    return floor_ready


@pytest.fixture(scope="module")
def build(stand: Stand) -> Build:
    with stand.desk("a", "b") as desk:
        found = desk.ledger.thing(BUILD)
    assert isinstance(found, Build)
    return found


@pytest.fixture(scope="module")
def told(stand: Stand, build: Build) -> dict[str, Any]:
    with stand.desk("a", "b") as desk:
        return build_told(build, desk.standing(), datetime.now(UTC), {"why": "drawing"})


def test_every_step_is_there_with_its_cautions_its_sentences_and_its_boxes(
    told: dict[str, Any], build: Build
) -> None:
    assert [s["key"] for s in told["steps"]] == [s.key for s in build.planned.steps]
    for step, planned in zip(told["steps"], build.planned.steps, strict=True):
        assert [h["head"]["en"] for h in step["hazards"]] == [CAUTIONS[h].head for h in planned.hazards]
        assert [d["en"] for d in step["do"]] == list(planned.do)
        assert [b["en"] for b in step["boxes"]] == list(planned.boxes)
    assert told["defers"]["en"] == DEFERS


def test_a_caution_that_this_program_no_longer_knows_is_told_by_its_name(stand: Stand, build: Build) -> None:
    from dataclasses import replace

    step = PlannedStep(key="thaw", name="Thaw", stage="Get ready", hazards=("moonlight",))
    odd = replace(build, planned=replace(build.planned, steps=(step, *build.planned.steps[1:])))
    with stand.desk("a", "b") as desk:
        told = build_told(odd, desk.standing(), datetime.now(UTC), {})
    assert told["steps"][0]["hazards"] == [{"head": {"en": "moonlight"}, "text": {"en": ""}}]


def test_what_is_done_and_what_stops_is_there(told: dict[str, Any]) -> None:
    state = told["state"]
    assert state["steps"]["ply-1"]["finished"] is not None
    assert state["steps"]["ply-2"]["finished"] is None
    assert [(t["ply"], t["piece"], t["films"]) for t in state["laid"]] == [(1, "1", 2)]
    assert "ply-1" not in state["gates"]
    assert {g["key"] for g in state["gates"]["ply-2"]} >= {"life", "room", "films", "debulk"}
    assert CLOSING in state["gates"]
    assert set(state["forms"]) == {s["key"] for s in told["steps"] if state["steps"][s["key"]]["finished"] is None}


def test_without_pictures_each_ply_still_shows_the_order_of_the_plies(told: dict[str, Any]) -> None:
    assert told["pictures"] == "drawing"
    for ply in told["plies"]:
        assert ply["pictures"] == {}
        assert ply["stack"]
        assert ply["section"].startswith('<svg class="drawing"')
    assert len({p["section"] for p in told["plies"]}) == len(told["plies"]), "the ply in hand is marked"


def test_every_gate_that_a_number_answers_has_a_form_for_it(build: Build, stand: Stand) -> None:
    """By hand: what each step's gates ask, as the gates say it themselves."""
    with stand.desk("a", "b") as desk:
        forms = {s.key: {f["gate"] for f in forms_of(build, s.key, desk.standing())} for s in build.planned.steps}
    assert "room" in forms["ply-2"]
    assert "leak" in forms["leak"]
    assert {"thermocouples"} <= forms["cure"]
    assert {"cool", "mass"} <= forms["demould"]
    assert {"mass", "thickness", "holes"} <= forms["trim"]
    assert {"water-break", "holes"} <= forms["bond"]
    assert "paint-room" in forms["coat-clear-two-pack"]
    assert {"mass", "holes"} <= forms["fit"]


def test_each_form_becomes_an_event_that_the_ledger_can_read(build: Build, stand: Stand) -> None:
    from bagside.ledger.bodies import body_from

    count = 0
    with stand.desk("a", "b") as desk:
        for step in build.planned.steps:
            for form in forms_of(build, step.key, desk.standing()):
                data = {k: v for k, v in form["data"].items() if k != "limit" and v is not None}
                data |= {f["name"]: 1 if f["quantity"] == "count" else 1.0 for f in form["fields"]}
                if form["id"] == "leak":
                    data["value"] = 0.1
                body_from(form["kind"], data)
                count += 1
    assert count > 15


def test_every_gate_and_form_has_words_in_both_languages(build: Build, stand: Stand) -> None:
    with stand.desk("a", "b") as desk:
        forms = [f for s in build.planned.steps for f in forms_of(build, s.key, desk.standing())]
    for language in ("en", "de"):
        words = catalogue(language)
        assert all(f"floor.gate_{key.replace('-', '_')}" in words for key in GATES)
        assert all(f"floor.form_{f['say']}" in words for f in forms)
        assert all(f"floor.field_{x['say']}" in words for f in forms for x in f["fields"])


def test_both_languages_have_the_same_keys_and_the_same_places() -> None:
    import re

    english, german = catalogue("en"), catalogue("de")
    for key in (k for k in {**english, **german} if k.startswith(("floor.", "floor_steps."))):
        places = [set(re.findall(r"\{(\w+)\}", words.get(key, ""))) for words in (english, german)]
        assert key in english, key
        assert german.get(key), key
        if key != "floor_steps.g_mass_none":  # German says the moment by the form's own words
            assert places[0] == places[1], key


def test_every_sentence_of_the_plan_and_every_caution_is_known_in_german(build: Build) -> None:
    """A new sentence in a plan fails here until it has its German; names that a person gave stay as they are."""
    own = {h.name for h in build.planned.holes} | {"rail block"}
    said = [t for s in build.planned.steps for t in (s.name, *s.do, *s.boxes)]
    said += [t for c in CAUTIONS.values() for t in (c.head, c.text)] + [DEFERS]
    assert [t for t in dict.fromkeys(said) if "de" not in spoken(t) and t not in own] == []


@pytest.mark.parametrize(
    ("english", "german"),
    [
        ("Lay ply 3: 3A and 3B, twill-400", "Lage 3 legen: 3A und 3B, twill-400"),
        ("Full vacuum for 20 min: 4 plies since the last one, through a tight corner.",
         "Volles Vakuum 20 min: 4 Lagen seit dem letzten, durch eine enge Ecke."),
        ("Pull 0.31 m of twill-200; 0.62 m of twill-400.", "Abziehen: 0,31 m von twill-200; 0,62 m von twill-400."),
        ("1 film off", "1 Folie ab"),
        ("Take twill-200 (roll K-114, offcuts O-1, O-2), twill-400 (roll K-090) out of the freezer in the sealed bag "
         "and write the time down.",
         "twill-200 (Rolle K-114, Reste O-1, O-2), twill-400 (Rolle K-090) verpackt aus dem Froster nehmen, Zeit "
         "aufschreiben."),
    ],
)  # fmt: skip
def test_a_sentence_is_said_in_german_with_what_changes_in_it(english: str, german: str) -> None:
    assert spoken(english) == {"en": english, "de": german}


def test_what_a_number_is_about_is_said_in_german_and_written_down_as_planned(build: Build, stand: Stand) -> None:
    with stand.desk("a", "b") as desk:
        forms = state_told(build, desk.standing(), datetime.now(UTC))["forms"]
    about = {f["data"]["place"]: f["about"]["de"] for f in [*forms["cure"], *forms["trim"]] if f["data"].get("place")}
    assert about["air"] == "Luft"
    assert [text for place, text in about.items() if "last to cure" in place] == [
        "4 Lagen, 1,31 mm, Formseite (härtet zuletzt)"
    ]
    assert about["T4"] == "T4, Lagen 1, 2, 6, 7, 8, 9, 10"


def test_a_sentence_that_nobody_knows_stays_english() -> None:
    assert spoken("Sing to the mould.") == {"en": "Sing to the mould."}


def test_the_list_of_builds_says_what_is_next(stand: Stand) -> None:
    with stand.desk("a", "b") as desk:
        (found,) = builds_told(desk.ledger)
    assert (found["build"], found["number"], found["quantity"]) == (BUILD, 1, 6)
    assert found["next"] == {"en": "Lay ply 2: 2, twill-400", "de": "Lage 2 legen: 2, twill-400"}
    assert found["done"] == 6


def test_pictures_are_drawn_beside_and_kept_for_the_revision(floor_drawing: tuple[Stand, str], build: Build) -> None:
    """A plate of cards has its cards as pictures; a whole build stays under 2 MB."""
    stand, first = floor_drawing
    assert first == "drawing"
    found = Pictures(stand.folder).of(build)
    assert found["why"] == ""
    assert Pictures(stand.folder).kept(build.planned.revision) == found
    assert all(p["flat"].startswith("<svg") for p in found["plies"])
    assert len(found["labels"]) == 60
    with stand.desk("a", "b") as desk:
        whole = build_told(build, desk.standing(), datetime.now(UTC), found)
    assert len(json.dumps(whole)) < LARGEST


def test_the_keys_of_labels_are_those_that_are_printed(stand: Stand, build: Build) -> None:
    """Made here from the plan's cuts alone; printed from its layouts, by the code that writes labels.pdf."""
    from bagside.planning.cut_jobs import revision
    from bagside.planning.plan import plan_build
    from bagside.sheets.label_words import label_key
    from bagside.sheets.labels import piece_labels
    from bagside.spec.opening import open_job

    plan, _ = plan_build(open_job(stand.folder / "jobs" / "footrest-plate"), store=stand.folder / ".bagside-cache")
    printed = {
        label_key(label)
        for kit in plan.kits
        for cut in (*kit.sheets, *kit.rolls)
        for label in piece_labels(
            cut.nest, None, job=plan.job.name, batch="b", source="s", films=2, life_used=0.0, out_life=1.0,
            digest=revision(plan.cut, plan.kits), first=1,
        )
    }  # fmt: skip
    kept = Pictures(stand.folder).kept(build.planned.revision)
    assert kept is not None
    assert printed == set(kept["labels"])


def test_a_job_that_has_moved_on_gives_no_picture_of_another_ply(stand: Stand, build: Build, tmp_path: Path) -> None:
    from bagside.web.floor.drawing import draw

    assert draw(stand.folder, stand.folder / "jobs" / "footrest-plate", "0" * 16)["why"] == "moved"
    empty = Pictures(tmp_path)
    assert empty.of(build) == {"why": "gone"}
