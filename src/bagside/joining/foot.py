"""What the foot of a bracket is made of, and what follows from that."""

from __future__ import annotations

from enum import StrEnum


class Foot(StrEnum):
    """What the foot of a bracket is made of."""

    ALUMINIUM = "aluminium"
    STEEL = "steel"
    TITANIUM = "titanium"
    CARBON = "carbon"
    GLASS = "glass"


MODULI = {Foot.ALUMINIUM: 70e9, Foot.STEEL: 205e9, Foot.TITANIUM: 110e9, Foot.CARBON: 50e9, Foot.GLASS: 20e9}
"""Young's modulus of the foot [Pa]; general metals data, middle of the usual range for laminates."""

EXPANSIONS = {Foot.ALUMINIUM: 23e-6, Foot.STEEL: 12e-6, Foot.TITANIUM: 8.6e-6, Foot.CARBON: 3e-6, Foot.GLASS: 14e-6}
"""Thermal expansion of the foot [1/K]; general metals data, middle of the usual range for laminates."""

ISOLATED = {Foot.ALUMINIUM, Foot.STEEL}
"""Metals that corrode against carbon unless glass stands between."""
