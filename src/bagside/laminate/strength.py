"""When the first ply fails, and why: four criteria, with the stresses that cure leaves behind.

A strength ratio is the factor by which the load may grow until the criterion is met; below one the load is too much.
Stresses from cure do not grow with the load. Where they alone meet the criterion, the ratio is 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bagside.errors import InputError
from bagside.laminate.elasticity import reduced_stiffness, strain_transform, stress_transform
from bagside.laminate.ply import LaidPly, Lamina
from bagside.laminate.stack import Laminate
from bagside.laminate.woven import ply_response

Floats = NDArray[np.float64]

SHEAR_LIMIT = np.radians(10.0)  # beyond it a cloth's stated strengths say nothing about the turned yarns


class Criterion(StrEnum):
    """How a ply is judged."""

    MAX_STRESS = "maximum stress"
    MAX_STRAIN = "maximum strain"
    TSAI_HILL = "Tsai–Hill"
    TSAI_WU = "Tsai–Wu"


def _stresses(stress: ArrayLike, residual: ArrayLike | None) -> tuple[Floats, Floats]:
    load = np.asarray(stress, dtype=np.float64)
    rest = np.zeros_like(load) if residual is None else np.broadcast_to(np.asarray(residual, np.float64), load.shape)
    return load, rest


def _linear(load: Floats, rest: Floats, positive: Floats, negative: Floats) -> Floats:
    """Return the least factor at which rest + factor·load leaves the box from −negative to positive."""
    room = np.where(load > 0.0, positive - rest, negative + rest)
    with np.errstate(divide="ignore", over="ignore"):
        each = np.where(load == 0.0, np.inf, room / np.where(load == 0.0, 1.0, np.abs(load)))
    broken = ((rest >= positive) | (rest <= -negative)).any(axis=-1)
    out: Floats = np.where(broken, 0.0, each.min(axis=-1))
    return out


def max_stress_ratio(stress: ArrayLike, lamina: Lamina, residual: ArrayLike | None = None) -> Floats:
    """Return the strength ratio by maximum stress.

    Parameters
    ----------
    stress
        Stress from the load in ply axes, shape (..., 3) [Pa].
    lamina
        Strengths.
    residual
        Stress that does not grow with the load, same shape [Pa].

    Returns
    -------
    Floats
        Shape (...); infinite without load.

    Raises
    ------
    InputError
        When a strength is not known.
    """
    xt, xc, yt, yc, s = lamina.strengths()
    load, rest = _stresses(stress, residual)
    return _linear(load, rest, np.array([xt, yt, s]), np.array([xc, yc, s]))


def max_strain_ratio(stress: ArrayLike, lamina: Lamina, residual: ArrayLike | None = None) -> Floats:
    """Return the strength ratio by maximum strain, with limits that are strength over modulus.

    Parameters
    ----------
    stress, lamina, residual
        As in `max_stress_ratio`.

    Returns
    -------
    Floats
        Shape (...); infinite without load.

    Raises
    ------
    InputError
        When a strength is not known.

    Notes
    -----
    Strains are those from stress; free expansion is not one of them.
    """
    xt, xc, yt, yc, s = lamina.strengths()
    modulus = np.array([lamina.E1, lamina.E2, lamina.G12])
    compliance = np.linalg.inv(reduced_stiffness(lamina))
    load, rest = (values @ compliance.T for values in _stresses(stress, residual))
    return _linear(load, rest, np.array([xt, yt, s]) / modulus, np.array([xc, yc, s]) / modulus)


def tsai_hill_ratio(stress: ArrayLike, lamina: Lamina, *, signs: bool = True) -> Floats:
    """Return the strength ratio by Tsai–Hill.

    Parameters
    ----------
    stress
        Stress from the load in ply axes, shape (..., 3) [Pa].
    lamina
        Strengths.
    signs
        Take compressive strengths where a stress is compressive; False is the original form, tension throughout.

    Returns
    -------
    Floats
        Shape (...); infinite without load.

    Raises
    ------
    InputError
        When a strength is not known.

    Notes
    -----
    No stresses from cure: with them the signs, and so the strengths, change with the factor sought.
    """
    xt, xc, yt, yc, s = lamina.strengths()
    load, _ = _stresses(stress, None)
    s1, s2, t12 = load[..., 0], load[..., 1], load[..., 2]
    x1 = np.where((s1 > 0.0) | (not signs), xt, xc)
    x2 = np.where((s2 > 0.0) | (not signs), xt, xc)
    y = np.where((s2 > 0.0) | (not signs), yt, yc)
    index = (s1 / x1) ** 2 - s1 * s2 / x2**2 + (s2 / y) ** 2 + (t12 / s) ** 2
    with np.errstate(divide="ignore", over="ignore"):
        out: Floats = np.where(index > 0.0, 1.0 / np.sqrt(np.where(index > 0.0, index, 1.0)), np.inf)
    return out


def tsai_wu_ratio(
    stress: ArrayLike, lamina: Lamina, residual: ArrayLike | None = None, *, interaction: float | None = None
) -> Floats:
    """Return the strength ratio by Tsai–Wu.

    Parameters
    ----------
    stress, lamina, residual
        As in `max_stress_ratio`.
    interaction
        F12 [1/Pa²]; None: −½ √(F11 F22).

    Returns
    -------
    Floats
        Shape (...); infinite without load.

    Raises
    ------
    InputError
        When a strength is not known, or the interaction opens the surface (F12² ≥ F11 F22).
    """
    xt, xc, yt, yc, s = lamina.strengths()
    f11, f22, f66 = 1 / (xt * xc), 1 / (yt * yc), 1 / s**2
    f12 = -0.5 * np.sqrt(f11 * f22) if interaction is None else interaction
    if f12**2 >= f11 * f22:
        raise InputError.one("lamina, F12", f"{f12:g} 1/Pa²", f"less than {np.sqrt(f11 * f22):.3g} 1/Pa² is wanted")
    square = np.array([[f11, f12, 0.0], [f12, f22, 0.0], [0.0, 0.0, f66]])
    line = np.array([1 / xt - 1 / xc, 1 / yt - 1 / yc, 0.0])
    load, rest = _stresses(stress, residual)
    a = np.einsum("...i,ij,...j->...", load, square, load)
    b = load @ line + 2 * np.einsum("...i,ij,...j->...", load, square, rest)
    c = rest @ line + np.einsum("...i,ij,...j->...", rest, square, rest) - 1.0
    root = np.sqrt(np.maximum(b * b - 4 * a * c, 0.0))  # c < 0 inside the surface, where the root is always real
    loaded = a > 0.0
    ratio = np.where(loaded, (-b + root) / np.where(loaded, 2 * a, 1.0), np.inf)
    out: Floats = np.where(c >= 0.0, 0.0, ratio)
    return out


@dataclass(frozen=True, slots=True, kw_only=True)
class PlyFailure:
    """Where a laminate fails first.

    Parameters
    ----------
    ratio
        Strength ratio of the load given.
    ply
        Index of the ply, 0 on the mould.
    name
        Its name.
    where
        ``bottom``, ``middle`` or ``top`` of that ply.
    criterion
        By which it was judged.
    stress
        Stress in the ply's axes at failure, cure included [Pa].
    """

    ratio: float
    ply: int
    name: str
    where: str
    criterion: Criterion
    stress: tuple[float, float, float]


def _frame(ply: LaidPly) -> float:
    """Return the direction of the axes a ply is judged in: half-way axes of the yarns when it is sheared."""
    return ply.angle - ply.shear / 2 if ply.woven else ply.angle


def ply_stresses(
    laminate: Laminate, force: ArrayLike, moment: ArrayLike = (0.0, 0.0, 0.0), warmed: float = 0.0
) -> Floats:
    """Return the stresses in each ply in its own axes.

    Parameters
    ----------
    laminate
        The laminate.
    force, moment
        Per width, shape (3,) each [N/m, N].
    warmed
        Temperature above the stress-free one [K]; negative after cure.

    Returns
    -------
    Floats
        Shape (k, 3, 3): ply, bottom/middle/top, (11, 22, 12) [Pa].

    Notes
    -----
    The axes of a sheared cloth are those symmetric to its yarns.
    """
    response = laminate.response(force, moment, warmed)
    out = np.empty((len(laminate.plies), 3, 3))
    for k, ply in enumerate(laminate.plies):
        stiffness, heat = ply_response(ply.lamina, ply.angle, ply.shear, ply.woven)
        low, high = laminate.surfaces[k], laminate.surfaces[k + 1]
        z = np.array([low, (low + high) / 2, high])
        strain = response[:3] + z[:, None] * response[3:]
        out[k] = (strain @ stiffness.T - heat * warmed) @ stress_transform(_frame(ply)).T
    return out


def _ratio(ply: LaidPly, load: Floats, rest: Floats, criterion: Criterion) -> Floats:
    if ply.woven and criterion is Criterion.MAX_STRAIN and ply.shear != 0.0:
        return _yarn_strain_ratio(ply, load, rest)
    if ply.woven and abs(ply.shear) > SHEAR_LIMIT:
        raise InputError.one(
            f"ply {ply.name}, shear",
            f"{np.degrees(ply.shear):.1f}°",
            f"up to {np.degrees(SHEAR_LIMIT):.0f}° is wanted for {criterion.value}",
            "judge sheared cloth by maximum strain along its yarns",
        )
    match criterion:
        case Criterion.MAX_STRESS:
            return max_stress_ratio(load, ply.lamina, rest)
        case Criterion.MAX_STRAIN:
            return max_strain_ratio(load, ply.lamina, rest)
        case Criterion.TSAI_WU:
            return tsai_wu_ratio(load, ply.lamina, rest)
        case Criterion.TSAI_HILL:
            if bool(np.any(rest != 0.0)):
                raise InputError.one(
                    "laminate, strength", "Tsai–Hill with stresses from cure", "another criterion is wanted"
                )
            return tsai_hill_ratio(load, ply.lamina)


def _yarn_strain_ratio(ply: LaidPly, load: Floats, rest: Floats) -> Floats:
    """Return the strength ratio of a sheared cloth: strain along warp, along weft, and change of their angle."""
    xt, xc, yt, yc, s = ply.lamina.strengths()
    stiffness, _ = ply_response(ply.lamina, ply.shear / 2, ply.shear, True)  # in the ply's judging axes
    along = strain_transform(ply.shear / 2)[0], strain_transform(np.pi / 2 - ply.shear / 2)[0]
    rows = np.stack([along[0], along[1], np.array([0.0, 0.0, 1.0])]) @ np.linalg.inv(stiffness)
    modulus = np.array([ply.lamina.E1, ply.lamina.E2, ply.lamina.G12])
    positive, negative = np.array([xt, yt, s]) / modulus, np.array([xc, yc, s]) / modulus
    return _linear(load @ rows.T, rest @ rows.T, positive, negative)


def first_ply_failure(
    laminate: Laminate,
    force: ArrayLike,
    moment: ArrayLike = (0.0, 0.0, 0.0),
    *,
    criterion: Criterion = Criterion.TSAI_WU,
    warmed: float = 0.0,
) -> PlyFailure:
    """Return where and at what multiple of the load the first ply fails.

    Parameters
    ----------
    laminate
        The laminate; every ply's strengths are needed.
    force, moment
        Load per width, shape (3,) each [N/m, N].
    criterion
        How a ply is judged.
    warmed
        Temperature above the stress-free one [K]; negative after cure. Its stresses do not grow with the load.

    Returns
    -------
    PlyFailure
        Ratio, ply, place in it, stress at failure [Pa].

    Raises
    ------
    InputError
        When a strength is not known, there is no load, a cloth is sheared beyond what the criterion can judge, or
        Tsai–Hill is asked for with stresses from cure.

    Notes
    -----
    First failure is not collapse: cross-plies crack long before the fibres break. No edge effects, no buckling, no
    stress through the thickness; stresses from cure are elastic and so an upper bound.
    """
    loads = ply_stresses(laminate, force, moment)
    if not bool(np.any(loads != 0.0)):
        raise InputError.one("laminate, load", "no load", "a force or a moment is wanted")
    rests = ply_stresses(laminate, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0), warmed)
    ratios = np.stack([_ratio(p, loads[k], rests[k], criterion) for k, p in enumerate(laminate.plies)])
    k, place = (int(i) for i in np.unravel_index(int(np.argmin(ratios)), ratios.shape))
    ratio = float(ratios[k, place])
    at = loads[k, place] * ratio + rests[k, place]
    return PlyFailure(
        ratio=ratio,
        ply=k,
        name=laminate.plies[k].name,
        where=("bottom", "middle", "top")[place],
        criterion=criterion,
        stress=(float(at[0]), float(at[1]), float(at[2])),
    )
