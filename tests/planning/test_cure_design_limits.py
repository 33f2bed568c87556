"""Limits that a cycle can follow for ever: found, or refused only when no plain hold keeps them either.

The holds are scanned by brute force with the solver of plans on the check's mesh (`holdscan`), in all scenarios.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from bagside.cure import NOMINAL, corners
from bagside.cure.design import NotReached, designed, two_stage
from bagside.planning.cure_case import CureCase, case_of_file
from bagside.planning.cure_design import bounds_free, bounds_on_mould
from bagside.spec.bench import CureFile
from bagside.spec.library import generic_library
from bagside.spec.reading import stated_from
from holdscan import holds_that_keep

ZERO_C = 273.15
OVEN = {
    "hottest": "150 °C", "heating": "2.5 °C/min", "cooling": "1.2 °C/min", "lag": "4 min", "spread": "6 K",
    "film_bag": "12 W/(m² K)", "film_tool": "18 W/(m² K)", "power": "3.2 kW", "loss": "9 W/K",
}  # fmt: skip


def case_of(places: dict[str, str], tool: str, thickness: str, design: dict[str, object], target: str) -> CureCase:
    stated = {
        "service": "60 °C",
        "target": target,
        "demould": "45 °C",
        "design": design,
        "sections": [
            {"name": name, "laminate": t, "prepreg": "twill-200", "tool": tool, "tool_thickness": thickness}
            for name, t in places.items()
        ],
        "oven": OVEN,
        "room": {"temperature": "19 °C", "humidity": "52 %", "altitude": "40 m"},
        "pump": {"flow": "6 m³/h", "reaches": "18 mbar"},
    }
    return case_of_file(stated_from(stated, CureFile, "cure.toml"), generic_library(), "cure.toml")


def test_a_mould_of_90_degrees_is_no_reason_to_refuse_thin_plates() -> None:
    """One hold at 80 °C, found by brute force, keeps the mould below 90 °C in all scenarios: so must the cycle."""
    case = case_of({"plate": "1.31 mm", "pad": "2.59 mm"}, "glass-epoxy", "6 mm", {"two_stage": True}, "90 %")
    assert case.wanted is not None
    first = replace(bounds_on_mould(case, case.wanted), tool=90.0 + ZERO_C)
    scenarios = corners(case.spread)
    both = two_stage(
        case.on_mould, case.free, case.resin, case.oven, first, bounds_free(case, case.wanted), start=case.start,
        post_start=case.room.temperature, scenarios=scenarios,
    )  # fmt: skip
    plain = holds_that_keep(
        case.on_mould, case.resin, case.oven, replace(first, tg=None), start=case.start, scenarios=scenarios, step=20.0
    )
    assert 80.0 in [at for at, _, _ in plain]
    tool = next(k for k in both.first.kept if k.limit == "tool")
    assert tool.value <= 90.05 + ZERO_C
    assert all(k.margin >= -0.05 for d in (both.first, both.post) for k in d.kept)


def test_a_thick_laminate_that_runs_away_late_is_held_cool_until_it_cannot() -> None:
    """At 58 °C the exotherm comes seven hours later; the cycle has to see it coming."""
    case = case_of({"block": "30 mm"}, "carbon-epoxy", "8 mm", {}, "90 %")
    assert case.wanted is not None
    bounds = replace(bounds_on_mould(case, case.wanted), overshoot=15.0)
    got = designed(case.on_mould, case.resin, case.oven, bounds, start=case.start, scenarios=(NOMINAL,))
    assert all(k.margin >= -0.05 for k in got.kept)
    targets = [s.target for s in got.settings.programme.segments]
    assert targets == sorted(targets)


def test_a_refusal_is_true() -> None:
    """A mould of 55 °C: no hold of up to ten hours at any 5 K takes the part to where it may come off."""
    case = case_of({"plate": "2 mm"}, "epoxy-board", "30 mm", {}, "80 %")
    assert case.wanted is not None
    bounds = replace(bounds_on_mould(case, case.wanted), tool=55.0 + ZERO_C, longest=10 * 3600.0)
    nominal = (NOMINAL,)
    with pytest.raises(NotReached) as e:
        designed(case.on_mould, case.resin, case.oven, bounds, start=case.start, scenarios=nominal)
    assert e.value.limit == "tool"
    assert not holds_that_keep(case.on_mould, case.resin, case.oven, bounds, start=case.start, scenarios=nominal)
