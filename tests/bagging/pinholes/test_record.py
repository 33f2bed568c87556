"""What was recorded: from the file to the record, and what cannot have been."""

import math
from dataclasses import fields
from pathlib import Path

import pytest

from bagside.bagging.pinholes import PRIORS, RANGES, Corner, Record, Seen, record_of
from bagside.errors import InputError
from bagside.spec.pinhole_file import PinholeFile, read_pinholes

WHERE = (Seen.CROSSINGS,)


def test_unknown_is_left_out(tmp_path: Path) -> None:
    file = tmp_path / "p.toml"
    file.write_text('where = ["weave crossings all over"]\nvacuum = "unknown"\npump_on = "unknown"\nplies = 4\n')
    record = record_of(read_pinholes(file))
    assert (record.vacuum, record.pump_on, record.plies) == (None, None, 4)
    assert "vacuum" in record.unknown
    assert "plies" not in record.unknown


def test_a_drop_is_brought_to_five_minutes_and_altitude_to_pressure() -> None:
    record = record_of(PinholeFile(where=WHERE, drop=700.0, drop_time=600.0, altitude=1500.0))
    assert record.drop == pytest.approx(350.0)
    assert record.ambient == pytest.approx(84560.0, abs=60.0)  # ISO 2533: 845.6 mbar


def test_ramp_and_dwell_say_how_long_it_was_soft() -> None:
    """From 50 to 85 °C at 1.5 °C/min and 70 min there: 93.3 min, hottest 85 °C."""
    record = record_of(PinholeFile(where=WHERE, ramp=1.5 / 60, dwell=358.15, gel_after=70 * 60.0))
    assert record.liquid_time == pytest.approx(93.33 * 60.0, rel=1e-4)
    assert record.liquid_hottest == 358.15


def test_what_was_seen_stands_above_what_a_cycle_says() -> None:
    computed = {"liquid_hottest": 370.0, "fluidity": 50.0, "humidity": 0.5, "nonsense": 1.0}
    seen = record_of(PinholeFile(where=WHERE, dwell=350.0, viscosity=10.0, humidity=0.6), computed=computed)
    assert (seen.liquid_hottest, seen.fluidity, seen.humidity) == (350.0, None, 0.6)
    blind = record_of(PinholeFile(where=WHERE), computed=computed)
    assert (blind.liquid_hottest, blind.fluidity, blind.humidity) == (370.0, 50.0, 0.5)
    assert record_of(PinholeFile(where=WHERE, inside_corners=False)).corner_radius == math.inf


def test_a_map_of_corners_from_a_file(tmp_path: Path) -> None:
    file = tmp_path / "p.toml"
    file.write_text(
        'where = ["inside corners"]\n'
        '[[corners]]\nradius = "4 mm"\ndefects = true\nslip_joint = "unknown"\n'
        '[[corners]]\nradius = "2 mm"\ndefects = false\ninside = false\n'
    )
    record = record_of(read_pinholes(file))
    assert record.corner_radius == 0.004  # the tightest inside one
    assert [(c.radius, c.defects, c.inside, c.slip_joint) for c in record.corners] == [
        (0.004, True, True, None),
        (0.002, False, False, None),
    ]
    with pytest.raises(InputError) as told:
        Record(where=WHERE, corners=(Corner(radius=0.0, defects=True),))
    assert str(told.value) == ("pinholes, corner 1: radius 0.0 mm – a radius and a thickness above zero are wanted")


def test_contradictions_all_at_once() -> None:
    stated = PinholeFile(
        where=WHERE, ambient=1e5, altitude=100.0, inside_corners=False, corner_radius=0.005, pump_on=True,
        unpumped=600.0, ramp=0.01, dwell=310.0,
    )  # fmt: skip
    with pytest.raises(InputError) as told:
        record_of(stated, "p.toml")
    assert str(told.value) == (
        "p.toml, altitude – barometer or altitude, one of the two is wanted\n"
        "p.toml, corner_radius – there are no inside corners by what is stated\n"
        "p.toml, unpumped – the pump ran until gel by what is stated\n"
        "p.toml, dwell: 37 °C – more than 50 °C is wanted, or no ramp: state how long it was soft as liquid_time"
    )


def test_what_cannot_have_been() -> None:
    with pytest.raises(InputError) as told:
        Record(where=(), vacuum=1.05e5, ambient=1e5, liquid_hottest=500.0, life_used=7.0)
    assert str(told.value) == (
        "pinholes, where – at least one place is wanted\n"
        "pinholes, liquid hottest: 227 °C – between 7 °C and 187 °C is wanted\n"
        "pinholes, life used: 700.00 % – between 0.00 % and 500.00 % is wanted\n"
        "pinholes, vacuum: 1050 mbar – it is more than the 1000 mbar outside "
        "(the absolute pressure left in the bag is wanted)"
    )


def test_a_file_with_many_faults(tmp_path: Path) -> None:
    file = tmp_path / "p.toml"
    file.write_text('where = ["everywhere"]\nvacuum = 20\nhumidty = "50 %"\nviscosity = "0 Pa s"\nplies = -1\n')
    with pytest.raises(InputError) as told:
        read_pinholes(file)
    lines = str(told.value).splitlines()
    assert len(lines) == 5
    assert lines[0].startswith('p.toml, where, number 1: "everywhere" – one of "weave crossings all over"')
    assert 'p.toml, vacuum – 20 has no unit; a number with a unit is wanted, as in "20 mbar"' in lines
    assert 'p.toml, humidty – this is not known here (did you mean "humidity"?)' in lines
    assert 'p.toml, viscosity – "0 Pa s" must be more than zero' in lines


def test_every_value_has_a_range_and_what_is_unknown_a_prior() -> None:
    """What the causes read is drawn when it is not known; times and temperatures measured once are not guessed."""
    not_guessed = {"where", "corners", "opened_at", "fluidity", "films_supplied", "films_removed"}
    for f in fields(Record):
        if f.name in not_guessed:
            continue
        assert f.name in PRIORS, f.name
        prior = PRIORS[f.name]
        if f.name in RANGES:
            low, high, _ = RANGES[f.name]
            assert low <= prior.low <= prior.high <= high
