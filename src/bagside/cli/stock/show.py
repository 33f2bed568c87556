"""``bagside stock show NAME``: what a thing is now, what it came from and what came of it, and its history."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bagside.cli.desk import Folder
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.findings import Finding
    from bagside.ledger.clocks.life_now import Clock, LifeNow
    from bagside.ledger.stock.lineage import Line
    from bagside.ledger.things import Thing
    from bagside.records.desk import Desk


def show(
    name: Annotated[str, typer.Argument(metavar="NAME", help="On its label.")],
    workshop: Folder = None,
    json: AsJson = False,
) -> int:
    """Show a thing: how it stands, its life with what that rests on, its line up and down, its history."""
    from bagside.cli import show as out
    from bagside.cli.build.words import event_data
    from bagside.cli.desk import desk
    from bagside.cli.stock.found import thing_called
    from bagside.cli.stock.history import history_lines
    from bagside.ledger.clocks.life import life_of
    from bagside.ledger.stock.lineage import lineage
    from bagside.ledger.things import Cloth, thing_data

    with desk(workshop) as here:
        thing = thing_called(here.ledger, name)
        shop = here.standing()
        life = life_of(thing.name, shop, here.at) if isinstance(thing, Cloth) and _known(here, thing) else None
        events = here.ledger.history(thing.name)
        line = lineage(thing, shop.things, here.ledger.history)
        rows = _rows(thing, shop.things, life, line)
    findings: tuple[Finding, ...] = () if life is None or not thing.there else life.findings
    if json:
        out.emit(
            {
                "thing": thing_data(thing),
                "life": None if life is None else life_data(life),
                "comes_from": list(line.up),
                "came_of_it": list(line.down),
                "came_of_that": list(line.further),
                "history": [event_data(e) for e in events],
                "findings": [out.finding_data(f) for f in findings],
            }
        )
        return out.exit_code(findings)
    out.table(f"{thing.name}, {thing.sort.value}", ["", ""], rows)
    for text in history_lines(events, thing.name):
        out.OUT.print(text, soft_wrap=True, markup=False)
    out.show_findings(findings)
    return out.exit_code(findings)


def life_data(life: LifeNow) -> dict[str, Any]:
    """Return a life as JSON data.

    Parameters
    ----------
    life
        Of cloth.
    """
    return {
        "at": life.at.isoformat(),
        "out": clock_data(life.out),
        "tack": None if life.tack is None else clock_data(life.tack),
        "use_by": None if life.use_by is None else life.use_by.isoformat(),
        "worst": life.worst,
    }


def clock_data(clock: Clock) -> dict[str, Any]:
    """Return a clock as JSON data.

    Parameters
    ----------
    clock
        One of a life.
    """
    return {
        "used_percent": 100.0 * clock.share,
        "used_h": clock.used / 3600.0,
        "whole_h": clock.whole / 3600.0,
        "counted_at_c": clock.counted_at - 273.15,
        "left_room_h": clock.left_room / 3600.0,
        "left_cold_days": clock.left_cold / 86400.0,
        "sure": clock.sure,
        "basis": clock.basis.value,
        "source": clock.source,
    }


def _known(here: Desk, thing: Thing) -> bool:
    return getattr(thing, "material", "") in here.library.prepreg


def _rows(thing: Thing, things: Mapping[str, Thing], life: LifeNow | None, line: Line) -> list[list[str]]:
    from bagside.cli.build.words import clock
    from bagside.cli.stock.history import by_ply
    from bagside.cli.stock.words import amount_of, material_of, place_of
    from bagside.ledger.things import Cloth, Goods, Mould

    rows = [["material", material_of(thing)], ["there", amount_of(thing)], ["place", place_of(thing, things)]]
    batch = getattr(thing, "batch", "")
    rows.append(["batch", batch])
    if isinstance(thing, Cloth) and thing.pieces:
        left = sorted((p.piece.label for p in thing.pieces if not p.laid_in), key=by_ply)
        rows.append(["still in it", ", ".join(left)])
    if isinstance(thing, Cloth | Goods) and thing.opened is not None:
        rows.append(["opened", clock(thing.opened)])
    if isinstance(thing, Mould):
        rows += mould_rows(thing)
    if life is not None:
        rows += _life_rows(life)
    rows += [["comes from", ", ".join(line.up)], ["came of it", ", ".join(line.down)]]
    rows.append(["and of that", ", ".join(line.further)])
    gone = getattr(thing, "gone", None)
    if isinstance(gone, datetime):
        rows.append(["gone", f"{clock(gone)}: {getattr(thing, 'why', '')}"])
    return [row for row in rows if row[1] not in ("", "–")]


def _life_rows(life: LifeNow) -> list[list[str]]:
    from bagside.cli.show import MARK
    from bagside.ledger.clocks.life_notes import time_words
    from bagside.quantity import shown

    rows = []
    for word, one in (("out-life", life.out), ("tack", life.tack)):
        if one is None:
            continue
        unsure = "" if one.sure else ", not known how it began: the safe side is counted"
        rows.append(
            [
                word,
                f"{shown(one.share, '%', 1)} used; {time_words(one.left_room)} left in the room, "
                f"{time_words(one.left_cold)} at −18 °C {MARK[one.basis]}{unsure}",
            ]
        )
    if life.use_by is not None:
        rows.append(["last day", life.use_by.isoformat()])
    if life.worst:
        rows.append(["least life", f"the piece from {life.worst}"])
    return rows


def mould_rows(mould: Any) -> list[list[str]]:
    """Return how a mould stands, as rows of a table.

    Parameters
    ----------
    mould
        Any.
    """
    from bagside.quantity import shown

    rows = [["since release", f"{mould.pulls_since_release} pulls"]]
    if mould.coats_last is not None:
        left = mould.coats_last - mould.pulls_since_release
        rows[0][1] += f" of {mould.coats_last}, {max(left, 0)} left" if mould.coats else f" of {mould.coats_last}"
    if mould.coats:
        agent, coats, _ = mould.coats[-1]
        rows.append(["released with", f"{agent}, {coats} coat{'s' if coats > 1 else ''}"])
    if mould.hottest is not None:
        rows.append(["hottest seen", shown(mould.hottest, "°C", 0)])
    if mould.limit is not None:
        rows.append(["may see", shown(mould.limit, "°C", 0)])
    if mould.stuck:
        rows.append(["stuck", f"{mould.stuck} parts"])
    for when, what, where in mould.repairs:
        rows.append(["repaired", f"{when:%Y-%m-%d}: {what}{f', {where}' if where else ''}"])
    return rows
