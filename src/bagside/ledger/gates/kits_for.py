"""Which kits a build is laid from: those it was laid from already, and those that still hold what is missing.

A cut says for which job it was, and a kit's pieces say which they are: a kit of the job that holds what is missing of a
cloth counts for the build that asks. Of several, the one that carries the part's number comes first, then the oldest.
A kit that is complete belongs to one part: it is not robbed of a piece that another part's kit lacks.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from bagside.ledger.bodies import Sort
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build, Cloth
from bagside.planning.cutting_room import initials

Piece = tuple[int, str]
"""Number of a ply, and the label of one of its pieces."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KitsFor:
    """What a build has to be laid from.

    Parameters
    ----------
    kits
        Those it was laid from, and those that hold what is missing, each once.
    missing
        Ply and label of each piece that is neither laid nor in any of the kits.
    waiting
        How many pieces are still to be laid.
    """

    kits: tuple[Cloth, ...]
    missing: tuple[Piece, ...]
    waiting: int


def kits_for(build: Build, shop: Shop) -> KitsFor:
    """Return the kits of a build, and what is missing.

    Parameters
    ----------
    build
        Which.
    shop
        Where kits lie.
    """
    wanted = wanted_pieces(build)
    named = [shop.things.get(n) for n in dict.fromkeys(t.what.kit for t in build.laid) if n]
    used = [k for k in named if isinstance(k, Cloth)]
    lying = sorted(
        (t for t in shop.things.values() if isinstance(t, Cloth) and t.sort is Sort.KIT and t.there and t not in used),
        key=lambda k: (not k.name.endswith(f"-{build.planned.number}"), k.born, k.name),
    )
    kits = list(used)
    missing: Counter[Piece] = Counter()
    for material, pieces in wanted.items():
        whole = _whole(build, material)
        own = [k for k in lying if k.material == material and set(_all(k)) <= set(whole)]
        own = [k for k in own if _is_for(build.planned.job, k, shop)]
        own.sort(key=lambda k: (pieces - held(k)).total())  # the one that lacks the least; the order above decides ties
        left = Counter(pieces)
        for kit in (k for k in used if k.material == material):
            left -= held(kit)
        begun = any(k.material == material for k in used)
        for kit in own:
            others = begun and (_all(kit) >= whole or not held(kit) <= left)  # another part's: it is not robbed
            if others or not held(kit) & left:
                continue
            begun = True
            kits.append(kit)
            left -= held(kit)
        missing += left
    waiting = sum(pieces.total() for pieces in wanted.values())
    return KitsFor(kits=tuple(kits), missing=tuple(sorted(missing.elements())), waiting=waiting)


def _is_for(job: str, kit: Cloth, shop: Shop) -> bool:
    """Return whether a kit was cut for a job; of several jobs cut from one pull its name tells which."""
    told = job_of(kit, shop)
    if told in ("", job):
        return True
    named = re.fullmatch(rf"{re.escape(initials([job])[0])}[a-z]?-.+", kit.name)
    return job in told.split(", ") and named is not None


def _whole(build: Build, material: str) -> Counter[Piece]:
    """Return every piece of a cloth in one part, laid or not."""
    return Counter((p.number, label) for p in build.planned.plies if p.material == material for label in p.pieces)


def _all(kit: Cloth) -> Counter[Piece]:
    """Return every piece that was put into a kit, laid or not."""
    return Counter((p.piece.ply, p.piece.label) for p in kit.pieces)


def wanted_pieces(build: Build) -> dict[str, Counter[Piece]]:
    """Return the pieces that are still to be laid, by cloth, each as often as it is missing.

    Parameters
    ----------
    build
        Which.
    """
    out: dict[str, Counter[Piece]] = {}
    laid = Counter((t.what.ply, t.what.piece) for t in build.laid)
    for ply in build.planned.plies:
        left = Counter((ply.number, p) for p in ply.pieces) - laid
        if left:
            out.setdefault(ply.material, Counter()).update(left)
    return out


def held(kit: Cloth) -> Counter[Piece]:
    """Return the pieces in a kit that are not laid.

    Parameters
    ----------
    kit
        Which.
    """
    return Counter((p.piece.ply, p.piece.label) for p in kit.pieces if not p.laid_in)


def job_of(kit: Cloth, shop: Shop) -> str:
    """Return the job a kit was cut for, as its sources know it; empty when they do not.

    Parameters
    ----------
    kit
        Which.
    shop
        For its sources.
    """
    sources: Iterable[str] = dict.fromkeys(p.source for p in kit.pieces)
    for name in sources:
        source = shop.things.get(name)
        if isinstance(source, Cloth):
            for pulled in source.pulled:
                if pulled.event == kit.birth and pulled.job:
                    return pulled.job
    return ""
