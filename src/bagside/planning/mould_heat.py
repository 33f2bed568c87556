"""How hot the mould may be: what its material allows, and the glass transition that its own resin has grown to.

A mould of laminate is a part itself: its resin was cured once, and every pull cures it further. It is asked for the
glass transition of the least cured of that, less a margin.
"""

from __future__ import annotations

from dataclasses import dataclass

from bagside import cure as curing
from bagside.cure import CureResin, Layer, Programme, Section
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.planning.cure_programmes import programme_of
from bagside.planning.cure_sections import cure_resin
from bagside.quantity import shown
from bagside.spec.job import Mould
from bagside.spec.library import Library

MARGIN = 15.0  # [K] of the mould's glass transition over its temperature: common practice, 15 to 20
ROOM = 293.15  # [K] at which its first cure starts


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldHeat:
    """How hot a mould may be.

    Parameters
    ----------
    limit
        Hottest it may be [K].
    words
        On what that rests, in a few words.
    basis
        The same as a basis.
    tg, grown
        Glass transition of its own resin before this cure and after it [K]; None when its cure is not stated.
    """

    limit: float
    words: str
    basis: Basis
    tg: float | None = None
    grown: float | None = None


def mould_heat(mould: Mould, library: Library, programme: Programme | None) -> MouldHeat:
    """Return how hot the mould may be.

    Parameters
    ----------
    mould
        As stated.
    library
        Materials.
    programme
        The part's cure on it, by which it grows; None when that is not known yet.

    Raises
    ------
    InputError
        When its resin is unknown, or cures without one are stated.
    """
    tool = library.tool[mould.material]
    told = MouldHeat(limit=tool.limit, words=mould.material, basis=tool.basis.of("limit"))
    if not mould.resin and not mould.cured:
        return told
    if not mould.resin or not mould.cured:
        missing = "resin" if not mould.resin else "cured"
        raise InputError.one(
            f"job.toml, mould, {missing}",
            "",
            "resin and cured belong together: what it is made of, and how it was cured",
        )
    stated = library.resin[mould.resin]
    resin = cure_resin(stated, stated.density, mould.resin)
    alpha = resin.alpha0
    history = [programme_of(ROOM, mould.cured), *([programme] * mould.pulls if programme is not None else [])]
    for run in history:
        alpha = _after(resin, run, alpha)
    tg = float(resin.tg(alpha))
    grown = tg if programme is None else float(resin.tg(_after(resin, programme, alpha)))
    own = tg - MARGIN
    if own >= tool.limit:
        return MouldHeat(limit=told.limit, words=told.words, basis=told.basis, tg=tg, grown=grown)
    return MouldHeat(
        limit=own,
        words=f"{mould.material}, its Tg of {shown(tg, '°C', 0)} less {MARGIN:.0f} K",
        basis=stated.basis.of("kinetics"),
        tg=tg,
        grown=grown,
    )


def mould_heat_findings(heat: MouldHeat, hottest: float | None) -> tuple[Finding, ...]:
    """Return what a person should know of the mould's own glass transition.

    Parameters
    ----------
    heat
        From `mould_heat`.
    hottest
        Hottest that the mould gets in the cure [K].
    """
    if heat.tg is None or hottest is None or hottest > heat.limit:
        return ()  # above its limit the cure says so itself
    if heat.grown is None or heat.grown < heat.tg + 3.0:
        return ()
    return (
        Finding(
            severity=Severity.SEEN,
            stage="cure",
            place="mould",
            what=f"its glass transition grows from {shown(heat.tg, '°C', 0)} to {shown(heat.grown, '°C', 0)} in this "
            "cure",
            why="every pull cures the mould further, as long as it stays below its glass transition",
            do=f"after this pull it may be {shown(heat.grown - MARGIN, '°C', 0)}; count the pulls in the mould's pulls",
            basis=heat.basis,
            source="rate law of the mould's resin through its own cures",
        ),
    )


def _after(resin: CureResin, programme: Programme, alpha: float) -> float:
    """Return the degree of cure after a programme that the mould follows exactly."""
    thin = Layer(
        name="mould",
        thickness=1e-3,
        density=resin.density,
        heat_capacity=resin.heat_capacity,
        conductivity=resin.conductivity,
        resin=1e-6 * resin.density,
        cells=1,
    )
    section = Section(name="mould", layers=(thin,), film_bag=float("inf"), film_tool=float("inf"), alpha0=alpha)
    history = curing.simulate((section,), resin, programme)[0]
    return float(history.alpha[-1].min())
