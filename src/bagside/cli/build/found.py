"""Builds, steps and pieces by what a person types with cold hands: whole, by their beginning, or by number."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, TypeVar

from bagside.cli.build.words import clock
from bagside.errors import InputError, did_you_mean

if TYPE_CHECKING:
    from bagside.ledger.planned import PlannedPly, PlannedStep
    from bagside.ledger.things import Build
    from bagside.records.database.ledger import Ledger

T = TypeVar("T")


def build_called(ledger: Ledger, text: str) -> Build:
    """Return the build a person means: its serial number, its beginning, or the number at its end.

    Parameters
    ----------
    ledger
        Opened.
    text
        As typed; case, spaces and dashes do not matter, and an open build goes before one that is closed.

    Raises
    ------
    InputError
        When none is meant, or several could be.
    """
    from bagside.ledger.bodies import Sort
    from bagside.ledger.things import Build

    exact = ledger.thing(text.strip())
    if isinstance(exact, Build):
        return exact
    for there in (True, None):
        names = ledger.names(Sort.BUILD, there=there)
        meant = meant_by(text, names)
        if len(meant) == 1:
            found = ledger.thing(meant[0])
            assert isinstance(found, Build)
            return found
        if meant:
            raise InputError.one("BUILD", f'"{text}"', f"it may be {listed(meant, 'or')}; type one more letter")
    if not names:
        raise InputError.one("BUILD", f'"{text}"', "no build has been begun yet", "bagside build begin JOB begins one")
    raise InputError.one("BUILD", f'"{text}"', "there is no build of this name", did_you_mean(text, names))


def builds_called(ledger: Ledger, text: str) -> list[Build]:
    """Return the builds of a list with commas, each once.

    Parameters
    ----------
    ledger
        Opened.
    text
        As typed.

    Raises
    ------
    InputError
        When one of them is not known, or none is stated.
    """
    words = [w for w in text.split(",") if w.strip()]
    if not words:
        raise InputError.one("BUILD", "", "a serial number is wanted")
    found = {b.name: b for b in (build_called(ledger, w) for w in words)}
    return list(found.values())


def meant_by(text: str, names: Iterable[str]) -> list[str]:
    """Return the names a word may mean: the same but for case and dashes, so numbered, or so beginning.

    Parameters
    ----------
    text
        As typed.
    names
        All there are.

    Examples
    --------
    >>> meant_by("fp1", ["FP-1", "FP-10"])
    ['FP-1']
    >>> meant_by("10", ["FP-1", "FP-10"]), meant_by("fp10", ["FP26-1", "FP26-10", "PF26-10"])
    (['FP-10'], ['FP26-10'])
    """
    word = _plain(text)
    if not word:
        return []
    all_ = list(names)
    split = re.fullmatch(r"(\D+)(\d+)", word)
    tests: tuple[Callable[[str], bool], ...] = (
        lambda name: _plain(name) == word,
        lambda name: word.isdigit() and _number(name) == int(word),
        lambda name: split is not None and _plain(name).startswith(split[1]) and _number(name) == int(split[2]),
        lambda name: _plain(name).startswith(word),
    )
    for test in tests:
        found = [n for n in all_ if test(n)]
        if found:
            return found
    return []


def _plain(text: str) -> str:
    return re.sub(r"[\s_-]+", "", text).casefold()


def _number(name: str) -> int:
    found = re.search(r"(\d+)$", name)
    return int(found.group(1)) if found else -1


def step_called(build: Build, text: str, place: str = "STEP") -> PlannedStep:
    """Return the planned step a person means: its key, its beginning, or its number from 1.

    Parameters
    ----------
    build
        The build.
    text
        As typed.
    place
        What it is called in messages.

    Raises
    ------
    InputError
        When none is meant, or several could be.
    """
    steps = build.planned.steps
    word = text.strip()
    if word.isdigit():
        number = int(word)
        if not 1 <= number <= len(steps):
            raise InputError.one(place, word, f"{build.name} has steps 1 to {len(steps)}")
        return steps[number - 1]
    by_key = {s.key: s for s in steps}
    key = one_of(word, list(by_key), place, f"no step of {build.name} is called so")
    return by_key[key]


def one_of(text: str, names: Sequence[str], place: str, none: str) -> str:
    """Return the one name a word means.

    Parameters
    ----------
    text
        As typed.
    names
        All there are.
    place
        For messages.
    none
        What is said when nothing is meant.

    Raises
    ------
    InputError
        When none is meant, or several could be.
    """
    if text in names:
        return text
    word = _plain(text)
    same = [n for n in names if _plain(n) == word]
    found = same or [n for n in names if word and _plain(n).startswith(word)]
    if len(found) == 1:
        return found[0]
    if found:
        raise InputError.one(place, f'"{text}"', f"it may be {listed(found, 'or')}; type one more letter")
    hint = did_you_mean(text, names) or (f"there are {listed(names, 'and')}" if names else "there is none yet")
    raise InputError.one(place, f'"{text}"', none, hint)


def pieces_called(build: Build, words: Sequence[str]) -> list[tuple[PlannedPly, str]]:
    """Return the pieces a person means: "3" all of ply 3 that are not laid, "3:3B" one of them, "3B" a label.

    Parameters
    ----------
    build
        The build.
    words
        As typed.

    Raises
    ------
    InputError
        With every word that names no ply or piece of this build, or a ply that is laid already.
    """
    wrong: list[InputError] = []
    found: list[tuple[PlannedPly, str]] = []
    for word in words:
        try:
            found.extend(_pieces(build, word.strip()))
        except InputError as error:
            wrong.append(error)
    if wrong:
        raise InputError([p for e in wrong for p in e.problems])
    return found


def _pieces(build: Build, word: str) -> list[tuple[PlannedPly, str]]:
    plies = {p.number: p for p in build.planned.plies}
    number, colon, label = word.partition(":")
    number = re.sub(r"^(ply)?[\s-]*", "", number, flags=re.IGNORECASE)
    if not colon and not number.isdigit():
        named = {(n, piece) for n, p in plies.items() for piece in p.pieces if _plain(piece) == _plain(word)}
        if len(named) == 1:
            ((n, piece),) = named
            return [(plies[n], piece)]
    if not number.isdigit() or int(number) not in plies:
        last = max(plies)
        raise InputError.one("PLY", f'"{word}"', f"there is no such ply or piece: {build.name} has plies 1 to {last}")
    ply = plies[int(number)]
    if colon:
        return [(ply, one_of(label, list(dict.fromkeys(ply.pieces)), "PLY", f"ply {ply.number} has no such piece"))]
    laid = [n for n in build.laid if n.what.ply == ply.number]
    left = list(ply.pieces)
    for tick in laid:
        if tick.what.piece in left:
            left.remove(tick.what.piece)
    if not left:
        last_tick = max(laid, key=lambda n: n.at)
        raise InputError.one(
            "PLY",
            f'"{word}"',
            f"ply {ply.number} is laid already: {last_tick.who} ticked it at {clock(last_tick.at)}",
            "nothing is ticked twice; a wrong tick is corrected with bagside build correct",
        )
    return [(ply, piece) for piece in left]


def listed(words: Sequence[str], last: str = "and", most: int = 12) -> str:
    """Return words as a person says them.

    Parameters
    ----------
    words
        One or more.
    last
        Before the last one.
    most
        How many are named at most.

    Examples
    --------
    >>> listed(["a", "b", "c"])
    'a, b and c'
    """
    if len(words) > most:
        return f"{', '.join(words[:most])} … ({len(words)} in all)"
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def gate_step(build: Build, text: str, place: str = "--step") -> PlannedStep:
    """Return the step before which gates are asked for: a planned one, or the end of the build, called ``close``.

    Parameters
    ----------
    build, text, place
        See `step_called`.

    Raises
    ------
    InputError
        When none is meant, or several could be.
    """
    from bagside.ledger.gates.gate import CLOSING

    return closing() if _plain(text) == CLOSING else step_called(build, text, place)


def closing() -> PlannedStep:
    """Return the end of a build as if it were a step."""
    from bagside.ledger.gates.gate import CLOSING
    from bagside.ledger.planned import PlannedStep

    return PlannedStep(key=CLOSING, name="Close the build", stage="Check")


def planned_step(build: Build, key: str) -> PlannedStep | None:
    """Return the planned step of a key; None when this build has none.

    Parameters
    ----------
    build, key
        Which.
    """
    return next((s for s in build.planned.steps if s.key == key), None)
