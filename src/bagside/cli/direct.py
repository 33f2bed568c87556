"""The one command that is asked for, built alone: building all of them takes longer than most of them take to run."""

from __future__ import annotations

import copy
from collections.abc import Sequence

import typer


def direct(app: typer.Typer, words: Sequence[str]) -> tuple[typer.Typer, list[str], str]:
    """Return an app that holds the command asked for and nothing else, what is left to read, and what it is called.

    Parameters
    ----------
    app
        Every command.
    words
        As typed, without the program's name.

    Returns
    -------
    tuple
        The whole app and all words where they name no command: it then shows help, or says what is wrong.
    """
    group, name, called = app, "bagside", list(words)
    while called:
        inner = next((g.typer_instance for g in group.registered_groups if g.name == called[0]), None)
        if inner is None:
            break
        group, name, called = inner, f"{name} {called[0]}", called[1:]
    command = next((c for c in group.registered_commands if called and c.name == called[0]), None)
    if command is None:
        return app, list(words), "bagside"
    alone = typer.Typer(
        add_completion=False,
        pretty_exceptions_enable=False,
        context_settings=app.info.context_settings,
    )
    alone.registered_commands = [copy.copy(command)]
    return alone, called[1:], f"{name} {called[0]}"
