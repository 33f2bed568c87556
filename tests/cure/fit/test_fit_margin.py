"""The margin of a post-cure that rides on a fitted law; its figures are common practice and what was measured here."""

from __future__ import annotations

import pytest

from bagside.cure.fit import post_cure_margin
from bagside.errors import InputError
from bagside.findings import Basis
from bagside.spec.material import Fitted


def test_a_sheet_wants_a_wide_one():
    assert post_cure_margin(Fitted.SHEET, 10.0).value == 40.0
    assert post_cure_margin(Fitted.SHEET, 45.0).value == 95.0
    assert post_cure_margin(Fitted.SHEET).basis is Basis.COMMON


def test_curves_earn_a_narrow_one():
    assert post_cure_margin(Fitted.DSC, 1.0).value == 10.0
    assert post_cure_margin(Fitted.DSC, 6.0).value == 17.0
    assert post_cure_margin(Fitted.DSC, 6.0).basis is Basis.MEASURED


def test_a_published_law():
    assert post_cure_margin().value == 10.0


def test_a_margin_is_never_negative():
    with pytest.raises(InputError) as e:
        post_cure_margin(Fitted.SHEET, -1.0)
    assert str(e.value) == "resin, tg_error: -1.0 – zero or more is wanted"
