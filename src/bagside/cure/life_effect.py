"""What used life does to a cure: resin that starts further on is thicker, gels earlier and flows for a shorter time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bagside.cure.air import Air
from bagside.cure.outcome import outcomes
from bagside.cure.programme import Programme
from bagside.cure.resin import CureResin
from bagside.cure.section import Section
from bagside.cure.solve import simulate


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeEffect:
    """One cure of one section from one degree of cure.

    Parameters
    ----------
    alpha0
        Degree of cure at the start.
    gel_time, gel_temperature
        When the last point gelled [s] and how hot it was [K]; none when it did not.
    viscosity, viscosity_time
        Lowest viscosity before gel at the lagging point [Pa s] and when [s]; none without a law.
    flow_time
        Time the resin was thinner than ``flow_viscosity`` before it gelled [s]; none without a law.
    flow_viscosity
        Viscosity below which resin is counted as flowing [Pa s].
    hottest
        Hottest point of the laminate [K].
    alpha, tg
        Least degree of cure at the end, and the glass transition there [K].
    """

    alpha0: float
    gel_time: float | None
    gel_temperature: float | None
    viscosity: float | None
    viscosity_time: float | None
    flow_time: float | None
    flow_viscosity: float
    hottest: float
    alpha: float
    tg: float


def life_effect(
    section: Section,
    resin: CureResin,
    air: Programme | Air,
    alphas: Sequence[float],
    *,
    flow_viscosity: float = 30.0,
) -> tuple[LifeEffect, ...]:
    """Return what one section's cure comes to from several degrees of cure, fresh and used.

    Parameters
    ----------
    section
        The place.
    resin
        Its resin.
    air
        The programme, or the air of an oven.
    alphas
        Degrees of cure at the start.
    flow_viscosity
        Viscosity below which resin is counted as flowing [Pa s].

    Returns
    -------
    tuple of LifeEffect
        In the order of ``alphas``; all in one run, so that differences are not noise of the solver.

    Raises
    ------
    InputError
        When the resin can never start from one of them.
    NotSolved
        When the cure cannot be computed.
    """
    places = [replace(section, name=f"{section.name} from {100 * a:.3g} %", alpha0=float(a)) for a in alphas]
    found = outcomes(simulate(places, resin, air), resin, flow_viscosity=flow_viscosity)
    return tuple(
        LifeEffect(
            alpha0=float(a),
            gel_time=o.gel_time,
            gel_temperature=o.gel_temperature,
            viscosity=o.viscosity,
            viscosity_time=o.viscosity_time,
            flow_time=o.flow_time,
            flow_viscosity=o.flow_viscosity,
            hottest=o.hottest,
            alpha=o.alpha_lagging,
            tg=o.tg,
        )
        for a, o in zip(alphas, found, strict=True)
    )
