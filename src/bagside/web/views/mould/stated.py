"""What a job's file says of its mould so far, whatever else it does not say yet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bagside.errors import InputError, Problem
from bagside.planning.laminate_stage import laid_ply
from bagside.spec.job import Laying, Mould, Ply
from bagside.spec.library import workshop_library
from bagside.spec.lines import Line
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.region import EVERYTHING, Hole, Region

UNKNOWN = {"material": "not stated yet", "thickness": "5 mm"}
"""What planning wants of a mould and looking at it does not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """What is stated of a mould so far, as far as it can be read.

    Parameters
    ----------
    mould
        As stated; what planning wants beyond the mesh may be missing.
    regions, lines, holes
        As stated.
    part
        Name of the region that is the part.
    laying
        For the radius that is wanted.
    structural
        Whether the part carries.
    thickness
        Of the stated plies [m]; zero when there are none.
    problems
        Of what cannot be read.
    """

    mould: Mould
    regions: Mapping[str, Region]
    lines: Mapping[str, Line]
    holes: tuple[Hole, ...]
    part: str
    laying: Laying
    structural: bool
    thickness: float
    problems: tuple[Problem, ...] = ()


def stated_so_far(job: Path) -> Stated:
    """Return what a job's file says of its mould, as far as it can be read.

    Parameters
    ----------
    job
        The file.

    Raises
    ------
    InputError
        When it is no TOML, or what it says of the mould cannot be read.
    """
    data = load_toml(job)
    told = data.get("mould")
    mould = stated_from(UNKNOWN | (told if isinstance(told, dict) else {}), Mould, job.name, ("mould",))
    problems: list[Problem] = []

    def read(key: str, kind: Any, otherwise: Any) -> Any:
        try:
            return stated_from(data[key], kind, job.name, (key,)) if key in data else otherwise
        except InputError as error:
            problems.extend(error.problems)
            return otherwise

    plies: tuple[Ply, ...] = read("plies", tuple[Ply, ...], ())
    return Stated(
        mould=mould,
        regions=read("regions", dict[str, Region], {}),
        lines=read("lines", dict[str, Line], {}),
        holes=read("holes", tuple[Hole, ...], ()),
        part=str(data.get("part", EVERYTHING)),
        laying=read("laying", Laying, Laying()),
        structural=bool(data.get("structural", False)),
        thickness=_thickness(plies, job),
        problems=tuple(problems),
    )


def _thickness(plies: tuple[Ply, ...], job: Path) -> float:
    shop = next((p for p in job.resolve().parents if (p / "workshop.toml").is_file()), None)
    if not plies or shop is None:
        return 0.0
    try:
        library = workshop_library(shop)
    except InputError:
        return 0.0
    known = [library.prepreg[p.material] for p in plies if p.material in library.prepreg]
    return sum(laid_ply("", cloth, 0.0).thickness for cloth in known)
