"""Where the table stands in a file: preambles, heads, quotes, broken rows, numbers in every dress."""

from __future__ import annotations

import numpy as np
import pytest
from written import asked, log_of, said

from bagside.cure import CureLog
from bagside.records.logger.numbers import as_number

ROWS = "08:00:00;20.0;21.0\n08:01:00;22.5;21.5\n08:02:00;25.0;22.0\n"
HEAD = "Time;Air (°C);Part (°C)\n"


def plain(log: CureLog, *, time: tuple[float, ...] = (0.0, 60.0, 120.0)) -> list[str]:
    """Assert that these are the readings above, and return what was said."""
    assert log.time.tolist() == pytest.approx(time)
    assert [c.name for c in log.channels] == ["Air", "Part"]
    np.testing.assert_allclose(log.channels[0].values - 273.15, [20.0, 22.5, 25.0])
    np.testing.assert_allclose(log.channels[1].values - 273.15, [21.0, 21.5, 22.0])
    return said(log)


@pytest.mark.parametrize(
    "text",
    [
        HEAD + ROWS,
        "Serial no.;4711\nInterval;60 s\nSite;shop\n\n" + HEAD + ROWS,
        "Logger 4711\nstarted 2026-03-04\n" + HEAD + ROWS,
        "# logger 4711\n# Time;Air (°C);Part (°C)\n" + ROWS,
        "// made by firmware 2\n" + HEAD + ROWS,
        "Time;Air;Part\nhh:mm:ss;°C;°C\n" + ROWS,
        "Time;Air;Part\n;[°C];[°C]\n" + ROWS,
        "Unit: °C\nTime;Air;Part\n" + ROWS,
        '"Time";"Air (°C)";"Part (°C)"\n' + ROWS,
        HEAD + ROWS.replace("\n", ";\n"),  # a separator at each line's end
        HEAD + ROWS.replace("\n", "\n\n"),
        (HEAD + ROWS).replace(";", "\t"),
        (HEAD + ROWS).replace(";", "|"),
        (HEAD + ROWS).replace(";", " ; "),
        (HEAD + ROWS).replace(";", ","),
        (HEAD + ROWS).replace(".", ","),
        (HEAD + ROWS).replace(";", "\t").replace(".", ","),
        (HEAD + ROWS).replace(";", "   ").replace(".", ","),
        "Time Air Part\n- °C °C\n" + ROWS.replace(";", " "),
        '"' + (HEAD + ROWS).strip().replace(";", '","').replace(".", ",").replace("\n", '"\n"') + '"\n',
        "Time;Air;Part\n" + ROWS.replace("0;", "0 °C;").replace("5;", "5 °C;").replace("0\n", "0 °C\n").replace("5\n", "5 °C\n").replace(":00 °C", ":00"),  # noqa: E501
        (HEAD + ROWS).replace("\n", "\r\n"),
        (HEAD + ROWS).strip(),
        "\n\n" + HEAD + ROWS,
    ],
)  # fmt: skip
def test_the_same_table_in_many_dresses(text: str) -> None:
    assert plain(log_of(text)) == []


def test_two_rows_of_names_are_read_together() -> None:
    log = log_of("Clock;Channel A;Channel B\nTime;Air;Part\n;°C;°C\n" + ROWS)
    assert [c.name for c in log.channels] == ["Channel A Air", "Channel B Part"]


def test_columns_named_alike_are_told_apart() -> None:
    log = log_of("Time;Temp (°C);Temp (°C)\n" + ROWS)
    assert [c.name for c in log.channels] == ["Temp", "Temp (2)"]


def test_a_head_that_stands_again_where_the_logger_was_started_again() -> None:
    first, second, third = ROWS.splitlines(keepends=True)
    assert plain(log_of(HEAD + first + HEAD + second + third)) == [
        "seen: run.csv, line 3: the head of the table stands once more; the logger was started again there; nothing; "
        "readings go on"
    ]


def test_remarks_among_the_rows_and_totals_below() -> None:
    first, rest = ROWS.split("\n", 1)
    text = HEAD + first + "\n# door opened\n" + rest + "Min;20.0;21.0\nMax;25.0;22.0\nEnd of log\n"
    assert plain(log_of(text)) == [
        'seen: run.csv, lines 6, 7, 8: 3 lines left out, with no time ("Min 20.0 21.0"); readings may be lost there; '
        "look at the file when they are not remarks or totals"
    ]


def test_rows_with_too_many_cells() -> None:
    assert plain(log_of(HEAD + ROWS + "08:03:00;25;22;08:04:00;26;23\n")) == [
        "seen: run.csv, line 5: 1 line left out, with more cells than the table has columns; readings may be lost "
        "there; look at the file when they are not remarks or totals"
    ]


def test_a_row_with_too_few_cells_keeps_what_it_has() -> None:
    log = log_of(HEAD + "08:00:00;20\n" + ROWS.replace("08:0", "08:1"))
    assert log.channels[0].values[0] == pytest.approx(293.15)
    assert np.isnan(log.channels[1].values[0])
    assert said(log)[0] == (
        "seen: run.csv, line 2: 1 line with fewer cells than the table has columns; readings may be lost there; "
        "nothing; what they hold was taken"
    )


@pytest.mark.parametrize("cut", ["08:0", "08:03:00;2", "08:03:00;25.0;2", "08:03:00;25.0;22."])
def test_a_last_line_that_breaks_off(cut: str) -> None:
    assert plain(log_of(HEAD + ROWS + cut)) == [
        "seen: run.csv, line 5: the last line breaks off; it was being written when the file was copied; nothing; it "
        "was left out"
    ]


def test_an_inch_mark_does_not_swallow_the_file() -> None:
    text = 'Time;Air (°C);Bag ("Hg abs)\n08:00:00;20;2\n08:01:00;21;3\n'
    log = log_of(text)
    assert log.channels[1].values.tolist() == pytest.approx([2 * 3386.389, 3 * 3386.389], rel=1e-5)


def test_the_comma_for_both() -> None:
    assert asked("t (s),Air (°C),Part (°C)\n0,0,21,5,22,1\n10,0,21,6,22,3\n20,0,21,6,22,3\n") == (
        "run.csv, line 2: 6 cells under a head of 3 – the comma seems to part the columns and to stand in the numbers "
        "at once, which cannot be told apart (export it with semicolons or tabs between the columns)"
    )


@pytest.mark.parametrize("text", ["", "\n\n", "hello\nworld\n", "a;b\nc;d\n", "<html><body>no</body></html>"])
def test_no_table(text: str) -> None:
    assert asked(text) == (
        "run.csv – no rows of readings were found in it: lines that hold a time and one number or more each are wanted "
        "(its separator can be stated with --separator)"
    )


def test_one_reading_is_no_log() -> None:
    assert asked(HEAD + "08:00:00;20.0;21.0\n") == "run.csv: one row of readings – two or more are wanted"


def test_a_separator_that_was_stated() -> None:
    assert plain(log_of((HEAD + ROWS).replace(";", "~"), separator="~")) == []


# ---- numbers


@pytest.mark.parametrize(
    ("cell", "mark", "number"),
    [
        ("21.5", ".", 21.5),
        ("21,5", ",", 21.5),
        ("+21.5", ".", 21.5),
        ("−21.5", ".", -21.5),  # the true minus
        ("1,013.25", ".", 1013.25),
        ("1.013,25", ",", 1013.25),
        ("1'013.25", ".", 1013.25),
        ("1 013,25", ",", 1013.25),
        ("1\u202f013,25", ",", 1013.25),
        ("12.345.678,9", ",", 12345678.9),
        (".5", ".", 0.5),
        ("5.", ".", 5.0),
        ("2.15e1", ".", 21.5),
        ("21.5 °C", ".", 21.5),
        ("21.5C", ".", 21.5),
    ],
)
def test_a_number_in_every_dress(cell: str, mark: str, number: float) -> None:
    assert as_number(cell, mark) == number


@pytest.mark.parametrize("cell", ["1,01,3", "1.2.3", "--", "12:00", "1e999", "", "OPEN", "2 1", "1,0135.2"])
def test_no_number(cell: str) -> None:
    assert np.isnan(as_number(cell, "."))


@pytest.mark.parametrize(
    "word",
    ["", "----", "OPEN", "OL", "O.L", "NaN", "Err", "ERROR", "#N/A", "#DIV/0!", "####", "***", "inf", "Burnout", "n/a",
     "Fehler", "offen", "9999", "-9999", "32767", "-200", "3276.7"],
)  # fmt: skip
def test_every_word_and_number_for_no_reading(word: str) -> None:
    log = log_of(HEAD + ROWS + f"08:03:00;30.0;{word}\n08:04:00;35.0;23.0\n")
    assert np.isnan(log.channels[1].values).tolist() == [False, False, False, True, False]


def test_numbers_that_cannot_be_readings_are_said() -> None:
    log = log_of(HEAD.replace("Part (°C)", "Part (°F)") + "08:00:00;20;70\n08:01:00;9999;-328\n08:02:00;22;72\n")
    assert said(log)[:2] == [
        "watch: run.csv, Air: 1 reading cannot be one, the first 9999 °C; an open or shorted sensor gives such "
        "numbers; nothing was put in its place: look at plug and wire",
        "watch: run.csv, Part: 1 reading cannot be one, the first -328 °F; an open or shorted sensor gives such "
        "numbers; nothing was put in its place: look at plug and wire",
    ]


def test_thousands_or_thousandths() -> None:
    text = "Time;Bag (mbar abs)\n08:00:00;1,013\n08:01:00;1,012\n08:02:00;999\n"
    assert asked(text) == ('run.csv: "1,013" – this may be 1.013 (--decimal ",") or 1013 (--decimal "."); say which')
    assert log_of(text, decimal=".").channels[0].values.tolist() == pytest.approx([101300.0, 101200.0, 99900.0])
    assert log_of(text, decimal=",").channels[0].values.tolist() == pytest.approx([101.3, 101.2, 99900.0])


def test_a_temperature_is_never_in_thousands() -> None:
    log = log_of("Time;Air (°C)\n08:00:00;21.503\n08:01:00;22.011\n")
    assert log.channels[0].values.tolist() == pytest.approx([294.653, 295.161])


def test_one_number_that_shows_the_mark_settles_the_others() -> None:
    log = log_of("Time;Air (°C);Bag (mbar abs)\n08:00:00;21,5;1.013\n08:01:00;21,6;1.012\n")
    assert log.channels[1].values.tolist() == pytest.approx([101300.0, 101200.0])


def test_a_mark_that_first_shows_late() -> None:
    rows = "".join(f"{8 + k // 60:02d}:{k % 60:02d}:00;{20 + k // 20}\n" for k in range(600)) + "18:00:00;50,5\n"
    assert log_of("Time;Air (°C)\n" + rows).channels[0].values[-1] == pytest.approx(273.15 + 50.5)


def test_columns_that_change_within_the_file() -> None:
    wanted = "from here on the columns are others than above; cut the file in two here and read each part"
    fewer = HEAD + ROWS + "Time;Part (°C)\n08:03:00;22\n08:04:00;22\n"
    assert asked(fewer) == f"run.csv, line 5 – {wanted}"
    more = HEAD + ROWS + "".join(f"08:0{k}:00;25;22;23\n" for k in range(3, 8))
    assert asked(more + "".join(f"08:1{k}:00;25;22\n" for k in range(9))) == f"run.csv, line 5 – {wanted}"


def test_dates_on_the_first_row_of_each_day_alone() -> None:
    rows = "".join(f"{'04.03.2026' if k % 30 == 0 else ''};08:{k:02d}:00;20\n" for k in range(60))
    log = log_of("Date;Time;Air (°C)\n" + rows)
    assert log.time.tolist() == [60.0 * k for k in range(60)]
    assert [f.what for f in log.noticed] == ["left out: it tells dates"]


def test_many_rows_without_a_time_are_asked_about() -> None:
    rows = "".join(f"{f'08:{k:02d}:00' if k % 2 else 'late'};20\n" for k in range(60))
    start = "".join(f"07:{k:02d}:00;20\n" for k in range(60))
    assert asked("Time;Air (°C)\n" + start + rows) == (
        'run.csv, line 62: "late 20" – 30 lines like this hold no time that is understood; say which column tells it '
        "(--time-column)"
    )


def test_a_line_that_tells_a_spreadsheet_the_separator() -> None:
    assert plain(log_of("sep=;\n" + HEAD + ROWS)) == []


def test_one_sensor_a_row() -> None:
    rows = "".join(f"08:0{k}:00;{name};20\n" for k in range(5) for name in ("TC1", "TC2"))
    assert asked("Time;Sensor;Value (°C)\n" + rows) == (
        "run.csv, column Sensor: TC1, TC2 – each row holds one sensor, named in this column; a column for each sensor "
        "is wanted (export it so, or turn it with a spreadsheet's pivot table)"
    )


@pytest.mark.parametrize(
    ("text", "names", "sensors"),
    [
        (
            "Stamp,Row,T(1),T(2)\nwhen,no,Deg C,Deg C\n,,mean,mean\n2026-03-14 08:00:00,0,21.5,22.1\n"
            '2026-03-14 08:01:00,1,21.6,"NAN"\n',
            ["T(1) mean", "T(2) mean"],
            ["not known", "not known"],
        ),
        (
            "Messung;Ofen 3\n\nNr.;Datum;Uhrzeit;Ofen Ist [°C];Ofen Soll [°C];Bauteil 1 [°C];Vakuum [mbar "
            "abs.];Stellgrad "
            "[%]\n1;14.03.2026;08:00:00;21,3;20,0;20,9;1.013,2;0\n2;14.03.2026;08:00:10;21,3;21,0;20,9;913,2;5\n",
            ["Ofen Ist", "Ofen Soll", "Bauteil 1", "Vakuum"],
            ["air", "set point", "part", "pressure in the bag"],
        ),
        (
            'Device: X,,,\nSN: 123,,,\n"Date","Time","Oven Temp (°F)","Part TC1 (°F)"\n03/14/2026,8:00:00 '
            "AM,70.1,70.2\n"
            "03/14/2026,8:00:30 AM,71.1,70.2\n",
            ["Oven Temp", "Part TC1"],
            ["air", "part"],
        ),
        (
            "Temps (min);T° four (°C);T° pièce (°C);Vide (mbar abs)\n0;20,1;20,0;950\n1;21,1;20,1;951\n",
            ["T° four", "T° pièce", "Vide"],
            ["air", "part", "pressure in the bag"],
        ),
        (
            "Zeitstempel;Temperatur Luft in Grad Celsius;Temperatur Form in Grad Celsius\n2026-03-14T08:00:00Z;20;21\n"
            "2026-03-14T08:01:00Z;20;21\n",
            ["Temperatur Luft", "Temperatur Form"],
            ["air", "tool"],
        ),
        (
            "Scan,Time,101 (C),102 (C),Alarm 101\n1,03/14/2026 08:00:00:123,21.1,22.2,0\n2,03/14/2026 "
            "08:00:10:123,21.2,22.2,0\n",
            ["101", "102"],
            ["not known", "not known"],
        ),
        (
            "TIME (hh:mm:ss)\tPV °C\tSP °C\tOP\n00:00:00\t21.0\t20.0\t0\n00:00:30\t21.0\t20.5\t0\n",
            ["PV", "SP"],
            ["not known", "set point"],
        ),
    ],
)
def test_files_as_loggers_of_many_makers_write_them(text: str, names: list[str], sensors: list[str]) -> None:
    log = log_of(text)
    assert [c.name for c in log.channels] == names
    assert [c.sensor.value for c in log.channels] == sensors


def test_quotes_in_mid_line_do_not_run_over_its_end() -> None:
    first, rest = ROWS.split("\n", 1)
    assert plain(log_of(HEAD + first + '\nx"y;"z;1\n' + rest)) == [
        'seen: run.csv, line 3: 1 line left out, with no time ("x"y z;1"); readings may be lost there; look at the '
        "file "
        "when they are not remarks or totals"
    ]
