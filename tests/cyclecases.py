"""Two cures that a cycle is designed for: a thick one that may run away, and a mould that cannot take the heat.

The thick one: 30 mm of the 2001 published law on a composite tool. The other: 4 mm of an invented resin that vitrifies,
on a board of resin that may be 80 °C. Thicknesses, films and limits are chosen for these tests.
"""

from __future__ import annotations

from bagside.cure import (
    CastroMacosko,
    CureResin,
    HubertEtAl2001,
    Kamal,
    Layer,
    Oven,
    Section,
    Vitrification,
    laminate_layer,
)
from bagside.cure.design import Bounds, Flow

ZERO_C = 273.15
MINUTE = 60.0

THICK_RESIN = CureResin(
    kinetics=HubertEtAl2001(A=1.528e5, E=6.65e4, m=0.8129, n=2.736, C=43.09, aC0=-1.684, aCT=5.475e-3),
    heat=540e3,
    density=1300.0,
    heat_capacity=1304.0,
    conductivity=0.212,
    tg0=266.15,
    tg1=523.15,
    tg_lambda=0.78,
    gel=0.47,
    alpha0=0.01,
    viscosity=CastroMacosko(A=3.45e-10, E=76536.0, gel=0.47, a=3.8, b=2.5),
)


def thick(cells: int = 10) -> Section:
    """Return 30 mm of laminate on 8 mm of composite tool."""
    return Section(
        name="30 mm",
        layers=(
            Layer(
                name="laminate",
                thickness=0.030,
                density=1581.0,
                heat_capacity=1051.0,
                conductivity=0.637,
                resin=1300.0 * 0.426,
                cells=cells,
            ),
            Layer(
                name="tool", thickness=0.008, density=1550.0, heat_capacity=1000.0, conductivity=0.7, cells=cells // 2
            ),
        ),
        film_bag=25.0,
        film_tool=25.0,
    )


THICK_OVEN = Oven(hottest=180.0 + ZERO_C, heating=3.0 / MINUTE, cooling=1.0 / MINUTE)
THICK_BOUNDS = Bounds(target=0.80, hottest=190.0 + ZERO_C, spread=0.25, flow=Flow(viscosity=30.0, time=1800.0))

VITRIFYING = CureResin(
    kinetics=Kamal(
        A1=3.433e6,
        E1=8.0e4,
        A2=2.861e8,
        E2=8.0e4,
        m=0.85,
        n=1.6,
        vitrification=Vitrification(tg0=266.15, tg1=408.15, tg_lambda=0.5, offset=-8.0, width=8.0),
    ),
    heat=420e3,
    density=1220.0,
    heat_capacity=1300.0,
    conductivity=0.21,
    tg0=266.15,
    tg1=408.15,
    tg_lambda=0.5,
    gel=0.5,
    alpha0=0.01,
    hottest=150.0 + ZERO_C,
)
LAMINATE = laminate_layer(
    resin=VITRIFYING,
    thickness=0.004,
    fibre_volume=0.55,
    fibre_density=1790.0,
    fibre_heat_capacity=910.0,
    fibre_conductivity=4.0,
)
BOARD = Layer(name="tool", thickness=0.012, density=750.0, heat_capacity=1100.0, conductivity=0.15, cells=6)
ON_BOARD = Section(name="4 mm on board", layers=(LAMINATE, BOARD), film_bag=25.0, film_tool=25.0)
FREE = Section(name="4 mm", layers=(LAMINATE,), film_bag=25.0, film_tool=25.0)
BOARD_OVEN = Oven(hottest=180.0 + ZERO_C, heating=3.0 / MINUTE, cooling=2.0 / MINUTE)
BOARD_FIRST = Bounds(target=0.65, tool=80.0 + ZERO_C)
BOARD_POST = Bounds(tg=120.0 + ZERO_C, stiff=5.0)
