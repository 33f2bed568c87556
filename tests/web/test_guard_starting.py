"""What a start asks and says: addresses, PINs shown once, the code, the certificate."""

from __future__ import annotations

import io
import os
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from bagside.errors import InputError
from bagside.web.guard import own_pins, pins
from bagside.web.guard.access import FILE, Role, read_kept
from bagside.web.guard.reach import addresses, join_address, ranked
from bagside.web.guard.scrub import SCRUB
from bagside.web.guard.starting import (
    access_for,
    announced,
    checked_certificate,
    code,
    keep,
    listening_at,
    started,
    told,
)

IN_NET = ("192.168.1.20", "10.0.0.4")


@pytest.fixture(autouse=True)
def _quick_hashes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pins, "_HASHER", pins.PasswordHasher(time_cost=1, memory_cost=64, parallelism=1))


def pins_in(text: str) -> list[str]:
    return [m.replace(" ", "") for m in re.findall(r"^  (?:floor|desk) +([0-9 ]+?)  ", text, re.MULTILINE)]


def refused(**settings: object) -> str:
    with pytest.raises(InputError) as caught:
        started(Path("."), **({"port": 8760} | settings))  # type: ignore[arg-type]
    return str(caught.value)


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.20", "::", "10.0.0.1", "fe80::1"])
def test_other_devices_cannot_come_without_a_pin(host: str) -> None:
    assert refused(host=host) == (
        f"--host: {host} – other devices could come in without a PIN (start it with --lan, which asks for one)"
    )


@pytest.mark.parametrize(
    ("host", "at"), [("", "127.0.0.1"), ("localhost", "127.0.0.1"), ("::1", "::1"), ("127.0.0.5",) * 2]
)
def test_without_lan_it_listens_on_this_machine(host: str, at: str) -> None:
    found = started(Path("."), port=8760, host=host)
    assert (found.access.host, found.access.lan, found.access.file) == (at, False, None)
    assert not found.pins


def test_what_does_not_go_together_is_told() -> None:
    assert refused(host="bench", lan=True).startswith('--host: "bench" – an address of this machine is wanted')
    assert refused(port=0) == "--port: 0 – a number from 1 to 65535 is wanted"
    assert refused(new_pins=True) == "--lan – PINs are for other devices (start it with --lan as well)"
    assert refused(lan=True, names=("a b",)).startswith('address: "a b" – the name of this machine')
    assert listening_at("", lan=True) == "0.0.0.0"


def test_pins_are_shown_once_and_then_only_their_hashes_are_there(tmp_path: Path) -> None:
    access = access_for(tmp_path, lan=True, port=8760)
    first = announced(access, colour=False)
    floor, desk = pins_in(first)
    assert (len(floor), len(desk)) == (6, 8)
    assert pins.role_for(floor, access) is Role.FLOOR
    assert pins.role_for(desk, access) is Role.DESK
    assert pins_in(announced(access, colour=False)) == []
    assert SCRUB.clean(f"{floor} {desk}") == "[hidden] [hidden]"
    text = (tmp_path / FILE).read_text()
    assert floor not in text
    assert desk not in text

    again = access_for(tmp_path, lan=True, port=8760)
    said = announced(again, colour=False)
    assert pins_in(said) == []
    assert "The PINs of the first start hold. --new-pins makes others" in said
    assert (again.secret, again.floor_hash) == (access.secret, access.floor_hash)


def test_pins_that_were_never_shown_do_not_hold(tmp_path: Path) -> None:
    """A start that fails after it made them leaves nothing behind, and an old file as it was."""
    access_for(tmp_path, lan=True, port=8760)
    assert not (tmp_path / FILE).exists()
    announced(access_for(tmp_path, lan=True, port=8760), colour=False)
    before = (tmp_path / FILE).read_bytes()
    access_for(tmp_path, lan=True, port=8760, new_pins=True)
    assert (tmp_path / FILE).read_bytes() == before


def test_new_pins_come_with_a_new_key_so_everybody_joins_again(tmp_path: Path) -> None:
    old = access_for(tmp_path, lan=True, port=8760)
    announced(old, colour=False)
    new = access_for(tmp_path, lan=True, port=8760, new_pins=True)
    assert old.secret != new.secret
    assert len(pins_in(announced(new, colour=False))) == 2
    assert access_for(tmp_path, lan=True, port=8760).secret == new.secret


def test_pins_can_be_chosen_and_must_differ(tmp_path: Path) -> None:
    found = started(tmp_path, port=8760, lan=True, choose=lambda r: {Role.FLOOR: "7203 9164", Role.DESK: "55512904"}[r])
    keep(found)
    assert pins.role_for("72039164", found.access) is Role.FLOOR
    with pytest.raises(InputError, match=r"desk PIN – another PIN than the floor's is wanted"):
        started(tmp_path, port=8760, lan=True, choose=lambda _: "72039164")
    kept = read_kept(tmp_path / FILE)
    assert kept is not None
    assert kept.floor_hash == found.access.floor_hash


def test_own_pins_are_not_shown_and_hold_over_the_next_start(tmp_path: Path) -> None:
    own = {Role.FLOOR: "720391", Role.DESK: "55512904"}.__getitem__
    first = access_for(tmp_path, lan=True, port=8760, choose=own)
    said = announced(first, colour=False)
    assert "Your own PINs hold." in said
    assert "720" not in said
    again = access_for(tmp_path, lan=True, port=8760, choose=own)
    assert (again.secret, again.floor_hash) == (first.secret, first.floor_hash)  # nobody has to join again
    other = {Role.FLOOR: "720391", Role.DESK: "55512905"}.__getitem__
    assert access_for(tmp_path, lan=True, port=8760, choose=other).secret != first.secret


def test_own_pins_are_typed_twice_and_unseen() -> None:
    typed = iter(["720 391", "720 391"])
    assert own_pins.typed_pin(Role.FLOOR, ask=lambda _: next(typed), there=lambda: True) == "720 391"
    for answers, says in (
        (["720391", "720392"], "it was typed in two ways"),
        (["123456"], "this is among the first anybody tries"),
        (["72039"], "at least 6 digits are wanted"),
        ([], "nothing was typed"),
    ):
        typed = iter(answers)

        def ask(_: str, typed: Iterator[str] = typed) -> str:
            for answer in typed:
                return answer
            raise EOFError

        with pytest.raises(InputError, match=says) as refused_:
            own_pins.typed_pin(Role.FLOOR, ask=ask, there=lambda: True)
        assert not any(a in str(refused_.value) for a in answers)
    with pytest.raises(InputError, match="PINs are typed at a terminal"):
        own_pins.typed_pin(Role.FLOOR, there=lambda: False)


def test_own_pins_stand_in_a_file_that_only_its_owner_reads(tmp_path: Path) -> None:
    path = tmp_path / "pins.toml"
    path.write_text('floor = "720 391"\ndesk = "5551 2904"\n', encoding="utf-8")
    path.chmod(0o600)
    choose = own_pins.pins_in(path)
    assert (choose(Role.FLOOR), choose(Role.DESK)) == ("720 391", "5551 2904")
    for text in ('floor = "720391"', "floor = 720391\ndesk = 55512904", "720391", "\x00"):
        path.write_text(text, encoding="utf-8")
        with pytest.raises(InputError, match="two lines are wanted") as refused_:
            own_pins.pins_in(path)
        assert "720391" not in str(refused_.value)
    if os.name == "posix":
        path.chmod(0o640)
        with pytest.raises(InputError, match="others on this computer can read it"):
            own_pins.pins_in(path)
    with pytest.raises(InputError, match="it cannot be read"):
        own_pins.pins_in(tmp_path / "none.toml")


def test_the_workshop_s_own_address_is_a_name_it_answers_to(tmp_path: Path) -> None:
    (tmp_path / "workshop.toml").write_text('name = "x"\naddress = "http://bench.local:8760"\n')
    assert access_for(tmp_path, lan=True, port=8760).names == ("bench.local",)
    for broken in ("address = 7", "address = ", 'address = "http://192.168.1.20:8760"', 'address = "http://a b"', ""):
        (tmp_path / "workshop.toml").write_text(broken)
        assert access_for(tmp_path, lan=True, port=8760).names == ()


def test_what_the_terminal_says(tmp_path: Path) -> None:
    found = started(tmp_path, port=8760, lan=True, names=("bench.local",))
    said = told(found, reached=IN_NET, colour=False)
    assert said.splitlines()[:5] == [
        "The pages are open on this computer: http://localhost:8760/",
        "and in its network:",
        "  http://bench.local:8760/join",
        "  http://192.168.1.20:8760/join",
        "  http://10.0.0.4:8760/join",
    ]
    assert "Started without a certificate" in said
    assert "no other device can come yet" in told(started(tmp_path, port=8760, lan=True), reached=(), colour=False)
    shared = told(started(tmp_path, port=8760, lan=True, host="127.0.0.1"), reached=IN_NET, colour=True)
    assert "It asks for a PIN, and no other device can come" in shared
    assert "192.168" not in shared
    alone = told(started(tmp_path, port=8760), colour=True)
    assert alone == "The pages are open on this computer: http://127.0.0.1:8760/"


def test_the_code_in_the_terminal_leads_to_joining_and_holds_no_pin(tmp_path: Path) -> None:
    """Read back by OpenCV's own reader of QR codes, from the characters of the terminal."""
    import cv2
    import numpy as np

    found = started(tmp_path, port=8760, lan=True)
    drawn = code(join_address("192.168.1.20", found.access))
    lines = [re.sub(r"\x1b\[[0-9;]*m", "", line) for line in drawn.splitlines()]
    assert all(line.startswith("\x1b[30;107m") and line.endswith("\x1b[0m") for line in drawn.splitlines())
    rows = []
    for line in lines:
        rows.append([c in "▀█" for c in line])
        rows.append([c in "▄█" for c in line])
    picture = np.kron(np.where(np.array(rows), 0, 255).astype(np.uint8), np.ones((8, 8), np.uint8))
    text, _, _ = cv2.QRCodeDetector().detectAndDecode(picture)
    assert text == "http://192.168.1.20:8760/join"
    assert not any(pin in text for pin in found.pins.values())


def test_the_code_on_the_page_is_read_as_the_same_address() -> None:
    import cv2
    import numpy as np
    import segno

    out = io.BytesIO()
    segno.make("https://bench.local:8760/join", error="m", micro=False).save(out, kind="png", scale=6, border=4)
    picture = np.array(Image.open(out).convert("L"))
    assert cv2.QRCodeDetector().detectAndDecode(picture)[0] == "https://bench.local:8760/join"


def test_addresses_of_this_machine_are_real_ones() -> None:
    """Against the system's own list, where there is one."""
    try:
        listed = subprocess.run(["ip", "-4", "-o", "addr"], capture_output=True, text=True, check=True).stdout
    except (OSError, subprocess.CalledProcessError):
        listed = subprocess.run(["hostname", "-I"], capture_output=True, text=True, check=False).stdout
    assert all(re.search(rf"\b{re.escape(a)}\b", listed) for a in addresses())
    assert ranked(["169.254.1.1", "127.0.0.1", "0.0.0.0", "x", "10.0.0.4", "192.168.1.20", "10.0.0.4"]) == (
        "192.168.1.20", "10.0.0.4",
    )  # fmt: skip


# ---- certificate


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("made")

    def run(*words: str) -> None:
        subprocess.run(["openssl", *words], check=True, capture_output=True, cwd=folder)

    try:
        for name in ("a", "b"):
            run("req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "2",
                "-subj", "/CN=bench.local", "-keyout", f"{name}.key", "-out", f"{name}.pem")  # fmt: skip
        run("pkcs8", "-topk8", "-in", "a.key", "-passout", "pass:secret", "-out", "locked.key")
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("no openssl to make certificates with")
    for key in folder.glob("*.key"):
        key.chmod(0o600)
    return folder


def test_a_certificate_and_its_key_are_taken(made: Path) -> None:
    assert checked_certificate(made / "a.pem", made / "a.key") == ()
    assert checked_certificate(None, None) == ()


@pytest.mark.skipif(os.name != "posix", reason="modes of files are POSIX's")
def test_a_key_that_others_can_read_is_told(made: Path, tmp_path: Path) -> None:
    key = tmp_path / "open.key"
    key.write_bytes((made / "a.key").read_bytes())
    key.chmod(0o644)
    (watch,) = checked_certificate(made / "a.pem", key)
    assert watch == 'Others on this computer can read the key "open.key"; take that from them with: chmod 600'
    found = started(tmp_path, port=8760, lan=True, certificate=made / "a.pem", key=key)
    said = told(found, reached=IN_NET, colour=False)
    assert watch in said
    assert "  https://192.168.1.20:8760/join" in said
    assert "without a certificate" not in said


@pytest.mark.parametrize(
    ("certificate", "key", "says"),
    [
        ("a.pem", None, "--key – it is wanted with --certificate (give both, or neither)"),
        (None, "a.key", "--certificate – it is wanted with --key (give both, or neither)"),
        ("none.pem", "a.key", '--certificate: "none.pem" – there is no such file'),
        ("a.pem", "b.key", '--key: "b.key" – it is not the key of "a.pem"'),
        ("a.pem", "locked.key", '--key: "locked.key" – a key without a password is wanted (the program starts alone)'),
        ("a.key", "a.key", '--certificate: "a.key", "a.key" – a certificate and its key as PEM are wanted'),
    ],
)
def test_a_certificate_that_cannot_be_used_is_told(
    made: Path, certificate: str | None, key: str | None, says: str
) -> None:
    with pytest.raises(InputError) as caught:
        checked_certificate(made / certificate if certificate else None, made / key if key else None)
    assert str(caught.value).startswith(says)
