"""Every sentence that a plan can make has a form in the catalogue, so that the pages can say it in each language.

Sentences are found by reading the source; `plansentences` says how, and lists what a room still lacks.
"""

from __future__ import annotations

import pytest

from plansentences import ROOMS, missing, sentences_of, unsaid


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
