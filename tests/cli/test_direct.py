"""A command built alone is the same command: its help, its refusals and its exit codes."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import typer
from typer.main import get_command

from bagside.cli.app import app, outcome
from bagside.cli.direct import direct


def paths(group: typer.Typer, before: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    for command in group.registered_commands:
        yield (*before, str(command.name))
    for inner in group.registered_groups:
        assert inner.typer_instance is not None
        yield from paths(inner.typer_instance, (*before, str(inner.name)))


ALL = sorted(paths(app))
WHOLE = get_command(app)


def told(arguments: list[str], capsys: pytest.CaptureFixture[str], *, whole: bool) -> tuple[int | str | None, str, str]:
    try:
        if whole:
            WHOLE.main(args=arguments, prog_name="bagside")
        alone, rest, called = direct(app, arguments)
        alone(args=rest, prog_name=called)
    except SystemExit as ended:
        code = ended.code
    said = capsys.readouterr()
    return code, said.out, said.err


def test_every_command_is_found() -> None:
    assert len(ALL) > 40
    assert {p[0] for p in ALL} >= {"plan", "cure", "build"}
    for path in ALL:
        alone, rest, called = direct(app, [*path, "x", "-y"])
        assert (rest, called) == (["x", "-y"], " ".join(("bagside", *path)))
        assert len(alone.registered_commands) == 1


@pytest.mark.parametrize("path", ALL, ids=" ".join)
def test_its_help_and_its_refusal_are_those_of_the_whole(
    path: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    for more in ("-h", "--no-such-option"):
        assert told([*path, more], capsys, whole=False) == told([*path, more], capsys, whole=True)


@pytest.mark.parametrize("words", [[], ["build"], ["cure", "-h"], ["bild"], ["build", "lai"], ["--nothing"]])
def test_what_names_no_command_is_answered_by_the_whole(words: list[str]) -> None:
    assert direct(app, words) == (app, words, "bagside")


def test_exit_codes(capsys: pytest.CaptureFixture[str]) -> None:
    assert outcome(["build", "lay", "-h"]) == 0
    assert outcome(["build", "lay"]) == 2
    assert outcome(["bild"]) == 2
    assert "did you mean" in capsys.readouterr().err.casefold()
