from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from moistwall.climate.hours import hour_index
from moistwall.climate.rain import RainRule
from moistwall.climate.read import read_climate
from moistwall.climate.text import read_text
from moistwall.climate.tmy2 import climate_from_tmy2, is_tmy2_header
from moistwall.errors import ClimateError

STATION = Path(find_spec("pvlib").origin).parent / "data" / "12839.tm2"
LINES = read_text(STATION).split("\n")


def line_of(month, day, hour):
    """Number of the line (0 = header) of an hour, found by its stamp and not by counting."""
    stamp = f"{month:02d}{day:02d}{hour:02d}"
    (number,) = (i for i, line in enumerate(LINES) if i and line[3:9] == stamp)
    return number


def changed(number, first, text):
    """The file with some columns of one line overwritten."""
    lines = list(LINES)
    lines[number] = lines[number][: first - 1] + text + lines[number][first - 1 + len(text) :]
    return "\n".join(lines)


def faults(text):
    with pytest.raises(ClimateError) as caught:
        climate_from_tmy2(text, "year.tm2")
    return [str(fault) for fault in caught.value.faults]


# The ten digits of present weather as they stand in the file; the third is rain or showers, the
# fourth drizzle (manual, appendix B). The depths are 1, 5 and 12 mm for light, moderate and heavy.
KINDS = {
    ((1, 1, 4), "0909999999"): 1.0,
    ((1, 6, 23), "0939999999"): 1.0,
    ((6, 23, 13), "0049999999"): 5.0,
    ((6, 5, 15), "0919999999"): 5.0,
    ((7, 25, 15), "0059999999"): 12.0,
    ((8, 7, 5), "0929999999"): 12.0,
    ((10, 23, 4), "0993999999"): 0.2,
    ((1, 1, 1), "0999999999"): 0.0,
}


@pytest.fixture(scope="module")
def year():
    return read_climate(STATION)


def test_header(year):
    """The header line ' 12839 MIAMI FL -5 N 25 48 W 80 16 2' is read by its columns."""
    assert (year.name, year.place, year.source) == (
        "12839",
        "MIAMI, FL",
        "NREL TMY2, station 12839",
    )
    assert year.latitude == pytest.approx(25 + 48 / 60)
    assert year.longitude == pytest.approx(-(80 + 16 / 60))
    assert (year.time_zone, year.elevation) == (-5.0, 2.0)


def test_rain_by_kinds(year):
    """346 h have a digit of rain; light rain and light showers of the raw lines are 1 mm."""
    assert np.count_nonzero(year.rain) == 346
    for (stamp, digits), depth in KINDS.items():
        assert LINES[line_of(*stamp)][113:123] == digits
        assert year.rain[hour_index(*stamp)] == depth
    assert year.rain.sum() == (133 + 189) * 1.0 + (4 + 14) * 5.0 + (2 + 2) * 12.0 + 2 * 0.2
    assert any("depths from kinds of rain" in note for note in year.notes)


def test_rain_as_read_is_unknown():
    """TMY2 has no depths: as the file gives it, no rain is known, which is not a dry year."""
    year = read_climate(STATION, RainRule(as_read=True))
    assert year.rain is None
    assert "no rain known: the file has no depths of rain" in year.notes


def test_weather_that_nobody_observed():
    """A first digit of 9 makes the nine others void: no rain is known, and none is made up."""
    lines = [LINES[0], *(line[:113] + "9" + line[114:] for line in LINES[1:] if line)]
    year = climate_from_tmy2("\n".join(lines), "x.tm2")
    assert year.rain is None


def test_two_word_city_and_southern_hemisphere():
    """A city of two words and the signs of south and east are read."""
    header = " 41415 NEW TOWN               GU  10 S 13 33 E 144 50   110"
    assert is_tmy2_header(header)
    year = climate_from_tmy2("\n".join([header, *LINES[1:]]), "x.tm2")
    assert year.place == "NEW TOWN, GU"
    assert year.latitude == pytest.approx(-13.55)
    assert year.longitude == pytest.approx(144 + 50 / 60)
    assert (year.time_zone, year.elevation) == (10.0, 110.0)


# Decoded by hand from the lines of the file, columns as in the manual, tables 3-1 and 3-2:
# first hour: ...0000?0 0000?0 0000?0 ... 007A7 03A7 0200A7 0150A7 073A7 1017A7 158A7 067A7
HAND_DECODED = {
    (1, 1, 1): (20.0, 15.0, 101_700, 158, 6.7, 0, 0, 0, 0.3),
    (1, 1, 2): (20.6, 15.6, 101_700, 158, 5.7, 0, 0, 0, 0.7),
}


@pytest.mark.parametrize("stamp", HAND_DECODED)
def test_hours_decoded_by_hand(year, stamp):
    """Values at named hours are those that the raw line holds."""
    k = hour_index(*stamp)
    fields = (
        year.temperature,
        year.dew_point,
        year.pressure,
        year.wind_direction,
        year.wind_speed,
        year.sun_global,
        year.sun_direct,
        year.sun_diffuse,
        year.cloud,
    )
    assert tuple(float(f[k]) for f in fields) == HAND_DECODED[stamp]


def test_against_pvlib(year):
    """Every value of the year is the one that pvlib's own reader finds, in our units."""
    import pvlib

    data, _ = pvlib.iotools.read_tmy2(STATION)
    for name, column, unit in (
        ("temperature", "DryBulb", 0.1),
        ("dew_point", "DewPoint", 0.1),
        ("pressure", "Pressure", 100.0),
        ("wind_speed", "Wspd", 0.1),
        ("wind_direction", "Wdir", 1.0),
        ("sun_global", "GHI", 1.0),
        ("sun_direct", "DNI", 1.0),
        ("sun_diffuse", "DHI", 1.0),
        ("cloud", "OpqCld", 0.1),
    ):
        expected = data[column].to_numpy(dtype=float) * unit
        np.testing.assert_allclose(getattr(year, name), expected, rtol=1e-12, atol=1e-12)


def test_missing_code_is_filled_and_noted():
    """Three hours of nines in the dry bulb become a straight line, and a note names them."""
    text = "\n".join(LINES)
    first = line_of(3, 14, 5)
    lines = text.split("\n")
    for number in range(first, first + 3):
        lines[number] = lines[number][:67] + "9999" + lines[number][71:]
    year = climate_from_tmy2("\n".join(lines), "x.tm2")
    k = hour_index(3, 14, 5)
    step = np.diff(year.temperature[k - 1 : k + 4])
    np.testing.assert_allclose(step, step[0], atol=1e-9)
    assert any("temperature: 3 h in 1 gaps" in note and "day 14" in note for note in year.notes)


def test_truncated_line():
    """A cut line is named with its number and makes its hour missing."""
    number = line_of(7, 4, 12)
    lines = list(LINES)
    lines[number] = lines[number][:100]
    found = faults("\n".join(lines))
    assert any(f"line, {number + 1}: must have 142" in text for text in found)
    assert any("month 7, day 4, hour 12: hour missing" in text for text in found)


def test_missing_hour():
    """A line that is left out is named by its hour, and so is the number of lines."""
    number = line_of(12, 31, 24)
    found = faults("\n".join(LINES[:number] + LINES[number + 1 :]))
    assert any("month 12, day 31, hour 24: hour missing" in text for text in found)
    assert any("rows: must be 8760 (got 8759)" in text for text in found)


def test_duplicate_and_impossible_hour():
    """An hour given twice and an hour 25 are both named in one error."""
    lines = changed(line_of(6, 1, 2), 8, "01").split("\n")
    number = line_of(6, 2, 3)
    lines[number] = lines[number][:7] + "25" + lines[number][9:]
    found = faults("\n".join(lines))
    assert any("month 6, day 1, hour 1: the same hour twice" in text for text in found)
    assert any("no such hour" in text and "25" in text for text in found)


@pytest.mark.parametrize("text", ["2_00", "20.0", "  x1", " nan"])
def test_a_field_that_is_no_number(text):
    """A field must be a plain whole number; what Python would take besides is refused."""
    found = faults(changed(line_of(5, 5, 5), 68, text))
    assert found == [
        f"year.tm2: temperature, columns 68-71, month 5, day 5, hour 5: is not a whole number "
        f"(got '{text}'); take the file from its source again"
    ]


def test_wrong_header():
    """A first line that is not the header is one fault that shows it."""
    found = faults("\n".join(["Miami", *LINES[1:]]))
    assert len(found) == 1
    assert "is not the first line of a TMY2 file" in found[0]
