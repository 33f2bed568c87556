"""What every command on stock says in the same way: how much there is, where, what was written down."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from bagside.cli import show
from bagside.findings import Finding

if TYPE_CHECKING:
    from bagside.ledger.bodies import Body
    from bagside.ledger.event import Event
    from bagside.ledger.things import Thing
    from bagside.records.desk import Desk


def kept(at: Desk, *bodies: Body) -> list[Event]:
    """Write what happened into the ledger, all of it or nothing, and return the events.

    Parameters
    ----------
    at
        The desk.
    bodies
        What happened, in order.

    Raises
    ------
    InputError
        When the ledger refuses it; nothing is kept then.
    """
    from bagside.cli.build.words import kept as written

    return written(at, *bodies)


def answered(
    said: Sequence[str],
    findings: Iterable[Finding] = (),
    *,
    events: Sequence[Event] = (),
    data: dict[str, Any] | None = None,
    json: bool = False,
) -> int:
    """Say what was written down, and return the exit code.

    Parameters
    ----------
    said
        Sentences.
    findings
        What should be known; one that says stop makes the exit code 1.
    events
        That were written.
    data
        More for JSON.
    json
        Whether one JSON object is wanted.
    """
    from bagside.cli.build.words import event_data

    noticed = tuple(findings)
    if json:
        kept = [event_data(e) for e in events]
        show.emit({"kept": kept, **(data or {}), "findings": [show.finding_data(f) for f in noticed]})
        return show.exit_code(noticed)
    for line in said:
        show.OUT.print(line, soft_wrap=True, markup=False)
    show.show_findings(noticed)
    return show.exit_code(noticed)


def amount_of(thing: Thing) -> str:
    """Return how much there is of a thing, in words.

    Parameters
    ----------
    thing
        Any.
    """
    from bagside.ledger.bodies import Sort
    from bagside.ledger.stock.areas import extent_of
    from bagside.ledger.things import Cloth, Goods, Mould, Place
    from bagside.quantity import shown

    if isinstance(thing, Cloth):
        if thing.sort is Sort.ROLL:
            return shown(thing.left, "m", 2)
        if thing.sort is Sort.KIT:
            left = [p for p in thing.pieces if not p.laid_in]
            return f"{len(left)} of {len(thing.pieces)}"
        along, across = extent_of(thing.outline)
        return f"{1e3 * along:.0f}×{1e3 * across:.0f} mm"
    if isinstance(thing, Goods):
        told = []
        if thing.mass is not None:
            told.append(shown(thing.mass, "g", 0))
        if thing.volume is not None:
            told.append(shown(thing.volume, "mL", 0))
        if thing.count is not None:
            told.append(f"{thing.count}")
        return ", ".join(told) or "–"
    if isinstance(thing, Mould):
        return f"{len(thing.pulls)} pulls"
    if isinstance(thing, Place) and thing.temperature is not None:
        return shown(thing.temperature, "°C", 0)
    return "–"


def amount_data(thing: Thing) -> dict[str, Any]:
    """Return how much there is of a thing as JSON data, keys with their unit.

    Parameters
    ----------
    thing
        Any.
    """
    from bagside.ledger.bodies import Sort
    from bagside.ledger.stock.areas import area_of, extent_of
    from bagside.ledger.things import Cloth, Goods, Mould, Place

    if isinstance(thing, Cloth) and thing.sort is Sort.ROLL:
        return {"length_m": thing.left, "width_mm": None if thing.width is None else 1e3 * thing.width}
    if isinstance(thing, Cloth) and thing.sort is Sort.KIT:
        return {"pieces": len(thing.pieces), "pieces_left": sum(not p.laid_in for p in thing.pieces)}
    if isinstance(thing, Cloth):
        along, across = extent_of(thing.outline)
        return {
            "area_m2": area_of(thing.outline, thing.holes), "along_mm": 1e3 * along, "across_mm": 1e3 * across,
        }  # fmt: skip
    if isinstance(thing, Goods):
        return {
            "mass_g": None if thing.mass is None else 1e3 * thing.mass,
            "volume_ml": None if thing.volume is None else 1e6 * thing.volume,
            "count": thing.count,
        }
    if isinstance(thing, Mould):
        return {"pulls": len(thing.pulls), "pulls_since_release": thing.pulls_since_release}
    if isinstance(thing, Place):
        return {"temperature_c": None if thing.temperature is None else thing.temperature - 273.15}
    return {}


def place_of(thing: Thing, things: Any) -> str:
    """Return the place a thing is in; empty when nobody wrote it down, or it has none.

    Parameters
    ----------
    thing
        Any.
    things
        Everything by name.
    """
    from bagside.ledger.stock.as_stands import stays_of
    from bagside.ledger.things import Cloth, Goods

    if isinstance(thing, Cloth):
        stays = stays_of(thing, things)
    elif isinstance(thing, Goods):
        stays = thing.stays
    else:
        return ""
    return stays[-1].place if stays else ""


def material_of(thing: Thing) -> str:
    """Return the material of a thing; empty when it has none.

    Parameters
    ----------
    thing
        Any.
    """
    found: str = getattr(thing, "material", "")
    return found
