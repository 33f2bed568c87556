"""The addresses of the floor page: what they give, what they take, and what they refuse."""

from __future__ import annotations

import io
import json
import secrets
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import segno
from PIL import ExifTags, Image

from bagside.records.attachments import Attachments
from floorstand import BUILD, Client, Stand


@pytest.fixture
def stand(floor_stand: Stand) -> Stand:
    return floor_stand


@pytest.fixture
def client(stand: Stand) -> Client:
    return Client(stand)


def photo(*, place: bool = False, size: tuple[int, int] = (320, 240)) -> bytes:
    """Return a small JPEG, with or without where it was taken."""
    out = io.BytesIO()
    notes = Image.Exif()
    if place:
        gps = notes.get_ifd(ExifTags.IFD.GPSInfo)
        gps[ExifTags.GPS.GPSLatitudeRef], gps[ExifTags.GPS.GPSLatitude] = "N", (47.0, 40.0, 12.0)
    Image.new("RGB", size, "#446688").save(out, "JPEG", exif=notes)
    return out.getvalue()


def asked(**more: str) -> dict[str, str]:
    at = datetime.now(UTC).isoformat()
    own = {"id": secrets.token_hex(16), "build": BUILD, "at": at, "zone": "UTC", "who": "Ann", "device": "phone-1"}
    return own | more


def test_the_page_is_the_same_for_every_build_and_loads_only_from_here(client: Client) -> None:
    page = client.get("/floor")
    assert page.status_code == 200
    assert client.get(f"/floor/b/{BUILD}").text == page.text
    assert "http" not in page.text.replace("http-equiv", "")
    assert "<script>" not in page.text
    for address in ("tokens.css", "floor.css", "main.js", "queue.js"):
        assert client.get(f"/floor/app/{address}").status_code == 200


@pytest.mark.parametrize("name", ["../routes.py", "..%2froutes.py", "%2e%2e/page.html", "sw.js", "nothing.js", ""])
def test_no_other_file_is_given(client: Client, name: str) -> None:
    assert client.get(f"/floor/app/{name}").status_code == 404


def test_the_worker_is_given_only_where_a_browser_would_take_it(stand: Stand, client: Client) -> None:
    assert client.get("/floor/sw.js").status_code == 404
    for base in ("https://workshop.test", "http://127.0.0.1"):
        found = Client(stand, base).get("/floor/sw.js")
        assert found.status_code == 200
        assert found.headers["service-worker-allowed"] == "/floor"
        listed = json.loads(found.text.partition("const FILES = ")[2].partition(";")[0])
        assert {"/floor", "/floor/app/main.js", "/floor/app/tokens.css", "/floor/words/de.json"} <= set(listed)
        assert all(client.get(address).status_code == 200 for address in listed)


def test_a_build_comes_whole_and_its_state_alone(client: Client) -> None:
    whole = client.get(f"/floor/build/{BUILD}.json").json()
    state = client.get(f"/floor/build/{BUILD}/state.json").json()
    assert whole["build"] == BUILD
    assert set(state) == set(whole["state"])
    wrong = client.get("/floor/build/NOWHERE.json")
    assert wrong.status_code == 422
    said = 'build: "NOWHERE" – there is no build of this name (choose one from the list)'
    assert wrong.json()["problems"][0]["said"] == said


def test_events_are_posted_and_answered(client: Client, stand: Stand) -> None:
    at = datetime.now(UTC).isoformat()
    event = {"id": secrets.token_hex(16), "kind": "started", "data": {"build": BUILD, "step": "ply-2"}, "at": at,
             "zone": "UTC", "who": "Ann"}  # fmt: skip
    answer = client.post("/floor/events", json={"device": "phone-1", "events": [event]}).json()
    assert [a["answer"] for a in answer["answers"]] == ["taken"]
    assert abs((datetime.fromisoformat(answer["now"]) - datetime.now(UTC)).total_seconds()) < 60
    assert stand.events("phone-1")[-1].id == event["id"]


@pytest.mark.parametrize("device", [None, 3, "", "../x", "a\nb", "x" * 60])
def test_a_device_with_an_odd_name_is_called_phone(client: Client, stand: Stand, device: Any) -> None:
    at = datetime.now(UTC).isoformat()
    event = {"id": secrets.token_hex(16), "kind": "started", "data": {"build": BUILD, "step": "ply-2"}, "at": at,
             "zone": "UTC", "who": "Ann"}  # fmt: skip
    client.post("/floor/events", json={"device": device, "events": [event]})
    assert stand.events()[-1].device == "phone"


@pytest.mark.parametrize(
    ("body", "status"), [(b"{", 400), (b"[1]", 413), (b'{"events": 3}', 422), (b'{"x": "' + b"a" * 1_100_000, 413)]
)
def test_what_is_no_list_of_events_is_refused_whole(client: Client, body: bytes, status: int) -> None:
    found = client.post("/floor/events", content=body)
    assert found.status_code == status
    assert found.json()["problems"][0]["said"]


def test_a_photo_is_kept_once_without_where_it_was_taken(client: Client, stand: Stand) -> None:
    picture, told = photo(place=True), asked(step="ply-2", caption="first ply")
    assert b"GPS" in picture or Image.open(io.BytesIO(picture)).getexif().get_ifd(ExifTags.IFD.GPSInfo)
    for answer in ("taken", "known"):
        found = client.post("/floor/photo", params=told, content=picture, headers={"Content-Type": "image/jpeg"})
        assert [a["answer"] for a in found.json()["answers"]] == [answer]
    event = stand.events("phone-1")[-1]
    assert (event.id, event.body.step, event.body.caption) == (told["id"], "ply-2", "first ply")  # type: ignore[union-attr]
    kept = Attachments(stand.folder).read(event.body.file)  # type: ignore[union-attr]
    with Image.open(io.BytesIO(kept)) as opened:
        assert opened.size == (320, 240)
        assert not opened.getexif().get_ifd(ExifTags.IFD.GPSInfo)


def test_a_photo_for_no_build_or_no_step_is_refused_and_nothing_is_written(client: Client, stand: Stand) -> None:
    before = len(stand.events())
    for told in (asked(build="NOWHERE"), asked(step="nothing"), asked(id="7")):
        found = client.post("/floor/photo", params=told, content=photo(), headers={"Content-Type": "image/jpeg"})
        (answer,) = found.json()["answers"]
        assert answer["answer"] == "refused"
        assert answer["said"]
    assert len(stand.events()) == before


@pytest.mark.parametrize("content", [b"", b"no picture", photo()[:300], b"\x89PNG\r\n\x1a\n" + b"x" * 50])
def test_what_is_no_photo_is_refused(client: Client, content: bytes) -> None:
    found = client.post("/floor/photo", params=asked(), content=content, headers={"Content-Type": "image/jpeg"})
    assert found.status_code == 422


def test_a_photo_too_large_is_refused_while_it_comes(client: Client) -> None:
    found = client.post("/floor/photo", params=asked(), content=b"\xff\xd8\xff" + b"x" * 12_500_000)
    assert found.status_code == 422
    assert "up to 12 MB are taken here" in found.json()["problems"][0]["said"]


def test_the_code_of_a_label_leads_to_its_build(client: Client) -> None:
    """Labels without an address say plain words; the number at the end of the part is that of the build."""
    words = "3; part 1; ply 3 of 10; abc123; Footrest plate; twill-400"
    found = client.get("/floor/scan", params={"code": words})
    assert (found.status_code, found.headers["location"]) == (303, f"/floor/b/{BUILD}?piece=3")
    other = client.get("/floor/scan", params={"code": words.replace("part 1", "part 2")})
    assert other.headers["location"].startswith("/floor?unknown=")


@pytest.mark.parametrize(("typed", "to"), [("fp26 1", f"/floor/b/{BUILD}"), ("FP", f"/floor/b/{BUILD}")])
def test_a_build_is_found_as_it_is_typed_with_gloves(client: Client, typed: str, to: str) -> None:
    assert client.get("/floor/scan", params={"code": typed}).headers["location"] == to


@pytest.mark.parametrize("code", ["//evil.test", "https://evil.test/p/x", "\r\nX: y", "a" * 3000, "../../etc/passwd"])
def test_a_code_leads_nowhere_else(client: Client, code: str) -> None:
    found = client.get("/floor/scan", params={"code": code})
    assert found.status_code == 303
    assert found.headers["location"].startswith("/floor?unknown=")


def test_the_address_on_a_label_leads_to_the_scan(client: Client) -> None:
    assert client.get("/p/abcd2345").headers["location"] == "/floor/scan?code=%2Fp%2Fabcd2345"
    assert client.get("/o/O-7").headers["location"] == "/floor/scan?code=%2Fo%2FO-7"


def test_the_key_of_a_label_is_known_once_the_pictures_are_drawn(client: Client, stand: Stand) -> None:
    """The key is the one that the printed labels of the same plan carry (`sheets.label_words.label_key`)."""
    assert client.get(f"/floor/build/{BUILD}.json").json()["pictures"] == ""
    (file,) = (stand.folder / ".bagside" / "floor").glob("*.json")
    labels = json.loads(file.read_text(encoding="utf-8"))["labels"]
    key = next(k for k, (piece, number) in labels.items() if (piece, number) == ("4", 1))
    assert client.get("/floor/scan", params={"code": f"/p/{key}"}).headers["location"] == f"/floor/b/{BUILD}?piece=4"
    assert client.get("/floor/scan", params={"code": f"http://any.test/p/{key}"}).status_code == 303
    second = next(k for k, (piece, number) in labels.items() if (piece, number) == ("4", 2))
    assert client.get("/floor/scan", params={"code": f"/p/{second}"}).headers["location"].startswith("/floor?unknown=")


def test_a_photo_of_a_code_is_read(client: Client) -> None:
    """The code is written by segno and read by OpenCV: two libraries that do not know each other."""
    out = io.BytesIO()
    segno.make("http://workshop.test/p/abcd2345", error="m").save(out, kind="png", scale=8, border=6)
    found = client.post("/floor/photo/code", content=out.getvalue(), headers={"Content-Type": "image/png"})
    assert found.json()["code"] == "http://workshop.test/p/abcd2345"
    blank = client.post("/floor/photo/code", content=photo(), headers={"Content-Type": "image/jpeg"})
    assert blank.status_code == 422
    assert blank.json()["problems"][0]["said"].startswith("the photo – no code is seen in it")


def test_without_records_the_page_says_what_to_do(tmp_path: Path, floor_ready: Stand) -> None:
    import shutil

    shutil.copy(floor_ready.folder / "workshop.toml", tmp_path)
    found = Client(Stand(folder=tmp_path)).get("/floor/builds.json")
    assert found.status_code == 200
    assert found.json()["builds"] == []
    assert "this workshop has no records yet" in found.json()["why"]
    assert not (tmp_path / "records.sqlite").exists()
