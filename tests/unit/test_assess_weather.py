"""Fingerprint of a year and what it brings to walls, against numbers known from elsewhere."""

from __future__ import annotations

import numpy as np
import pytest
from heron_point import miami
from weather import changed, with_showers, without_rain

from moistwall.air import saturation_pressure
from moistwall.assess.drying import month_sums
from moistwall.assess.weather import (
    FACINGS,
    ROOM_TEMPERATURE,
    azimuth_of,
    fingerprint,
    room_dew_point,
    wall_weather,
)
from moistwall.climate.hours import MONTH_DAYS, hour_index
from moistwall.loads.driving_rain import driving_rain
from moistwall.loads.sun import plane_irradiance


def test_fingerprint_of_miami() -> None:
    """Means, sun and hours of the NREL TMY2 year, as counted from its file by other means."""
    found = fingerprint(miami())
    assert found.temperature_mean == pytest.approx(24.3, abs=0.05)
    assert found.dew_point_mean == pytest.approx(18.8, abs=0.05)
    assert found.hours_dew_point_over_24_degC == 257
    assert found.sun_per_day == pytest.approx(4.91, abs=0.005)


def test_75_degf_is_not_24_degc() -> None:
    """A dew point of 23.9 degC is over 75 degF and not over 24 degC; at 75 degF itself it is neither."""
    for dew_point, over_75, over_24 in (
        (23.9, 8760, 0),
        (ROOM_TEMPERATURE, 0, 0),
        (24.1, 8760, 8760),
    ):
        found = fingerprint(changed(temperature=30.0, dew_point=dew_point))
        assert found.hours_dew_point_over_75_degF == over_75
        assert found.hours_dew_point_over_24_degC == over_24


def test_unknown_rain_stays_unknown() -> None:
    """Where no rain is known nothing is said of it: None, not 0, here and by month."""
    found = fingerprint(without_rain())
    assert (found.rain_depth, found.rain_hours) == (None, None)
    assert (found.wettest_facing, found.wettest_rain) == (None, None)
    walls = wall_weather(without_rain())
    assert walls.rain_month is None
    assert walls.airfield_index_facing is None


def test_rain_that_never_fell_is_known() -> None:
    """A year with rain of 0 mm has 0 hours of it and no wettest wall."""
    found = fingerprint(changed(rain=0.0))
    assert (found.rain_depth, found.rain_hours, found.wettest_rain) == (0.0, 0, 0.0)
    assert found.wettest_facing is None


@pytest.mark.parametrize(
    ("wind_from", "facing"), [(0.0, "N"), (138.0, "SE"), (250.0, "W"), (340.0, "N")]
)
def test_wettest_wall_faces_the_rain_bearing_wind(wind_from: float, facing: str) -> None:
    """The wettest of the eight walls is the one nearest to where the wind comes from when it rains."""
    rain = np.zeros(8760)
    rain[100:150] = 5.0
    direction = np.where(rain > 0.0, wind_from, (wind_from + 180.0) % 360.0)
    found = fingerprint(changed(rain=rain, wind_direction=direction, wind_speed=6.0))
    assert found.wettest_facing == facing
    off = np.radians(azimuth_of(facing) - wind_from)
    assert found.wettest_rain == pytest.approx(50 * 0.2 * 6.0 * np.cos(off) * 5.0)
    assert (found.rain_depth, found.rain_hours) == (pytest.approx(250.0), 50)


def test_months_and_facings_stand_where_they_belong() -> None:
    """Row 7, column 3 of the tables is July on the south-east wall; sums over months are the year's."""
    year = with_showers()
    walls = wall_weather(year)
    assert walls.rain_month is not None
    assert walls.sun_month.shape == walls.rain_month.shape == (12, 8)
    first, last = hour_index(7, 1, 1), hour_index(7, 31, 24)
    assert first is not None
    assert last is not None
    july = slice(first, last + 1)
    assert FACINGS[3] == "SE"
    sun, rain = plane_irradiance(year, 90.0, 135.0), driving_rain(year, 90.0, 135.0)
    assert walls.sun_month[6, 3] == pytest.approx(sun[july].sum() / 1000.0)
    assert walls.rain_month[6, 3] == pytest.approx(rain[july].sum())
    np.testing.assert_allclose(walls.rain_month[:4], 0.0)
    assert fingerprint(year).wettest_rain == pytest.approx(walls.rain_month.sum(axis=0).max())


def test_sun_on_walls_in_miami() -> None:
    """A south wall has its most sun in December, a north wall in June; east and west are near twins."""
    sun = wall_weather(miami()).sun_month
    north, east, south, west = (FACINGS.index(one) for one in "NESW")
    assert sun[:, south].argmax() == 11
    assert sun[:, north].argmax() in (5, 6)
    assert sun[:, east].sum() == pytest.approx(sun[:, west].sum(), rel=0.1)


def test_drive_of_even_air() -> None:
    """A humid year drives inward and a dry one outward in every hour; at the room's own, neither."""
    hours = 24 * np.array(MONTH_DAYS)
    for dew_point, inward, outward in (
        (20.0, hours, 0 * hours),
        (5.0, 0 * hours, hours),
    ):
        walls = wall_weather(changed(temperature=25.0, dew_point=dew_point))
        np.testing.assert_array_equal(walls.inward_hours_month, inward)
        np.testing.assert_array_equal(walls.outward_hours_month, outward)


def test_dew_point_of_the_room() -> None:
    """75 degF and 50 %: 55.1 degF (ASHRAE psychrometrics; its chart shows 55)."""
    assert room_dew_point() * 1.8 + 32.0 == pytest.approx(55.1, abs=0.1)


def test_drive_in_miami_is_inward_all_summer() -> None:
    """From June to September every hour but a few drives inward; counts agree with the record."""
    walls = wall_weather(miami())
    assert walls.outward_hours_month[5:9].sum() == 0
    assert walls.outward_hours_month[0] > 100
    above = miami().vapor_pressure > 0.5 * saturation_pressure(ROOM_TEMPERATURE)
    np.testing.assert_array_equal(walls.inward_hours_month, month_sums(above.astype(float)))


def test_days_of_dew_points() -> None:
    """Each day has its lowest, mean and highest of 24 hours."""
    walls = wall_weather(miami())
    day = miami().dew_point[24 * 40 : 24 * 41]
    assert walls.dew_point_low[40] == day.min()
    assert walls.dew_point_mean[40] == pytest.approx(day.mean())
    assert walls.dew_point_high[40] == day.max()
