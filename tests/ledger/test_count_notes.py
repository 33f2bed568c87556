"""A roll that was measured again."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from bagside.ledger.bodies import Sort
from bagside.ledger.stock.count_notes import counted_findings
from bagside.ledger.things import Cloth, Length

AT = datetime(2026, 3, 2, 8, tzinfo=UTC)
ROLL = Cloth(
    name="K-1", sort=Sort.ROLL, material="twill-200", born=AT, last=AT, length=20.0,
    pulled=(Length(length=8.0, job="lid", at=AT, event="0" * 32, pieces=5.0, kept=1.0),),
)  # fmt: skip


@pytest.mark.parametrize("counted", [12.0, 12.39, 11.01])
def test_what_a_tape_cannot_tell_is_not_told(counted: float) -> None:
    """12 m are left of 20: from 5 % of the whole less to 2 % more nothing is said."""
    assert counted_findings(ROLL, counted) == ()


def test_a_roll_does_not_grow() -> None:
    (found,) = counted_findings(ROLL, 19.5)
    assert found.what == "19.50 m were counted, 12.00 m were reckoned of 20.00 m, after 1 cut"
    assert "does not grow" in found.why


def test_cloth_that_is_missing_was_cut_by_somebody() -> None:
    (found,) = counted_findings(ROLL, 10.9)
    assert "without writing it down" in found.why
