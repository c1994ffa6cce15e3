from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from moistwall.climate.hours import MONTH_OF_HOUR, hour_index, node_values
from moistwall.climate.read import read_climate
from moistwall.errors import InputError
from moistwall.loads.sun import plane_irradiance, sun_position

MIAMI = Path(__file__).parents[2] / "climates" / "miami.csv"
NORTH, EAST, SOUTH, WEST = 0.0, 90.0, 180.0, 270.0


@pytest.fixture(scope="module")
def miami():
    return read_climate(MIAMI)


def test_position_at_a_published_instant(miami):
    """Zenith and azimuth of the worked example of Reda and Andreas 2004, table A5.1 (from memory).

    Golden, Colorado, 17 October 2003, 12:30:30: zenith 50.11162, azimuth 194.34024 deg. Here the
    hour that ends at 13:00, with its middle at 12:30, of a year two before: 0.3 deg.
    """
    golden = replace(
        miami, latitude=39.742476, longitude=-105.1786, time_zone=-7.0, elevation=1830.14
    )
    sun = sun_position(golden)
    k = hour_index(10, 17, 13)
    assert sun.zenith[k] == pytest.approx(50.112, abs=0.3)
    assert sun.azimuth[k] == pytest.approx(194.340, abs=0.3)


def test_sun_stands_in_the_south_at_noon(miami):
    """On every day the hour that ends at 13 has the highest sun: it holds solar noon.

    Miami lies 5.27 deg west of its meridian: solar noon is at 12:21, moved by the equation of time
    (-14 to +16 min) to 12:05 at the earliest and 12:35 at the latest. One hour off in the stamps
    or in the time zone would show here.
    """
    highest = sun_position(miami).zenith.reshape(365, 24).argmin(axis=1) + 1
    assert set(highest.tolist()) == {13}


def test_position_is_computed_once_and_read_only(miami):
    """The same place gives the same arrays, which nobody can change."""
    sun = sun_position(miami)
    assert sun_position(replace(miami, name="again")) is sun
    with pytest.raises(ValueError, match="read-only"):
        sun.zenith[0] = 0.0


@pytest.mark.parametrize(
    ("tilt", "azimuth"),
    [(90, NORTH), (90, EAST), (90, SOUTH), (90, WEST), (18.4, SOUTH), (45, 315)],
)
def test_planes_against_pvlib(miami, tilt, azimuth):
    """With the sun over 5 deg, each hour is what pvlib finds when called from its own times."""
    import pandas as pd
    import pvlib

    times = pd.date_range("2001-01-01 00:30", periods=8760, freq="h", tz="Etc/GMT+5")
    sun = pvlib.location.Location(25.8, -80.26666667, "Etc/GMT+5", 2.0).get_solarposition(times)
    expected = pvlib.irradiance.get_total_irradiance(
        tilt,
        azimuth,
        sun["apparent_zenith"],
        sun["azimuth"],
        pd.Series(miami.sun_direct, times),
        pd.Series(miami.sun_global, times),
        pd.Series(miami.sun_diffuse, times),
        dni_extra=pd.Series(
            pvlib.irradiance.get_extra_radiation(np.repeat(np.arange(1, 366), 24)), times
        ),
        albedo=0.2,
        model="perez",
    )["poa_global"].to_numpy()
    high = (sun["apparent_zenith"] < 85.0).to_numpy() & (miami.sun_diffuse > 0.0)
    assert np.count_nonzero(high) > 4000
    np.testing.assert_allclose(
        plane_irradiance(miami, tilt, azimuth)[high], expected[high], rtol=1e-6, atol=1e-3
    )


def test_horizontal_plane(miami):
    """A horizontal plane gets direct x cos(zenith) + diffuse, in every hour, low sun included."""
    cos_zenith = np.cos(np.radians(sun_position(miami).zenith))
    expected = miami.sun_direct * np.maximum(cos_zenith, 0.0) + miami.sun_diffuse
    np.testing.assert_allclose(plane_irradiance(miami, 0.0, 123.0), expected, rtol=1e-9, atol=1e-9)


def test_horizontal_plane_gets_the_record(miami):
    """A horizontal plane gets the record's global sun: the year within 0.5 %, a month within 1.3.

    The record's own three columns differ by that much with the sun at the middle of the hour.
    """
    flat = plane_irradiance(miami, 0.0, 0.0)
    assert flat.sum() == pytest.approx(miami.sun_global.sum(), rel=0.005)
    for month in range(1, 13):
        here = month == MONTH_OF_HOUR
        assert flat[here].sum() == pytest.approx(miami.sun_global[here].sum(), rel=0.013)
    assert np.abs(flat - miami.sun_global).max() < 60.0


def test_horizontal_plane_of_a_consistent_record(miami):
    """Where global is direct x cos(zenith) + diffuse, a horizontal plane gets it to round-off."""
    cos_zenith = np.maximum(np.cos(np.radians(sun_position(miami).zenith)), 0.0)
    level = miami.sun_direct * cos_zenith + miami.sun_diffuse
    flat = plane_irradiance(replace(miami, sun_global=level), 0.0, 0.0)
    np.testing.assert_allclose(flat, level, rtol=1e-9, atol=1e-9)


def test_plane_that_faces_down(miami):
    """A plane that faces the ground gets what the ground throws back, and nothing without it."""
    down = plane_irradiance(miami, 180.0, 0.0, ground_reflectance=0.3)
    sky = plane_irradiance(miami, 180.0, 0.0, ground_reflectance=0.0)
    np.testing.assert_allclose(down - sky, 0.3 * miami.sun_global, atol=1e-9)
    assert sky.max() < 1.0


def test_nights_are_dark(miami):
    """With the sun more than 10 deg below the horizon nothing arrives; nowhere less than zero."""
    night = sun_position(miami).zenith > 100.0
    assert np.count_nonzero(night) > 3500
    for azimuth in (NORTH, EAST, SOUTH, WEST):
        wall = plane_irradiance(miami, 90.0, azimuth)
        assert np.all(wall[night] == 0.0)
        assert wall.min() >= 0.0


def test_no_plane_is_brighter_than_the_sun_outside(miami):
    """Low sun does not blow up: no plane gets more than the extraterrestrial irradiance."""
    outside = sun_position(miami).extraterrestrial
    for tilt in (30.0, 60.0, 90.0):
        for azimuth in (EAST, SOUTH, WEST):
            assert np.all(plane_irradiance(miami, tilt, azimuth) < outside)


def test_south_wall_gets_more_in_winter(miami):
    """In Miami a south wall gets twice as much in December as in June, a north wall the less."""
    south, north = plane_irradiance(miami, 90.0, SOUTH), plane_irradiance(miami, 90.0, NORTH)
    june, december = MONTH_OF_HOUR == 6, MONTH_OF_HOUR == 12
    assert south[december].mean() > 2.0 * south[june].mean()
    assert north[december].mean() < north[june].mean()


def test_east_peaks_in_the_morning_and_west_in_the_afternoon(miami):
    """On the mean day an east wall is brightest before 10 and a west wall after 14 o'clock."""
    east, west = (
        plane_irradiance(miami, 90.0, azimuth).reshape(365, 24).mean(axis=0).argmax() + 1
        for azimuth in (EAST, WEST)
    )
    assert 7 <= east <= 10
    assert 15 <= west <= 18


def test_whole_turns_change_nothing(miami):
    """An azimuth of -90 deg is 270 deg."""
    np.testing.assert_allclose(
        plane_irradiance(miami, 90.0, -90.0), plane_irradiance(miami, 90.0, 270.0), atol=1e-9
    )


def test_marks_carry_the_energy_of_a_wall(miami):
    """Straight lines between the marks carry the year's energy of a west wall exactly."""
    wall = plane_irradiance(miami, 90.0, WEST)
    mark = node_values(wall)
    assert np.trapezoid(mark) == pytest.approx(wall.sum(), rel=1e-12)


@pytest.mark.parametrize(
    ("arguments", "field"),
    [
        ((-1.0, 0.0), "tilt"),
        ((181.0, 0.0), "tilt"),
        ((float("nan"), 0.0), "tilt"),
        ((90.0, float("inf")), "azimuth"),
        ((90.0, 0.0, 1.5), "ground_reflectance"),
    ],
)
def test_impossible_planes(miami, arguments, field):
    """A tilt, azimuth or reflectance that cannot be right is refused by name."""
    with pytest.raises(InputError, match=field):
        plane_irradiance(miami, *arguments)
