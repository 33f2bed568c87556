"""Small changes to a layout, each pushed together again: two copies swapped, one turned, one put elsewhere.

It goes on from the best layout there is, which the engine cannot: a change that comes out no longer than before, or
hardly longer, is kept, and further changes start from it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from bagside.cutting.piece import FlatPiece, edge_turns
from bagside.cutting.sides import turns_of
from bagside.cutting.squeeze import Key, Lay, Squeezer

Floats = NDArray[np.float64]

REACH = 0.06
"""How far a copy may move in one round, as a share of the usable width: further than when nothing was changed."""
WORSE = 0.002
"""Share by which a change may make the strip longer and still be kept, now and then."""
GIVEN_UP = 0.01
"""Share by which a change may be longer after a few rounds before it is given up."""


def stirred(squeezer: Squeezer, lay: Lay, random: np.random.Generator) -> Iterator[Lay | None]:
    """Change a layout again and again, without end.

    Parameters
    ----------
    squeezer
        Pushes a changed layout together.
    lay
        The layout to begin with; no copies overlap, and at least one is not held.
    random
        Chooses the changes.

    Yields
    ------
    Lay or None
        None while it works, a layout each time it is shorter than all before.
    """
    best = lay.length
    for change in itertools.cycle((_swapped, _turned_one, _moved_one, _turned_one)):
        tried = change(squeezer, lay, random)
        if tried is None:
            yield None
            continue
        for now in squeezer.squeezed(tried, reach=REACH, limit=lay.length * (1.0 + GIVEN_UP)):
            if now is not None and now.length <= lay.length * (1.0 + WORSE * random.random() ** 3):
                lay = now
                if now.length < best * (1.0 - 1e-7):
                    best = now.length
                    yield now
                    continue
            yield None


def _middle(squeezer: Squeezer, key: Key) -> Floats:
    shape = squeezer.shape(key)
    middle: Floats = 0.5 * (shape.low + shape.high)
    return middle


def _other_way(squeezer: Squeezer, key: Key, random: np.random.Generator) -> Key:
    """Return another turn or side that the piece may have; the same when there is none."""
    index, over, turn = key
    piece = squeezer.pieces[index]
    sides = (over, not over) if piece.flips else (over,)
    turns = turns_of(piece) or (*_free_turns(piece), turn + 0.05 * float(random.standard_normal()))
    ways = [
        (index, s, t)
        for s, t in itertools.product(sides, turns)
        if (s, t) != (over, turn) and _fits(squeezer, (index, s, t))
    ]
    return ways[int(random.integers(len(ways)))] if ways else key


def _free_turns(piece: FlatPiece) -> tuple[float, ...]:
    return edge_turns(piece.loops[0])[:8]


def _fits(squeezer: Squeezer, key: Key) -> bool:
    shape = squeezer.shape(key)
    return float(shape.high[1] - shape.low[1]) <= squeezer.width + 1e-6


def _changed(squeezer: Squeezer, lay: Lay, new: dict[int, tuple[Key, Floats]]) -> Lay:
    """Return the layout with some copies of another key, their middles at the places given."""
    keys, at = list(lay.keys), lay.at.copy()
    for copy, (key, middle) in new.items():
        keys[copy] = key
        at[copy] = middle - _middle(squeezer, key)
    return Lay(tuple(keys), at, math.inf)


def _swapped(squeezer: Squeezer, lay: Lay, random: np.random.Generator) -> Lay | None:
    """Swap two copies of different pieces, rather of like size."""
    sizes = [squeezer.pieces[index].area for index, _, _ in lay.keys]
    one = int(random.integers(squeezer.held, len(sizes)))
    unlike = np.array([abs(math.log(s / sizes[one])) for s in sizes])
    same = np.array([key[0] == lay.keys[one][0] for key in lay.keys])
    weight = np.where(same, 0.0, np.exp(-2.0 * unlike))
    weight[: squeezer.held] = 0.0
    if not weight.sum() > 0.0:
        return None
    other = int(random.choice(len(sizes), p=weight / weight.sum()))
    middles = [lay.at[k] + _middle(squeezer, lay.keys[k]) for k in (one, other)]
    return _changed(squeezer, lay, {one: (lay.keys[one], middles[1]), other: (lay.keys[other], middles[0])})


def _turned_one(squeezer: Squeezer, lay: Lay, random: np.random.Generator) -> Lay | None:
    copy = int(random.integers(squeezer.held, len(lay.keys)))
    key = _other_way(squeezer, lay.keys[copy], random)
    if key == lay.keys[copy]:
        return None
    return _changed(squeezer, lay, {copy: (key, lay.at[copy] + _middle(squeezer, lay.keys[copy]))})


def _moved_one(squeezer: Squeezer, lay: Lay, random: np.random.Generator) -> Lay | None:
    """Put one copy anywhere on the strip, the small ones rather than the large."""
    sizes = np.array([squeezer.pieces[index].area for index, _, _ in lay.keys])
    weight = 1.0 / np.sqrt(sizes)
    weight[: squeezer.held] = 0.0
    copy = int(random.choice(len(sizes), p=weight / weight.sum()))
    key = _other_way(squeezer, lay.keys[copy], random) if random.random() < 0.5 else lay.keys[copy]
    shape = squeezer.shape(key)
    half = 0.5 * (shape.high - shape.low)
    least = np.array([squeezer.start, squeezer.low]) + half
    most = np.maximum(np.array([lay.length, squeezer.high]) - half, least)
    middle: Floats = random.uniform(least, most)
    return _changed(squeezer, lay, {copy: (key, middle)})
