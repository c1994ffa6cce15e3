import errno
from dataclasses import replace

import numpy as np
import psychrolib
import pytest

from moistwall.climate.columns import COLUMNS
from moistwall.climate.hours import HOURS, hour_index, hour_stamp
from moistwall.climate.limits import HOURLY
from moistwall.climate.read import read_climate
from moistwall.climate.record import Climate
from moistwall.climate.table import (
    climate_from_table,
    table_text,
    write_table,
)
from moistwall.errors import ClimateError

TOP = """\
# A logger on an invented reserve: all numbers are invented
# place: Heron Point field station (invented)
# source: invented for tests
# latitude_deg: 30.25
# longitude_deg: -88.1
# time_zone_h: -6
# elevation_m: 3
"""
HEADER = (
    "month,day,hour,temperature_degC,dew_point_degC,pressure_Pa,wind_speed_m_s,wind_direction_deg,"
    "sun_global_W_m2,sun_direct_W_m2,sun_diffuse_W_m2,opaque_sky_cover_tenths"
)
CELLS = "24,20,101325,3,180,0,0,0,5"


def rows_of_a_year(cells=CELLS):
    return ["{},{},{},{}".format(*hour_stamp(k), cells) for k in range(HOURS)]


def text_of(rows=None, header=HEADER, top=TOP):
    return top + "\n".join([header, *(rows_of_a_year() if rows is None else rows)]) + "\n"


def with_row(stamp, cells):
    """A year of equal rows in which one hour has other cells."""
    rows = rows_of_a_year()
    rows[hour_index(*stamp)] = "{},{},{},{}".format(*stamp, cells)
    return rows


def faults(text):
    with pytest.raises(ClimateError) as caught:
        climate_from_table(text, "year.csv")
    return [str(fault) for fault in caught.value.faults]


def any_climate(**changes):
    """A year of uneven numbers with up to ten digits."""
    rng = np.random.default_rng(3)
    temperature = np.round(rng.uniform(5.0, 35.0, HOURS), 4)
    year = Climate(
        name="heron-point",
        place="Heron Point (invented), 3 m up",
        source="invented",
        latitude=30.25,
        longitude=-88.1,
        time_zone=-6.0,
        elevation=3.0,
        temperature=temperature,
        dew_point=np.round(temperature - rng.uniform(0.0, 9.0, HOURS), 4) - 0.0001,
        pressure=np.round(rng.uniform(99_000.0, 103_000.0, HOURS), 1),
        wind_speed=np.round(rng.uniform(0.0, 12.0, HOURS), 2),
        wind_direction=np.round(rng.uniform(0.0, 360.0, HOURS)),
        sun_global=np.round(rng.uniform(0.0, 1000.0, HOURS), 3),
        sun_direct=np.round(rng.uniform(0.0, 900.0, HOURS), 3),
        sun_diffuse=np.round(rng.uniform(0.0, 400.0, HOURS), 3),
        cloud=np.round(rng.uniform(0.0, 1.0, HOURS), 2),
        rain=np.round(rng.exponential(0.2, HOURS), 3),
        notes=("first note", "second: note, with marks"),
    )
    return replace(year, **changes)


def test_round_trip(tmp_path):
    """What is written and read again is the same to the last printed digit, texts included."""
    year = any_climate()
    write_table(year, tmp_path / "other-name.csv")
    again = read_climate(tmp_path / "other-name.csv")
    for field in ("name", "place", "source", "notes", "latitude", "longitude", "time_zone"):
        assert getattr(again, field) == getattr(year, field)
    for field in HOURLY:
        np.testing.assert_allclose(getattr(again, field), getattr(year, field), rtol=1e-13, atol=0)
    assert table_text(again) == table_text(year)
    assert [p.name for p in tmp_path.iterdir()] == ["other-name.csv"]


def test_rain_is_an_optional_column():
    """A year without known rain is written without the column, and read as None."""
    text = table_text(any_climate(rain=None))
    assert "rain_mm" not in text
    assert climate_from_table(text, "x.csv").rain is None


def test_ten_digits_are_kept():
    """A number with many digits is kept to ten of them."""
    year = any_climate(temperature=np.full(HOURS, 35.0 + 1.0 / 3.0))
    again = climate_from_table(table_text(year), "x.csv")
    np.testing.assert_allclose(again.temperature, 35.0 + 1.0 / 3.0, rtol=5e-10)


def test_plain_year():
    """Comments, site, name from the file and values in SI."""
    year = climate_from_table(text_of(), "somewhere/heron.csv")
    assert year.name == "heron"
    assert year.place == "Heron Point field station (invented)"
    assert (year.latitude, year.longitude, year.time_zone, year.elevation) == (30.25, -88.1, -6, 3)
    assert year.temperature[0] == 24.0
    assert year.cloud[0] == 0.5
    assert year.notes == ()


# Conversions that are exact by definition: degF, inch of mercury (NIST SP 811: 3386.389 Pa),
# mile, knot, foot, inch; Btu/(h ft2) = 3.154591 W/m2 (NIST SP 811).
OTHER_UNITS = [
    ("temperature_degC", "temperature_degF", "77", "temperature", 25.0),
    ("dew_point_degC", "dew_point_degF", "68", "dew_point", 20.0),
    ("pressure_Pa", "pressure_hPa", "1013.25", "pressure", 101_325.0),
    ("pressure_Pa", "pressure_kPa", "101.325", "pressure", 101_325.0),
    ("pressure_Pa", "pressure_inHg", "29.92", "pressure", 101_320.8),
    ("pressure_Pa", "pressure_psi", "14.69595", "pressure", 101_325.0),
    ("wind_speed_m_s", "wind_speed_mph", "10", "wind_speed", 4.4704),
    ("wind_speed_m_s", "wind_speed_kn", "10", "wind_speed", 5.144444),
    ("wind_speed_m_s", "wind_speed_km_h", "36", "wind_speed", 10.0),
    ("sun_global_W_m2", "sun_global_Btu_h_ft2", "100", "sun_global", 315.4591),
    ("sun_direct_W_m2", "sun_direct_Btu_h_ft2", "100", "sun_direct", 315.4591),
    ("sun_diffuse_W_m2", "sun_diffuse_Btu_h_ft2", "100", "sun_diffuse", 315.4591),
    ("opaque_sky_cover_tenths", "opaque_sky_cover_percent", "35", "cloud", 0.35),
]


@pytest.mark.parametrize(("si", "name", "cell", "field", "expected"), OTHER_UNITS)
def test_columns_in_other_units(si, name, cell, field, expected):
    """A column in another unit is converted by its name."""
    columns = HEADER.split(",")
    at = columns.index(si)
    columns[at] = name
    cells = CELLS.split(",")
    cells[at - 3] = cell
    year = climate_from_table(text_of(rows_of_a_year(",".join(cells)), ",".join(columns)), "x.csv")
    assert getattr(year, field)[100] == pytest.approx(expected, rel=1e-6)


def test_every_column_is_tried():
    """The list above leaves out no column in another unit but rain and relative humidity."""
    tried = {row[1] for row in OTHER_UNITS}
    firsts = {next(c.name for c in COLUMNS if c.field == f) for f in HOURLY}
    rest = {c.name for c in COLUMNS} - tried - firsts
    assert rest == {"relative_humidity_percent", "rain_in"}


def test_rain_in_inches():
    """An inch of rain is 25.4 mm, and an elevation of 10 ft is 3.048 m."""
    top = TOP.replace("elevation_m: 3", "elevation_ft: 10")
    year = climate_from_table(
        text_of(rows_of_a_year(CELLS + ",0.1"), HEADER + ",rain_in", top), "x.csv"
    )
    assert year.rain[7] == pytest.approx(2.54)
    assert year.elevation == pytest.approx(3.048)


@pytest.mark.parametrize(("temperature", "percent"), [(24, 80), (30, 35), (35, 60), (24, 100)])
def test_relative_humidity(temperature, percent):
    """Relative humidity becomes the dew point that psychrolib finds for it."""
    header = HEADER.replace("dew_point_degC", "relative_humidity_percent")
    cells = CELLS.replace("24,20", f"{temperature},{percent}", 1)
    year = climate_from_table(text_of(rows_of_a_year(cells), header), "x.csv")
    psychrolib.SetUnitSystem(psychrolib.SI)
    expected = psychrolib.GetTDewPointFromRelHum(temperature, percent / 100.0)
    np.testing.assert_allclose(year.dew_point, expected, atol=0.02)
    assert year.notes == ()


@pytest.mark.parametrize("percent", ["0", "-3", "100.5", "0.001"])
def test_impossible_relative_humidity(percent):
    """Humidity of 0, below it, above 100 % or drier than -60 degC is named by its hour."""
    header = HEADER.replace("dew_point_degC", "relative_humidity_percent")
    rows = rows_of_a_year(CELLS.replace("24,20", "24,80", 1))
    rows[9] = "1,1,10," + CELLS.replace("24,20", f"24,{percent}", 1)
    found = faults(text_of(rows, header))
    assert len(found) == 1
    assert found[0].startswith("year.csv: relative_humidity_percent, month 1, day 1, hour 10:")


def test_rows_in_any_order():
    """A year that begins in July is read by its stamps."""
    rows = with_row((7, 1, 1), CELLS.replace("24", "31", 1))
    half = hour_index(7, 1, 1)
    year = climate_from_table(text_of(rows[half:] + rows[:half]), "x.csv")
    assert year.temperature[half] == 31.0
    assert np.count_nonzero(year.temperature == 31.0) == 1


def test_leap_year():
    """In a year of 8784 rows February 29 is left out and a note says so."""
    rows = rows_of_a_year()
    leap = [f"2,29,{h},{CELLS.replace('24', '12', 1)}" for h in range(1, 25)]
    at = hour_index(3, 1, 1)
    year = climate_from_table(text_of(rows[:at] + leap + rows[at:]), "x.csv")
    assert year.temperature.min() == 24.0
    assert year.notes == ("February 29 left out (24 rows)",)


def test_line_ends_mark_and_year_column(tmp_path):
    """A byte order mark, Windows line ends, blank lines and a column 'year' do no harm."""
    rows = [f"2019,{row}" for row in rows_of_a_year()]
    text = text_of(rows, "year," + HEADER) + "\n\n"
    path = tmp_path / "windows.csv"
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert read_climate(path).temperature[8759] == 24.0


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("temperature_degC", "temperature", "name it temperature_degC or temperature_degF"),
        ("wind_speed_m_s", "wind_speed", "name it wind_speed_m_s or"),
        ("opaque_sky_cover_tenths", "opaque_sky_cover", "name it opaque_sky_cover_tenths or"),
        ("pressure_Pa", "pressure_mmHg", "unknown column (got pressure_mmHg); accepted: press"),
        ("month", "moon", "no column month"),
        ("dew_point_degC", "humidor", "must have exactly one column of humidity"),
    ],
)
def test_columns_without_a_unit_or_unknown(old, new, expected):
    """A column that is not known is shown with the names that are."""
    found = faults(text_of(header=HEADER.replace(old, new)))
    assert any(expected in text for text in found), found


def test_two_columns_for_one_thing():
    """Two columns of humidity, and a column given in two units, are both refused."""
    rows = rows_of_a_year(CELLS + ",80,75")
    found = faults(text_of(rows, HEADER + ",relative_humidity_percent,temperature_degF"))
    assert any("exactly one column of humidity" in text for text in found)
    assert any("temperature_degF" in t and "same as temperature_degC" in t for t in found)


def test_semicolons():
    """A table with semicolons is one fault, not one for each column."""
    found = faults(text_of(header=HEADER.replace(",", ";")))
    assert len(found) == 1
    assert "separate the columns with commas" in found[0]


def test_site_without_unit_missing_or_no_number():
    """What the header lines lack is reported together with what is wrong in the rows."""
    top = TOP.replace("latitude_deg: 30.25", "latitude: 30.25").replace("-88.1", "88 W")
    top = top.replace("# source: invented for tests\n", "")
    found = faults(text_of(with_row((5, 6, 7), CELLS.replace("24", "x", 1)), top=top))
    joined = "\n".join(found)
    assert "has no unit (got 30.25); name it latitude_deg" in joined
    assert "latitude_deg: not given" in joined
    assert "longitude_deg, line 4: is not a number (got 88 W)" in joined
    assert "source: not given" in joined
    assert "temperature_degC, month 5, day 6, hour 7: is not a finite number (got x)" in joined


def test_longitude_with_the_wrong_sign():
    """A longitude far from the meridian of its clock is refused: east is positive."""
    found = faults(text_of(top=TOP.replace("-88.1", "88.1")))
    assert len(found) == 1
    assert "east is positive" in found[0]


@pytest.mark.parametrize("cell", ["nan", "inf", "-inf", "1e999", "1_0", "0x10", "٣", "24 degC"])
def test_cells_that_are_no_finite_number(cell):
    """Nothing but a plain finite number is read, whatever Python's float() would take."""
    found = faults(text_of(with_row((2, 3, 4), CELLS.replace("24", cell, 1))))
    assert len(found) == 1
    assert "temperature_degC, month 2, day 3, hour 4: is not a finite number" in found[0]


@pytest.mark.parametrize(
    ("cells", "field"),
    [
        ("75,20,101325,3,180,0,0,0,5", "temperature_degC"),
        ("24,-61,101325,3,180,0,0,0,5", "dew_point_degC"),
        ("24,20,1013.25,3,180,0,0,0,5", "pressure_Pa"),
        ("24,20,101325,-1,180,0,0,0,5", "wind_speed_m_s"),
        ("24,20,101325,3,361,0,0,0,5", "wind_direction_deg"),
        ("24,20,101325,3,180,-1,0,0,5", "sun_global_W_m2"),
        ("24,20,101325,3,180,0,3600,0,5", "sun_direct_W_m2"),
        ("24,20,101325,3,180,0,0,-9999,5", "sun_diffuse_W_m2"),
        ("24,20,101325,3,180,0,0,0,11", "opaque_sky_cover_tenths"),
        ("24,24.06,101325,3,180,0,0,0,5", "dew_point_degC"),
    ],
)
def test_impossible_values(cells, field):
    """A value that cannot be right is named by column and hour."""
    found = faults(text_of(with_row((8, 9, 10), cells)))
    assert len(found) == 1
    assert found[0].startswith(f"year.csv: {field}, month 8, day 9, hour 10: ")


def test_missing_duplicate_and_impossible_hours_together():
    """A missing row, a row given twice and an hour 25 are reported in one error."""
    rows = rows_of_a_year()
    del rows[hour_index(4, 5, 6)]
    rows.insert(100, rows[50])
    rows.insert(200, f"4,31,1,{CELLS}")
    rows.insert(300, f"1,1,25,{CELLS}")
    found = faults(text_of(rows))
    joined = "\n".join(found)
    assert "hours, month 4, day 5, hour 6: hour missing" in joined
    assert "month 1, day 3, hour 3: the same hour twice" in joined
    assert "no such hour (got 4, 31, 1)" in joined
    assert "no such hour (got 1, 1, 25)" in joined
    assert "rows: must be 8760, or 8784 with February 29 (got 8762)" in joined


def test_rows_with_a_decimal_comma():
    """A row with more cells than columns is named by its line."""
    rows = with_row((1, 1, 2), CELLS.replace("24", "24,5", 1))
    found = faults(text_of(rows))
    assert "row, line 10: must have 12 cells, as the header has (got 13 cells)" in found[0]


def test_many_mistakes_of_one_kind_are_counted():
    """Of 8760 equal mistakes three are shown and the others counted."""
    found = faults(text_of(rows_of_a_year(CELLS.replace("24", "75", 1))))
    assert len(found) == 4
    assert "8757 more like this" in found[3]


def test_header_without_rows_and_comments_without_header():
    """A table without rows, or without a header, is refused and not taken for a year."""
    assert any("must be 8760" in text for text in faults(text_of([])))
    assert any("no line with the names" in text for text in faults(TOP))


def test_write_leaves_nothing_behind(tmp_path, monkeypatch):
    """If writing fails half way there is neither the file nor a part of it."""

    def fail(number):
        raise OSError(errno.ENOSPC, "disk full")

    monkeypatch.setattr("os.fsync", fail)
    with pytest.raises(OSError, match="disk full"):
        write_table(any_climate(), tmp_path / "x.csv")
    assert list(tmp_path.iterdir()) == []
