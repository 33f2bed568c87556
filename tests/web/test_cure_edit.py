"""Segments in a job's file: what was written by hand stays, what is written reads back, a wanted cycle goes."""

from __future__ import annotations

import tomllib

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from bagside.quantity import Quantity, read
from bagside.web.pages.cure.edit import (
    alike,
    put_cycle,
    put_segments,
    rate_text,
    segments_in,
    temperature_text,
    time_text,
)
from bagside.web.pages.cure.missing import cycle_missing, wanted_cycle

TEXT = """# a hatch
[cure]
service = "75 °C"               # dark deck in the sun
segments = [                    # found by trial
  { to = "60 °C", rate = "1 °C/min", hold = "30 min" },   # lets the mould follow
  { to = "80 °C", rate = "0.5 °C/min", hold = "6 h" },
]
post_cure = [{ to = "100 °C", rate = "0.15 °C/min" }]

[finish]
"""
FIRST = (333.15, 1.0 / 60.0, 1800.0)
SECOND = (353.15, 0.5 / 60.0, 21600.0)

segment = st.tuples(
    st.floats(283.0, 523.0), st.floats(0.02 / 60.0, 9.9 / 60.0), st.sampled_from([0.0, 60.0, 1800.0, 5400.0, 21600.0])
)


def changed(segments: tuple[tuple[float, float, float], ...], name: str = "cure", text: str = TEXT) -> str:
    document = tomlkit.parse(text)
    put_segments(document, name, segments)
    return tomlkit.dumps(document)


def test_writing_what_stands_there_changes_no_letter() -> None:
    assert changed((FIRST, SECOND)) == TEXT


def test_only_what_changed_is_written_and_comments_stay() -> None:
    out = changed((FIRST, (355.15, 0.5 / 60.0, 21600.0)))
    assert out == TEXT.replace('to = "80 °C"', 'to = "82 °C"')


def test_a_segment_more_or_less_leaves_the_others_alone() -> None:
    more = changed((FIRST, (343.15, 0.5 / 60.0, 0.0), SECOND))
    assert "# lets the mould follow" in more
    assert more.count("to =") == TEXT.count("to =") + 1
    assert segments_in(tomlkit.parse(more), "cure") == (FIRST, (343.15, 0.5 / 60.0, 0.0), SECOND)
    less = changed((SECOND,))
    assert '{ to = "80 °C", rate = "0.5 °C/min", hold = "6 h" }' in less
    assert "60 °C" not in less


def test_a_hold_that_goes_is_taken_out_and_one_that_comes_is_written() -> None:
    assert "hold" not in changed(((373.15, 0.15 / 60.0, 0.0),), "post-cure").split("post_cure")[1]
    assert 'hold = "2 h"' in changed(((373.15, 0.15 / 60.0, 7200.0),), "post-cure").split("post_cure")[1]


def test_tables_of_their_own_are_written_as_such() -> None:
    text = '[cure]\nservice = "75 °C"\n[[cure.segments]]\nto = "60 °C"\nrate = "1 °C/min"\n'
    out = changed(((343.15, 1.0 / 60.0, 0.0),), text=text)
    assert out == text.replace("60 °C", "70 °C")


def test_a_cycle_that_was_to_be_looked_for_is_one_no_more() -> None:
    text = '[cure]\nservice = "75 °C"\n\n[cure.design]\naim = "fastest"\n'
    document = tomlkit.parse(text)
    put_segments(document, "cure", (FIRST,), ["rises as fast as the oven goes"])
    out = tomlkit.dumps(document)
    assert "design" not in out
    assert "# rises as fast as the oven goes" in out
    assert segments_in(tomlkit.parse(out), "cure") == (FIRST,)


def test_a_post_cure_that_was_looked_for_stays_when_the_cure_is_moved() -> None:
    text = '[cure]\nservice = "75 °C"\n\n[cure.design]\ntwo_stage = true\n'
    runs = {"cure": (FIRST,), "post-cure": (SECOND,)}
    document = tomlkit.parse(text)
    put_cycle(document, "cure", (FIRST, SECOND), runs)
    out = tomlkit.parse(tomlkit.dumps(document))
    assert segments_in(out, "cure") == (FIRST, SECOND)
    assert segments_in(out, "post-cure") == (SECOND,)
    stated = tomlkit.parse(TEXT)
    put_cycle(stated, "cure", (FIRST, SECOND), runs)  # what the file states is left alone
    assert tomlkit.dumps(stated) == TEXT


@pytest.mark.parametrize("two_stage", [True, False])
def test_a_job_without_a_cycle_has_one_looked_for(two_stage: bool) -> None:
    document = tomlkit.parse('[cure]\nservice = "75 °C"\n\n[finish]\nfill_passes = 1\n')
    assert cycle_missing(document)
    wanted_cycle(document, two_stage=two_stage)
    out = tomlkit.dumps(document)
    assert not cycle_missing(tomlkit.parse(out))
    stated = tomllib.loads(out)
    assert stated["cure"]["design"] == {"aim": "fastest"} | ({"two_stage": True} if two_stage else {})
    assert stated["finish"] == {"fill_passes": 1}
    assert not cycle_missing(tomlkit.parse(TEXT))
    assert not cycle_missing(tomlkit.parse("[mirror]\n"))


def test_segments_that_cannot_be_read_are_none() -> None:
    assert segments_in(tomlkit.parse('[cure]\nsegments = [{ to = "warm", rate = "1 °C/min" }]\n'), "cure") == ()
    assert segments_in(tomlkit.parse("[finish]\n"), "cure") == ()


@given(st.lists(segment, min_size=1, max_size=5))
def test_what_is_written_reads_back_as_it_was_set(segments: list[tuple[float, float, float]]) -> None:
    document = tomlkit.parse(TEXT)
    put_segments(document, "cure", segments)
    found = segments_in(tomlkit.parse(tomlkit.dumps(document)), "cure")
    assert len(found) == len(segments)
    for (t, r, h), (a, b, c) in zip(segments, found, strict=True):
        assert abs(t - a) <= 0.051
        assert abs(b / r - 1.0) < 0.006
        assert c == h
    assert alike(found, found)


@given(st.floats(283.0, 523.0), st.floats(0.001, 0.2), st.floats(60.0, 86400.0))
def test_texts_are_quantities_with_units(kelvin: float, rate: float, seconds: float) -> None:
    assert abs(read(temperature_text(kelvin), Quantity.TEMPERATURE) - kelvin) <= 0.0501
    assert abs(read(rate_text(rate), Quantity.RAMP) / rate - 1.0) < 0.006
    assert abs(read(time_text(seconds), Quantity.TIME) - seconds) <= 30.1
