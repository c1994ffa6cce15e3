import numpy as np
import pytest

from moistwall import air
from moistwall.errors import InputError


def test_saturation_is_continuous_at_the_triple_point():
    """The two branches meet where they switch, to 1e-9; only the slope jumps."""
    below = np.nextafter(air.TRIPLE_POINT, -1.0)
    over_ice = air.saturation_pressure(float(below))
    over_water = air.saturation_pressure(air.TRIPLE_POINT)
    assert over_ice == pytest.approx(over_water, rel=1e-9)
    assert over_water == pytest.approx(611.657, rel=1e-5)  # IAPWS, triple point of water
    jump = air.saturation_pressure_slope(float(below)) / air.saturation_pressure_slope(0.01)
    assert jump == pytest.approx(1.13, abs=0.02)  # heat of sublimation over that of vaporization


@pytest.mark.parametrize(("low", "high"), [(-59.9, -0.1), (0.1, 109.9)])
def test_slope_is_the_derivative(low, high):
    """The analytic slope of each branch agrees with a central difference."""
    t = np.linspace(low, high, 500)
    step = 1e-3
    difference = (air.saturation_pressure(t + step) - air.saturation_pressure(t - step)) / (
        2.0 * step
    )
    np.testing.assert_allclose(air.saturation_pressure_slope(t), difference, rtol=1e-8)


def test_saturation_rises_everywhere():
    """Saturation pressure rises with temperature over the whole range."""
    assert np.all(np.diff(air.saturation_pressure(np.linspace(-60.0, 110.0, 20001))) > 0.0)


def test_dew_point_undoes_saturation():
    """From temperature to saturation pressure and back: 1e-9 K over the whole range."""
    t = np.concatenate((np.linspace(-60.0, 110.0, 40001), [0.01, np.nextafter(0.01, 0.0)]))
    back = air.dew_point_from_vapor_pressure(air.saturation_pressure(t))
    np.testing.assert_allclose(back, t, rtol=0.0, atol=1e-9)


def test_numbers_give_numbers_and_arrays_keep_their_shape():
    """A float comes back as a float, an array of any shape as an array of this shape."""
    grid = np.linspace(1.0, 30.0, 6).reshape(2, 3)
    for function in (air.saturation_pressure, air.saturation_pressure_slope):
        assert type(function(20.0)) is float
        assert function(grid).shape == (2, 3)
        assert function(grid)[1, 2] == function(30.0)
    assert type(air.dew_point_from_vapor_pressure(1000.0)) is float
    assert air.dew_point_from_vapor_pressure(1000.0 + grid).shape == (2, 3)
    assert air.humidity_ratio_from_vapor_pressure(1000.0 + grid, 99e3).shape == (2, 3)


@pytest.mark.parametrize("t", [-60.001, 110.001, np.nan, np.inf, -np.inf])
def test_temperature_out_of_range_is_refused(t):
    """Outside -60 to 110 degC there is no saturation pressure, and the message names the value."""
    for function in (air.saturation_pressure, air.saturation_pressure_slope):
        with pytest.raises(InputError, match=f"-60 to 110 degC, got {t:g}"):
            function(float(t))
        with pytest.raises(InputError, match=f"got {t:g}"):
            function(np.array([20.0, t, 25.0]))


@pytest.mark.parametrize("p", [0.0, 1.0, 143_400.0, -5.0, np.nan])
def test_dew_point_out_of_range_is_refused(p):
    """Air without vapor has no dew point, nor has steam above 110 degC."""
    with pytest.raises(InputError, match="vapor pressure must lie"):
        air.dew_point_from_vapor_pressure(np.array([1000.0, p]))


def test_humidity_ratio_and_vapor_pressure_undo_each_other():
    """Humidity ratio to vapor pressure and back, at the sea and on a plateau."""
    vapor = np.linspace(0.0, 60_000.0, 301)
    for pressure in (air.STANDARD_PRESSURE, 84_000.0):
        ratio = air.humidity_ratio_from_vapor_pressure(vapor, pressure)
        back = air.vapor_pressure_from_humidity_ratio(ratio, pressure)
        np.testing.assert_allclose(back, vapor, rtol=1e-12, atol=1e-9)


def test_impossible_humidity_is_refused():
    """No vapor pressure below zero or above the total pressure, no negative humidity ratio."""
    with pytest.raises(InputError, match=r"below the total pressure, got 101325 Pa"):
        air.humidity_ratio_from_vapor_pressure(np.array([5.0, 101_325.0]))
    with pytest.raises(InputError, match=r"0 or more Pa, got -1 Pa"):
        air.humidity_ratio_from_vapor_pressure(-1.0)
    with pytest.raises(InputError, match=r"got -0\.001 kg/kg"):
        air.vapor_pressure_from_humidity_ratio(np.array([0.01, -0.001]))


def test_density_is_that_of_the_mixture():
    """Dry air at 20 degC has 1.204 kg/m3; vapor makes it lighter by its molar mass."""
    dry = air.density(20.0, 0.0)
    assert dry == pytest.approx(101_325.0 / (287.042 * 293.15), rel=1e-12)
    vapor = 2000.0 / (461.5 * 293.15)
    assert air.density(20.0, 2000.0) == pytest.approx(dry * (1.0 - 2000.0 / 101_325.0) + vapor)


def test_enthalpy_of_moist_air_adds_vapor_to_dry_air():
    """The enthalpy of vapor is its latent heat at 0 degC, and grows by 1860 J/kg per kelvin."""
    assert air.vapor_enthalpy(0.0) == air.LATENT_HEAT_0
    assert air.enthalpy(30.0, 0.01) == pytest.approx(1006.0 * 30.0 + 0.01 * (2.5e6 + 1860.0 * 30.0))
    # latent heat at 20 degC: 2.45e6 J/kg (ISO 13788, from memory)
    latent = air.vapor_enthalpy(20.0) - air.WATER_HEAT_CAPACITY * 20.0
    assert latent == pytest.approx(2.45e6, rel=2e-3)


def test_vapor_film_grows_as_pressure_falls():
    """The Lewis relation holds density in it: thin air carries more vapor for the same heat."""
    at_sea = air.vapor_film_from_convection(17.0)
    assert air.vapor_film_from_convection(17.0, pressure=0.5 * air.STANDARD_PRESSURE) == (
        pytest.approx(2.0 * at_sea)
    )


def test_standard_atmosphere():
    """101.325 kPa at the sea, 70.1 kPa at 3000 m (ASHRAE Fundamentals ch. 1, table 1)."""
    assert air.standard_pressure(0.0) == 101_325.0
    assert air.standard_pressure(3000.0) == pytest.approx(70_108.0, abs=10.0)
    with pytest.raises(InputError, match="elevation"):
        air.standard_pressure(20_000.0)
