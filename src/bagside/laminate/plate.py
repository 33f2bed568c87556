"""Plates in one place: the series for simply supported ones, the Ritz sum for all others."""

from __future__ import annotations

from bagside.laminate.navier import (
    buckling_supported,
    deflection_even,
    deflection_point,
    deflection_sine,
    frequency_supported,
)
from bagside.laminate.ritz import Bent, Edge, Plate, bent_by_force, bent_by_pressure, buckling, frequency

__all__ = [
    "Bent",
    "Edge",
    "Plate",
    "bent_by_force",
    "bent_by_pressure",
    "buckling",
    "buckling_supported",
    "deflection_even",
    "deflection_point",
    "deflection_sine",
    "frequency",
    "frequency_supported",
]
