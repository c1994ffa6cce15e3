"""TMY3 files: two that pvlib carries, and four more where they lie beside the project."""

from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from moistwall.climate.hours import HOURS, MONTH_OF_HOUR, hour_index
from moistwall.climate.rain import RainRule
from moistwall.climate.read import read_climate
from moistwall.climate.text import read_text
from moistwall.climate.tmy3 import climate_from_tmy3
from moistwall.errors import ClimateError
from moistwall.library import read_year
from moistwall.loads.sun import sun_position

DATA = Path(find_spec("pvlib").origin).parent / "data"
GREENSBORO, SAND_POINT = DATA / "723170TYA.CSV", DATA / "703165TY.csv"
LINES = read_text(GREENSBORO).split("\n")
NAMES = LINES[1].split(",")
BESIDE = Path(__file__).parents[3] / "shared" / "weather"
AS_READ = RainRule(as_read=True)

FILES = {
    "AL-Mobile_Regional_Ap": (19.2, 14.0, 74, 4.49, 3.6, 2145, 340, 123, 3070, -6.7, 35.0),
    "AZ-Phoenix_Sky_Harbor_Intl_Ap": (23.8, 4.7, 34, 5.74, 2.8, 117, 79, 0, 73, 2.2, 44.4),
    "FL-Miami_Intl_Ap": (24.5, 18.9, 73, 4.80, 4.1, 1440, 409, 295, 5062, 5.0, 35.6),
    "PR-San_Juan_Intl_Arpt": (26.6, 22.0, 77, 5.35, 3.7, 1189, 1524, 1202, 7259, 19.4, 34.4),
}
"""Dry bulb, dew point [degC], RH [%], sun [kWh/(m2 d)], wind [m/s], rain [mm] and its hours, hours
with a dew point over 24 and from 20 degC, coldest and hottest hour [degC]: computed from the raw
files by other code, printed to these digits."""


def beside(name):
    """A file that lies beside the project on some machines."""
    path = BESIDE / f"{name}.tmy3"
    if not path.is_file():
        pytest.skip("the TMY3 files of other stations are not here")
    return path


def row_of(month, day, hour):
    """Number of the line (from 0) of an hour, found by its stamp and not by counting."""
    start, time = f"{month:02d}/{day:02d}/", f"{hour:02d}:00"
    (number,) = (
        i
        for i, line in enumerate(LINES)
        if line.startswith(start) and line.split(",", 2)[1] == time
    )
    return number


def with_cells(stamps, column, text):
    """The Greensboro file with one cell changed in some hours."""
    lines = list(LINES)
    for stamp in stamps:
        number = row_of(*stamp)
        cells = lines[number].split(",")
        cells[NAMES.index(column)] = text
        lines[number] = ",".join(cells)
    return "\n".join(lines)


def faults(text):
    with pytest.raises(ClimateError) as caught:
        climate_from_tmy3(text, "year.tmy3")
    return [str(fault) for fault in caught.value.faults]


@pytest.fixture(scope="module")
def greensboro():
    return read_climate(GREENSBORO, AS_READ)


def test_site(greensboro):
    """The first line gives station, name, state, clock, latitude, longitude and elevation."""
    assert greensboro.source == "NREL TMY3, station 723170"
    assert greensboro.place == "GREENSBORO PIEDMONT TRIAD INT, NC"
    assert (greensboro.latitude, greensboro.longitude) == (36.1, -79.95)
    assert (greensboro.time_zone, greensboro.elevation) == (-5.0, 273.0)


# Read off the raw lines by eye: dry bulb, dew point, pressure, wind direction and speed, global,
# direct and diffuse sun, opaque cover, rain (0.1 mm in the file: 0, 5, 3).
READ_BY_EYE = {
    (1, 1, 1): (10.0, 6.1, 99_300, 200, 6.2, 0, 0, 0, 1.0, 0.0),
    (1, 1, 9): (10.0, 9.4, 99_300, 220, 5.2, 46, 3, 46, 1.0, 0.5),
    (1, 1, 11): (11.7, 10.6, 99_300, 210, 6.2, 199, 3, 198, 1.0, 0.3),
}


@pytest.mark.parametrize("stamp", READ_BY_EYE)
def test_hours_read_by_eye(greensboro, stamp):
    """Values of named hours are those of the raw line, rain in tenths of a millimeter."""
    k = hour_index(*stamp)
    names = ["temperature", "dew_point", "pressure", "wind_direction", "wind_speed"]
    names += ["sun_global", "sun_direct", "sun_diffuse", "cloud", "rain"]
    found = tuple(float(getattr(greensboro, name)[k]) for name in names)
    assert found == pytest.approx(READ_BY_EYE[stamp], abs=1e-9)


@pytest.mark.parametrize("path", [GREENSBORO, SAND_POINT], ids=lambda path: path.stem)
def test_against_pvlib_at_all_hours(path):
    """Every value of the year is the one that pvlib's reader finds, in our units and order."""
    import pvlib

    data, meta = pvlib.iotools.read_tmy3(path, coerce_year=2001, map_variables=False)
    year = read_climate(path, AS_READ)
    assert data.index[0].hour == 1  # pvlib names hours by their end, as the file does
    for name, column, unit in (
        ("temperature", "Dry-bulb (C)", 1.0),
        ("dew_point", "Dew-point (C)", 1.0),
        ("pressure", "Pressure (mbar)", 100.0),
        ("wind_speed", "Wspd (m/s)", 1.0),
        ("wind_direction", "Wdir (degrees)", 1.0),
        ("sun_global", "GHI (W/m^2)", 1.0),
        ("sun_direct", "DNI (W/m^2)", 1.0),
        ("sun_diffuse", "DHI (W/m^2)", 1.0),
        ("cloud", "OpqCld (tenths)", 0.1),
    ):
        expected = data[column].to_numpy(dtype=float) * unit
        np.testing.assert_allclose(getattr(year, name), expected, rtol=1e-12, atol=1e-12)
    assert (year.latitude, year.elevation) == (meta["latitude"], meta["altitude"])
    if year.rain is not None:
        raw = data["Lprecip depth (mm)"].to_numpy(dtype=float)
        np.testing.assert_allclose(year.rain, raw / 10.0)


def test_rain_is_in_tenths(greensboro):
    """A year at Greensboro has 835 mm; as millimeters the column would make 8345 mm.

    The normal there is some 1080 mm (1991-2020, from memory).
    """
    assert greensboro.rain.sum() == pytest.approx(834.5)
    assert np.count_nonzero(greensboro.rain) == 358


def test_february_without_rain_is_doubtful(greensboro):
    """February 1996 has no depth at all but 17 hours with codes of rain: 0 stands for missing."""
    assert greensboro.rain[MONTH_OF_HOUR == 2].sum() == 0.0
    assert any(
        "rain of February is doubtful: the file has 0.0 mm in 0 h but codes of rain in 17 h: rain "
        "missing and written as 0?" in note
        for note in greensboro.notes
    )


def test_rain_that_is_mostly_missing():
    """Sand Point lacks -9900 in most hours: no rain is known, and the rest of the year is read."""
    year = read_climate(SAND_POINT)
    assert year.rain is None
    assert any(note.startswith("no rain known: the depth is missing in ") for note in year.notes)
    assert year.temperature.min() == -10.6


def test_years_of_the_months(greensboro):
    """Months come from different years, which the notes name; 1988 and 1996 have no leap day."""
    assert greensboro.notes[0] == (
        "months from the years 1988, 1996, 1990, 1980, 1986, 1989, 1981, 2001, 2003, 1980, 1994, "
        "1980"
    )


def test_sun_at_the_middle_of_the_hour(greensboro):
    """Sun comes in the 60 minutes before the stamp: at mid-hour it is up, but for sunrise and sunset.

    On January 1 the sun rises at Greensboro at 7:31 (computed by the almanac of the U.S. Naval
    Observatory, from memory): hour 8 has 9 W/m2 and hour 7 none.
    """
    k = hour_index(1, 1, 8)
    assert greensboro.sun_global[k - 1 : k + 1].tolist() == [0.0, 9.0]
    up = sun_position(greensboro).zenith < 90.0
    sun = greensboro.sun_global
    # the hours that are left rise or set before or after their middle
    assert sun[~up].max() < 30.0
    assert np.count_nonzero((sun > 0.0) & ~up) < 220
    assert np.count_nonzero((sun == 0.0) & up) < 40
    for shifted in (np.roll(sun, 1), np.roll(sun, -1)):  # an hour's shift would be seen
        assert shifted[~up].max() > 120.0
        assert np.count_nonzero((shifted == 0.0) & up) > 200


@pytest.mark.parametrize("code", ["-9900", "-9999", "-99.9", ""])
def test_codes_of_missing_values(code):
    """Three hours of a code for missing values are filled by a straight line and noted."""
    stamps = [(3, 14, 5), (3, 14, 6), (3, 14, 7)]
    year = climate_from_tmy3(with_cells(stamps, "Dry-bulb (C)", code), "x.tmy3")
    k = hour_index(3, 14, 5)
    step = np.diff(year.temperature[k - 1 : k + 4])
    np.testing.assert_allclose(step, step[0], atol=1e-9)
    assert any("temperature: 3 h in 1 gaps" in note for note in year.notes)


def test_seven_missing_hours_are_refused():
    """Seven hours without a pressure are too many; the column and the first hour are named."""
    stamps = [(3, 14, hour) for hour in range(5, 12)]
    found = faults(with_cells(stamps, "Pressure (mbar)", "-9900"))
    assert found == [
        "year.tmy3: Pressure (mbar), from month 3, day 14, hour 5: gap too long to be filled "
        "(got 7 h without a value); up to 6 h in a row are filled"
    ]


def test_no_pressure_at_all():
    """Without any pressure that of the standard atmosphere is taken: 98 088 Pa at 273 m.

    ASHRAE Fundamentals 2017, ch. 1, eq. 3 and table 1 (95.461 kPa at 500 m, from memory).
    """
    column = NAMES.index("Pressure (mbar)")
    lines = [line.split(",") for line in LINES if line]
    for cells in lines[2:]:
        cells[column] = "-9900"
    year = climate_from_tmy3("\n".join(",".join(cells) for cells in lines), "x.tmy3")
    assert year.pressure[0] == pytest.approx(101_325.0 * (1.0 - 2.25577e-5 * 273.0) ** 5.2559)
    assert 97_900.0 < year.pressure[0] < 98_200.0
    assert any("98088 Pa of the standard atmosphere at 273 m" in note for note in year.notes)


@pytest.mark.parametrize(
    ("column", "text", "expected"),
    [
        ("Dry-bulb (C)", "99.9", "must lie from -60 to 60 degC (got 99.9 degC)"),
        ("Dry-bulb (C)", "1_0", "is not a finite number (got 1_0)"),
        ("GHI (W/m^2)", "-5", "must lie from 0 to 1500 W/m2 (got -5 W/m2)"),
        ("Lprecip depth (mm)", "-3", "must lie from 0 to 500 mm (got -0.3 mm)"),
        ("Lprecip depth (mm)", "nan", "is not a finite number (got nan)"),
    ],
)
def test_impossible_values(column, text, expected):
    """A value that cannot be right is named by column, hour and value."""
    found = faults(with_cells([(8, 9, 10)], column, text))
    assert len(found) == 1
    assert found[0].startswith(f"year.tmy3: {column}, month 8, day 9, hour 10: {expected}")


def test_dew_point_half_a_kelvin_above_the_air():
    """A dew point up to 0.5 K above the air is an error of reading, lowered and noted; not more."""
    k = hour_index(1, 1, 1)
    year = climate_from_tmy3(with_cells([(1, 1, 1)], "Dew-point (C)", "10.4"), "x.tmy3")
    assert year.dew_point[k] == year.temperature[k] == 10.0
    assert any("lowered by up to 0.4 K to the air temperature in 1 h" in n for n in year.notes)
    found = faults(with_cells([(1, 1, 1)], "Dew-point (C)", "10.6"))
    assert "dew point above the air temperature" in found[0]


def test_columns_are_found_by_name():
    """A file with its columns in another order, and none of rain, is read as well."""
    order = [0, 1, *range(len(NAMES) - 1, 1, -1)]
    kept = [i for i in order if not NAMES[i].startswith(("Lprecip", "PresWth", "TotCld"))]
    lines = [LINES[0]]
    lines += [",".join(line.split(",")[i] for i in kept) for line in LINES[1:] if line]
    year = climate_from_tmy3("\n".join(lines), "x.tmy3")
    assert year.temperature[hour_index(1, 1, 11)] == 11.7
    assert year.rain is None
    assert "no rain known: the file has no depths of rain" in year.notes


def test_units_are_never_guessed():
    """A column in another unit is not the column: the name that is needed is given."""
    found = faults("\n".join([LINES[0], LINES[1].replace("Dry-bulb (C)", "Dry-bulb (F)")]))
    assert found == [
        "year.tmy3: header, line 2: no column 'Dry-bulb (C)' (got Dry-bulb (F)); units are never "
        "guessed"
    ]


def test_opaque_cover_is_missing():
    """Where only the total sky cover is known it stands for the opaque, and is counted."""
    stamps = [(7, 1, hour) for hour in range(1, 25)]
    year = climate_from_tmy3(with_cells(stamps, "OpqCld (tenths)", "-9900"), "x.tmy3")
    total = LINES[row_of(7, 1, 9)].split(",")[NAMES.index("TotCld (tenths)")]
    assert year.cloud[hour_index(7, 1, 9)] == int(total) / 10.0
    assert "cloud: total sky cover taken for the opaque in 24 h" in year.notes


def test_leap_day_is_left_out():
    """A row set of February 29, which no typical year should have, is left out and noted."""
    number = row_of(2, 28, 24)
    leap = [LINES[number - 24 + hour].replace("02/28/", "02/29/", 1) for hour in range(1, 25)]
    year = climate_from_tmy3("\n".join(LINES[: number + 1] + leap + LINES[number + 1 :]), "x.tmy3")
    assert year.temperature.shape == (HOURS,)
    assert "February 29 left out (24 rows)" in year.notes


def test_missing_duplicate_and_half_hours():
    """A missing row, a row given twice, an hour 25 and a half hour are named in one error."""
    lines = [line for line in LINES if line]
    lines[row_of(6, 2, 3)] = LINES[row_of(6, 2, 3)].replace("03:00", "25:00", 1)
    lines[row_of(6, 3, 4)] = LINES[row_of(6, 3, 4)].replace("04:00", "03:30", 1)
    lines[row_of(6, 4, 5)] = LINES[row_of(6, 4, 5)][:60]
    lines.append(lines[row_of(6, 1, 1)])
    del lines[row_of(5, 1, 1)]
    joined = "\n".join(faults("\n".join(lines)))
    assert "month 6, day 1, hour 1: the same hour twice" in joined
    assert "no such hour (got 06/02/1989, 25:00)" in joined
    assert "no such hour (got 06/03/1989, 03:30)" in joined
    assert "must have at least 69 cells" in joined
    assert "hours, month 5, day 1, hour 1: hour missing" in joined


def test_one_hour_too_few():
    """A file without its last hour is refused with the number of its rows."""
    found = faults("\n".join(LINES[: row_of(12, 31, 24)]))
    assert (
        "year.tmy3: rows: must be 8760, or 8784 with February 29 (got 8759); one an hour" in found
    )
    assert any("hours, month 12, day 31, hour 24: hour missing" in text for text in found)


def test_header_that_is_none():
    """A first line without its numbers is shown and refused, together with the columns."""
    found = faults("station\nDate (MM/DD/YYYY),Time (HH:MM)\n")
    assert "header: is not the first line of a TMY3 file (got station)" in found[0]
    assert any("no column 'Dew-point (C)'" in text for text in found)
    assert faults("station")


def test_name_with_a_comma():
    """A name in quotation marks may hold a comma."""
    first = LINES[0].replace("GREENSBORO PIEDMONT", "GREENSBORO, PIEDMONT")
    year = climate_from_tmy3("\n".join([first, *LINES[1:]]), "x.tmy3")
    assert year.place == "GREENSBORO, PIEDMONT TRIAD INT, NC"
    assert year.latitude == 36.1


@pytest.mark.weather_files
@pytest.mark.parametrize("name", FILES)
def test_annual_summaries(name):
    """Annual figures of four other stations hold to the printed digit, rain as the file gives it."""
    year = read_climate(beside(name), AS_READ)
    air, dew, humidity, sun, wind, rain, wet, over_24, from_20, low, high = FILES[name]
    assert year.temperature.mean() == pytest.approx(air, abs=0.0501)
    assert year.dew_point.mean() == pytest.approx(dew, abs=0.0501)
    assert 100.0 * year.relative_humidity.mean() == pytest.approx(humidity, abs=0.6)
    assert year.sun_global.sum() / 365_000.0 == pytest.approx(sun, abs=0.00501)
    assert year.wind_speed.mean() == pytest.approx(wind, abs=0.0501)
    assert year.rain.sum() == pytest.approx(rain, abs=0.501)
    assert np.count_nonzero(year.rain) == wet
    assert np.count_nonzero(year.dew_point > 24.0) == over_24
    assert np.count_nonzero(year.dew_point >= 20.0) == from_20
    assert (year.temperature.min(), year.temperature.max()) == (low, high)


@pytest.mark.weather_files
def test_mobile_scaled_to_its_normals():
    """Ten months of Mobile get their normals; October and November, next to dry, are told apart."""
    year = read_year(beside("AL-Mobile_Regional_Ap"))
    raw = read_year(beside("AL-Mobile_Regional_Ap"), rain_as_read=True)
    assert raw.rain[hour_index(10, 1, 1) :].max() > 0.0
    assert raw.rain.max() == 50.0
    assert year.rain.max() <= 30.0
    sums = [year.rain[month == MONTH_OF_HOUR].sum() for month in range(1, 13)]
    assert sums[9:11] == pytest.approx([0.3, 28.2])
    assert min(sums[:9]) > 100.0
    joined = " | ".join(year.notes)
    assert "21 h hold more than 30 mm" in joined
    assert "10 months scaled to the normals of Mobile" in joined
    assert (
        "rain of November is doubtful: the file has 28.2 mm in 4 h but codes of rain in 416 h"
        in (joined)
    )


@pytest.mark.weather_files
def test_san_juan_april_sticks():
    """The codes of April 2000 stay on for 664 h: its depths alone are scaled, and it is noted."""
    path = beside("PR-San_Juan_Intl_Arpt")
    year, raw = read_year(path), read_year(path, rain_as_read=True)
    april = MONTH_OF_HOUR == 4
    np.testing.assert_array_equal(year.rain[april] > 0.0, raw.rain[april] > 0.0)
    assert np.count_nonzero(year.rain[april]) == 222
    assert any("rain of April is doubtful" in note and "664 h" in note for note in year.notes)
