"""The shipped year against the raw TMY2 file and against figures computed from it apart."""

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from moistwall.climate.hours import MONTH_OF_HOUR, hour_index
from moistwall.climate.read import read_climate

ROOT = Path(__file__).parents[2]
MIAMI = ROOT / "climates" / "miami.csv"
STATION = Path(importlib.util.find_spec("pvlib").origin).parent / "data" / "12839.tm2"

# Month: mean daily high and low, mean, dew point [degC], sun [kWh/(m2 d)], wind [m/s], hours with
# a dew point above 24 degC. Computed from the raw file by other code, printed to these digits.
MONTHS = {
    1: (24.3, 15.8, 20.0, 15.1, 3.49, 4.3, 0),
    2: (24.3, 17.1, 20.8, 15.1, 4.43, 4.8, 0),
    3: (25.2, 17.9, 21.6, 15.1, 5.16, 5.6, 0),
    4: (27.9, 21.1, 24.5, 16.7, 6.16, 5.6, 0),
    5: (29.2, 22.8, 25.8, 20.9, 6.03, 4.5, 64),
    6: (30.7, 24.6, 27.3, 21.5, 5.76, 3.6, 86),
    7: (31.0, 25.1, 28.0, 23.1, 5.99, 3.9, 57),
    8: (30.7, 25.4, 27.9, 22.6, 5.67, 4.0, 21),
    9: (30.4, 24.0, 26.9, 22.6, 4.91, 3.0, 22),
    10: (28.1, 22.3, 25.1, 20.5, 4.37, 3.5, 7),
    11: (26.4, 20.0, 23.2, 17.2, 3.57, 4.8, 0),
    12: (24.4, 16.5, 20.6, 14.6, 3.36, 4.4, 0),
}


@pytest.fixture(scope="module")
def miami():
    return read_climate(MIAMI)


def test_the_converter_makes_the_shipped_file(tmp_path):
    """Running the script again gives the shipped file byte for byte."""
    spec = importlib.util.spec_from_file_location("build", ROOT / "scripts" / "build_miami.py")
    build = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(build)
    build.main(tmp_path / "miami.csv")
    assert (tmp_path / "miami.csv").read_bytes() == MIAMI.read_bytes()


def test_the_file_is_compact_and_names_its_source():
    """The year stays below 700 kB and its header names the data set and the station."""
    assert MIAMI.stat().st_size < 700_000
    assert "# source: NREL TMY2, station 12839" in MIAMI.read_text(encoding="utf-8")[:300]


def test_site(miami):
    """The site is that of the station: 25 deg 48 min north, 80 deg 16 min west, 5 h behind."""
    assert miami.name == "miami"
    assert miami.latitude == pytest.approx(25 + 48 / 60, abs=1e-8)
    assert miami.longitude == pytest.approx(-(80 + 16 / 60), abs=1e-8)
    assert (miami.time_zone, miami.elevation) == (-5.0, 2.0)


def test_year(miami):
    """Annual figures: 24.3 degC, dew point 18.8, wind 4.34 m/s, 1793 kWh/m2, 257 h over 24."""
    assert miami.temperature.mean() == pytest.approx(24.3, abs=0.05)
    assert (miami.temperature.min(), miami.temperature.max()) == (3.3, 33.9)
    assert miami.dew_point.mean() == pytest.approx(18.8, abs=0.05)
    assert miami.relative_humidity.mean() == pytest.approx(0.725, abs=0.001)
    assert miami.wind_speed.mean() == pytest.approx(4.34, abs=0.005)
    assert np.count_nonzero(miami.wind_speed == 0.0) == 183
    assert miami.sun_global.sum() / 1000.0 == pytest.approx(1793, abs=0.5)
    assert np.count_nonzero(miami.dew_point > 24.0) == 257
    assert np.count_nonzero(miami.dew_point >= 20.0) == 4836


@pytest.mark.parametrize("month", MONTHS)
def test_month(miami, month):
    """Monthly means, daily highs and lows, sun, wind and humid hours hold to the printed digit."""
    high, low, mean, dew_point, sun, wind, humid = MONTHS[month]
    here = month == MONTH_OF_HOUR
    days = miami.temperature[here].reshape(-1, 24)
    assert days.max(axis=1).mean() == pytest.approx(high, abs=0.0501)
    assert days.min(axis=1).mean() == pytest.approx(low, abs=0.0501)
    assert days.mean() == pytest.approx(mean, abs=0.0501)
    assert miami.dew_point[here].mean() == pytest.approx(dew_point, abs=0.0501)
    assert miami.sun_global[here].mean() * 0.024 == pytest.approx(sun, abs=0.00501)
    assert miami.wind_speed[here].mean() == pytest.approx(wind, abs=0.0501)
    assert np.count_nonzero(miami.dew_point[here] > 24.0) == humid


def test_rain_of_each_month_is_its_normal(miami):
    """Months hold the published monthly rain, in the 346 h that the record observed it.

    Monthly rain: chart of 30-year normals 'Climate of Miami', in inches to one decimal, rounded to
    whole millimeters. Hours with rain: counted in the raw file by other code.
    """
    normals = [51, 53, 61, 74, 157, 236, 145, 193, 193, 142, 69, 46]
    hours = [32, 26, 14, 8, 35, 45, 38, 30, 70, 23, 22, 3]
    for month in range(1, 13):
        here = miami.rain[month == MONTH_OF_HOUR]
        assert here.sum() == pytest.approx(normals[month - 1], abs=1e-6)
        assert np.count_nonzero(here) == hours[month - 1]
    assert miami.rain.max() <= 30.0
    heavy, light = miami.rain[hour_index(8, 7, 5)], miami.rain[hour_index(8, 1, 1)]
    assert heavy > light == 0.0
    assert any("scaled to the normals of Miami, Florida" in note for note in miami.notes)
    assert any("source of the monthly rain: chart" in note for note in miami.notes)


@pytest.mark.parametrize(
    "stamp", [(1, 1, 1), (2, 28, 24), (3, 1, 1), (7, 15, 13), (9, 30, 7), (12, 31, 24)]
)
def test_named_hours_equal_the_raw_record(miami, stamp):
    """Month borders, a summer noon and the ends of the year hold what the raw line holds."""
    (line,) = (
        text
        for text in STATION.read_text(encoding="ascii").splitlines()[1:]
        if text[3:9] == "{:02d}{:02d}{:02d}".format(*stamp)
    )
    k = hour_index(*stamp)
    # Columns by the TMY2 manual, table 3-2, cut here without the package.
    assert miami.sun_global[k] == int(line[17:21])
    assert miami.sun_direct[k] == int(line[23:27])
    assert miami.sun_diffuse[k] == int(line[29:33])
    assert miami.cloud[k] == int(line[63:65]) / 10
    assert miami.temperature[k] == int(line[67:71]) / 10
    assert miami.dew_point[k] == int(line[73:77]) / 10
    assert miami.pressure[k] == int(line[84:88]) * 100
    assert miami.wind_direction[k] == int(line[90:93])
    assert miami.wind_speed[k] == int(line[95:98]) / 10


def test_humidity_of_the_record(miami):
    """Humidity above freezing agrees with the record's own, which is in whole percent.

    The two come from readings to 0.1 K. In frost the record's is over water, ours over ice.
    """
    recorded = np.array(
        [int(text[79:82]) for text in STATION.read_text(encoding="ascii").splitlines()[1:]]
    )
    above = miami.dew_point > 0.0
    difference = np.abs(100.0 * miami.relative_humidity - recorded)[above]
    assert difference.mean() < 0.35
    assert difference.max() < 1.6
