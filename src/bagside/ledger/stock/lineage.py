"""What a thing came from, what came of it, and what came of that."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bagside.ledger.bodies import Cut, Laid
from bagside.ledger.correcting import History
from bagside.ledger.replay import effective
from bagside.ledger.stock.as_stands import DEEPEST
from bagside.ledger.things import Cloth, Thing


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """What a thing came from, the nearest first; what came of it; and what came of that.

    Parameters
    ----------
    up, down, further
        Names; builds are told as ``build NAME``.
    """

    up: tuple[str, ...]
    down: tuple[str, ...]
    further: tuple[str, ...]


def lineage(thing: Thing, things: Mapping[str, Thing], history: History) -> Line:
    """Return a thing's line up and down.

    Parameters
    ----------
    thing
        Any.
    things
        Everything by name, gone or not.
    history
        Of every name.
    """
    up: dict[str, None] = {}
    wave = list(parents_of(thing)) if isinstance(thing, Cloth) else []
    for _ in range(DEEPEST):
        wave = [n for n in wave if n not in up]
        if not wave:
            break
        up.update(dict.fromkeys(wave))
        wave = [p for n in wave if isinstance(t := things.get(n), Cloth) for p in parents_of(t)]
    down = _children(thing.name, history)
    further: dict[str, None] = {}
    wave = list(down)
    for _ in range(DEEPEST):
        wave = [c for n in wave for c in _children(n, history) if c not in further and c not in down]
        if not wave:
            break
        further.update(dict.fromkeys(wave))
    return Line(up=tuple(up), down=down, further=tuple(further))


def parents_of(cloth: Cloth) -> tuple[str, ...]:
    """Return what cloth was cut from, each once; of what was received, what it is said to come from.

    Parameters
    ----------
    cloth
        Any.
    """
    named = [cloth.parent] if cloth.parent else [p.source for p in cloth.pieces]
    return tuple(dict.fromkeys(n for n in named or [cloth.comes_from] if n))


def _children(name: str, history: History) -> tuple[str, ...]:
    """Return what was cut from a thing, and in which builds a kit was laid."""
    found: dict[str, None] = {}
    for event in effective(history(name)):
        if isinstance(event.body, Cut) and event.body.source == name:
            found.update(dict.fromkeys([*event.body.kits, *(o.name for o in event.body.offcuts)]))
        elif isinstance(event.body, Laid) and event.body.kit == name:
            found[f"build {event.body.build}"] = None
    return tuple(found)
