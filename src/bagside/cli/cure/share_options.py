"""Options of parts that share an oven: ``name=value``, and a length by a width."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagside.planning.cure_case import CureCase
    from bagside.planning.share_case import InOven

TIMES = re.compile(r"\s*[x×]\s*")


def length_and_width(text: str, option: str) -> tuple[float, float]:
    """Return "1.2 x 0.8 m" as length and width [m]; one unit at the end serves both.

    Parameters
    ----------
    text
        As typed.
    option
        For messages.

    Raises
    ------
    InputError
        Naming the option.
    """
    from bagside.cli.options import positive
    from bagside.errors import InputError
    from bagside.quantity import Quantity

    parts = TIMES.split(text.strip())
    if len(parts) != 2:
        raise InputError.one(option, f'"{text}"', 'a length and a width are wanted, as in "1.2 x 0.8 m"')
    first, second = parts
    unit = re.sub(r"^[\d.eE+\s-]*", "", second)
    if re.fullmatch(r"[\d.]+", first.strip()):
        first = f"{first} {unit}"
    return positive(first, Quantity.LENGTH, option), positive(second, Quantity.LENGTH, option)


def named(texts: Sequence[str], option: str, example: str) -> dict[str, str]:
    """Return "hatch=2" and the like by name.

    Parameters
    ----------
    texts
        As typed.
    option, example
        For messages.

    Raises
    ------
    InputError
        Naming every text without a name or a value.
    """
    from bagside.errors import InputError, Problem

    wrong = [
        Problem(place=option, came=f'"{text}"', wanted=f'a part and a value are wanted, as in "{example}"')
        for text in texts
        if not all(text.partition("=")[::2])
    ]
    if wrong:
        raise InputError(wrong)
    return {name.strip(): value.strip() for name, _, value in (text.partition("=") for text in texts)}


def in_oven(sizes: Sequence[str], leaks: Sequence[str], lines: Sequence[str], wet: Sequence[str]) -> dict[str, InOven]:
    """Return what is stated about each part in the oven, by its name.

    Parameters
    ----------
    sizes, leaks, lines
        ``name=value`` each.
    wet
        Names.

    Raises
    ------
    InputError
        Naming the option.
    """
    from bagside.cli.options import not_negative
    from bagside.errors import InputError
    from bagside.planning.share_case import InOven
    from bagside.quantity import Quantity

    size = {n: length_and_width(v, "--size") for n, v in named(sizes, "--size", "hatch=0.8 x 0.5 m").items()}
    leak = {n: not_negative(v, Quantity.FLOW, "--leak") for n, v in named(leaks, "--leak", "hatch=40 cm³/min").items()}
    count: dict[str, int] = {}
    for name, value in named(lines, "--lines", "hatch=2").items():
        if not value.isdecimal() or int(value) < 1:
            raise InputError.one("--lines", f'"{name}={value}"', 'a whole number from 1 is wanted, as in "hatch=2"')
        count[name] = int(value)
    return {
        name: InOven(footprint=size.get(name), lines=count.get(name, 1), leak=leak.get(name), wet=name in wet)
        for name in dict.fromkeys((*size, *leak, *count, *wet))
    }


def pump_of(jobs: Sequence[Path], workshop: Path | None) -> float | None:
    """Return the flow of the workshop's pump [m³/s]; nothing when only files of sections are given.

    Parameters
    ----------
    jobs
        Jobs or files of sections.
    workshop
        As for the jobs.
    """
    from bagside.records.with_stock import opened_jobs
    from bagside.spec.reading import load_toml

    for job in jobs:
        if job.is_file() and "sections" in load_toml(job):
            continue
        return opened_jobs([job], workshop)[0].workshop.pump.flow
    return None


def told_apart(cases: Sequence[CureCase]) -> list[CureCase]:
    """Return cases of which each has its own name: a second one of the same name is its "2".

    Parameters
    ----------
    cases
        In the order they were given; the same job may be given twice, for two parts of it.
    """
    from dataclasses import replace

    seen: dict[str, int] = {}
    out = []
    for case in cases:
        seen[case.name] = seen.get(case.name, 0) + 1
        out.append(case if seen[case.name] == 1 else replace(case, name=f"{case.name} {seen[case.name]}"))
    return out
