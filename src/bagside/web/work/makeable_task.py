"""The task that asks the nest what can still be made of a roll or an offcut before it dies."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from bagside.errors import InputError
from bagside.findings import Finding
from bagside.ledger.clocks.due import due
from bagside.ledger.stock.makeable import Makeable, makeable_in_turn
from bagside.planning.stages import Stages
from bagside.records.desk import desk
from bagside.records.kept_plan import STORE
from bagside.records.open_parts import dying_cloth, open_parts
from bagside.web.work.child import Teller
from bagside.web.work.planning_task import Watched

AHEAD = timedelta(days=60)


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeOf:
    """What a cloth can still become, None when no open job can be worked out; and jobs that were not counted."""

    made: Makeable | None
    findings: tuple[Finding, ...]


def ask_makeable(tell: Teller, folder: Path, name: str, seconds: float) -> MadeOf:
    """Return what of the open jobs can be made of a cloth.

    Parameters
    ----------
    tell
        Takes `bagside.web.work.messages.StageNews`.
    folder
        Of the workshop.
    name
        Of a roll or an offcut.
    seconds
        For the nests [s].

    Raises
    ------
    InputError
        When there is no such cloth, or nothing is left of it.
    """
    with desk(folder, "desk", "desk") as here:
        now = datetime.now().astimezone()
        shop = here.standing()
        dying, findings = dying_cloth(shop, due(shop, now), (name,), now + AHEAD, now)
        if not dying:
            why = findings[0].what if findings else "nothing is left of it"
            raise InputError.one("name", f'"{name}"', why)
        stages = Stages(store=folder / STORE, progress=Watched(tell))
        open_ = open_parts(here.ledger, folder, (), {d.cloth.material for d in dying}, stages, now)
    made = None
    if open_.first is not None:
        plain = now.replace(tzinfo=None)
        made = makeable_in_turn(dying, open_.first, open_.parts, open_.cut, plain, seconds=seconds)[0]
    return MadeOf(made=made, findings=(*findings, *open_.findings))
