"""When a bag is tight enough: criteria in use, as data.

They differ by more than ten times, so each says where it comes from and the plan names the one it was judged by.
"""

from __future__ import annotations

from dataclasses import dataclass

from bagside.findings import Basis

INCH_OF_MERCURY = 3386.39  # [Pa]


@dataclass(frozen=True, slots=True, kw_only=True)
class Criterion:
    """One rule for a leak test with the pump shut off.

    Parameters
    ----------
    name
        What people call it.
    time
        Length of the test [s].
    drop
        Loss of vacuum allowed in that time [Pa]; None when `loss` is stated.
    loss
        Loss allowed as a share of the vacuum reached; None when `drop` is stated.
    least
        Vacuum that must be reached: [Pa] below ambient when above one, a share of ambient otherwise; None for no rule.
    deepest
        Absolute pressure the bag must reach [Pa]; None for no rule.
    basis
        On what it rests.
    source
        Where it is used.
    """

    name: str
    time: float
    drop: float | None = None
    loss: float | None = None
    least: float | None = None
    deepest: float | None = None
    basis: Basis
    source: str

    def allowed_drop(self, reached: float) -> float:
        """Return the loss allowed [Pa] for a vacuum reached [Pa below ambient]."""
        if self.drop is not None:
            return self.drop
        return (self.loss or 0.0) * reached

    def least_vacuum(self, ambient: float) -> float:
        """Return the vacuum that must be reached [Pa below ambient]."""
        if self.least is None:
            return 0.0
        return self.least if self.least > 1.0 else self.least * ambient


CRITERIA: tuple[Criterion, ...] = (
    Criterion(
        name="cosmetic oven cure",
        time=600.0,
        drop=1000.0,
        deepest=3000.0,
        basis=Basis.COMMON,
        source="20 to 30 mbar absolute, at most 10 mbar in 10 min, checked again hot at 60 °C",
    ),
    Criterion(
        name="resin maker",
        time=300.0,
        loss=0.10,
        least=0.95,
        basis=Basis.PUBLISHED,
        source="a resin maker's guide to processing prepreg: 95 % vacuum, at most 10 % lost in 5 min",
    ),
    Criterion(
        name="infusion trade",
        time=300.0,
        drop=INCH_OF_MERCURY,
        basis=Basis.PUBLISHED,
        source="article on drop tests: at most 1 inHg in 5 min",
    ),
    Criterion(
        name="repair manual",
        time=60.0,
        drop=INCH_OF_MERCURY,
        least=20 * INCH_OF_MERCURY,
        basis=Basis.PUBLISHED,
        source="US Army TM 1-1500-204-23-11: at least 20 inHg, at most 1 inHg a minute",
    ),
    Criterion(
        name="repair manual, static check",
        time=300.0,
        drop=5 * INCH_OF_MERCURY,
        least=20 * INCH_OF_MERCURY,
        basis=Basis.PUBLISHED,
        source="US Army TM 1-1500-204-23-11: at most 5 inHg in 5 min",
    ),
    Criterion(
        name="reject above",
        time=300.0,
        drop=3400.0,
        deepest=10000.0,
        basis=Basis.COMMON,
        source="more than 34 mbar in 5 min or more than 100 mbar absolute is not cured",
    ),
)
