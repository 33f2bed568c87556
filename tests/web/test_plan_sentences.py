"""Every sentence that a plan can make has a form in the catalogue, so that the pages can say it in each language.

Sentences are found by reading the source; `plansentences` says how, and lists what a room still lacks.
"""

from __future__ import annotations

import re
import time
from collections import defaultdict

import pytest

from bagside.web.words.catalogue import LANGUAGES, catalogue
from bagside.web.words.drawings import drawn
from bagside.web.words.sentences import FINDINGS, STEPS, said
from bagside.web.words.tongue import Heat, Lengths, Tongue
from plansentences import ROOMS, missing, sentences_of, unsaid

ENGLISH, GERMAN = Tongue(), Tongue(language="de")
INCHES = Tongue(language="de", lengths=Lengths.INCH, heat=Heat.FAHRENHEIT)


@pytest.mark.parametrize("room", ROOMS)
def test_every_sentence_of_a_room_can_be_said(room: str) -> None:
    assert [f"{one.where}: {sample}: {left}" for one, sample, left in missing(room)] == []


@pytest.mark.parametrize("room", ROOMS)
def test_the_sentences_of_a_room_are_found(room: str) -> None:
    """A reader of the source that finds nothing would make the test above say nothing."""
    assert sum(one.words for one in sentences_of(room)) >= 5


def test_what_is_not_known_is_found_out() -> None:
    assert unsaid("sing to the mould") == ["sing to the mould"]
    assert unsaid("Lay ply 3: 3A and the other, twill-400") != []


def test_a_sentence_is_put_together_of_those_that_have_forms() -> None:
    text = "The cloth shears by up to 41.5° over 12 cm². Lay ply 3: 3A and 3B, twill-400."
    assert said(text, GERMAN).text.endswith(". Lage 3 legen: 3A und 3B, twill-400.")
    assert said(text, GERMAN).language == "de"
    assert " 41,5° " in f"{said(text, GERMAN).text} ".replace(".", " ")


def test_what_nobody_has_a_form_for_stays_english_in_the_units_of_the_reader() -> None:
    found = said("Sing to the mould at 50 °C, 25.4 mm away", INCHES)
    assert (found.text, found.language) == ("Sing to the mould at 122 °F, 1.00 in away", "en")


@pytest.mark.parametrize("room", ROOMS)
def test_who_reads_english_and_metric_reads_the_plan(room: str) -> None:
    for one in sentences_of(room):
        for sample in one.samples():
            assert said(sample, ENGLISH).text == sample


@pytest.mark.parametrize("language", [name for name in LANGUAGES if name != "en"])
def test_a_sentence_that_stands_twice_is_said_the_same(language: str) -> None:
    """Two rooms may have one sentence; which form is found must not matter."""
    there: defaultdict[tuple[str, bool], set[str]] = defaultdict(set)
    for key, text in catalogue("en").items():
        if key.startswith((f"{STEPS}.", FINDINGS)):
            names = {name: f"{{{k}}}" for k, name in enumerate(dict.fromkeys(re.findall(r"{(\w+)}", text)))}
            plain, other = (re.sub(r"{(\w+)}", lambda m: names[m[1]], t) for t in (text, catalogue(language)[key]))  # noqa: B023
            there[plain, ".in_" in key].add(other)
    assert {k: v for k, v in there.items() if len(v) > 1} == {}


def test_forty_findings_are_said_while_a_page_is_put_together() -> None:
    """About 10 ms of work when all are new; the bound leaves room for a machine that is slower by far."""
    own = [s for room in ROOMS for one in sentences_of(room) if one.words for s in one.samples()]
    some = own[:: len(own) // 160][:160]
    for text in some[::10]:  # the forms are read once, when the first sentence is said
        said(text, INCHES)
    took = []
    for k in range(3):
        begun = time.process_time()
        for text in some:
            said(text.replace("12", f"{23 + k}"), INCHES)
        took.append(time.process_time() - begun)
    assert min(took) < 0.06, took


def test_words_in_a_drawing_follow_the_reader() -> None:
    svg = '<svg><text x="1">flat, mm, 1 : 5</text><text>254.0</text><text>3.1</text><path d="M254.0 0"/></svg>'
    assert drawn(svg, ENGLISH) == svg
    assert drawn(svg, GERMAN) == svg.replace("flat", "eben").replace(">254.0", ">254,0").replace("3.1<", "3,1<")
    inches = drawn(svg, INCHES)
    assert ">eben, in, 1 : 5<" in inches
    assert ">10,00<" in inches
    assert 'd="M254.0 0"' in inches


def test_a_drawing_keeps_what_is_escaped_in_it() -> None:
    svg = "<svg><text><tspan>3 &lt; 4 &amp; 5</tspan> warp</text></svg>"
    assert "3 &lt; 4 &amp; 5" in drawn(svg, GERMAN)
