"""EPW files, made for these tests: each way in which such files differ from their description."""

from functools import partial

import numpy as np
import pytest
from epw_files import HEADER, LOCATION, epw_text

from moistwall.climate.epw import climate_from_epw
from moistwall.climate.hours import HOURS, MONTH_OF_HOUR, hour_index, hour_stamp
from moistwall.climate.rain import RainRule
from moistwall.climate.read import read_climate
from moistwall.errors import ClimateError
from moistwall.loads.sun import sun_position

SOUTH = "LOCATION,Brisbane,QLD,AUS,invented,945780,-27.42,153.10,10.0,6.0"
HIGH = "LOCATION,High Plain,-,BOL,invented,852010,-16.5,-68.2,-4.0,3000"


def year_of(*args, rule=None, **kwargs):
    return climate_from_epw(epw_text(*args, **kwargs).replace("\r\n", "\n"), "year.epw", rule)


def faults(*args, **kwargs):
    with pytest.raises(ClimateError) as caught:
        year_of(*args, **kwargs)
    return [str(fault) for fault in caught.value.faults]


def at(stamps, **fields):
    """A change of some fields in the hours of some stamps."""
    wanted = set(stamps)
    changed = {int(name[1:]): value for name, value in fields.items()}
    return lambda *stamp: changed if stamp in wanted else {}


def varied(month, day, hour):
    """An hour of its own: every field depends on month, day and hour."""
    sun = max(0, 7 - abs(hour - 12)) * 100
    return {
        7: f"{10 + month + hour / 10:.1f}",
        8: f"{5 + month / 10:.1f}",
        10: str(100_000 + 24 * day + hour),
        14: str(sun),
        15: str(sun // 2),
        16: str(sun // 4),
        21: str(hour * 15),
        22: f"{day / 5:.1f}",
        23: str(hour % 11),
        24: str(day % 11),
        34: f"{0.5 if hour == 17 else 0}",
    }


def test_site():
    """The first line gives place, source, station, latitude, longitude, clock and elevation."""
    year = year_of()
    assert (year.name, year.place) == ("year", "Heron Point (invented), USA")
    assert year.source == "EPW, invented, station 999999"
    assert (year.latitude, year.longitude) == (30.25, -88.1)
    assert (year.time_zone, year.elevation) == (-6.0, 3.0)


def test_against_pvlib_at_all_hours(tmp_path):
    """Every value of a year without two equal days is the one that pvlib's reader finds."""
    import pvlib

    path = tmp_path / "year.epw"
    path.write_text(epw_text(varied), encoding="utf-8", newline="")
    data, meta = pvlib.iotools.read_epw(path)
    year = read_climate(path, RainRule(as_read=True))
    for name, column, unit in (
        ("temperature", "temp_air", 1.0),
        ("dew_point", "temp_dew", 1.0),
        ("pressure", "atmospheric_pressure", 1.0),
        ("wind_speed", "wind_speed", 1.0),
        ("wind_direction", "wind_direction", 1.0),
        ("sun_global", "ghi", 1.0),
        ("sun_direct", "dni", 1.0),
        ("sun_diffuse", "dhi", 1.0),
        ("cloud", "opaque_sky_cover", 0.1),
        ("rain", "liquid_precipitation_depth", 1.0),
    ):
        expected = data[column].to_numpy(dtype=float) * unit
        np.testing.assert_allclose(getattr(year, name), expected, rtol=1e-12, atol=1e-12)
    assert (year.latitude, year.elevation) == (meta["latitude"], meta["altitude"])


@pytest.mark.parametrize("minute", ["60", "0", "00", "60.0"])
def test_minute_field(minute):
    """Minute 0 and minute 60 name the same hour: hour 17 of June 5 is the 60 minutes before 17:00."""
    year = year_of(varied, minute=minute, rule=RainRule(as_read=True))
    k = hour_index(6, 5, 17)
    assert hour_stamp(k) == (6, 5, 17)
    assert year.temperature[k] == 17.7
    assert year.rain[k] == 0.5
    assert year.rain[k - 1] == year.rain[k + 1] == 0.0


@pytest.mark.parametrize(
    "header",
    [
        [LOCATION],
        [LOCATION, "DATA PERIODS,1,1,Data,Sunday,1/1,12/31"],
        [*HEADER[:4], "HOLIDAYS/DAYLIGHT SAVINGS,Yes,3/14,11/7,2,New Year,1/1,,4,7/4", *HEADER[5:]],
        [*HEADER[:5], "COMMENTS 1,a", "COMMENTS 1,b", "COMMENTS 2,2001,1,1,1,60,c", *HEADER[6:]],
        [*HEADER, ""],
    ],
)
def test_unusual_headers(header):
    """The first hour is found by what it is, however many header lines there are."""
    assert year_of(varied, header=header).temperature[0] == 11.1


def test_without_any_rain_field():
    """A file of 32 fields has no rain field: no rain is known where no kinds were observed."""
    year = year_of(fields=32, f27="9")
    assert year.rain is None
    assert "no rain known: the file has no depths of rain" in year.notes
    assert year.temperature[0] == 24.0


def test_fields_end_after_the_sky():
    """A file that ends with the sky cover is read; one that ends before it is refused."""
    assert year_of(fields=24).cloud[0] == 0.5
    assert any("must have at least 24 fields" in text for text in faults(fields=23))


@pytest.mark.parametrize(
    ("name", "fields"),
    [
        ("temperature", {"f7": "99.9"}),
        ("temperature", {"f7": "-999"}),
        ("dew_point", {"f8": "99.9", "f9": "999"}),
        ("pressure", {"f10": "999999"}),
        ("pressure", {"f10": "999999.0"}),
        ("sun_global", {"f14": "9999"}),
        ("sun_direct", {"f15": "99999999"}),
        ("sun_diffuse", {"f16": "9999.0"}),
        ("wind_speed", {"f22": "999"}),
        ("wind_speed", {"f22": "999.0"}),
        ("cloud", {"f23": "99", "f24": "99"}),
        ("wind_direction", {"f21": "999"}),
        ("wind_direction", {"f21": ""}),
    ],
)
def test_codes_of_missing_values(name, fields):
    """The code of each field leaves its hour missing: it is filled from its neighbours and noted."""
    year = year_of(at([(3, 14, 5), (3, 14, 6)], **fields))
    k = hour_index(3, 14, 5)
    series = getattr(year, name)
    np.testing.assert_allclose(series[k : k + 2], series[k - 1])
    assert any(
        note.startswith(f"{name.replace('_', ' ')}: 2 h in 1 gaps filled") for note in year.notes
    )


@pytest.mark.parametrize(
    ("name", "fields", "value"),
    [
        ("sun_global", {"f14": "999"}, 999.0),
        ("sun_direct", {"f15": "99"}, 99.0),
        ("wind_direction", {"f21": "99"}, 99.0),
        ("wind_speed", {"f22": "9.9"}, 9.9),
        ("pressure", {"f10": "99999"}, 99_999.0),
        ("cloud", {"f24": "9"}, 0.9),
        ("temperature", {"f7": "22"}, 22.0),
    ],
)
def test_nines_that_are_values(name, fields, value):
    """A code of one field is a value in another: 999 W/m2 of sun is no missing sun."""
    year = year_of(at([(3, 14, 5)], **fields))
    assert getattr(year, name)[hour_index(3, 14, 5)] == pytest.approx(value)


def test_gaps_too_long():
    """Seven hours without a temperature are refused with the first one named."""
    found = faults(at([(3, 14, hour) for hour in range(5, 12)], f7="99.9"))
    assert found == [
        "year.epw: field 7 (dry bulb, degC), from month 3, day 14, hour 5: gap too long to be "
        "filled (got 7 h without a value); up to 6 h in a row are filled"
    ]


def test_column_that_is_missing_altogether():
    """A file without any sky cover is refused, by the name and number of the field."""
    (found,) = faults(f23="99", f24="99")
    assert found.startswith("year.epw: field 24 (opaque sky cover, tenths): holds no value at all")


def test_total_cover_for_the_opaque():
    """Where the opaque cover is missing all year, the total stands for it, and a note says so."""
    year = year_of(f24="99")
    assert (year.cloud == 0.8).all()
    assert "cloud: total sky cover taken for the opaque in 8760 h" in year.notes


def test_calm_has_no_direction():
    """A missing direction in calm air is none to be filled, in however many hours."""
    year = year_of(lambda m, d, h: {21: "999", 22: "0.0"} if h <= 12 else {})
    assert year.wind_direction[:13].tolist() == [0.0] * 12 + [180.0]
    assert not any("wind" in note for note in year.notes)


def test_dew_point_from_humidity():
    """Without dew points they come from the relative humidity: 24 degC and 78 % make 19.9 degC.

    ASHRAE Fundamentals ch. 1: 0.78 x 2985 Pa = 2328 Pa, which saturates at 19.9 degC.
    """
    year = year_of(f8="99.9")
    assert year.dew_point[0] == pytest.approx(19.93, abs=0.05)
    assert "dew point: from relative humidity in 8760 h" in year.notes


def test_rain_missing_nearly_always():
    """999 in 7296 of 8760 h, as a TMY3-based file of Boston has it: no rain is known."""
    change = lambda month, day, hour: {34: "999"} if hour > 4 else {}  # noqa: E731
    year = year_of(change, f27="9")
    assert year.rain is None
    assert "no rain known: the depth is missing in 7300 h" in year.notes


def test_rain_zero_all_year():
    """0.0 in every hour with nobody observing is missing rain, not a dry year."""
    year = year_of(f27="9")
    assert year.rain is None
    assert "no rain known: the depth is 0 in every hour, as if it were missing" in year.notes


def showers(month, day, hour, codes="939999999"):
    """A light shower at hour 16 of each day, by its digits of present weather."""
    return {28: codes} if hour == 16 else {28: "999999999"}


@pytest.mark.parametrize("fields", [{"fields": 32}, {"f34": "999"}, {"f34": "0"}, {"f34": ""}])
def test_kinds_of_rain_stand_in_for_depths(fields):
    """Without depths, or with 0 in all hours, observed light showers are 1 mm an hour."""
    year = year_of(showers, f27="0", **fields)
    assert np.count_nonzero(year.rain) == 365
    assert (year.rain[15::24] == 1.0).all()
    assert year_of(showers, f27="0", rule=RainRule(as_read=True), **fields).rain is None


def test_weather_that_nobody_observed():
    """With indicator 9 the digits beside it are void, whatever they are."""
    assert year_of(showers, f27="9", fields=32).rain is None


@pytest.mark.parametrize(
    ("code", "depth"),
    [
        ("949999999", 5.0),  # moderate shower
        ("039999999", 1.0),  # thunder and a light shower
        ("39999999", 1.0),  # the same, its zero lost
        ("09999999", 1.0),  # 009999999: thunder and light rain, one of the zeros lost
        ("9999999", 1.0),  # and both of them
    ],
)
def test_codes_that_lost_their_zeros(code, depth):
    """Codes of fewer than nine digits have lost zeros at the left, where thunder and rain stand."""
    year = year_of(partial(showers, codes=code), f27="0", fields=32)
    assert (year.rain[15::24] == depth).all()


@pytest.mark.parametrize("code", ["0", "000000000", "9", "", "61", "9999999999", "A9"])
def test_codes_that_are_no_observation(code):
    """What has not nine digits, or lost so many that all would happen at once, tells nothing."""
    assert year_of(partial(showers, codes=code), f27="0", fields=32).rain is None


def test_leap_year():
    """8784 rows of a leap year: February 29 is left out and noted; March 1 is March 1."""
    year = year_of(
        lambda m, d, h: {7: "30.0"} if (m, d) == (2, 29) else varied(m, d, h),
        year="2020",
        leap_day=True,
    )
    assert year.temperature.shape == (HOURS,)
    assert year.temperature[hour_index(3, 1, 1)] == 13.1
    assert year.temperature.max() < 30.0
    assert year.notes[:2] == ("hours of the year 2020", "February 29 left out (24 rows)")


def test_years_by_month():
    """Months of different years are listed."""
    year = year_of(lambda month, day, hour: {1: str(1990 + month)})
    assert year.notes[0].startswith("months from the years 1991, 1992, 1993")


def test_southern_hemisphere():
    """At 27 degrees south the sun stands in the north, higher in December than in June.

    On the solstices it culminates at 90 - |27.42 - 23.44| and 90 - (27.42 + 23.44) degrees.
    """
    year = year_of(header=[SOUTH, *HEADER[1:]])
    assert (year.latitude, year.longitude, year.time_zone) == (-27.42, 153.1, 10.0)
    sun = sun_position(year)
    summer = sun.zenith[hour_index(12, 21, 1) :][:24]
    winter = sun.zenith[hour_index(6, 21, 1) :][:24]
    assert summer.min() == pytest.approx(27.42 - 23.44, abs=2.5)
    assert winter.min() == pytest.approx(27.42 + 23.44, abs=1.0)
    noon = int(np.argmin(winter))
    assert noon in (11, 12)  # the hours 12 and 13: the clock is near the sun's
    azimuth = sun.azimuth[hour_index(6, 21, 1) :][noon]
    assert min(azimuth, 360.0 - azimuth) < 15.0


@pytest.mark.parametrize("pressure", ["70100", "62000"])
def test_high_places(pressure):
    """Pressures of 3000 m and above are right: 70.1 kPa is read as it stands."""
    year = year_of(header=[HIGH, *HEADER[1:]], f10=pressure)
    assert year.pressure[0] == float(pressure)
    assert not any("pressure" in note for note in year.notes)


def test_no_pressure_at_a_high_place():
    """Without any pressure that of the standard atmosphere at 3000 m is taken: 70.108 kPa.

    ASHRAE Fundamentals 2017, ch. 1, table 1: 70.108 kPa (from memory; the formula gives 70 112).
    """
    year = year_of(header=[HIGH, *HEADER[1:]], f10="999999")
    assert year.pressure[0] == pytest.approx(70_108, abs=15)
    assert any("of the standard atmosphere at 3000 m in every hour" in note for note in year.notes)


def test_parts_of_hours_are_refused():
    """Several records an hour are refused, by the header or by the number of rows."""
    header = [*HEADER[:-1], "DATA PERIODS,1,4,Data,Sunday, 1/ 1,12/31"]
    assert faults(header=header) == [
        "year.epw: DATA PERIODS: must be one record an hour (got 4 records an hour); take means of "
        "the hours: one row for each of them"
    ]
    lines = epw_text(header=[LOCATION]).replace("\r\n", "\n").rstrip("\n").split("\n")
    with pytest.raises(ClimateError) as caught:
        climate_from_epw("\n".join(lines + lines[1:]), "year.epw")
    assert "must be 8760, or 8784 with February 29 (got 17520)" in str(caught.value)


@pytest.mark.parametrize("minute", ["30", "15", "x"])
def test_minutes_inside_the_hour(minute):
    """A minute that is neither 0 nor 60 leaves open which hour is meant: refused."""
    found = faults(minute=minute)
    assert f"line 9: no such hour (got 2001,1,1,1,{minute})" in found[0] or "no row" in found[0]


def test_hours_from_zero():
    """Hours 0 to 23 are not those of the format: the first of them is named."""
    found = faults(lambda month, day, hour: {4: str(hour - 1)})
    assert "no such hour (got 2001,1,1,0,60); months 1 to 12, hours 1 to 24" in found[0]


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        (
            {"f7": "75.2"},
            "field 7 (dry bulb, degC), month 8, day 9, hour 10: must lie from -60 to 60",
        ),
        ({"f10": "1013"}, "field 10 (pressure, Pa), month 8, day 9, hour 10: must lie from 50000"),
        ({"f14": "x"}, "hour 10: is not a finite number (got x)"),
        (
            {"f34": "-2"},
            "(liquid precipitation depth, mm), month 8, day 9, hour 10: must lie from 0",
        ),
        ({"f24": "12"}, "field 24 (opaque sky cover, tenths), month 8, day 9, hour 10: must lie"),
        ({"f8": "24.6"}, "dew point above the air temperature"),
    ],
)
def test_impossible_values(fields, expected):
    """A value that cannot be right is named by field, hour and value."""
    found = faults(at([(8, 9, 10)], **fields))
    assert len(found) == 1
    assert expected in found[0]


def test_dew_point_a_little_above_the_air():
    """Dew points up to 0.5 K above the air are lowered to it, counted, and the most is told."""
    year = year_of(at([(8, 9, 10)], f8="24.3"))
    assert year.dew_point[hour_index(8, 9, 10)] == 24.0
    assert any("lowered by up to 0.3 K to the air temperature in 1 h" in n for n in year.notes)


def test_missing_and_duplicate_hours():
    """A row that is not there and a row given twice are named in one error."""
    lines = epw_text(header=[LOCATION]).replace("\r\n", "\n").rstrip("\n").split("\n")
    lines[2] = lines[3]
    with pytest.raises(ClimateError) as caught:
        climate_from_epw("\n".join(lines), "year.epw")
    joined = str(caught.value)
    assert "month 1, day 1, hour 3: the same hour twice (got lines 3 and 4)" in joined
    assert "hours, month 1, day 1, hour 2: hour missing" in joined


@pytest.mark.parametrize("line", ["LOCATION,a,b,c,d,e,f", "LOCATION", "CITY,a,b,c,d,e,1,2,3,4"])
def test_header_that_is_none(line):
    """A first line without its numbers is shown and refused."""
    assert faults(header=[line])[0].startswith(
        f"year.epw: header: is not the first line of an EPW file (got {line})"
    )


def test_no_hours():
    """A file that is nothing but its header is refused in one message."""
    with pytest.raises(ClimateError, match="no row of an hour"):
        climate_from_epw("\n".join(HEADER), "year.epw")


def test_name_in_the_coding_of_windows(tmp_path):
    """A place with an accent in Windows-1252 is read; other kinds of file must be UTF-8."""
    path = tmp_path / "year.epw"
    text = epw_text(header=[LOCATION.replace("Heron Point (invented)", "San José"), *HEADER[1:]])
    path.write_bytes(text.encode("cp1252"))
    assert read_climate(path).place == "San José, USA"
    path.write_bytes(text.encode("utf-8-sig"))
    assert read_climate(path).place == "San José, USA"


def test_months_are_scaled_to_normals():
    """Rain of an EPW year is scaled like that of the others."""
    normals = type("Normals", (), {"place": "invented", "rain": np.full(12, 80.0)})
    year = year_of(varied, rule=RainRule(normals_at=lambda *_: normals))
    sums = [year.rain[month == MONTH_OF_HOUR].sum() for month in range(1, 13)]
    np.testing.assert_allclose(sums, 80.0, atol=1e-9)
