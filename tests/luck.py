"""A thin laminate that follows the air, whose cure is in closed form: what chances are checked against."""

from __future__ import annotations

import math
from dataclasses import replace

from bagside.cure import CureResin, Layer, NthOrder, Oven, Programme, Section, Segment
from bagside.cure.chance import INPUTS, Kind, Scatter, Spread

ZERO_C = 273.15
OVEN = Oven(hottest=473.15, heating=1.0, cooling=1.0)
RATE = 1e-3
CYCLE = Programme(start=293.15, segments=(Segment(target=393.15, ramp=0.1, hold=3600.0),))


def resin(**more: object) -> CureResin:
    """First order, no heat, the same rate at every temperature: α = 1 − (1 − α0) exp(−k t)."""
    base = CureResin(
        kinetics=NthOrder(A=RATE, E=0.0, n=1.0), heat=0.0, density=1220.0, heat_capacity=1300.0, conductivity=0.2,
        tg0=266.0, tg1=408.0, tg_lambda=0.5, gel=0.5, alpha0=0.02,
    )  # fmt: skip
    return replace(base, **more)


def thin(name: str = "panel", **more: object) -> Section:
    """Half a millimetre between faces held at the air."""
    laminate = Layer(
        name="laminate", thickness=5e-4, density=1550.0, heat_capacity=1000.0, conductivity=0.6, resin=600.0, cells=2
    )
    return Section(name=name, layers=(laminate,), film_bag=math.inf, film_tool=math.inf, **more)  # type: ignore[arg-type]


def only(**sizes: Spread) -> Scatter:
    """Nothing scatters but what is given."""
    still = {name: replace(getattr(Scatter(), name), size=0.0) for name in INPUTS}
    return Scatter(**{**still, **sizes}, together=())


def normal(size: float) -> Spread:
    return Spread(kind=Kind.NORMAL, size=size)


def lognormal(size: float) -> Spread:
    return Spread(kind=Kind.LOGNORMAL, size=size)
