"""PINs, how often they may be tried, sessions, and the file in which all of it is kept."""

from __future__ import annotations

import base64
import hashlib
import hmac
import json
import os
import shutil
import stat
import subprocess
import zipfile
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from argon2 import extract_parameters
from argon2.low_level import Type
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.web.guardstand import PIN, SECRET, Clock, lan_access

from bagside.errors import InputError, OutputError
from bagside.records.backup import backed_up
from bagside.records.database import Ledger
from bagside.web.guard import attempts, sessions
from bagside.web.guard.access import FILE, Kept, Role, read_kept, write_kept
from bagside.web.guard.attempts import Attempts
from bagside.web.guard.pins import chosen_pin, grouped, hashed, made_pin, role_for, tidy


@pytest.mark.published("RFC 9106 section 4, second recommended option: argon2id, t=3, p=4, m=64 MiB, 128-bit salt")
def test_a_pin_is_hashed_as_recommended() -> None:
    kept = hashed(PIN["floor"])
    found = extract_parameters(kept)
    assert (found.type, found.time_cost, found.parallelism, found.memory_cost) == (Type.ID, 3, 4, 64 * 1024)
    assert (found.salt_len, found.hash_len) == (16, 32)
    assert role_for(PIN["floor"], replace(lan_access(), floor_hash=kept)) is Role.FLOOR


def test_each_pin_opens_its_own_role_however_it_is_grouped() -> None:
    access = lan_access()
    assert role_for(PIN["floor"], access) is Role.FLOOR
    assert role_for("9041 7362", access) is Role.DESK
    assert role_for("9041-7362 ", access) is Role.DESK
    assert role_for("481204", access) is None
    assert role_for("", access) is None
    assert role_for(PIN["floor"] * 100, access) is None
    assert role_for("４８１２０３", access) is None  # full-width digits are others


def test_without_lan_no_pin_opens_anything() -> None:
    assert role_for(PIN["desk"], replace(lan_access(), floor_hash=None, desk_hash=None)) is None


def test_pins_that_are_made_are_never_the_first_ones_anybody_tries() -> None:
    drawn = iter([0, 123456, 987654, 111111, 121212, 481203])
    assert made_pin(Role.FLOOR, lambda _: next(drawn)) == "481203"
    assert next(drawn, None) is None


def test_pins_that_are_made_differ() -> None:
    made = {made_pin(Role.DESK) for _ in range(200)}
    assert len(made) > 190
    assert all(len(p) == 8 and p.isdigit() for p in made)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("12345", "floor PIN: 5 digits – at least 6 digits are wanted, and not more than 32"),
        ("48120a", "floor PIN – digits only are wanted"),
        ("٤٨١٢٠٣", "floor PIN – digits only are wanted"),
        ("654321", "floor PIN – this is among the first anybody tries (let one be made)"),
        ("777777", "floor PIN – this is among the first anybody tries (let one be made)"),
    ],
)
def test_a_poor_pin_is_refused_and_not_repeated(typed: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        chosen_pin(Role.FLOOR, typed)
    assert str(caught.value) == says
    assert typed not in str(caught.value)


@settings(deadline=None)
@given(st.from_regex(r"[0-9]{6,32}", fullmatch=True))
def test_a_pin_read_aloud_is_the_same_pin(pin: str) -> None:
    assert tidy(grouped(pin)) == pin


# ---- attempts


def tries_in(seconds: float, addresses: int) -> int:
    """Return how many PINs somebody gets to try who tries as soon as it is let."""
    clock = Clock(0.0)
    counted = Attempts(clock)
    tried = 0
    names = [f"10.0.{n // 250}.{n % 250}" for n in range(addresses)]
    while clock.now < seconds:
        waits = []
        for name in names:
            wait = counted.wait(name)
            if wait == 0.0:
                counted.missed(name)
                tried += 1
            waits.append(counted.wait(name))
        clock.now += max(min(waits), 0.5)
    return tried


def test_one_address_gets_few_tries() -> None:
    first = tries_in(86400.0, 1)
    assert 20 <= first <= 40
    assert tries_in(11 * 86400.0, 1) - tries_in(10 * 86400.0, 1) <= 25


@pytest.mark.published("NIST SP 800-63B section 5.2.2: no more than 100 failed attempts in a row; from memory")
def test_many_addresses_together_get_few_tries() -> None:
    assert tries_in(86400.0, 300) <= 100
    assert tries_in(3 * 86400.0, 300) - tries_in(2 * 86400.0, 300) <= 50


def test_a_pause_doubles_and_ends() -> None:
    clock = Clock(0.0)
    counted = Attempts(clock)
    for left in (4, 3, 2, 1, 0):
        assert counted.wait("a") == 0.0
        counted.missed("a")
        assert counted.left("a") == left
    assert counted.wait("a") == attempts.FIRST_PAUSE
    clock.now += attempts.FIRST_PAUSE - 0.1
    assert counted.wait("a") == pytest.approx(0.1)
    clock.now += 0.1
    assert counted.wait("a") == 0.0
    counted.missed("a")
    assert counted.wait("a") == pytest.approx(2 * attempts.FIRST_PAUSE)
    assert counted.wait("b") == 0.0


def test_the_right_pin_clears_one_address_and_not_the_count_of_all() -> None:
    clock = Clock(0.0)
    counted = Attempts(clock)
    for n in range(attempts.FREE_IN_ALL):
        counted.missed(f"10.0.0.{n}")
    assert counted.wait("10.0.0.200") > 0.0
    counted.passed("10.0.0.1")
    assert counted.left("10.0.0.1") == attempts.FREE
    assert counted.wait("10.0.0.1") > 0.0


def test_addresses_without_end_do_not_fill_the_memory() -> None:
    clock = Clock(0.0)
    counted = Attempts(clock)
    for _ in range(attempts.FREE + 1):
        counted.missed("the one")
    pause = counted.wait("the one")
    for n in range(attempts.MOST_ADDRESSES + 500):
        counted.missed(f"2001:db8::{n:x}")
    assert len(counted._of) <= attempts.MOST_ADDRESSES
    assert counted.wait("the one") >= pause  # who has to wait is not forgotten for those who do not


# ---- sessions


def test_a_cookie_is_signed_with_hmac_sha256() -> None:
    """Against Python's own hmac: the key is HMAC(secret, salt), the signature HMAC(key, value)."""
    access = lan_access()
    value = sessions.signed(sessions.begun(Role.FLOOR, access, 1e9), access)
    said, _, mark = value.rpartition(".")
    key = hmac.new(SECRET, b"bagside session 1", hashlib.sha256).digest()
    mac = base64.urlsafe_b64encode(hmac.new(key, said.encode(), hashlib.sha256).digest()).rstrip(b"=").decode()
    assert mark == mac


def test_a_session_comes_out_as_it_went_in() -> None:
    access = lan_access()
    session = sessions.begun(Role.FLOOR, access, 1_800_000_000.0)
    assert sessions.opened(sessions.signed(session, access), access, 1_800_000_100.0) == session
    assert session.id not in session.device


@settings(deadline=None)
@given(st.data())
def test_a_changed_cookie_is_no_session(data: st.DataObject) -> None:
    access = lan_access()
    value = sessions.signed(sessions.begun(Role.FLOOR, access, 1e9), access)
    at = data.draw(st.integers(0, len(value) - 1))
    other = data.draw(st.characters(min_codepoint=33, max_codepoint=126).filter(lambda c: c != value[at]))
    changed = value[:at] + other + value[at + 1 :]
    found = sessions.opened(changed, access, 1e9)
    # The last character of base64 holds spare bits: another character may say the same bytes, and so the same session.
    assert found is None or (at == len(value) - 1 and found == sessions.opened(value, access, 1e9))


@settings(deadline=None)
@given(st.text(max_size=300))
def test_no_text_is_a_session(text: str) -> None:
    assert sessions.opened(text, lan_access(), 1e9) is None


def test_a_session_of_another_key_epoch_or_time_is_over() -> None:
    access = lan_access()
    session = sessions.begun(Role.DESK, access, 1e9)
    value = sessions.signed(session, access)
    assert sessions.opened(value, replace(access, secret=bytes(32)), 1e9) is None
    assert sessions.opened(value, replace(access, epoch=1), 1e9) is None
    assert sessions.opened(value, access, 1e9 - 1000.0) is None
    assert sessions.opened(value, access, 1e9 + sessions.IDLE[Role.DESK] - 1) == session
    assert sessions.opened(value, access, 1e9 + sessions.IDLE[Role.DESK] + 1) is None
    late = sessions.used(session, 1e9 + sessions.WHOLE[Role.DESK] - 10)
    assert sessions.opened(sessions.signed(late, access), access, 1e9 + sessions.WHOLE[Role.DESK] - 1) == late
    assert sessions.opened(sessions.signed(late, access), access, 1e9 + sessions.WHOLE[Role.DESK] + 1) is None


def test_a_cookie_is_kept_from_scripts_other_sites_and_plain_connections() -> None:
    access = lan_access()
    session = sessions.begun(Role.DESK, access, 1e9)
    plain = sessions.set_cookie(session, access, 1e9)
    parts = {p.strip().partition("=")[0].lower(): p.strip().partition("=")[2] for p in plain.split(";")[1:]}
    assert plain.startswith("bagside-8760=")
    assert parts == {"path": "/", "httponly": "", "samesite": "Strict", "max-age": str(14 * 86400)}
    sealed = sessions.set_cookie(session, replace(access, certificate=Path("c"), key=Path("k")), 1e9)
    # RFC 6265bis 4.1.3.2: "__Host-" wants Secure, Path=/ and no Domain.
    assert sealed.startswith("__Host-bagside-8760=")
    assert "; Secure" in sealed
    assert "omain" not in sealed
    assert "Max-Age=0" in sessions.set_cookie(None, access, 1e9)


def test_two_cookies_of_one_name_are_none() -> None:
    assert sessions.cookie_of("a=1; bagside-1=x; b=2", "bagside-1") == "x"
    assert sessions.cookie_of("bagside-1=x; bagside-1=y", "bagside-1") == ""
    assert sessions.cookie_of("", "bagside-1") == ""


# ---- the file


def test_the_file_holds_no_pin_and_only_its_owner_reads_it(tmp_path: Path) -> None:
    access = lan_access(tmp_path)
    text = (tmp_path / FILE).read_text()
    assert not any(pin in text for pin in PIN.values())
    assert stat.S_IMODE((tmp_path / FILE).stat().st_mode) == 0o600
    assert stat.S_IMODE((tmp_path / FILE).parent.stat().st_mode) == 0o700
    kept = read_kept(tmp_path / FILE)
    assert kept is not None
    assert (kept.floor_hash, kept.desk_hash, kept.secret) == (access.floor_hash, access.desk_hash, access.secret)
    shown = repr(kept) + repr(access)
    assert "argon2" not in shown
    assert SECRET.hex() not in shown


@pytest.mark.skipif(os.name != "posix", reason="modes of files are POSIX's")
def test_a_file_that_others_may_read_is_closed_to_them(tmp_path: Path) -> None:
    lan_access(tmp_path)
    (tmp_path / FILE).chmod(0o644)
    assert read_kept(tmp_path / FILE) is not None
    assert stat.S_IMODE((tmp_path / FILE).stat().st_mode) == 0o600


@pytest.mark.parametrize(
    "change",
    [
        lambda said: said.update(format=2), lambda said: said.update(secret="00"), lambda said: said.update(floor=7),
        lambda said: said.update(desk="plain:90417362"), lambda said: said.pop("ended"),
        lambda said: said.update(ended=[1]), lambda said: said.update(secret="zz" * 32),
    ],
)  # fmt: skip
def test_a_damaged_file_says_what_to_do(tmp_path: Path, change: object) -> None:
    lan_access(tmp_path)
    said = json.loads((tmp_path / FILE).read_text())
    change(said)  # type: ignore[operator]
    (tmp_path / FILE).write_text(json.dumps(said))
    with pytest.raises(InputError) as caught:
        read_kept(tmp_path / FILE)
    assert str(caught.value) == (
        ".bagside/access.json – the file is damaged (delete the file; the next start with --lan makes new PINs, and "
        "every device joins again)"
    )


@pytest.mark.parametrize("text", ["", "{", "[]", "null", "\xff" * 10])
def test_what_is_no_json_is_damaged_too(tmp_path: Path, text: str) -> None:
    (tmp_path / ".bagside").mkdir()
    (tmp_path / FILE).write_bytes(text.encode("latin-1"))
    with pytest.raises(InputError, match="the file is damaged"):
        read_kept(tmp_path / FILE)


def test_the_file_goes_into_no_backup(tmp_path: Path) -> None:
    (tmp_path / "workshop.toml").write_text('name = "x"\n')
    lan_access(tmp_path)
    with Ledger.opened(tmp_path) as ledger:
        made = backed_up(ledger, tmp_path.parent / f"{tmp_path.name}.zip", "x", datetime(2026, 11, 26, tzinfo=UTC))
    with zipfile.ZipFile(made.path) as packed:
        names = packed.namelist()
        held = b"".join(packed.read(name) for name in names)
    assert "workshop.toml" in names
    assert not [name for name in names if ".bagside" in name or "access" in name]
    assert SECRET.hex().encode() not in held


@pytest.mark.skipif(shutil.which("git") is None, reason="no git on this machine")
def test_the_file_goes_into_no_version_control(tmp_path: Path) -> None:
    """By git's own word; a draft that a killed program left is left out, too."""
    lan_access(tmp_path)
    (tmp_path / ".bagside" / ".access.abc123").write_text("draft")
    (tmp_path / ".bagside" / "other.toml").write_text("x")
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True)
    seen = subprocess.run(
        ["git", "-C", str(tmp_path), "status", "--porcelain", "-uall"], capture_output=True, text=True, check=True
    ).stdout
    assert seen.splitlines() == ["?? .bagside/other.toml"]


def test_a_file_that_cannot_be_written_leaves_the_old_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    lan_access(tmp_path)
    before = (tmp_path / FILE).read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match=r'"\.bagside/access\.json" cannot be written: no space left on device'):
        write_kept(tmp_path / FILE, Kept(floor_hash="x", desk_hash="y", secret=bytes(32)))
    assert (tmp_path / FILE).read_bytes() == before
    assert sorted(p.name for p in (tmp_path / ".bagside").iterdir()) == [".gitignore", "access.json"]
