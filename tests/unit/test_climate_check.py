from dataclasses import replace

import numpy as np
import pytest

from moistwall.climate.check import Site, checked_climate, gaps
from moistwall.climate.hours import HOURS
from moistwall.climate.limits import Gathered
from moistwall.errors import ClimateError

SITE = Site("test", "Heron Point (invented)", "invented", 30.25, -88.1, -6.0, 3.0)
COLUMNS = {
    "temperature": 24.0,
    "dew_point": 20.0,
    "pressure": 101_325.0,
    "wind_speed": 3.0,
    "wind_direction": 180.0,
    "sun_global": 100.0,
    "sun_direct": 100.0,
    "sun_diffuse": 50.0,
    "cloud": 0.5,
}


def even():
    return {name: np.full(HOURS, value) for name, value in COLUMNS.items()}


def build(values):
    absent = np.zeros(HOURS, dtype=bool)
    return checked_climate(Gathered("x.csv"), SITE, values, absent=absent)


def faults(values):
    with pytest.raises(ClimateError) as caught:
        build(values)
    return [str(fault) for fault in caught.value.faults]


def test_gaps_of_a_closed_year():
    """A run of missing hours across the end of the year is one gap."""
    missing = np.zeros(10, dtype=bool)
    assert gaps(missing) == []
    missing[[0, 1, 4, 8, 9]] = True
    assert sorted(gaps(missing)) == [(4, 1), (8, 4)]
    assert gaps(np.ones(10, dtype=bool)) == [(0, 10)]


@pytest.mark.parametrize("first", [100, 8757])
def test_six_hours_are_filled_by_a_straight_line(first):
    """Six missing hours are filled between their neighbours, also across the end of the year."""
    values = even()
    hours = np.arange(first, first + 6) % HOURS
    values["temperature"][hours] = np.nan
    values["temperature"][(first + 6) % HOURS] = 31.0
    year = build(values)
    np.testing.assert_allclose(year.temperature[hours], 24.0 + np.arange(1.0, 7.0))
    assert len(year.notes) == 1
    assert "temperature: 6 h in 1 gaps filled by straight lines" in year.notes[0]


def test_seven_hours_are_refused():
    """Seven missing hours in a row are too many; the first is named."""
    values = even()
    values["pressure"][30:37] = np.nan
    assert faults(values) == [
        "x.csv: pressure, from month 1, day 2, hour 7: gap too long to be filled "
        "(got 7 h without a value); up to 6 h in a row are filled"
    ]


@pytest.mark.parametrize(("hours", "refused"), [(2, False), (3, True)])
def test_gaps_of_sun_are_shorter(hours, refused):
    """Sun is filled over two hours and not over three."""
    values = even()
    values["sun_direct"][12 : 12 + hours] = np.nan
    if refused:
        assert "up to 2 h" in faults(values)[0]
    else:
        assert build(values).sun_direct[12] == 100.0


def test_rain_is_never_filled():
    """A missing hour of rain is refused: no value is not no rain."""
    values = even() | {"rain": np.zeros(HOURS)}
    values["rain"][5] = np.nan
    assert "write 0 for a dry hour" in faults(values)[0]


def test_too_many_short_gaps():
    """Every other hour missing is no year, however short each gap is."""
    values = even()
    values["cloud"][::2] = np.nan
    assert "4380 h without a value" in faults(values)[0]


def test_column_without_any_value():
    """A column that is empty is one fault."""
    values = even()
    values["cloud"][:] = np.nan
    assert faults(values) == [
        "x.csv: cloud: holds no value at all; give the column its values",
    ]


def test_wind_direction_is_held():
    """Wind direction keeps the last reading: a mean of 350 and 10 deg would be south."""
    values = even()
    values["wind_direction"][:10] = 350.0
    values["wind_direction"][10:12] = np.nan
    values["wind_direction"][12] = 10.0
    year = build(values)
    np.testing.assert_array_equal(year.wind_direction[9:13], [350.0, 350.0, 350.0, 10.0])
    assert "the last reading" in year.notes[0]


def test_filled_dew_point_stays_below_the_air():
    """A dip of temperature within a gap of dew point takes the filled dew point with it."""
    values = even()
    values["temperature"][20:23] = [21.0, 15.0, 21.0]
    values["dew_point"][20:23] = np.nan
    year = build(values)
    np.testing.assert_allclose(year.dew_point[20:23], [17.0, 11.0, 17.0])


def test_filled_temperature_is_not_below_the_dew_point():
    """A filled temperature is raised to the dew point that was read in its hour."""
    values = even()
    values["temperature"][20:22] = np.nan
    values["dew_point"][20] = 26.0
    assert build(values).temperature[20:22].tolist() == [26.0, 24.0]


def test_dew_point_within_rounding():
    """A dew point 0.05 K above the air is lowered to it and noted; 0.06 K is refused."""
    values = even()
    values["dew_point"][7] = 24.05
    year = build(values)
    assert year.dew_point[7] == 24.0
    assert "dew point lowered by up to 0.05 K to the air temperature in 1 h" in year.notes[0]
    values["dew_point"][7] = 24.06
    assert "dew point above the air temperature" in faults(values)[0]


def test_record_is_frozen():
    """The arrays of a record are copies that nobody can write to."""
    values = even()
    year = build(values)
    values["temperature"][0] = 99.0
    assert year.temperature[0] == 24.0
    with pytest.raises(ValueError, match="read-only"):
        year.temperature[0] = 30.0


def test_record_checks_itself():
    """A record built without a reader is checked as well, and names every fault."""
    year = build(even())
    wet = year.temperature.copy()
    wet[3] = np.nan
    with pytest.raises(ClimateError) as caught:
        replace(year, temperature=wet, wind_speed=np.zeros(5), latitude=91.0, place="a\nb")
    joined = str(caught.value)
    for part in (
        "temperature, month 1, day 1, hour 4",
        "wind_speed: must hold one value for each of 8760 hours",
        "latitude: must lie from -90 to 90 deg",
        "must be one line",
    ):
        assert part in joined


def test_vapor_pressure_and_humidity():
    """Air of 24 degC with a dew point of 20 degC: 2339 Pa, 78.4 % (ASHRAE Fundamentals ch. 1)."""
    year = build(even())
    assert year.vapor_pressure[0] == pytest.approx(2339.0, abs=1.0)
    assert year.relative_humidity[0] == pytest.approx(2339.0 / 2985.0, abs=0.001)
