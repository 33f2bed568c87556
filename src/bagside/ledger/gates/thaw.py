"""Gate of the thaw: what is cut or laid next is warm through, or its bag was opened already."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bagside.errors import InputError
from bagside.findings import Basis
from bagside.ledger.clocks.thaw import SOURCE, Thaw, thaw_of
from bagside.ledger.gates.cloth import ticked
from bagside.ledger.gates.gate import Gate
from bagside.ledger.gates.kits_for import KitsFor, held
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build, Cloth
from bagside.quantity import shown

BOX = "bag dry before it is opened"
"""Box of the thawing step that somebody ticks who has looked."""

WHY = "water condenses on cold cloth and becomes voids in a cure under vacuum alone"


def thawed(
    build: Build, step: str, shop: Shop, now: datetime, choices: Sequence[Sequence[Cloth]]
) -> Gate | None:
    """Return whether cloth may be taken out of its bag: one of each choice must be.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    shop
        With the places where it was.
    now
        When the step would begin.
    choices
        Cloths of which one is enough; none when the ledger has none.

    Notes
    -----
    Without cloth in the ledger, the box of the finished thawing step is what somebody has looked at.
    """
    if not build.planned.plies:
        return None
    if not choices or not all(choices):
        looked = ticked(build, BOX)
        return Gate(
            key="thawed", step=step, holds=True if looked else None, why=WHY, basis=Basis.COMMON,
            what=f'no cloth of it is in the ledger; "{BOX}" is {"" if looked else "not "}ticked',
            do="leave it sealed until the bag is dry outside and its core is 3 K above the dew point", source=SOURCE,
        )  # fmt: skip
    try:
        told = [min((thaw_of(c, shop, now) for c in cloths), key=_waits) for cloths in choices]
    except InputError as error:
        return Gate(
            key="thawed", step=step, holds=None, what=str(error.problems[0]), why=WHY, basis=Basis.COMMON,
            do="state its sheet under materials/ of the workshop, or measure its core and pass the gate", source=SOURCE,
        )  # fmt: skip
    worst = max(told, key=_waits)
    finding = worst.finding
    if finding is None:
        return Gate(
            key="thawed", step=step, holds=True, what="; ".join(_said(t) for t in told), why=WHY, do="",
            basis=Basis.COMMON, source=SOURCE,
        )  # fmt: skip
    return Gate(
        key="thawed", step=step, holds=False, what=f"{worst.name}: {finding.what}", why=WHY, do=finding.do,
        basis=Basis.COMMON, source=SOURCE,
    )  # fmt: skip


def waiting_for(found: KitsFor, ply: int) -> tuple[tuple[Cloth], ...]:
    """Return the kits that hold pieces of a ply that are not laid, each as a choice of its own.

    Parameters
    ----------
    found
        The kits of a build.
    ply
        Its number.
    """
    return tuple((k,) for k in found.kits if any(number == ply for number, _ in held(k)))


def _waits(thaw: Thaw) -> tuple[bool, float]:
    """Return whether it must wait, and how long: what may be opened comes first."""
    return (not thaw.openable, thaw.takes)


def _said(thaw: Thaw) -> str:
    if thaw.opened is not None:
        return f"{thaw.name}: opened {thaw.opened:%Y-%m-%d %H:%M} UTC"
    return f"{thaw.name}: core at about {shown(thaw.core, '°C', 0)}, {shown(thaw.needed, '°C', 0)} wanted"
