"""How far resin has reacted before it ever saw an oven.

Two ways, and they seldom agree. By the rate law, hour by hour: exact for the law, but laws are fitted between 60 and
180 °C and hardly any holds in a freezer. By life: fresh at one end, spent at the other, and the share of life used in
between. The second is for planning; the first is for comparing, and for resins whose law was fitted to out-life too.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bagside.cure.kinetics import Kinetics
from bagside.cure.life import Spell
from bagside.cure.resin import start_problems
from bagside.errors import InputError, NotSolved, Problem

Floats = NDArray[np.float64]


def advanced(kinetics: Kinetics, alpha0: float, spells: Sequence[Spell]) -> Floats:
    """Return the degree of cure after each of some spells, one after the other.

    Parameters
    ----------
    kinetics
        The rate law.
    alpha0
        Degree of cure before.
    spells
        In their order.

    Returns
    -------
    Floats
        Shape (k,).

    Raises
    ------
    InputError
        When the law never starts from ``alpha0``.
    NotSolved
        When the law cannot be followed.

    Notes
    -----
    Each spell is followed in its own time scale, so that a year in a freezer costs what a minute at 180 °C does. No
    heat of reaction is counted: for a roll or a kit, never for a pot of resin.

    Examples
    --------
    >>> from bagside.cure import NthOrder
    >>> day = Spell(duration=86400.0, temperature=300.0)
    >>> advanced(NthOrder(A=1e-6, E=0.0, n=1.0), 0.0, [day, day]).round(5).tolist()
    [0.08276, 0.15867]
    """
    wrong = start_problems(alpha0, kinetics, "alpha0")
    if wrong:
        raise InputError(wrong)
    out, alpha = [], alpha0
    for spell in spells:
        alpha = _after(kinetics, alpha, spell) if spell.duration else alpha
        out.append(alpha)
    return np.array(out, dtype=np.float64)


def _after(kinetics: Kinetics, alpha: float, spell: Spell) -> float:
    from scipy.integrate import solve_ivp  # half a second, and whoever asks only for lives does not need it

    def slope(s: float, a: Floats) -> Floats:
        return spell.duration * kinetics.rate(a, spell.at(s * spell.duration))

    def steepness(s: float, a: Floats) -> Floats:
        return spell.duration * kinetics.rate_and_slopes(a, spell.at(s * spell.duration))[1].reshape(1, 1)

    followed = f"the rate law could not be followed for {spell.duration:g} s at {spell.temperature:g} K"
    with np.errstate(all="ignore"):
        try:
            got = solve_ivp(slope, (0.0, 1.0), [alpha], method="Radau", jac=steepness, rtol=1e-8, atol=1e-11)
        except ValueError as error:  # a slope that is not a number is refused by the linear algebra
            raise NotSolved(followed) from error
    end = float(got.y[0, -1])
    if not (got.success and np.isfinite(end)):
        raise NotSolved(followed)
    return min(max(end, alpha), 1.0)  # rounding of the last digits


def alpha_from_life(fresh: float, worn: float, share: float) -> float:
    """Return the degree of cure of a prepreg of which a share of life is used.

    Parameters
    ----------
    fresh
        Degree of cure when new.
    worn
        Degree of cure when its life is used up.
    share
        Of its life that is used; above one when it is overdrawn.

    Returns
    -------
    float
        Degree of cure.

    Raises
    ------
    InputError
        When fresh resin is not above zero, spent resin is not above that, the share is negative, or the result would
        be no longer below one.

    Notes
    -----
    A straight line: only its two ends are known. A resin that speeds itself up lies a little below it half-way, so
    that flow is judged on the safe side. Measured before lay-up, by DSC or gel time, it is better than any of this.

    Examples
    --------
    >>> round(alpha_from_life(0.01, 0.05, 0.5), 4)
    0.03
    """
    wrong = []
    if not 0.0 < fresh < 1.0:
        wrong.append(
            Problem(
                place="life, fresh",
                came=repr(fresh),
                wanted="a degree of cure above 0 and below 1 is wanted",
                hint="fresh prepreg is usually at 0.01 to 0.05",
            )
        )
    if not fresh < worn < 1.0:
        wrong.append(Problem(place="life, worn", came=repr(worn), wanted="above fresh resin's and below 1 is wanted"))
    if not 0.0 <= share < np.inf:
        wrong.append(Problem(place="life, share", came=repr(share), wanted="zero or more is wanted"))
    if wrong:
        raise InputError(wrong)
    alpha = fresh + (worn - fresh) * share
    if not alpha < 1.0:
        raise InputError.one("life, share", repr(share), "so much life cannot be used: the resin would be cured")
    return alpha
