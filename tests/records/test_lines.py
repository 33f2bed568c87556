"""Lines of JSON say the same as the events, and a file that was cut off or changed is known, with its line."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from datetime import UTC, date, datetime, timedelta
from enum import Enum
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.ledger.bodies import KINDS, Corrected, Photographed, body_data
from bagside.ledger.event import Event
from bagside.records.attachments import attached
from bagside.records.lines import event_data, event_from, lines_of, told
from happenings import begun, event

letters = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\x00"), max_size=12)
names = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=9)
moments = st.datetimes(datetime(1970, 1, 2), datetime(2900, 1, 1), timezones=st.just(UTC))
numbers = st.floats(allow_nan=False, allow_infinity=False)
plain = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53), 2**53) | numbers | letters,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(letters, inner, max_size=3),
    max_leaves=6,
)
for kind, made in ((str, letters), (float, numbers), (datetime, moments), (int, st.integers(-(2**53), 2**53))):
    st.register_type_strategy(kind, made)
st.register_type_strategy(date, st.dates())


def bodies(kind: str) -> st.SearchStrategy[Any]:
    """Return any body of a kind, every field filled by its type."""
    if kind == "corrected":
        return st.builds(
            Corrected, corrects=letters, subjects=st.lists(letters, max_size=3).map(tuple), kind=letters,
            data=st.dictionaries(letters, plain, max_size=4), at=st.none() | moments, why=letters,
        )  # fmt: skip
    return st.from_type(KINDS[kind])


def events_of(kind: str) -> st.SearchStrategy[Event]:
    return st.builds(
        Event, id=st.uuids().map(lambda u: u.hex), at=moments, zone=names, who=names, device=names, body=bodies(kind),
        late=st.booleans(), order=st.just(0), kept=st.none() | moments,
    )  # fmt: skip


def written(path: Path, events: list[Event]) -> Path:
    path.write_bytes(b"".join(lines_of(events, len(events), attached(events))))
    return path


@pytest.mark.parametrize("kind", KINDS)
def test_any_event_of_every_kind_comes_back_from_its_line(kind: str, tmp_path: Path) -> None:
    @settings(max_examples=15, suppress_health_check=list(HealthCheck), deadline=None)
    @given(st.lists(events_of(kind), min_size=1, max_size=3))
    def round_trip(events: list[Event]) -> None:
        back = [e for _, e, _ in told(written(tmp_path / "all.jsonl", events)) if e is not None]
        assert back == events
        assert [event_from(json.loads(json.dumps(event_data(e))), "line") for e in events] == events

    round_trip()


def example() -> list[Event]:
    photo = event(Photographed(subject="R-1", file="a" * 64, called='Kante "Süd".jpg', caption="Naht\n№ 2"), 9)
    return [*begun(), photo]


def test_the_form_is_as_it_is_written_down(tmp_path: Path) -> None:
    # Anyone can check a file without us: the first 16 digits of SHA-256 of the sum before and the line without its own.
    lines = written(tmp_path / "all.jsonl", example()).read_text(encoding="utf-8").splitlines()
    first = json.loads(lines[0])
    assert {k: first[k] for k in ("bagside", "form", "events", "files")} == {
        "bagside": "records", "form": 1, "events": 5, "files": 1,
    }  # fmt: skip
    before = ""
    for line in lines:
        own = json.loads(line)["sum"]
        bare = line.removesuffix(f',"sum":"{own}"}}') + "}"
        before = hashlib.sha256((before + bare).encode()).hexdigest()[:16]
        assert own == before
    assert json.loads(lines[-1])["end"] == len(lines) == 8
    assert json.loads(lines[-2]) | {"sum": ""} == {"file": "a" * 64, "called": 'Kante "Süd".jpg', "sum": ""}
    told_first = json.loads(lines[1])["event"]
    assert told_first["kind"] == "received"
    assert told_first["at"] == "2026-03-02T07:00:00Z"
    assert told_first["body"] == body_data(example()[0].body)


def sentence(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        list(told(path))
    assert len(caught.value.problems) == 1
    return str(caught.value)


AGAIN = " (export it again, or copy the file again; nothing was changed)"


def test_a_file_cut_off_anywhere_is_known(tmp_path: Path) -> None:
    whole = written(tmp_path / "all.jsonl", example()).read_bytes()
    path = tmp_path / "cut.jsonl"
    ends = [k + 1 for k, byte in enumerate(whole) if byte == 10]
    near = {e + by for e in ends[:-1] for by in (-2, 0, 1)}
    for size in sorted({*range(1, len(whole) - 1, 13), *near}):
        path.write_bytes(whole[:size])
        line = whole[:size].count(b"\n") + 1
        if size < 20:
            assert sentence(path).startswith("cut.jsonl, line 1 – this is no export of records")
        else:
            words = f"cut.jsonl, line {line} – the file ends without its last line: it was cut off"
            assert sentence(path) == words + AGAIN
    path.write_bytes(whole[:-1])  # only the end of the last line is lacking: nothing is lost
    assert len(list(told(path))) == 6


def test_a_line_that_was_changed_moved_or_left_out_is_named(tmp_path: Path) -> None:
    whole = written(tmp_path / "all.jsonl", example()).read_bytes().splitlines(keepends=True)
    path = tmp_path / "edited.jsonl"

    def with_lines(lines: list[bytes]) -> str:
        path.write_bytes(b"".join(lines))
        return sentence(path)

    changed = "edited.jsonl, line {} – this line, or the one before it, is not as it was written" + AGAIN
    assert with_lines([*whole[:4], whole[4].replace(b"50.0", b"60.0"), *whole[5:]]) == changed.format(5)
    assert with_lines([*whole[:2], *whole[3:]]) == changed.format(3)
    assert with_lines([*whole[:2], whole[3], whole[2], *whole[4:]]) == changed.format(3)
    assert with_lines([*whole[:2], b"\n", *whole[2:]]) == changed.format(3)
    assert with_lines([*whole, whole[-1]]) == changed.format(9)
    path.write_bytes(b"".join(line.replace(b"\n", b"\r\n") for line in whole))  # ends as other systems write them
    assert list(told(path)) == list(told(tmp_path / "all.jsonl"))


def forged(payloads: list[Mapping[str, Any]]) -> bytes:
    out, before = b"", ""
    for payload in payloads:
        bare = json.dumps(payload, separators=(",", ":"))
        before = hashlib.sha256((before + bare).encode()).hexdigest()[:16]
        out += f'{bare[:-1]},"sum":"{before}"}}\n'.encode()
    return out


HEAD = {"bagside": "records", "form": 1, "events": 1, "files": 0}


def one(**changed: Any) -> dict[str, Any]:
    return {"event": {**event_data(begun()[0]), **changed}}


@pytest.mark.parametrize(
    ("payloads", "words"),
    [
        ([{**HEAD, "form": 2}], "line 1: form 2 – a newer bagside wrote this; this one reads form 1 (update bagside)"),
        ([{**HEAD, "events": "1"}, {"end": 2}], "line 1, events: '1' – a number from 0 is wanted" + AGAIN),
        ([{**HEAD, "events": -1}, {"end": 2}], "line 1, events: -1 – a number from 0 is wanted" + AGAIN),
        ([HEAD, {"end": 2}], "line 2: 0 events and 0 files – its first line says otherwise" + AGAIN),
        ([HEAD, one(), {"end": 7}], "line 3: 1 events and 0 files – its first line says otherwise" + AGAIN),
        ([HEAD, {"happened": {}}, {"end": 3}], "line 2 – an event, a file or the end is wanted" + AGAIN),
        ([HEAD, one(), {"end": 3}, one()], "line 4 – there is more after the last line" + AGAIN),
        ([HEAD, one(who="")], 'line 2, who: "" – a name of 1 to 120 letters is wanted'),
        ([HEAD, one(id=7)], "line 2 – text is wanted for id, zone, who, device and kind"),
        ([HEAD, one(at="noon")], "line 2: noon – a time in UTC is wanted"),
        ([HEAD, one(at=None)], "line 2 – a time in UTC is wanted"),
        ([HEAD, one(body=[])], "line 2 – an event with a body in braces, and late as true or false, is wanted"),
        ([HEAD, one(colour="red")], "line 2: colour – an event with at, body, device, id, kind, who, zone is wanted"),
        ([HEAD, one(kind="sung")], 'line 2, kind: "sung" – one of received, '),
        ([HEAD, one(body={"name": "R-1", "sort": "rope"})], "line 2, received, sort: 'rope' – input should be "),
    ],
)
def test_a_file_made_by_hand_is_refused_with_its_line(
    payloads: list[Mapping[str, Any]], words: str, tmp_path: Path
) -> None:
    path = tmp_path / "made.jsonl"
    path.write_bytes(forged(payloads))
    said = sentence(path)
    assert said.removeprefix("made.jsonl, ").startswith(words)


@pytest.mark.parametrize("content", [b"", b"\n", b"{}\n", b"[1, 2]\n", b"date;degrees\n1;2\n", b"\xff\xfe\x00", b"PK"])
def test_a_foreign_file_is_refused(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "other.csv"
    path.write_bytes(content)
    said = sentence(path)
    if content:
        assert said == (
            'other.csv, line 1 – this is no export of records (a file that "bagside records export" wrote is wanted)'
        )
    else:
        assert said == "other.csv – the file is empty" + AGAIN
    with pytest.raises(InputError, match="it cannot be read: no such file"):
        list(told(tmp_path / "nowhere.jsonl"))


def types_in(data: Any) -> Iterator[type]:
    if isinstance(data, dict):
        for value in data.values():
            yield from types_in(value)
    elif isinstance(data, list):
        for value in data:
            yield from types_in(value)
    else:
        yield type(data)


def test_lines_hold_nothing_but_plain_values() -> None:
    for told_event in example():
        assert set(types_in(event_data(told_event))) <= {str, int, float, bool, type(None)}
        assert not any(issubclass(kind, Enum) for kind in types_in(event_data(told_event)))
    assert timedelta(0) == example()[0].at.utcoffset()
