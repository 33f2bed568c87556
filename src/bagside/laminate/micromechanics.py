"""From fibre and resin to ply constants: published models, for when no data sheet states the ply.

Each is named after its author and year. A measured constant is always better; cloth in particular is not covered by any
of these, because crimp is not in them. All fractions are volume fractions unless said.
"""

from __future__ import annotations

from math import pi, sqrt

from bagside.errors import InputError


def _fraction(name: str, value: float) -> None:
    if not 0.0 <= value < 1.0:
        raise InputError.one(name, f"{value:g}", "a volume fraction from 0 to less than 1 is wanted, as in 0.55")


def modulus_along_mixture(
    fibre: float, matrix: float, fibre_fraction: float, matrix_fraction: float | None = None
) -> float:
    """Return the modulus (or Poisson's ratio) along the fibres by the rule of mixtures.

    Parameters
    ----------
    fibre, matrix
        Value of each along the fibres [Pa], or Poisson's ratios.
    fibre_fraction
        Volume fraction of fibre.
    matrix_fraction
        Volume fraction of matrix; None: the rest, no voids.

    Returns
    -------
    float
        Same unit as given.

    Raises
    ------
    InputError
        When a fraction is not one.

    References
    ----------
    Chamis 1983, NASA TM-83320, E11 and nu12; exact for equal Poisson's ratios.
    """
    _fraction("fibre_fraction", fibre_fraction)
    rest = 1.0 - fibre_fraction if matrix_fraction is None else matrix_fraction
    if rest != 1.0:
        _fraction("matrix_fraction", rest)
    return fibre_fraction * fibre + rest * matrix


def modulus_across_mixture(fibre: float, matrix: float, fibre_fraction: float) -> float:
    """Return the transverse or shear modulus by the inverse rule of mixtures.

    Parameters
    ----------
    fibre, matrix
        Transverse or shear moduli [Pa].
    fibre_fraction
        Volume fraction of fibre.

    Returns
    -------
    float
        [Pa], a lower bound.

    Raises
    ------
    InputError
        When the fraction is not one.
    """
    _fraction("fibre_fraction", fibre_fraction)
    return 1.0 / (fibre_fraction / fibre + (1.0 - fibre_fraction) / matrix)


def modulus_across_chamis_1983(fibre: float, matrix: float, fibre_fraction: float) -> float:
    """Return the transverse or shear modulus of a unidirectional ply.

    Parameters
    ----------
    fibre, matrix
        Transverse modulus of the fibre with the matrix's modulus, or both shear moduli [Pa].
    fibre_fraction
        Volume fraction of fibre; square packing closes at pi/4.

    Returns
    -------
    float
        [Pa].

    Raises
    ------
    InputError
        When the fraction is not one, or the formula gives more than the upper bound fibre and matrix could reach side
        by side: it does so for few fibres and for fibres hardly stiffer than the matrix.

    References
    ----------
    Chamis 1983, NASA TM-83320: Em / (1 − √kf (1 − Em/Ef22)).
    """
    _fraction("fibre_fraction", fibre_fraction)
    found = matrix / (1.0 - sqrt(fibre_fraction) * (1.0 - matrix / fibre))
    bound = fibre_fraction * fibre + (1.0 - fibre_fraction) * matrix
    if fibre > matrix and fibre_fraction > 0.0 and found > bound:
        raise InputError.one(
            "fibre_fraction, moduli",
            f"{fibre_fraction:g}, {fibre:g} in {matrix:g}",
            "more or stiffer fibres are wanted for this formula; it exceeds its upper bound here",
            "use Halpin–Tsai",
        )
    return found


def modulus_halpin_tsai_1969(fibre: float, matrix: float, fibre_fraction: float, shape: float) -> float:
    """Return a modulus across the fibres by the Halpin–Tsai interpolation.

    Parameters
    ----------
    fibre, matrix
        Moduli of the same kind [Pa].
    fibre_fraction
        Volume fraction of fibre.
    shape
        2 for the transverse modulus of round fibres, 1 for shear; see `shear_shape_hewitt_de_malherbe_1970`.

    Returns
    -------
    float
        [Pa].

    Raises
    ------
    InputError
        When the fraction is not one.

    References
    ----------
    Halpin & Tsai 1969, as given in textbooks: M/Mm = (1 + xi eta Vf)/(1 − eta Vf).
    """
    _fraction("fibre_fraction", fibre_fraction)
    eta = (fibre / matrix - 1.0) / (fibre / matrix + shape)
    return matrix * (1.0 + shape * eta * fibre_fraction) / (1.0 - eta * fibre_fraction)


def shear_shape_hewitt_de_malherbe_1970(fibre_fraction: float) -> float:
    """Return the shape factor of the shear modulus at high fibre fractions, 1 + 40 Vf¹⁰.

    Parameters
    ----------
    fibre_fraction
        Volume fraction of fibre; meant for more than 0.5.

    Returns
    -------
    float
        Without unit.

    Raises
    ------
    InputError
        When the fraction is not one.
    """
    _fraction("fibre_fraction", fibre_fraction)
    return 1.0 + 40.0 * fibre_fraction**10


def expansion_schapery_1968(
    *,
    fibre_modulus: float,
    matrix_modulus: float,
    fibre_expansion: float,
    matrix_expansion: float,
    fibre_poisson: float,
    matrix_poisson: float,
    fibre_fraction: float,
) -> tuple[float, float]:
    """Return the thermal expansion along and across, for isotropic fibres.

    Parameters
    ----------
    fibre_modulus, matrix_modulus
        Young's moduli [Pa].
    fibre_expansion, matrix_expansion
        [1/K].
    fibre_poisson, matrix_poisson
        Poisson's ratios.
    fibre_fraction
        Volume fraction of fibre.

    Returns
    -------
    tuple of float
        alpha1, alpha2 [1/K].

    Raises
    ------
    InputError
        When the fraction is not one.

    Notes
    -----
    Isotropic fibres (glass). Carbon expands differently across itself: use `expansion_across_chamis_1983`.
    """
    _fraction("fibre_fraction", fibre_fraction)
    vf, vm = fibre_fraction, 1.0 - fibre_fraction
    stiffness = vf * fibre_modulus + vm * matrix_modulus
    along = (vf * fibre_modulus * fibre_expansion + vm * matrix_modulus * matrix_expansion) / stiffness
    poisson = vf * fibre_poisson + vm * matrix_poisson
    across = (1 + fibre_poisson) * fibre_expansion * vf + (1 + matrix_poisson) * matrix_expansion * vm - along * poisson
    return along, across


def expansion_across_chamis_1983(
    *,
    fibre_modulus: float,
    ply_modulus: float,
    fibre_expansion_across: float,
    matrix_expansion: float,
    matrix_poisson: float,
    fibre_fraction: float,
) -> float:
    """Return the thermal expansion across the fibres.

    Parameters
    ----------
    fibre_modulus, ply_modulus
        Along the fibres, of the fibre and of the ply [Pa].
    fibre_expansion_across, matrix_expansion
        [1/K].
    matrix_poisson
        Poisson's ratio of the matrix.
    fibre_fraction
        Volume fraction of fibre.

    Returns
    -------
    float
        [1/K].

    Raises
    ------
    InputError
        When the fraction is not one.

    References
    ----------
    Chamis 1983, NASA TM-83320: af22 √kf + (1 − √kf)(1 + kf nu_m Ef11/E11) am.
    """
    _fraction("fibre_fraction", fibre_fraction)
    root = sqrt(fibre_fraction)
    matrix = (1 - root) * (1 + fibre_fraction * matrix_poisson * fibre_modulus / ply_modulus)
    return fibre_expansion_across * root + matrix * matrix_expansion


def hot_wet_factor_chamis_1983(glass_wet: float, glass_dry: float, temperature: float, reference: float) -> float:
    """Return what is left of matrix stiffness and strength when hot and wet.

    Parameters
    ----------
    glass_wet, glass_dry
        Glass transition of the matrix, wet and dry [K].
    temperature
        In service [K].
    reference
        At which the dry constants were measured [K].

    Returns
    -------
    float
        Factor, 1 at the reference when dry.

    Raises
    ------
    InputError
        When the service temperature is not below the wet glass transition: nothing is left, and the model ends.

    References
    ----------
    Chamis 1983, NASA TM-83320: √((Tgw − T)/(Tgd − T0)).
    """
    if not temperature < glass_wet or not reference < glass_dry:
        raise InputError.one(
            "temperature",
            f"{temperature:g} K",
            f"less than the wet glass transition {glass_wet:g} K is wanted",
            "the resin is soft there",
        )
    return sqrt((glass_wet - temperature) / (glass_dry - reference))


def moisture_chamis_1983(
    humidity: float, saturation: float, matrix_fraction: float, matrix_density: float, ply_density: float
) -> tuple[float, float]:
    """Return the moisture in matrix and ply at equilibrium, as mass fractions.

    Parameters
    ----------
    humidity
        Relative humidity, 0 to 1.
    saturation
        Moisture of the matrix at full humidity, mass fraction.
    matrix_fraction
        Volume fraction of matrix.
    matrix_density, ply_density
        [kg/m³].

    Returns
    -------
    tuple of float
        Matrix, ply.

    Raises
    ------
    InputError
        When humidity is not between 0 and 1 or the fraction is not one.
    """
    if not 0.0 <= humidity <= 1.0:
        raise InputError.one("humidity", f"{humidity:g}", "a relative humidity from 0 to 1 is wanted")
    _fraction("matrix_fraction", matrix_fraction)
    matrix = humidity * saturation
    return matrix, matrix * matrix_fraction * matrix_density / ply_density


def tension_along_chamis_1983(fibre_strength: float, fibre_modulus: float, ply_modulus: float) -> float:
    """Return the tensile strength along the fibres: the ply fails at the fibre's strain.

    Parameters
    ----------
    fibre_strength, fibre_modulus
        Of the fibre, along it [Pa].
    ply_modulus
        Of the ply, along the fibres [Pa].

    Returns
    -------
    float
        [Pa].

    Notes
    -----
    Sf (kf + km Em/Ef). Fibres alike in strength; a real bundle is weaker.
    """
    return fibre_strength * ply_modulus / fibre_modulus


def fibres_through_chamis_1983(thickness: float, diameter: float, fibre_fraction: float) -> float:
    """Return how many fibres lie through a ply, square packing.

    Parameters
    ----------
    thickness, diameter
        Of the ply and the fibre [m].
    fibre_fraction
        Volume fraction of fibre.

    Returns
    -------
    float
        2 t/d √(kf/pi).

    Raises
    ------
    InputError
        When the fraction is not one.
    """
    _fraction("fibre_fraction", fibre_fraction)
    return 2 * thickness / diameter * sqrt(fibre_fraction / pi)


def fibre_gap_chamis_1983(diameter: float, fibre_fraction: float) -> float:
    """Return the gap between neighbouring fibres, square packing.

    Parameters
    ----------
    diameter
        Of the fibre [m].
    fibre_fraction
        Volume fraction of fibre; up to pi/4, where fibres touch.

    Returns
    -------
    float
        d (√(pi/(4 kf)) − 1) [m].

    Raises
    ------
    InputError
        When the fraction is not above 0, or fibres would overlap.
    """
    if not 0.0 < fibre_fraction <= pi / 4:
        raise InputError.one("fibre_fraction", f"{fibre_fraction:g}", "more than 0, up to 0.785 is wanted")
    return diameter * (sqrt(pi / (4 * fibre_fraction)) - 1)
