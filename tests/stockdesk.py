"""Commands on stock as a person types them, in a small workshop of their own."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from bagside.cli.app import outcome


class Desk:
    """A person at the desk of a workshop."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder = folder
        self.capsys = capsys

    def _typed(self, words: tuple[object, ...]) -> list[str]:
        own = [str(w) for w in words]
        return own if own[0] in ("cut", "plan", "buy") else [*own, "--workshop", str(self.folder)]

    def answer(self, *words: object, code: int = 0) -> dict[str, Any]:
        """Type a command, and return what it says as JSON."""
        assert outcome([*self._typed(words), "--json"]) == code, self.capsys.readouterr().err
        found: dict[str, Any] = json.loads(self.capsys.readouterr().out)
        return found

    def says(self, *words: object, code: int = 0) -> str:
        """Type a command, and return everything a person reads."""
        assert outcome(self._typed(words)) == code, self.capsys.readouterr().err
        told = self.capsys.readouterr()
        return " ".join(f"{told.out}\n{told.err}".split())

    def refusal(self, *words: object) -> str:
        """Type a command that is refused, and return the sentence."""
        assert outcome(self._typed(words)) == 2
        told = self.capsys.readouterr()
        assert told.out == ""
        return " ".join(told.err.split())
