"""Which columns are sensors, their units, and what a pressure is told against."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from written import asked, log_of, said

from bagside.cure import Sensor
from bagside.records.logger import Reference
from bagside.records.logger.header import named
from bagside.records.logger.units import unit_of


def table(heads: Sequence[str], values: Sequence[Sequence[float]]) -> str:
    rows = [f"08:0{k}:00;" + ";".join(f"{v:g}" for v in row) for k, row in enumerate(values)]
    return "\n".join([";".join(["Time", *heads]), *rows]) + "\n"


@pytest.mark.parametrize(
    ("heading", "sensor"),
    [
        ("Oven air (°C)", Sensor.AIR),
        ("Ofentemperatur [°C]", Sensor.AIR),
        ("Lufttemperatur °C", Sensor.AIR),
        ("T four (°C)", Sensor.AIR),
        ("Temp étuve (°C)", Sensor.AIR),
        ("Chamber_C", Sensor.AIR),
        ("Autoclave temp (°F)", Sensor.AIR),
        ("Part 1 (°C)", Sensor.PART),
        ("Bauteil °C", Sensor.PART),
        ("Laminattemperatur (°C)", Sensor.PART),
        ("pièce 2 (°C)", Sensor.PART),
        ("PanelTC (°C)", Sensor.PART),
        ("Lagging TC (°C)", Sensor.PART),
        ("Tool (K)", Sensor.TOOL),
        ("Mould TC3 (°C)", Sensor.TOOL),
        ("Werkzeug (°C)", Sensor.TOOL),
        ("Formtemperatur (°C)", Sensor.TOOL),
        ("Moule (°C)", Sensor.TOOL),
        ("Setpoint (°C)", Sensor.SET),
        ("Oven SP (°C)", Sensor.SET),
        ("Ofen Soll (°C)", Sensor.SET),
        ("Sollwert (°C)", Sensor.SET),
        ("Consigne four (°C)", Sensor.SET),
        ("TC 4 (°C)", Sensor.UNKNOWN),
        ("CH1 (°C)", Sensor.UNKNOWN),
        ("Temperatur 2 (°C)", Sensor.UNKNOWN),
        ("Vacuum (mbar abs)", Sensor.BAG),
        ("Vakuum (mbar abs)", Sensor.BAG),
        ("Bag (kPa abs)", Sensor.BAG),
        ("Vide (mbara)", Sensor.BAG),
        ("Unterdruck (mbar rel)", Sensor.BAG),
        ("P1 (psia)", Sensor.BAG),
        ("Baro (hPa)", Sensor.AMBIENT),
        ("Luftdruck (hPa)", Sensor.AMBIENT),
        ("Ambient pressure (mbar)", Sensor.AMBIENT),
    ],
)  # fmt: skip
def test_what_a_heading_says(heading: str, sensor: Sensor) -> None:
    log = log_of(table([heading, "Air 9 (°C)"], [[300.0, 20.0], [301.0, 20.0], [300.0, 20.0]]), ambient=1e5)
    assert log.channels[0].sensor is sensor


@pytest.mark.parametrize(
    ("text", "number", "si"),
    [
        # by definition (SI brochure, 9th edition), and NIST SP 811, appendix B.8, for mercury and pounds
        ("°C", 100.0, 373.15), ("degC", 0.0, 273.15), ("C", 0.0, 273.15), ("grad C", 0.0, 273.15), ("℃", 0.0, 273.15),
        ("°F", 212.0, 373.15), ("[degF]", 32.0, 273.15), ("Fahrenheit", 32.0, 273.15), ("K", 300.0, 300.0),
        ("mbar", 1.0, 100.0), ("hPa", 1.0, 100.0), ("kPa", 1.0, 1e3), ("bar", 1.0, 1e5), ("Pa", 1.0, 1.0),
        ("torr", 760.0, 101325.0), ("mmHg", 1.0, 133.3224), ("inHg", 1.0, 3386.389), ("in. Hg", 1.0, 3386.389),
        ("psi", 1.0, 6894.757), ("atm", 1.0, 101325.0), ("micron", 1.0, 0.1333224), ("MPa", 1.0, 1e6),
    ],
)  # fmt: skip
def test_units_against_their_definitions(text: str, number: float, si: float) -> None:
    unit = unit_of(text)
    assert unit is not None
    assert unit.si(number) == pytest.approx(si, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "reference"),
    [
        ("mbar abs", Reference.ABSOLUTE), ("mbara", Reference.ABSOLUTE), ("bar(a)", Reference.ABSOLUTE),
        ("psia", Reference.ABSOLUTE), ("kPa a", Reference.ABSOLUTE), ("kPa absolute", Reference.ABSOLUTE),
        ("psig", Reference.GAUGE), ("barg", Reference.GAUGE), ("bar (g)", Reference.GAUGE),
        ("mbar rel.", Reference.GAUGE), ("kPa gauge", Reference.GAUGE), ("inHg vac", Reference.DEPTH),
        ("mbar", None), ("kPa", None), ("Pa", None),
    ],
)  # fmt: skip
def test_units_that_say_what_they_are_told_against(text: str, reference: Reference | None) -> None:
    unit = unit_of(text)
    assert unit is not None
    assert unit.reference is reference


@pytest.mark.parametrize(
    "heading", ["TC1 (°C)", "TC1 [°C]", "TC1, °C", "TC1/°C", "TC1 in °C", "TC1_degC", "TC1 °C", "TC1_C"]
)
def test_a_unit_stands_behind_a_name_in_many_ways(heading: str) -> None:
    name, unit = named(heading)
    assert name == "TC1"
    assert unit is not None
    assert unit.si(0.0) == 273.15


def test_columns_that_are_none_of_the_cures_are_left_out_and_said() -> None:
    heads = ["Air (°C)", "CJC (°C)", "Output (%)", "Fan", "Status", "Room (°C)"]
    rows = ["Time;" + ";".join(heads)] + [f"08:0{k}:00;20;22;55;3;RUN;21" for k in range(3)]
    log = log_of("\n".join(rows))
    assert [c.name for c in log.channels] == ["Air"]
    ask = "only sensors of the cure are read; if it is one, say so, as in --column"
    own = "its name says that it is none of the cure's"
    assert said(log) == [
        f'seen: run.csv, column CJC: left out: {own}; {ask} "CJC=part"',
        f'seen: run.csv, column Output: left out: % is none of heat or pressure; {ask} "Output=part"',
        f'seen: run.csv, column Fan: left out: {own}; {ask} "Fan=part"',
        f'seen: run.csv, column Status: left out: it holds words; {ask} "Status=part"',
        f'seen: run.csv, column Room: left out: {own}; {ask} "Room=part"',
    ]


def test_a_column_left_out_as_stated() -> None:
    log = log_of(table(["Air (°C)", "TC1 (°C)"], [[20, 21]] * 3), columns={"TC1": None})
    assert [c.name for c in log.channels] == ["Air"]


def test_a_set_point_is_said() -> None:
    assert said(log_of(table(["Air (°C)", "SP (°C)"], [[20, 21]] * 3))) == [
        "seen: run.csv, column SP: read as the controller's set point; the run can be laid against the programme it "
        "was given; nothing"
    ]


def test_all_questions_come_at_once() -> None:
    text = "Time;TC1;TC2;Vac;Q7\n03/04/2026 08:00;20;21;300;4\n03/04/2026 08:01;20;21;300;4\n"
    assert asked(text) == (
        'run.csv, column Time: "03/04/2026 08:00" – this may be 3 April 2026 (--date-order day) or 4 March 2026 '
        "(--date-order month); say which\n"
        'run.csv, columns TC1, TC2: "20" – the unit of these temperatures is not told and is not guessed; say --unit '
        '"°C", "°F" or K (for one column alone, as in --unit "TC1=°C")\n'
        'run.csv, column Vac: "300" – the unit of this pressure is not told and is not guessed; say --unit mbar, kPa, '
        'inHg, torr, bar or psi (for one column alone, as in --unit "Vac=mbar")'
    )


def test_a_column_that_may_be_anything_is_asked_about() -> None:
    assert asked(table(["Air (°C)", "Q7"], [[20, 4]] * 3)) == (
        'run.csv, column Q7: "4" – what this measures is not told; say air, part, tool, set, bag or ambient, or - to '
        'leave it out, as in --column "Q7=part"'
    )


def test_names_that_are_not_there() -> None:
    text = table(["Air (°C)", "TC1 (°C)"], [[20, 4]] * 3)
    settled = {"columns": {"TC2": Sensor.PART}, "sections": {"TC3": "keel"}, "units": {"Ai": ("°F",)}}
    assert asked(text, **settled) == (
        '--column: "TC2" – no column has this name (did you mean "TC1"?)\n'
        '--at: "TC3" – no column has this name (did you mean "TC1"?)\n'
        '--unit: "Ai" – no column has this name (did you mean "Air"?)'
    )


def test_a_stated_unit_wins_over_the_heads() -> None:
    log = log_of(table(["Air (°C)", "Part (°C)"], [[212, 21]] * 3), units={"Air": ("°F",)})
    assert log.channels[0].values[0] == pytest.approx(373.15)


# ---- pressures


def test_what_a_pressure_is_told_against_is_asked() -> None:
    text = table(["Air (°C)", "Vacuum (mbar)"], [[20, 900], [20, 950], [20, 951]])
    assert asked(text) == (
        "run.csv, column Vacuum: from 900 to 951 mbar – what this pressure is told against is not told; say --pressure "
        "absolute (20 mbar is a good bag), gauge (−990 mbar is a good bag) or depth (990 mbar of vacuum is a good bag)"
    )
    depth = log_of(text, pressures={"": Reference.DEPTH}, ambient=1e5)
    assert depth.channels[1].values.tolist() == pytest.approx([1e4, 5e3, 4.9e3])
    absolute = log_of(text, pressures={"Vacuum": Reference.ABSOLUTE})
    assert absolute.channels[1].values.tolist() == pytest.approx([9e4, 9.5e4, 9.51e4])


def test_readings_below_zero_are_told_against_the_ambient_pressure() -> None:
    text = table(["Air (°C)", "Vacuum (inHg)"], [[20, -29.0], [20, -28.0], [20, -29.0]])
    assert asked(text) == (
        "run.csv, column Vacuum: -29 inHg – this is told against the ambient pressure, which the file does not tell; "
        "state "
        'the day\'s, as in --ambient "1005 mbar"'
    )
    bag = log_of(text, ambient=101325.0).channels[1].values
    assert bag.tolist() == pytest.approx([101325.0 - inches * 3386.389 for inches in (29, 28, 29)], abs=0.1)
    assert asked(text, ambient=95000.0) == (
        "run.csv, column Vacuum: -29 inHg – with an ambient pressure of 950 mbar the bag would be below zero; state "
        "the day's ambient pressure at this place (--ambient) and what the gauge reads against (--pressure)"
    )


def test_the_ambient_pressure_is_taken_from_the_log_where_it_has_it() -> None:
    text = table(["Air (°C)", "Bag (kPa)", "Baro (hPa)"], [[20, -95, 1000], [20, -95, 1002], [20, -95, 1004]])
    log = log_of(text)
    assert log.of(Sensor.BAG)[0].values.tolist() == pytest.approx([5000.0, 5200.0, 5400.0])


def test_vacuum_in_per_cent_is_a_share_of_the_ambient_pressure() -> None:
    # Trade rule: 95 % vacuum at 250 m, 984 mbar, reads -934 mbar: 49 mbar are left.
    log = log_of(table(["Air (°C)", "Vacuum (%)"], [[20, 95]] * 3), ambient=98400.0)
    assert log.of(Sensor.BAG)[0].values.tolist() == pytest.approx([4920.0] * 3)


def test_an_absolute_pressure_below_zero() -> None:
    assert asked(table(["Air (°C)", "Bag (mbar abs)"], [[20, -95]] * 3)) == (
        "run.csv, column Bag: -95 mbar abs – an absolute pressure is never below zero; state the day's ambient "
        "pressure at this place (--ambient) and what the gauge reads against (--pressure)"
    )


def test_the_pump_is_not_the_bag() -> None:
    log = log_of(table(["Air (°C)", "Bag (mbar abs)", "Pump (mbar abs)"], [[20, 25, 3]] * 3))
    assert [c.name for c in log.of(Sensor.BAG)] == ["Bag"]
    assert said(log) == [
        "seen: run.csv, column Pump: left out: it is the pressure at the pump, and there is one in the bag; only "
        "sensors of "
        'the cure are read; if it is one, say so, as in --column "Pump=part"'
    ]


def test_the_pressure_of_an_autoclave_is_not_the_bags() -> None:
    log = log_of(table(["Air (°C)", "Bag (mbar abs)", "Autoclave (bar)"], [[20, 25, 6]] * 3))
    assert [c.name for c in log.of(Sensor.BAG)] == ["Bag"]
    assert log.noticed[0].what == "left out: it is the pressure of the vessel, not of the bag"


def test_a_k_that_is_the_thermocouples_type() -> None:
    text = table(["CH1 (K)", "CH2 (K)"], [[21.5, 295.0], [22.0, 295.0]])
    assert asked(text) == (
        "run.csv, column CH1: 21.5 K – as kelvin this would be far below freezing; the K may be the thermocouple's "
        "type: say "
        'its unit (as in --unit "CH1=°C")'
    )
    log = log_of(text, units={"CH1": ("°C",)})
    assert [c.values[0] for c in log.channels] == pytest.approx([294.65, 295.0])
