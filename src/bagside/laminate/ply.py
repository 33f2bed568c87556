"""What one cured ply is made of: elastic constants, expansion and, where they are known, strengths.

The constants are those of the homogenised ply: along the fibres and across them for a unidirectional ply, along warp
and weft for a cloth. Nothing is guessed here: a strength that is not stated stays None, and whoever needs it refuses.
"""

from __future__ import annotations

from dataclasses import dataclass

from bagside.errors import InputError, Problem


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamina:
    """Constants of one cured ply in its own axes, 1 along the fibres (or warp) and 2 across (or weft).

    Parameters
    ----------
    E1, E2
        Young's moduli [Pa].
    G12
        Shear modulus in the plane [Pa].
    nu12
        Contraction across under load along 1; may be negative, never so large that the ply would give energy back.
    alpha1, alpha2
        Thermal expansion along 1 and 2 [1/K].
    XT, XC, YT, YC, S
        Strengths as positive numbers [Pa]: along in tension and compression, across in both, shear. None: not known.

    Raises
    ------
    InputError
        When a modulus or a strength is not positive, or the constants break the energy bound nu12² < E1/E2.
    """

    E1: float
    E2: float
    G12: float
    nu12: float
    alpha1: float = 0.0
    alpha2: float = 0.0
    XT: float | None = None
    XC: float | None = None
    YT: float | None = None
    YC: float | None = None
    S: float | None = None

    def __post_init__(self) -> None:
        """Refuse constants no material can have."""
        wrong: list[Problem] = []
        for name in ("E1", "E2", "G12", "XT", "XC", "YT", "YC", "S"):
            value = getattr(self, name)
            if value is not None and not 0.0 < value < float("inf"):
                wrong.append(
                    Problem(place=f"lamina, {name}", came=f"{value:g} Pa", wanted="a positive number is wanted")
                )
        for name in ("nu12", "alpha1", "alpha2"):
            value = getattr(self, name)
            if not abs(value) < float("inf"):
                wrong.append(Problem(place=f"lamina, {name}", came=f"{value:g}", wanted="a finite number is wanted"))
        if not wrong and not self.nu12**2 < self.E1 / self.E2:
            limit = (self.E1 / self.E2) ** 0.5
            wrong.append(
                Problem(
                    place="lamina, nu12",
                    came=f"{self.nu12:g}",
                    wanted=f"less than {limit:.3g} is wanted, the root of E1/E2",
                    hint="is it nu21, or are E1 and E2 swapped?",
                )
            )
        if wrong:
            raise InputError(wrong)

    @property
    def nu21(self) -> float:
        """Contraction along 1 under load along 2, exact by symmetry: nu12 E2/E1."""
        return self.nu12 * self.E2 / self.E1

    def strengths(self) -> tuple[float, float, float, float, float]:
        """Return XT, XC, YT, YC and S [Pa].

        Raises
        ------
        InputError
            When one of them is not known.
        """
        named = {"XT": self.XT, "XC": self.XC, "YT": self.YT, "YC": self.YC, "S": self.S}
        missing = [name for name, value in named.items() if value is None]
        if missing:
            raise InputError(
                Problem(
                    place=f"lamina, {name}",
                    came="",
                    wanted="a strength is needed to judge strength",
                    hint="take it from the data sheet or from a coupon",
                )
                for name in missing
            )
        xt, xc, yt, yc, s = (float(value) for value in named.values() if value is not None)
        return xt, xc, yt, yc, s


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidPly:
    """One ply as it lies in the stack.

    Parameters
    ----------
    name
        What people call it: ``1``, ``surface twill``.
    lamina
        Constants of the ply when it is not sheared.
    thickness
        Cured thickness of the ply when it is not sheared [m].
    angle
        Warp (or fibre) direction from the reference direction, counter-clockwise about the surface normal [rad].
    shear
        Right angle minus the angle between warp and weft [rad]; positive when weft lies less than a right angle
        counter-clockwise of warp.
    woven
        Two yarn families (a cloth) instead of one.
    areal_weight
        Mass per area of the cured ply, fibre and resin, when it is not sheared [kg/m²]; None: not known.

    Raises
    ------
    InputError
        When the thickness or the weight is not positive, or the shear is not below a right angle.

    Notes
    -----
    Shear closes the net by cos(shear): the same fibre and resin cover less mould, so thickness and areal weight are
    divided by it. The fibre volume fraction and the constants along the yarns are held to be unchanged, which is true
    as long as no resin bleeds.
    """

    name: str
    lamina: Lamina
    thickness: float
    angle: float
    shear: float = 0.0
    woven: bool = False
    areal_weight: float | None = None

    def __post_init__(self) -> None:
        """Refuse a ply that cannot lie there."""
        wrong: list[Problem] = []
        if not 0.0 < self.thickness < 0.1:
            wrong.append(
                Problem(
                    place=f"ply {self.name}, thickness",
                    came=f"{self.thickness * 1e3:g} mm",
                    wanted="more than 0 and less than 100 mm is wanted, as in 0.23 mm",
                )
            )
        if not abs(self.angle) < float("inf"):
            wrong.append(
                Problem(place=f"ply {self.name}, angle", came=f"{self.angle:g}", wanted="a finite angle is wanted")
            )
        if not abs(self.shear) < 1.5:
            wrong.append(
                Problem(
                    place=f"ply {self.name}, shear",
                    came=f"{self.shear * 57.29577951308232:.3g}°",
                    wanted="less than 86° is wanted; cloth locks far before that",
                )
            )
        if self.areal_weight is not None and not 0.0 < self.areal_weight < float("inf"):
            wrong.append(
                Problem(
                    place=f"ply {self.name}, areal weight",
                    came=f"{self.areal_weight * 1e3:g} g/m²",
                    wanted="a positive number is wanted, as in 345 g/m²",
                )
            )
        if wrong:
            raise InputError(wrong)
