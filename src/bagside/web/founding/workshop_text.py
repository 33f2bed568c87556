"""The answers about a workshop, as the ``workshop.toml`` that a person could have written."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping

from bagside.errors import Problem
from bagside.spec.reading import stated_from
from bagside.spec.workshop import Workshop
from bagside.web.founding.questions import EVERY, FRESH, KNOWN, UNKNOWN, Question
from bagside.web.words.tongue import Tongue

COMMON = "common practice; replace it by what is so here"
"""Comment beside a value that was left as it was: the pages show its mark, and drop it when the value is changed."""
NOT_KNOWN = "not known how long it was out of the freezer"
FIRST_ROLL = "R-1"


def missing(answers: Mapping[str, str], tongue: Tongue) -> Iterator[Problem]:
    """Yield what must be answered before there is a workshop; the place is the question's name.

    Parameters
    ----------
    answers
        By the names of questions, as a file states them; empty ones are not answered.
    tongue
        Of the person.
    """
    for key in ("name", "roll_length", "roll_price", "roll_width"):
        if not answers.get(key, "").strip():
            yield Problem(place=key, came="", wanted=tongue.say(f"begin.wants_{key}"))
    if not re.fullmatch("[A-Z]{3}", answers.get("currency", "")):
        yield Problem(place="currency", came=answers.get("currency", ""), wanted=tongue.say("begin.wants_currency"))
    life = answers.get("roll_life", "")
    if life not in (KNOWN, UNKNOWN, FRESH):
        yield Problem(place="roll_life", came="", wanted=tongue.say("begin.wants_roll_life"))
    if life == KNOWN and not answers.get("roll_used", "").strip():
        yield Problem(place="roll_used", came="", wanted=tongue.say("begin.wants_roll_used"))


def workshop_text(answers: Mapping[str, str], left: frozenset[str] = frozenset()) -> str:
    """Return the file of a workshop.

    Parameters
    ----------
    answers
        By the names of questions, as the file states them.
    left
        Names of questions whose value was left as it was to begin with: it is marked as common practice.

    Raises
    ------
    InputError
        When the file would not be one, as the file's reader says it.
    """
    lines = ["# Set up on the pages; every line may be changed by hand, too.", ""]
    lines += [f"name = {_quoted(answers['name'])}"]
    lines += [f"currency = {_quoted(answers['currency'])}"]
    lines += _lines("", answers, left)
    for table in ("room", "oven", "pump"):
        lines += ["", f"[{table}]", *_lines(table, answers, left)]
    lines += ["", *_roll(answers, left)]
    for table in ("prices", "prices.film", "prices.tape"):
        lines += ["", f"[{table}]", *_lines(table, answers, left)]
    text = "\n".join(lines) + "\n"
    stated_from(tomllib.loads(text), Workshop, "workshop.toml")
    return text


def _lines(table: str, answers: Mapping[str, str], left: frozenset[str]) -> list[str]:
    asked = (q for q in EVERY if q.table == table and q.kind is not None)
    return [line for line in (_line(q.key, q, answers, left) for q in asked) if line]


def _line(key: str, question: Question, answers: Mapping[str, str], left: frozenset[str]) -> str:
    value = in_currency(answers.get(question.name) or question.start, answers["currency"])
    if not value:
        return ""
    return _commented(f"{key} = {_quoted(value)}", COMMON if question.name in left else "")


def _roll(answers: Mapping[str, str], left: frozenset[str]) -> list[str]:
    batch = answers.get("roll_batch", "").strip()
    life = answers.get("roll_life", "")
    used = {FRESH: "0 h", KNOWN: answers.get("roll_used", "")}.get(life, "")
    price = in_currency(answers["roll_price"], answers["currency"])
    lines = [
        "[[stock]]                       # as on its label",
        f"material = {_quoted(answers['roll_material'])}",
        f"width = {_quoted(answers['roll_width'])}",
        f"length = {_quoted(answers['roll_length'])}",
        _commented(f"price = {_quoted(price)}", COMMON if "roll_price" in left else ""),
        f"batch = {_quoted(batch)}" if batch else f"name = {_quoted(FIRST_ROLL)}",
    ]
    lines.append(f"life_used = {_quoted(used)}" if used else f"# life_used: {NOT_KNOWN}; the records say so")
    lines += [
        "",
        "[[offers]]                      # the same again, when this is used up",
        f"material = {_quoted(answers['roll_material'])}",
        f"width = {_quoted(answers['roll_width'])}",
        f"price = {_quoted(price)}",
    ]
    return lines


def in_currency(text: str, currency: str) -> str:
    """Return an amount of money in the workshop's currency: a value to begin with is a number, whatever it is paid in.

    Parameters
    ----------
    text
        As stated.
    currency
        Three letters.

    Examples
    --------
    >>> in_currency("40 EUR/h", "GBP")
    '40 GBP/h'
    """
    return re.sub(r"\b[A-Z]{3}\b", currency, text)


def _commented(line: str, comment: str) -> str:
    return f"{line:<31} # {comment}" if comment else line


def _quoted(text: str) -> str:
    """Return a text as TOML states it."""
    plain = "".join(c if c.isprintable() else " " for c in text.strip())
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"') + '"'
