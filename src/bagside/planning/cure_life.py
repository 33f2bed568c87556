"""From the life a cloth has used to the degree of cure its resin starts from."""

from __future__ import annotations

from collections.abc import Iterable

from bagside import cure as curing
from bagside.cure import CureResin, LifeSheet, Spell
from bagside.errors import InputError
from bagside.findings import Basis
from bagside.spec.material import Prepreg, Resin
from bagside.spec.workshop import Roll

LAYING = 24 * 3600.0  # [s] from the freezer to the oven: thawing, cutting, laying, held under vacuum; common practice
ROOM = 294.15  # [K] at which out-life is stated when a sheet does not say


def life_sheet(prepreg: Prepreg) -> LifeSheet:
    """Return the out-life of a cloth, with every temperature its sheet names, the freezer's too.

    Parameters
    ----------
    prepreg
        As stated; hours are counted at its `out_life_at`.
    """
    return LifeSheet(points=prepreg.life_points, reference=prepreg.out_life_at)


def tack_sheet(prepreg: Prepreg) -> LifeSheet | None:
    """Return the life of a cloth's tack, the second clock; None when its sheet states none.

    Parameters
    ----------
    prepreg
        As stated; hours are counted at the warmest of its points.
    """
    return LifeSheet(points=prepreg.tack_points) if prepreg.tack_points else None


def room_life(prepreg: Prepreg) -> float:
    """Return the out-life of a cloth in a room of 21 °C [s], whatever temperature its sheet states it for.

    Parameters
    ----------
    prepreg
        As stated.
    """
    stated = [life for t, life in prepreg.life_points if abs(t - ROOM) < 0.1]
    return stated[0] if stated else float(life_sheet(prepreg).life(ROOM))


def share_used(prepregs: Iterable[tuple[str, Prepreg]], rolls: Iterable[Roll]) -> float:
    """Return the largest share of out-life that the job's cloth will have used when the oven is switched on.

    Parameters
    ----------
    prepregs
        Name and cloth of each ply.
    rolls
        In stock; cloth of which there is none is taken as fresh.
    """
    told = dict(prepregs)
    lives = [(told[r.material], r.life_used) for r in rolls if r.material in told]
    missing = [p for name, p in told.items() if not any(r.material == name for r in rolls)]
    lives += [(p, 0.0) for p in missing]
    return max(used / p.out_life + LAYING / room_life(p) for p, used in lives)


def start_from_life(resin: Resin, mixed: CureResin, out_life: float, share: float) -> tuple[float, Basis]:
    """Return the degree of cure of resin that has used a share of its life, and on what that rests.

    Parameters
    ----------
    resin
        As stated.
    mixed
        The same, as the cure bench takes it; its start is that of fresh resin.
    out_life
        Whole life at room temperature [s].
    share
        Used; more than all counts as all, and the cutting room says stop.

    Notes
    -----
    When the material does not say how far resin has come at the end of its life, its rate law is asked; a law fitted to
    cures seldom holds at room temperature, and its answer is not believed beyond half-way to gel.
    """
    fresh = mixed.alpha0
    basis = resin.basis.of("worn")
    worn = resin.worn
    if worn is None:
        by_law = curing.advanced(mixed.kinetics, fresh, [Spell(duration=out_life, temperature=ROOM)])
        worn = min(float(by_law[-1]), 0.5 * mixed.gel)
        basis = Basis.COMMON
    if worn <= fresh:
        raise InputError.one(
            "resin, worn", f"{worn:g}", f"more than the {fresh:g} of fresh resin is wanted at the end of its life"
        )
    return curing.alpha_from_life(fresh, worn, min(share, 1.0)), basis
