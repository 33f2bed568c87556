"""The list of threats: every test it names is there, every threat has one, and its recipe makes what it says."""

from __future__ import annotations

import ast
import re
import shutil
import ssl
import subprocess
from pathlib import Path

import pytest

from bagside.web.guard.starting import checked_certificate
from bagside.web.words.catalogue import catalogue

HERE = Path(__file__).parent
LIST = HERE.parents[1] / "docs" / "threats.md"
NAMED = re.compile(r"`(test_\w+\.py)::(test_\w+)`")


def rows() -> list[tuple[str, list[tuple[str, str]]]]:
    """Return each threat with the tests named beside it."""
    found = []
    for line in LIST.read_text(encoding="utf-8").splitlines():
        cells = [cell.strip() for cell in line.strip("|").split(" | ")]
        if line.startswith("| ") and cells[0] != "Threat":
            found.append((cells[0], NAMED.findall(cells[-1])))
    return found


def named_in(name: str) -> set[str]:
    tree = ast.parse((HERE / name).read_text(encoding="utf-8"))
    return {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}


def test_every_threat_names_a_test_that_is_there() -> None:
    listed = rows()
    assert len(listed) > 40
    for threat, tests in listed:
        assert tests, threat
        for file, name in tests:
            assert name in named_in(file), f"{threat}: {file}::{name}"


def test_no_test_is_named_in_a_way_this_does_not_read() -> None:
    text = LIST.read_text(encoding="utf-8")
    assert len(re.findall(r"`test_", text)) == len(NAMED.findall(text)) == sum(len(tests) for _, tests in rows())


def test_every_test_of_the_door_is_of_some_threat_or_says_what_works() -> None:
    """So that a test does not outlive its threat unseen: at least half of the guard's tests are on the list."""
    named = {name for _, tests in rows() for _, name in tests}
    every = {name for file in HERE.glob("test_guard_*.py") for name in named_in(file.name) if name.startswith("test_")}
    assert len(named & every) >= len(every) / 2


def test_the_recipe_for_a_certificate_makes_one_that_is_taken(tmp_path: Path) -> None:
    """The commands as they stand in the text, run; checked by the system's own TLS against the authority they make."""
    if shutil.which("openssl") is None:
        pytest.skip("no openssl to make a certificate with")
    recipe = re.search(r"```sh\n(.*?)```", LIST.read_text(encoding="utf-8"), re.DOTALL)
    assert recipe is not None
    subprocess.run(["sh", "-e", "-c", recipe[1]], cwd=tmp_path, check=True, capture_output=True)
    assert checked_certificate(tmp_path / "bench.pem", tmp_path / "bench.key") == ()
    serving = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    serving.load_cert_chain(tmp_path / "bench.pem", tmp_path / "bench.key")
    for name in ("192.168.1.20", "bench.local"):
        assert shaken(ssl.create_default_context(cafile=str(tmp_path / "ca.pem")), serving, name)
    with pytest.raises(ssl.SSLCertVerificationError):
        shaken(ssl.create_default_context(cafile=str(tmp_path / "ca.pem")), serving, "192.168.1.21")


def shaken(asking: ssl.SSLContext, serving: ssl.SSLContext, name: str) -> bool:
    """Shake hands in memory, as a browser that asks for this name would."""
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    client = asking.wrap_bio(to_client, to_server, server_hostname=name)
    server = serving.wrap_bio(to_server, to_client, server_side=True)
    left = {"client": client, "server": server}
    for _ in range(10):
        for side, link in list(left.items()):
            try:
                link.do_handshake()
                del left[side]
            except ssl.SSLWantReadError:
                pass
    return not left


def test_what_the_door_says_is_said_in_every_language() -> None:
    english, german = (
        {k: v for k, v in catalogue(language).items() if k.startswith("guard.")} for language in ("en", "de")
    )
    assert english.keys() == german.keys()
    for key in english:
        assert set(re.findall(r"{(\w+)}", english[key])) == set(re.findall(r"{(\w+)}", german[key])), key
    said = "".join(p.read_text(encoding="utf-8") for p in (HERE.parents[1] / "src/bagside/web/guard").glob("*.py"))
    made = {f"guard.{a}_{k}" for a in ("refused", "cure") for k in re.findall(r'_Refused\(\d+, "(\w+)"', said)}
    made |= {f"guard.{a}_missing" for a in ("refused", "cure")}
    made |= {f"guard.{a}_{k}" for a in ("refused", "cure") for k in re.findall(r'\d{3}: "(\w+)"', said)}
    spoken = set(re.findall(r"[\"'](guard\.\w+)[\"']", said)) | made | {"guard.role_floor", "guard.role_desk"}
    spoken |= {f"guard.{name}" for name in ("device", "role", "seen", "address")}
    assert spoken == set(english)
