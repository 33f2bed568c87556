"""The laminate: thickness, stiffness, strength by zone, and how it compares with the part it replaces."""

from bagside.laminate.beam import Strip, strip_of, three_point, wrinkling_hoff_mautner_1945
from bagside.laminate.check import direction_shares, findings, largest_curvature
from bagside.laminate.elasticity import (
    Invariants,
    invariants,
    reduced_stiffness,
    rotated_expansion,
    rotated_stiffness,
    strain_transform,
    stress_transform,
)
from bagside.laminate.match import Answer, Match, Original, match
from bagside.laminate.measures import Constants
from bagside.laminate.plate import (
    Bent,
    Edge,
    Plate,
    bent_by_force,
    bent_by_pressure,
    buckling,
    buckling_supported,
    deflection_even,
    deflection_point,
    deflection_sine,
    frequency,
    frequency_supported,
)
from bagside.laminate.ply import LaidPly, Lamina
from bagside.laminate.stack import Laminate, abd_of, laminate_of
from bagside.laminate.strength import (
    Criterion,
    PlyFailure,
    first_ply_failure,
    max_strain_ratio,
    max_stress_ratio,
    ply_stresses,
    tsai_hill_ratio,
    tsai_wu_ratio,
)
from bagside.laminate.thickness import cured_thickness, fibre_volume_fraction, prepreg_areal_weight
from bagside.laminate.weighing import Candidate, Masses, Row, masses_read
from bagside.laminate.weighing_checks import Check, parting
from bagside.laminate.weighing_plan import Faults, WeighedPlan, WeighedPly, Weighing
from bagside.laminate.zones import Zone, zones_of

__all__ = [
    "Answer",
    "Bent",
    "Candidate",
    "Check",
    "Constants",
    "Criterion",
    "Edge",
    "Faults",
    "Invariants",
    "LaidPly",
    "Lamina",
    "Laminate",
    "Masses",
    "Match",
    "Original",
    "Plate",
    "PlyFailure",
    "Row",
    "Strip",
    "WeighedPlan",
    "WeighedPly",
    "Weighing",
    "Zone",
    "abd_of",
    "bent_by_force",
    "bent_by_pressure",
    "buckling",
    "buckling_supported",
    "cured_thickness",
    "deflection_even",
    "deflection_point",
    "deflection_sine",
    "direction_shares",
    "fibre_volume_fraction",
    "findings",
    "first_ply_failure",
    "frequency",
    "frequency_supported",
    "invariants",
    "laminate_of",
    "largest_curvature",
    "masses_read",
    "match",
    "max_strain_ratio",
    "max_stress_ratio",
    "parting",
    "ply_stresses",
    "prepreg_areal_weight",
    "reduced_stiffness",
    "rotated_expansion",
    "rotated_stiffness",
    "strain_transform",
    "stress_transform",
    "strip_of",
    "three_point",
    "tsai_hill_ratio",
    "tsai_wu_ratio",
    "wrinkling_hoff_mautner_1945",
    "zones_of",
]
