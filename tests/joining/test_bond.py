"""A bonded bracket by hand, and each thing a person is told."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.findings import Severity
from bagside.joining import BondPlan, Foot, bond_findings, plan_bond
from bagside.spec.library import generic_library
from bagside.spec.material import Adhesive

EPOXY = generic_library().adhesive["epoxy-toughened"]
K = 273.15


def bracket(
    *,
    size: tuple[float, float] = (0.04, 0.03),
    foot: Foot = Foot.CARBON,
    load: float = 200.0,
    service: float = 40.0,
    room: float = 22.0,
    skin: float = 0.002,
    adhesive: Adhesive = EPOXY,
) -> BondPlan:
    return plan_bond(
        "hinge", size=size, foot=foot, foot_thickness=0.003, laminate_modulus=50e9, laminate_thickness=skin,
        adhesive=adhesive, load=load, service_temperature=service + K, room_temperature=room + K,
    )  # fmt: skip


def told(plan: BondPlan, *, show: bool = True) -> list[tuple[Severity, str]]:
    return [(f.severity, f.what) for f in bond_findings(plan, EPOXY, show=show)]


def test_by_hand() -> None:
    # 40 x 30 mm = 12 cm²; 20 % of 22 MPa is 4.4 MPa: 5280 N are carried, 200 N want 0.4545 cm².
    # 12 cm² x 0.25 mm x 1.15 g/cm³ = 0.345 g, a quarter more to mix, 1.5 % of it beads.
    plan = bracket()
    assert plan.area == pytest.approx(12e-4)
    assert plan.area_needed == pytest.approx(200 / 4.4e6)
    assert plan.reserve == pytest.approx(5280 / 200)
    assert plan.adhesive_mass == pytest.approx(0.345e-3 * 1.25)
    assert plan.beads_mass == pytest.approx(0.015 * 0.345e-3 * 1.25)
    assert plan.stress.mean == pytest.approx(200 / 12e-4)
    assert plan.heat_margin == pytest.approx(40.0)
    assert plan.heat_stress == 0.0  # carbon on carbon
    assert not plan.isolate
    assert told(plan) == []


@pytest.mark.parametrize(
    ("change", "severity", "what"),
    [
        ({"load": 6000.0, "size": (0.02, 0.06)}, Severity.STOP, "the bond has 12.0 cm² and wants 13.6 cm² at 4.4 MPa"),
        ({"service": 90.0}, Severity.STOP, "the joint gets 10 K hotter than the adhesive may"),
        ({"service": 75.0}, Severity.WATCH, "only 5 K lie between the joint and the adhesive's limit"),
        ({"room": 11.0}, Severity.DECIDE, "the room is 4 K too cold for this adhesive"),
        ({"room": 17.0}, Severity.WATCH, "the room is 6 K below the temperature at which the sheet gives its times"),
        ({"foot": Foot.STEEL}, Severity.WATCH, "steel stands on carbon"),
        ({"skin": 0.001}, Severity.WATCH, "the skin under it is 1.00 mm thick and its other face is seen"),
        ({"size": (0.008, 0.03)}, Severity.WATCH, "the bond is 8.0 mm long; 12 mm is the least"),
    ],
)
def test_each_thing_is_told_alone(change: dict[str, object], severity: Severity, what: str) -> None:
    assert told(bracket(**change)) == [(severity, what)]  # type: ignore[arg-type]


def test_ends_that_tear_are_a_stop_although_the_mean_is_low() -> None:
    # A long foot on a thin skin: the mean is under the design stress, the end above the strength.
    plan = bracket(size=(0.4, 0.01), load=15e3, skin=0.0006)
    assert plan.reserve > 1.0
    assert plan.stress.mean < plan.design < EPOXY.shear_strength < plan.stress.peak
    assert (Severity.STOP, f"the adhesive sees {plan.stress.peak / 1e6:.1f} MPa at the end of the foot; the sheet says "
            "22.0 MPa") in told(plan)  # fmt: skip


def test_aluminium_that_gets_warm_strains_the_glue_without_any_load() -> None:
    plan = bracket(foot=Foot.ALUMINIUM, load=0.0, service=68.0, size=(0.06, 0.03))
    # Shear lag by hand: soft = 1/(70e9·3e-3) + 1/(50e9·2e-3), w = √(0.8e9/0.25e-3·soft), ends Δα ΔT w/soft tanh(w l/2).
    assert plan.heat_stress / 1e6 == pytest.approx(13.25, abs=0.05)
    assert plan.reserve == float("inf")
    assert [w for _, w in told(plan)] == ["aluminium stands on carbon"]
    loaded = bracket(foot=Foot.ALUMINIUM, load=3000.0, service=68.0, size=(0.06, 0.03))
    assert loaded.stress.peak < EPOXY.shear_strength < loaded.stress.peak + loaded.heat_stress
    assert told(loaded)[0] == (
        Severity.WATCH,
        "foot and laminate grow unlike: 13.3 MPa at the ends of the foot when warm, and "
        f"{loaded.stress.peak / 1e6:.1f} MPa from the load; the sheet says 22.0 MPa",
    )


def test_a_face_that_is_not_seen_may_print_through() -> None:
    assert told(bracket(skin=0.001), show=False) == []


@given(st.floats(0.012, 0.2), st.floats(0.01, 0.2), st.floats(1.0, 1e4), st.sampled_from(Foot))
def test_more_width_never_hurts(length: float, width: float, load: float, foot: Foot) -> None:
    narrow = bracket(size=(length, width), load=load, foot=foot)
    wide = bracket(size=(length, 1.5 * width), load=load, foot=foot)
    assert wide.reserve == pytest.approx(1.5 * narrow.reserve)
    assert wide.stress.peak == pytest.approx(narrow.stress.peak / 1.5)
    assert wide.adhesive_mass == pytest.approx(1.5 * narrow.adhesive_mass)


def test_a_bracket_without_size_is_refused_by_name() -> None:
    with pytest.raises(InputError) as caught:
        bracket(size=(0.0, 0.03), load=-1.0)
    assert str(caught.value).splitlines() == [
        "bracket hinge, length: 0 – a number above zero is wanted",
        "bracket hinge, load: -1 N – a load that is not negative is wanted",
    ]
