"""What a part that is begun is called, which one of its job it is, and on which mould it is made."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from datetime import datetime

from bagside.errors import InputError
from bagside.ledger.things import Build, Thing
from bagside.planning.cutting_room import initials

SCRAP = "scrap"


def builds_of(things: Iterable[Thing], job: str) -> list[Build]:
    """Return the builds of a job, in the order in which they were begun.

    Parameters
    ----------
    things
        Any, gone or not.
    job
        Its name.
    """
    return sorted((t for t in things if isinstance(t, Build) and t.planned.job == job), key=lambda b: b.born)


def free_part(before: Sequence[Build], job: str, quantity: int, place: str) -> int:
    """Return the first part of a job that nobody has begun, or whose builds were scrapped.

    Parameters
    ----------
    before
        Its builds.
    job, quantity
        Its name, and how many parts it makes.
    place
        For messages.

    Raises
    ------
    InputError
        When every part has been begun.
    """
    taken = {b.planned.number for b in before if b.closed is None or b.closed.what.verdict != SCRAP}
    free = next((n for n in range(1, quantity + 1) if n not in taken), 0)
    if not free:
        raise InputError.one(
            place,
            "",
            f"every part of {job} has been begun: it makes {quantity}",
            "raise quantity in job.toml, or state the part that is made again",
        )
    return free


def mould_before(moulds: Collection[str], before: Sequence[Build]) -> str:
    """Return the mould of the part before while it is there; empty when nobody knows.

    Parameters
    ----------
    moulds
        Names of those that are there.
    before
        The builds of the job, in the order in which they were begun.
    """
    last = next((b.mould for b in reversed(before) if b.mould), "")
    return last if last in moulds else ""


def serial_prefix(job: str, at: datetime) -> str:
    """Return how the serial numbers of a job begin: its initials and the year.

    Parameters
    ----------
    job
        Its name.
    at
        When the part is begun.

    Examples
    --------
    >>> from datetime import datetime
    >>> serial_prefix("Footrest plate", datetime(2026, 11, 26))
    'FP26'
    """
    return f"{initials([job])[0]}{at:%y}"
