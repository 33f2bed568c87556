"""A branching line taken apart: the single lines between the places where more than two walls meet.

The line along a patch comes as stations and links between them. Where it branches, radius and angle of the walls
change, so each arm is measured by itself. Short spurs and short rungs are jitter of the stations and go.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.mould.skeleton import Skeleton

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Arm:
    """One line without branches.

    Parameters
    ----------
    stations
        In order along it; a closed one does not repeat its first.
    closed
        Whether it closes on itself.
    meets
        Whether other lines meet it at its first and at its last station.
    """

    stations: tuple[int, ...]
    closed: bool
    meets: tuple[bool, bool]


def arms_of(skeleton: Skeleton, shortest: float) -> tuple[Arm, ...]:
    """Return the single lines that a skeleton consists of.

    Parameters
    ----------
    skeleton
        Of a connected patch.
    shortest
        Spurs and rungs shorter than this are left out [m].

    Returns
    -------
    tuple of Arm
        Longest first; none when the patch is as short as wide.
    """
    near: dict[int, set[int]] = {}
    for a, b in skeleton.links.tolist():
        near.setdefault(a, set()).add(b)
        near.setdefault(b, set()).add(a)
    _prune(near, skeleton.points, shortest)
    chains, rings = _chains(near)
    kept, home = _contracted(chains, skeleton.points, shortest)
    arms = [Arm(stations=tuple(ring), closed=True, meets=(False, False)) for ring in rings]
    arms += _joined(kept, home)
    return tuple(sorted(arms, key=lambda arm: -_length(list(arm.stations), skeleton.points)))


def _length(chain: list[int], points: Floats) -> float:
    return float(np.linalg.norm(np.diff(points[chain], axis=0), axis=1).sum())


def _spur(near: dict[int, set[int]], leaf: int) -> list[int]:
    """Return the chain from a free end up to the branch it hangs on, or to the other free end."""
    chain = [leaf]
    while True:
        ahead = [k for k in sorted(near[chain[-1]]) if len(chain) < 2 or k != chain[-2]]
        if len(ahead) != 1:
            return chain
        chain.append(ahead[0])


def _prune(near: dict[int, set[int]], points: Floats, shortest: float) -> None:
    """Take away free ends that hang on a branch and are short, shortest first."""
    while True:
        spurs = [_spur(near, leaf) for leaf in sorted(near) if len(near[leaf]) == 1]
        spurs = [s for s in spurs if len(near[s[-1]]) > 2 and _length(s, points) < shortest]
        if not spurs:
            return
        spur = min(spurs, key=lambda s: (_length(s, points), s))
        for k, station in enumerate(spur[:-1]):
            near[spur[k + 1]].discard(station)
            del near[station]


def _chains(near: dict[int, set[int]]) -> tuple[list[list[int]], list[list[int]]]:
    """Return chains between stations that are free ends or branches, and rings without either."""
    ends = [k for k in sorted(near) if len(near[k]) != 2]
    used: set[tuple[int, int]] = set()
    chains: list[list[int]] = []
    for end in ends:
        for first in sorted(near[end]):
            if (end, first) in used:
                continue
            chain = [end, first]
            while len(near[chain[-1]]) == 2:
                chain.append(next(k for k in sorted(near[chain[-1]]) if k != chain[-2]))
            used |= {(chain[0], chain[1]), (chain[-1], chain[-2])}
            chains.append(chain)
    seen = {k for chain in chains for k in chain} | set(ends)
    rings: list[list[int]] = []
    for start in sorted(near):
        if start in seen:
            continue
        ring = [start, min(near[start])]
        while True:
            ahead = next(k for k in sorted(near[ring[-1]]) if k != ring[-2])
            if ahead == start:
                break
            ring.append(ahead)
        seen |= set(ring)
        rings.append(ring)
    return chains, rings


def _contracted(chains: list[list[int]], points: Floats, shortest: float) -> tuple[list[list[int]], dict[int, int]]:
    """Return the chains that stay, and for each end the meeting it belongs to after short rungs are drawn together."""
    home = {k: k for chain in chains for k in (chain[0], chain[-1])}
    count: dict[int, int] = dict.fromkeys(home, 0)
    for chain in chains:
        for k in (chain[0], chain[-1]):
            count[k] += 1

    def root(k: int) -> int:
        while home[k] != k:
            k = home[k]
        return k

    kept = []
    for chain in sorted(chains, key=lambda c: (_length(c, points), c)):
        a, b = chain[0], chain[-1]
        rung = count[a] > 2 and count[b] > 2 and a != b and _length(chain, points) < shortest
        loop = root(a) == root(b) and count[a] > 1 and _length(chain, points) < 2.0 * shortest
        if rung:
            home[root(a)] = root(b)
        elif not loop:
            kept.append(chain)
    return kept, {k: root(k) for k in home}


def _joined(kept: list[list[int]], home: dict[int, int]) -> list[Arm]:
    """Return chains as arms; two that alone meet at one place are one."""
    lines = [list(chain) for chain in kept]
    while True:
        at: dict[int, list[int]] = {}
        for n, line in enumerate(lines):
            at.setdefault(home[line[0]], []).append(n)
            at.setdefault(home[line[-1]], []).append(n)
        pair = next(((m, of) for m, of in sorted(at.items()) if len(of) == 2 and of[0] != of[1]), None)
        if pair is None:
            break
        meeting, (one, two) = pair
        first = lines[one] if home[lines[one][-1]] == meeting else lines[one][::-1]
        second = lines[two] if home[lines[two][0]] == meeting else lines[two][::-1]
        together = first + (second[1:] if second[0] == first[-1] else second)
        lines = [line for n, line in enumerate(lines) if n not in (one, two)] + [together]
    out = []
    for line in lines:
        a, b = home[line[0]], home[line[-1]]
        closed = a == b and len(at[a]) == 2
        if closed and line[0] == line[-1]:
            line = line[:-1]
        meets = (len(at[a]) > 2, len(at[b]) > 2)
        out.append(Arm(stations=tuple(line), closed=closed, meets=(False, False) if closed else meets))
    return out
