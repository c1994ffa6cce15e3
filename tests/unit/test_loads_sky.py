from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from moistwall.climate.hours import HOURS, hour_index
from moistwall.climate.read import read_climate
from moistwall.errors import ClimateError, InputError
from moistwall.loads.sky import (
    CLOUD_SHARE,
    GROUND_EMITTANCE,
    clear_sky_emissivity,
    longwave_on_plane,
    sky_emissivity,
)

MIAMI = Path(__file__).parents[2] / "climates" / "miami.csv"
SIGMA = 5.670374e-8


@pytest.fixture(scope="module")
def night():
    """A year of one hour: 25 degC, dew point 23 degC, no clouds."""
    even = np.full(HOURS, 1.0)
    return replace(
        read_climate(MIAMI), temperature=25.0 * even, dew_point=23.0 * even, cloud=0.0 * even
    )


def test_hour_of_the_day(night):
    """The hour term is that of the hour's end: largest at 24 o'clock, least at noon."""
    day = longwave_on_plane(night, 0.0)[:24]
    assert day.argmax() == 23
    assert day.argmin() == 11
    black = SIGMA * 298.15**4
    # 0.711 + 0.0056 x 23 + 0.000073 x 23^2 = 0.8784, +-0.013
    np.testing.assert_allclose(day[[23, 11, 5]] / black, [0.89142, 0.86542, 0.87842], atol=1e-5)


def test_overcast_sky(night):
    """Full cover brings back 0.8 of what the clear sky lacks to a black body, half of it 0.4."""
    clear = longwave_on_plane(night, 0.0)
    black = SIGMA * 298.15**4
    for cover in (0.5, 1.0):
        covered = longwave_on_plane(replace(night, cloud=np.full(HOURS, cover)), 0.0)
        np.testing.assert_allclose(
            (covered - clear) / (black - clear), CLOUD_SHARE * cover, atol=1e-9
        )


def test_clouds_never_darken_the_sky():
    """Emissivity rises with cover and stays below 1."""
    cover = np.linspace(0.0, 1.0, 11)
    emissivity = sky_emissivity(clear_sky_emissivity(np.full(11, 34.0), 0.0), cover)
    assert np.all(np.diff(emissivity) > 0.0)
    assert emissivity[-1] < 1.0


def test_tilt(night):
    """A wall sees half of the sky, a plane that faces down none; the rest is the warm ground."""
    black = SIGMA * 298.15**4
    sky = longwave_on_plane(night, 0.0)
    wall = longwave_on_plane(night, 90.0)
    ground = longwave_on_plane(night, 180.0)
    np.testing.assert_allclose(wall, 0.5 * (sky + ground), rtol=1e-12)
    np.testing.assert_allclose(
        ground, GROUND_EMITTANCE * black + (1.0 - GROUND_EMITTANCE) * sky, rtol=1e-12
    )
    assert np.all((sky < wall) & (wall < ground) & (ground < black))


def test_year_at_miami():
    """In every hour the sky sends more than a clear one and less than a black body at air."""
    year = read_climate(MIAMI)
    arriving = longwave_on_plane(year, 0.0)
    black = SIGMA * (year.temperature + 273.15) ** 4
    clear = longwave_on_plane(replace(year, cloud=np.zeros(HOURS)), 0.0)
    assert np.all((clear <= arriving) & (arriving < black))
    covered = year.cloud > 0.0
    assert np.all(clear[covered] < arriving[covered])
    assert np.array_equal(clear[~covered], arriving[~covered])


@pytest.mark.parametrize("dew_point", [-38.5, 34.5])
def test_dew_points_outside_the_formula(night, dew_point):
    """A dew point that the formula does not reach is refused by hour, not clamped."""
    temperature, dew_points = np.full(HOURS, 36.0), np.full(HOURS, 20.0)
    k = hour_index(8, 9, 10)
    dew_points[k] = dew_point
    year = replace(night, temperature=temperature, dew_point=dew_points)
    with pytest.raises(ClimateError, match=r"dew_point, month 8, day 9, hour 10: .* -38 to 34"):
        longwave_on_plane(year, 0.0)
    with pytest.raises(InputError, match=r"-38 to 34"):
        clear_sky_emissivity(dew_point, 0.0)


@pytest.mark.parametrize("tilt", [-1.0, 181.0, float("nan")])
def test_impossible_tilt(night, tilt):
    """A tilt outside 0 to 180 deg is refused."""
    with pytest.raises(InputError, match="tilt"):
        longwave_on_plane(night, tilt)
