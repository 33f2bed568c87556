"""Finishing: climate of the shop, coats and what is mixed for them, grits."""

from bagside.finishing.climate import (
    Climate,
    climate_findings,
    climate_of,
    dew_point_magnus,
    saturation_pressure_magnus,
    warmed_until,
)
from bagside.finishing.coats import CoatPlan, coat_findings, mass_ratio, plan_coat, spreading_rate, wet_film
from bagside.finishing.fill import closed_share, fill_passes
from bagside.finishing.grits import GRITS, grit_sequence

__all__ = [
    "GRITS",
    "Climate",
    "CoatPlan",
    "climate_findings",
    "climate_of",
    "closed_share",
    "coat_findings",
    "dew_point_magnus",
    "fill_passes",
    "grit_sequence",
    "mass_ratio",
    "plan_coat",
    "saturation_pressure_magnus",
    "spreading_rate",
    "warmed_until",
    "wet_film",
]
