"""Starters for the desktop: what reads them finds the words of the command again."""

from __future__ import annotations

import ctypes
import ctypes.util
import json
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.errors import InputError, OutputError
from bagside.web.starter import System, command, desktop, starter, write_starters

HARD = [
    "/home/Ö Müller/Kajak & Co",
    '/tmp/50% (new)/it\'s "here"',
    "C:\\Users\\Zoë Ä\\My %PATH% folder\\",
    "/a/$HOME/`id`/\\back\\slash",
    "a;b|c>d<e&f^g!h",
    "~/x",
    "-n",
    "",
    "日本/workshop",
    "%f %U %%",
    "tab\\tn\\n",
]
WORDS = st.lists(
    st.text(st.characters(min_codepoint=32, exclude_characters="\x7f", exclude_categories=("Cs", "Cc")), max_size=30)
    | st.sampled_from(HARD),
    min_size=1,
    max_size=5,
)


# ---- macOS


@pytest.mark.skipif(os.name != "posix", reason="read by a shell")
@pytest.mark.parametrize("word", HARD)
def test_on_macos_the_shell_finds_the_words(tmp_path: Path, word: str) -> None:
    """Run for real, with a program in place of Python that says what it was given."""
    saying = [sys.executable, "-c", "import json, sys; print(json.dumps(sys.argv[1:]))"]
    path = tmp_path / "x.command"
    path.write_text(starter(System.MACOS, [*saying, word, "end"]))
    done = subprocess.run(["/bin/sh", str(path)], capture_output=True, text=True, check=True, stdin=subprocess.DEVNULL)
    assert json.loads(done.stdout) == [word, "end"]


@pytest.mark.skipif(os.name != "posix", reason="read by a shell")
def test_on_macos_a_failed_start_stays_on_the_screen(tmp_path: Path) -> None:
    path = tmp_path / "x.command"
    path.write_text(starter(System.MACOS, ["false"]))
    done = subprocess.run(["/bin/sh", str(path)], capture_output=True, text=True, check=False, input="\n")
    assert done.stdout == "bagside: the pages could not be opened; press a key\n"


# ---- Linux


def library(name: str) -> ctypes.CDLL:
    found = ctypes.util.find_library(name)
    if not found:
        pytest.skip(f"no {name} on this machine to read the entry with")
    return ctypes.CDLL(found)


def read_by_glib(text: str) -> list[str]:
    """Return the words of an entry's Exec as GLib finds them: the library most Linux desktops read entries with."""
    glib = library("glib-2.0")
    at, text_at, words_at = ctypes.c_void_p, ctypes.c_char_p, ctypes.POINTER(ctypes.POINTER(ctypes.c_char_p))
    for name, result, arguments in (
        ("g_key_file_new", at, []),
        ("g_key_file_load_from_data", ctypes.c_int, [at, text_at, ctypes.c_size_t, ctypes.c_int, at]),
        ("g_key_file_get_string", text_at, [at, text_at, text_at, at]),
        ("g_shell_parse_argv", ctypes.c_int, [text_at, ctypes.POINTER(ctypes.c_int), words_at, at]),
    ):  # fmt: skip
        function = getattr(glib, name)
        function.restype, function.argtypes = result, arguments
    file = glib.g_key_file_new()
    data = text.encode()
    assert glib.g_key_file_load_from_data(file, data, len(data), 0, None)
    line = glib.g_key_file_get_string(file, b"Desktop Entry", b"Exec", None)
    # The specification, "The Exec key": field codes are read first, and a per cent sign is written twice. GIO does so.
    out, k = b"", 0
    while k < len(line):
        if line[k : k + 1] == b"%":
            assert line[k : k + 2] == b"%%", line
            k += 1
        out += line[k : k + 1]
        k += 1
    count, found = ctypes.c_int(), ctypes.POINTER(ctypes.c_char_p)()
    assert glib.g_shell_parse_argv(out, ctypes.byref(count), ctypes.byref(found), None), out
    return [found[n].decode() for n in range(count.value)]  # type: ignore[union-attr]


@settings(deadline=None)
@given(WORDS)
def test_on_linux_the_desktop_finds_the_words(words: list[str]) -> None:
    assert read_by_glib(starter(System.LINUX, words)) == words


@pytest.mark.skipif(not Path("/usr/bin/gio").exists(), reason="no gio to start an entry with")
def test_on_linux_an_entry_is_started_for_real(tmp_path: Path) -> None:
    folder = tmp_path / 'Ö 50% $x `y` \\z "q" it\'s'
    folder.mkdir()
    out = tmp_path / "said"
    script = f"import json, sys; open({str(out)!r}, 'w').write(json.dumps(sys.argv[1:]))"
    entry = tmp_path / "try.desktop"
    entry.write_text(starter(System.LINUX, [sys.executable, "-c", script, str(folder)]).replace("Terminal=true\n", ""))
    done = subprocess.run(["gio", "launch", str(entry)], capture_output=True, text=True, timeout=20, check=False)
    if done.returncode:
        pytest.skip(f"gio starts nothing here: {done.stderr.strip()}")
    for _ in range(100):
        if out.exists() and out.read_text():
            break
        subprocess.run(["sleep", "0.1"], check=True)
    assert json.loads(out.read_text()) == [str(folder)]


# ---- Windows


def read_by_cmd(line: str) -> list[str]:
    """Return the words a program finds in a line of a command file.

    From memory of how the command processor and the C library read it, since neither is here: first each "%%" becomes
    "%" and a lone "%" would begin a variable; outside of quotes & | < > ^ would mean something; then the C library cuts
    at blanks, with 2n backslashes before a quote for n of them.
    """
    assert "%" not in line.replace("%%", ""), line
    line = line.replace("%%", "%")
    words, word, quoted, some, k = [], "", False, False, 0
    while k < len(line):
        if line[k] == "\\":
            run = len(line[k:]) - len(line[k:].lstrip("\\"))
            k += run
            if line[k : k + 1] == '"':
                word += "\\" * (run // 2)
                assert run % 2 == 0, line
            else:
                word += "\\" * run
            continue
        if line[k] == '"':
            quoted, some = not quoted, True
        elif line[k] == " " and not quoted:
            if some:
                words.append(word)
            word, some = "", False
        else:
            assert quoted, f"{line[k]} outside of quotes: {line}"
            word += line[k]
        k += 1
    assert not quoted
    return [*words, word] if some else words


@settings(deadline=None)
@given(WORDS.filter(lambda words: not any('"' in w for w in words)))
def test_on_windows_every_word_is_in_quotes(words: list[str]) -> None:
    text = starter(System.WINDOWS, words)
    lines = text.split("\r\n")
    assert lines[:3] == ["@echo off", "chcp 65001 >nul", "setlocal DisableDelayedExpansion"]
    assert all(line.isascii() for line in lines[:2])  # read before the code page is changed
    assert read_by_cmd(lines[3]) == words
    assert "\n" not in text.replace("\r\n", "")
    assert not text.encode().startswith(b"\xef\xbb\xbf")


# ---- all


def test_a_path_that_cannot_be_said_is_refused() -> None:
    with pytest.raises(InputError, match="Windows has no way to say a path with a quotation mark"):
        starter(System.WINDOWS, ['a"b'])
    for system in System:
        for word in ("a\nb", "a\rb", "a\x00b", "\x1b[0m", "\udce4"):
            with pytest.raises(InputError, match="a path without line breaks and control characters is wanted"):
                starter(system, ["x", word])


def test_one_for_each_system_is_written_and_may_be_run(tmp_path: Path) -> None:
    shop, desk = tmp_path / "Kajak Werkstatt", tmp_path / "Desktop"
    shop.mkdir()
    desk.mkdir()
    paths = write_starters(shop, desk)
    assert [p.name for p in paths] == ["bagside.cmd", "bagside.command", "bagside.desktop"]
    assert command(shop) == (sys.executable, "-m", "bagside", "serve", str(shop))
    assert read_by_glib(paths[2].read_text()) == [*command(shop), "--open"]
    if os.name == "posix":
        assert all(stat.S_IMODE(p.stat().st_mode) == 0o755 for p in paths)
    assert write_starters(shop, desk) == paths  # again, in place of its own
    assert sorted(p.name for p in desk.iterdir()) == [p.name for p in paths]


def test_what_is_not_a_starter_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "bagside.command").write_text("mine")
    with pytest.raises(OutputError, match=r"is there already and is no starter of bagside; move it away first\."):
        write_starters(tmp_path, tmp_path, systems=[System.MACOS])
    assert (tmp_path / "bagside.command").read_text() == "mine"
    if os.name == "posix":
        (tmp_path / "bagside.cmd").symlink_to(tmp_path / "elsewhere")
        with pytest.raises(OutputError):
            write_starters(tmp_path, tmp_path, systems=[System.WINDOWS])
        assert not (tmp_path / "elsewhere").exists()


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="a folder that is there is wanted, as the desktop"):
        write_starters(tmp_path, tmp_path / "none")


def test_the_command_of_a_starter_is_one_that_is_there() -> None:
    done = subprocess.run([*command(Path("."))[:4], "--help"], capture_output=True, text=True, check=False)
    assert done.returncode == 0
    assert "--open" in done.stdout


def test_the_desktop_is_where_the_person_sees_it(tmp_path: Path) -> None:
    assert desktop(tmp_path, {}) == tmp_path  # a machine without one
    (tmp_path / "Desktop").mkdir()
    assert desktop(tmp_path, {}) == tmp_path / "Desktop"
    (tmp_path / "Schreibtisch").mkdir()
    (tmp_path / ".config").mkdir()
    (tmp_path / ".config" / "user-dirs.dirs").write_text('# x\nXDG_DESKTOP_DIR="$HOME/Schreibtisch"\n', "utf-8")
    assert desktop(tmp_path, {}) == tmp_path / "Schreibtisch"
    assert desktop(tmp_path, {"XDG_DESKTOP_DIR": str(tmp_path / "gone")}) == tmp_path / "Desktop"
