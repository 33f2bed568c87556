"""``logger.toml`` beside the logs: what was settled once about a logger, so that it is not asked for each of its files.

Only what holds for every file of a logger is kept: the ambient pressure of the day and the meaning of one jump of the
clock are not. What is stated for a file wins over what is kept.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import tomlkit

from bagside.errors import InputError, Problem, did_you_mean
from bagside.findings import Finding, Severity
from bagside.records.logger.options import LoggerOptions
from bagside.records.logger.saying import told
from bagside.records.logger.stating import stated_options
from bagside.records.writing import replaced
from bagside.spec.reading import load_toml

SETTLED = "logger.toml"
LISTS = ("column", "at", "unit", "pressure")
WORDS = ("time", "time-column", "date-order", "every", "decimal", "separator", "sheet")
HEAD = "# What was settled about the logger whose files lie here; read with each of them.\n"


def settled_beside(path: Path, options: LoggerOptions) -> tuple[LoggerOptions, tuple[Finding, ...]]:
    """Return options with what was settled before about the files of a folder, and a finding that says so.

    Parameters
    ----------
    path
        Of the log.
    options
        What was stated for it.

    Raises
    ------
    InputError
        With every line of ``logger.toml`` that cannot be understood.
    """
    file = path.parent / SETTLED
    if not file.is_file():
        return options, ()
    kept = _kept(load_toml(file))
    merged = replace(
        options,
        columns={**kept.columns, **options.columns},
        sections={**kept.sections, **options.sections},
        units={**kept.units, **options.units, "": (*kept.units.get("", ()), *options.units.get("", ()))},
        pressures={**kept.pressures, **options.pressures},
        time=options.time or kept.time,
        time_column=options.time_column or kept.time_column,
        date_order=options.date_order or kept.date_order,
        every=options.every if options.every is not None else kept.every,
        decimal=options.decimal or kept.decimal,
        separator=options.separator or kept.separator,
        sheet=options.sheet or kept.sheet,
        may_lack=frozenset({*kept.columns, *kept.sections, *kept.units, *kept.pressures})
        - {*options.columns, *options.sections, *options.units, *options.pressures},
    )
    finding = told(
        Severity.SEEN, path.name, f"{SETTLED} beside it was taken into account",
        "it holds what was settled about this logger before", "nothing; take it away when another logger wrote this",
    )  # fmt: skip
    return merged, (finding,)


def _kept(data: Mapping[str, Any]) -> LoggerOptions:
    """Return what the file holds."""
    wrong: list[Problem] = []
    texts: dict[str, Any] = {}
    for key, value in data.items():
        place = f"{SETTLED}, {key}"
        if key in LISTS:
            one = [value] if isinstance(value, str) else value
            if not isinstance(one, list) or not all(isinstance(v, str) for v in one):
                wrong.append(Problem(place=place, came="", wanted='texts are wanted, as in ["TC1=air", "TC2=part"]'))
                continue
            texts[key] = one
        elif key in WORDS:
            if not isinstance(value, str):
                wrong.append(Problem(place=place, came=str(value), wanted="a text in quotes is wanted"))
                continue
            texts[key.replace("-", "_")] = value
        else:
            hint = did_you_mean(key, (*LISTS, *WORDS))
            wrong.append(Problem(place=place, came="", wanted="this is not known here", hint=hint))
    try:
        options = stated_options(**texts, where=f"{SETTLED}, ")
    except InputError as error:
        raise InputError([*wrong, *error.problems]) from None
    if wrong:
        raise InputError(wrong)
    return options


def keep_settled(folder: Path, texts: Mapping[str, Any]) -> Path:
    """Keep what was stated for a file in ``logger.toml``, beside what it held before; return its path.

    Comments and lines made by hand stay.

    Parameters
    ----------
    folder
        In which the logs lie.
    texts
        As stated, by the names `stated_options` has; those of the day alone are left out.

    Raises
    ------
    InputError
        When the file that is there cannot be read.
    OutputError
        When it cannot be written; then it is as it was.
    """
    path = folder / SETTLED
    if path.is_file():
        _kept(load_toml(path))
        document = tomlkit.parse(path.read_text(encoding="utf-8"))
    else:
        document = tomlkit.parse(HEAD)
    for key in (*LISTS, *WORDS):
        stated = texts.get(key.replace("-", "_"))
        if not stated:
            continue
        if key in LISTS:
            before = document.get(key, [])
            lines = [before] if isinstance(before, str) else [str(line) for line in before]
            names = {text.rpartition("=")[0].strip() for text in stated} - {""}
            lines = [line for line in lines if line.rpartition("=")[0].strip() not in names and line not in stated]
            document[key] = tomlkit.parse(f"x = {json.dumps([*lines, *stated], ensure_ascii=False)}")["x"]
        else:
            document[key] = stated
    replaced(path, tomlkit.dumps(document))
    return path
