"""``bagside build measure BUILD WHAT VALUE``: one measurement of a part, with its place."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.build import given
from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.ledger.bodies import Found
    from bagside.ledger.things import Build

WHATS = (
    "thickness", "pinholes", "distortion", "hole", "dry-film", "core", "demould", "hours", "water-break", "tap",
    "thermocouples",
)  # fmt: skip
"""What may be typed, as short as it can be."""

_SPOKEN = {
    "hole": "hole position", "core": "core temperature", "tap": "tap test", "demould": "demould temperature",
}  # fmt: skip


def measure(
    build: given.Serial,
    what: Annotated[
        str,
        typer.Argument(
            metavar="WHAT",
            help="thickness, pinholes, distortion (off its shape at the worst), hole (off its place), dry-film, core, "
            "demould, hours, water-break, tap, thermocouples.",
        ),
    ],
    value: Annotated[
        str, typer.Argument(metavar="VALUE", help='With its unit, as in "1.02 mm"; a count; "yes" or "no".')
    ],
    place: Annotated[
        str, typer.Option(help='Where: a zone of the plan, as in "T1" or "T1 bow"; a hole, a region, a ply.')
    ] = "",
    error: Annotated[
        str, typer.Option(help="By how much it may be off, 95 times in 100, in the same unit.")
    ] = "",
    gauge: Annotated[str, typer.Option(help="With what.")] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Write down a measurement of a part."""
    from bagside.cli.build import words
    from bagside.cli.build.found import build_called, one_of
    from bagside.cli.desk import desk
    from bagside.ledger.bodies import Measured
    from bagside.ledger.builds.points import reading_findings

    key = one_of(what, WHATS, "WHAT", "one of " + ", ".join(WHATS) + " is wanted")
    found_what = found_of(key)
    number = value_of(key, value)
    off = None if not error else 0.5 * abs(value_of(key, error, "--error", difference=True))
    with desk(workshop, who, at, late=late) as here:
        found = build_called(here.ledger, build)
        named = place_called(found, key, place)
        body = Measured(subject=found.name, found=found_what, value=number, place=named, sigma=off, gauge=gauge)
        events = words.kept(here, body)
        now = words.again(here, found.name)
    before = reading_findings(found)
    where = f" at {named}" if named else ""
    said = [f"{found.name}: {key}{where} {told(key, number)}{planned_words(found, key, named)}."]
    return words.answered(
        now,
        said,
        [f for f in reading_findings(now) if f not in before],
        events=events,
        data={"what": key, "place": named, "value_si": number},
        json=json,
    )


def place_called(build: Build, key: str, text: str) -> str:
    """Return the place of the plan that is meant, when it is one: its name, and what else says where; else as typed.

    Parameters
    ----------
    build
        Its plan names zones and holes.
    key
        What is measured.
    text
        As typed: ``t1 bow``.
    """
    from bagside.cli.build.found import meant_by

    plan = build.planned
    names = {"thickness": [p.place for p in plan.points], "hole": [h.name for h in plan.holes]}.get(key, [])
    for whole, rest in ((text, ""), (text.partition(" ")[0], text.partition(" ")[2].strip())):
        meant = meant_by(whole, names) if whole else []
        if len(meant) == 1:
            return f"{meant[0]} {rest}".strip()
    return text


def planned_words(build: Build, key: str, place: str) -> str:
    """Return what was planned for a measurement, in brackets; nothing where the plan says nothing.

    Parameters
    ----------
    build, key, place
        Of which, what is measured, and where.
    """
    from bagside.quantity import shown

    plan = build.planned
    for point in plan.points if key == "thickness" else ():
        if place == point.place or place.startswith(f"{point.place} "):
            return f" (planned {shown(point.thickness, 'mm', 2)} ± {shown(point.tolerance, 'mm', 2)})"
    for hole in plan.holes if key == "hole" else ():
        if hole.name == place:
            return f" (it may be {shown(hole.off, 'mm')} off)"
    return ""


def found_of(key: str) -> Found:
    """Return what is measured, by the word that is typed.

    Parameters
    ----------
    key
        One of `WHATS`.
    """
    from bagside.ledger.bodies import Found

    return Found(_SPOKEN.get(key, key.replace("-", " ")))


def key_of(found: Found) -> str:
    """Return the word that is typed for what is measured.

    Parameters
    ----------
    found
        What.
    """
    back = {value: key for key, value in _SPOKEN.items()}
    return back.get(found.value, found.value.replace(" ", "-"))


def value_of(key: str, text: str, place: str = "VALUE", *, difference: bool = False) -> float:
    """Return a value in SI units.

    Parameters
    ----------
    key
        What is measured.
    text
        As typed.
    place
        For messages.
    difference
        Whether it is an error: of a temperature it is then a difference.

    Raises
    ------
    InputError
        When it cannot be read, or has the unit of something else.
    """
    from bagside.cli.options import quantity
    from bagside.errors import InputError
    from bagside.quantity import Quantity

    if key in ("water-break", "tap"):
        answers = {"yes": 1.0, "passed": 1.0, "held": 1.0, "good": 1.0, "1": 1.0} | {
            "no": 0.0, "failed": 0.0, "broke": 0.0, "bad": 0.0, "0": 0.0,
        }  # fmt: skip
        answer = answers.get(text.strip().casefold())
        if answer is None:
            raise InputError.one(place, f'"{text}"', '"yes" or "no" is wanted: whether it passed')
        return answer
    if key in ("pinholes", "thermocouples"):
        if not text.strip().isdigit():
            raise InputError.one(place, f'"{text}"', "a whole number is wanted, without a unit")
        return float(text)
    warmth = Quantity.DIFFERENCE if difference else Quantity.TEMPERATURE
    kinds = {"core": warmth, "demould": warmth, "hours": Quantity.TIME}
    return quantity(text, kinds.get(key, Quantity.LENGTH), place)


def told(key: str, value: float) -> str:
    """Return a value as people read it.

    Parameters
    ----------
    key, value
        What, and how much in SI units.
    """
    from bagside.quantity import shown

    if key in ("water-break", "tap"):
        return "passed" if value else "failed"
    if key in ("pinholes", "thermocouples"):
        return f"{value:.0f}"
    units = {"core": ("°C", 1), "demould": ("°C", 1), "hours": ("h", 1), "dry-film": ("µm", 0)}
    unit, digits = units.get(key, ("mm", 2))
    return shown(value, unit, digits)
