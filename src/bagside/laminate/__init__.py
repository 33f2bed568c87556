"""The laminate: thickness, stiffness, strength by zone, and how it compares with the part it replaces."""

from bagside.laminate.elasticity import (
    Invariants,
    invariants,
    reduced_stiffness,
    rotated_expansion,
    rotated_stiffness,
    strain_transform,
    stress_transform,
)
from bagside.laminate.measures import Constants
from bagside.laminate.ply import LaidPly, Lamina
from bagside.laminate.stack import Laminate, abd_of, laminate_of
from bagside.laminate.thickness import cured_thickness, fibre_volume_fraction, prepreg_areal_weight

__all__ = [
    "Constants",
    "Invariants",
    "LaidPly",
    "Lamina",
    "Laminate",
    "abd_of",
    "cured_thickness",
    "fibre_volume_fraction",
    "invariants",
    "laminate_of",
    "prepreg_areal_weight",
    "reduced_stiffness",
    "rotated_expansion",
    "rotated_stiffness",
    "strain_transform",
    "stress_transform",
]
