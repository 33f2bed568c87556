"""A file for the desktop that opens the workshop's pages with a double click.

One for each of Windows, macOS and Linux, made for this installation and this folder. Each quotes in the manner of what
reads it; a path it cannot say is refused. Nothing is run when one is made.
"""

from __future__ import annotations

import os
import re
import shlex
import sys
from collections.abc import Mapping, Sequence
from enum import StrEnum
from pathlib import Path

from bagside.errors import InputError, OutputError


class System(StrEnum):
    """Where a starter is double-clicked; the suffix it has there."""

    WINDOWS = ".cmd"
    MACOS = ".command"
    LINUX = ".desktop"


NAME = "bagside"
_TROUBLE = "the pages could not be opened; press a key"


def here() -> System:
    """Return the system this runs on."""
    if sys.platform == "win32":
        return System.WINDOWS
    return System.MACOS if sys.platform == "darwin" else System.LINUX


def desktop(home: Path | None = None, environ: Mapping[str, str] = os.environ) -> Path:
    """Return the folder that a person sees as their desktop; their home where there is none.

    Parameters
    ----------
    home
        Of the person.
    environ
        Of the program.

    References
    ----------
    Linux desktops name the folder ``XDG_DESKTOP_DIR`` in ``user-dirs.dirs`` (freedesktop.org, xdg-user-dirs).
    """
    own = home or Path.home()
    config = Path(environ.get("XDG_CONFIG_HOME") or own / ".config") / "user-dirs.dirs"
    named = environ.get("XDG_DESKTOP_DIR", "")
    if not named:
        try:
            found = re.search(r'^XDG_DESKTOP_DIR="([^"]+)"', config.read_text(encoding="utf-8"), re.MULTILINE)
        except (OSError, ValueError):
            found = None
        named = "" if found is None else found[1]
    said = [Path(named.replace("$HOME", str(own)))] if named else []
    return next((p for p in (*said, own / "Desktop", own / "OneDrive" / "Desktop") if p.is_dir()), own)


def command(folder: Path, *options: str, python: str = "") -> tuple[str, ...]:
    """Return the command that opens a workshop's pages with this installation.

    Parameters
    ----------
    folder
        Of the workshop.
    options
        For ``bagside serve``.
    python
        Instead of the one that runs this.
    """
    return (python or sys.executable, "-m", "bagside", "serve", str(folder.resolve()), *options)


def write_starters(
    folder: Path, where: Path, *options: str, systems: Sequence[System] = tuple(System), python: str = ""
) -> tuple[Path, ...]:
    """Write starters into a folder and return their paths.

    Parameters
    ----------
    folder
        Of the workshop.
    where
        The folder they are put into, as the desktop.
    options
        For ``bagside serve``; ``--open`` when there are none.
    systems
        For which there shall be one.
    python
        Instead of the one that runs this.

    Raises
    ------
    InputError
        When there is no such folder, or a path cannot be said on one of the systems.
    OutputError
        When a starter cannot be written, or something else of its name is there.
    """
    if not where.is_dir():
        raise InputError.one("--starter", f'"{where}"', "a folder that is there is wanted, as the desktop")
    words = command(folder, *(options or ("--open",)), python=python)
    title = f"{NAME} {folder.resolve().name}".strip()
    texts = {system: starter(system, words, title=title) for system in systems}  # all of them, before any is written
    paths = []
    for system, text in texts.items():
        path = where / f"{NAME}{system.value}"
        _write(path, text)
        paths.append(path)
    return tuple(paths)


def starter(system: System, words: Sequence[str], *, title: str = NAME) -> str:
    """Return the text of a starter.

    Parameters
    ----------
    system
        It is for.
    words
        Of the command.
    title
        As the desktop shows it.

    Raises
    ------
    InputError
        When a word cannot be said there.
    """
    for word in (*words, title):
        if any(ord(c) < 32 or ord(c) == 127 for c in word) or not _is_text(word):
            raise InputError.one("--starter", repr(word), "a path without line breaks and control characters is wanted")
    match system:
        case System.WINDOWS:
            return _windows(words)
        case System.MACOS:
            return _macos(words)
        case System.LINUX:
            return _linux(words, title)


def _windows(words: Sequence[str]) -> str:
    """Return a command file: UTF-8 from its second line on, every word in quotes, each per cent sign twice.

    Within quotes only the per cent sign still means something to the command processor, as delayed expansion is off. A
    quote cannot be in a path there.
    """
    for word in words:
        if '"' in word:
            raise InputError.one("--starter", word, "Windows has no way to say a path with a quotation mark")
    quoted = " ".join(_windows_word(word) for word in words)
    lines = [
        "@echo off",
        "chcp 65001 >nul",
        "setlocal DisableDelayedExpansion",
        quoted,
        "if errorlevel 1 (",
        f"  echo {NAME}: {_TROUBLE}",
        "  pause >nul",
        ")",
    ]
    return "\r\n".join(lines) + "\r\n"


def _windows_word(word: str) -> str:
    # A program's own parser takes a backslash before a quote for an escape, so those at the end are doubled.
    tail = len(word) - len(word.rstrip("\\"))
    return '"' + word.replace("%", "%%") + "\\" * tail + '"'


def _macos(words: Sequence[str]) -> str:
    line = shlex.join(words)
    return f"#!/bin/sh\n{line} || {{ printf '%s\\n' '{NAME}: {_TROUBLE}'; read -r _; }}\n"


def _linux(words: Sequence[str], title: str) -> str:
    """Return a desktop entry, quoted twice as its specification has it: as an argument, then as a string."""
    line = " ".join(_desktop_string(_desktop_word(word)) for word in words)
    return (
        "[Desktop Entry]\nType=Application\nVersion=1.5\n"
        f"Name={_desktop_string(title)}\nExec={line}\nTerminal=true\nCategories=Engineering;\n"
    )


def _desktop_word(word: str) -> str:
    """Return an argument of Exec: in quotes, with the four characters escaped that mean something there."""
    escaped = "".join(f"\\{c}" if c in '"`$\\' else c for c in word)
    return '"' + escaped.replace("%", "%%") + '"'


def _desktop_string(text: str) -> str:
    return text.replace("\\", "\\\\")


def _is_text(word: str) -> bool:
    try:
        word.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True


def _is_ours(path: Path) -> bool:
    """Return whether a file is a starter: a plain file that runs this program's pages."""
    text = path.read_text("utf-8") if path.is_file() and not path.is_symlink() else ""
    return all(word in text for word in ("-m", "bagside", "serve"))


def _write(path: Path, text: str) -> None:
    """Write a starter in one step; only one that was written before is replaced."""
    try:
        if os.path.lexists(path) and not _is_ours(path):
            raise OutputError(f'"{path}" is there already and is no starter of {NAME}; move it away first.')
        draft = path.with_name(f".{path.name}.new")
        draft.write_bytes(text.encode("utf-8"))
        os.chmod(draft, 0o755)
        os.replace(draft, path)
    except (OSError, UnicodeDecodeError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise OutputError(f'"{path}" cannot be written: {reason}. Nothing was changed.') from None
