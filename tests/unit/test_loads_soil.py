"""Soil temperature by depth and day, and the yearly wave of a climate."""

from __future__ import annotations

import numpy as np
import pytest
from heron_point import miami
from weather import changed

from moistwall.climate.hours import MONTH_OF_HOUR
from moistwall.errors import InputError
from moistwall.loads.soil import (
    SurfaceWave,
    hourly_soil_temperature,
    soil_temperature,
    surface_wave,
)

WAVE = SurfaceWave(22.0, 8.0, 20.0)


@pytest.mark.parametrize(
    ("depth", "day", "expected"),
    [(0.0, 20.0, 14.0), (1.0, 20.0, 17.165), (1.0, 200.0, 26.739), (3.0, 20.0, 21.262), (3.0, 200.0, 22.644)],
)  # fmt: skip
def test_values_of_the_formula(depth: float, day: float, expected: float) -> None:
    """Kusuda and Achenbach 1965 with 22 degC, 8 K, day 20, 0.05 m2/day, computed by hand."""
    assert soil_temperature(WAVE, depth, day) == pytest.approx(expected, abs=5e-4)


def test_solves_the_heat_equation() -> None:
    """dT/dt = a d2T/dz2 at any depth and day, by finite differences."""
    a, z, d, dz, dd = 0.05, np.linspace(0.2, 4.0, 20), 77.0, 1e-3, 1e-2
    rate = (soil_temperature(WAVE, z, d + dd) - soil_temperature(WAVE, z, d - dd)) / (2 * dd)
    curvature = (
        soil_temperature(WAVE, z + dz, d)
        - 2 * soil_temperature(WAVE, z, d)
        + soil_temperature(WAVE, z - dz, d)
    ) / dz**2
    np.testing.assert_allclose(rate, a * curvature, atol=1e-5)


def test_wave_of_a_year_that_is_one() -> None:
    """A year that is a cosine gives its own mean, swing and coldest day, in either hemisphere."""
    day = np.arange(1, 8761) / 24.0
    for coldest in (18.0, 200.0):
        air = 22.0 - 6.0 * np.cos(2.0 * np.pi / 365.0 * (day - coldest))
        year = changed(temperature=air, dew_point=0.0)
        found = surface_wave(year)
        assert found.mean == pytest.approx(22.0, abs=1e-9)
        assert found.amplitude == pytest.approx(6.0, abs=1e-9)
        assert found.coldest_day == pytest.approx(coldest, abs=1e-9)
        np.testing.assert_allclose(hourly_soil_temperature(year, 0.0), air, atol=1e-9)


def test_wave_of_miami() -> None:
    """In Miami the swing is near half of that of the months' means, the coldest day in winter."""
    found = surface_wave(miami())
    months = [miami().temperature[m == MONTH_OF_HOUR].mean() for m in range(1, 13)]
    assert found.mean == pytest.approx(24.3, abs=0.05)
    assert found.amplitude == pytest.approx(0.5 * (max(months) - min(months)), abs=0.6)
    assert 1.0 < found.coldest_day < 59.0


def test_deep_soil_is_the_mean_of_the_year() -> None:
    """At 30 m nothing of the wave is left; at 1 m it is damped to exp(-1 / 2.410)."""
    deep, shallow = (hourly_soil_temperature(miami(), depth) for depth in (30.0, 1.0))
    wave = surface_wave(miami())
    np.testing.assert_allclose(deep, wave.mean, atol=1e-4)
    assert np.ptp(shallow) == pytest.approx(2.0 * wave.amplitude * np.exp(-1.0 / 2.410), rel=1e-3)


@pytest.mark.parametrize(
    ("values", "named"),
    [((99.0, 1.0, 1.0), "mean"), ((20.0, -1.0, 1.0), "amplitude"), ((20.0, 1.0, 400.0), "coldest_day")],
)  # fmt: skip
def test_impossible_waves(values: tuple[float, float, float], named: str) -> None:
    """A mean, swing or day that cannot be right is refused by name."""
    with pytest.raises(InputError, match=named):
        SurfaceWave(*values)


def test_impossible_soil() -> None:
    """A negative depth and a diffusivity of 0 are refused by name."""
    with pytest.raises(InputError, match="depth"):
        soil_temperature(WAVE, -1.0, 1.0)
    with pytest.raises(InputError, match="diffusivity"):
        soil_temperature(WAVE, 1.0, 1.0, diffusivity=0.0)
