"""Moist air against standards, tables and a reference library."""

import numpy as np
import psychrolib
import pytest

from moistwall import air

# degC: Pa by ISO 13788 (worst error of its formulas against IAPWS: 0.19 %), by Hyland and Wexler
# (ASHRAE Fundamentals ch. 1), by IAPWS-95 (Wagner and Pruss); computed from the equations, which
# are from memory, and rounded as shown.
SATURATION = {
    -20: (102.7, 103.3, None),
    -10: (259.3, 259.9, None),
    5: (871.9, 872.5, 872.5),
    10: (1227.3, 1228.0, 1228.1),
    20: (2337.0, 2338.8, 2339.2),
    24: (2982.2, 2985.1, 2985.7),
    25: (3165.9, 3169.2, 3169.8),
    30: (4240.5, 4246.0, 4246.9),
    35: (5619.2, 5627.8, 5629.1),
    40: (7370.9, 7383.5, 7385.1),
    50: (12328.6, 12349.9, 12352.5),
    60: (19919.0, 19944.0, 19947.0),
    70: (31194.0, 31198.0, 31202.0),
}


@pytest.mark.parametrize(
    ("t", "given"), [(0, 611.2), *((t, row[1]) for t, row in SATURATION.items())]
)
def test_saturation_pressure_of_hyland_and_wexler(t, given):
    """The polynomials give the equations of 1983 as rounded in the table (whole Pa from 60 degC)."""
    rounding = 0.05 if given < 15_000.0 else 0.5
    found = air.saturation_pressure(float(t))
    assert found == pytest.approx(given, abs=rounding + 5e-7 * given)


@pytest.mark.parametrize("t", [t for t in SATURATION if SATURATION[t][2]])
def test_saturation_pressure_of_iapws(t):
    """Within 0.03 % of the IAPWS formulation: what separates it from Hyland and Wexler."""
    assert air.saturation_pressure(float(t)) == pytest.approx(SATURATION[t][2], rel=3e-4)


@pytest.mark.parametrize("t", [t for t in SATURATION if t > 0])
def test_saturation_pressure_of_iso_13788(t):
    """Within 0.25 % of the formula of ISO 13788 over water, the suggested tolerance of that form."""
    assert air.saturation_pressure(float(t)) == pytest.approx(SATURATION[t][0], rel=2.5e-3)


@pytest.mark.parametrize("t", [-20, -10])
def test_saturation_pressure_over_ice_of_iso_13788(t):
    """Within 0.6 % over ice: ISO's formula lies 0.2 % low at -10 degC and 0.6 % at -20."""
    assert air.saturation_pressure(float(t)) == pytest.approx(SATURATION[t][0], rel=6.5e-3)


def test_saturation_pressure_of_psychrolib():
    """Within 5e-7 of psychrolib, which has the equations themselves, from -60 to 110 degC."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    t = np.linspace(-60.0, 110.0, 3401)
    reference = np.array([psychrolib.GetSatVapPres(float(one)) for one in t])
    np.testing.assert_allclose(air.saturation_pressure(t), reference, rtol=5e-7)


@pytest.mark.parametrize(
    ("t", "rh", "dew_point", "ratio", "vapor_density"),
    [
        (20.0, 0.50, 9.27, None, None),
        (24.0, 0.50, 12.94, 9.29e-3, 10.87e-3),
        (24.0, 0.60, 15.76, None, None),
        (26.7, 0.80, 22.96, None, None),
        (30.0, 0.75, 25.08, 20.15e-3, 22.73e-3),
        (32.0, 0.60, 23.25, 18.01e-3, None),
        (20.0, 1.00, 20.00, None, 17.27e-3),
        (30.0, 1.00, 30.00, None, 30.31e-3),
    ],
)
def test_states_of_humid_air(t, rh, dew_point, ratio, vapor_density):
    """Derived values computed with ISO 13788's formula at 101 325 Pa.

    That formula is up to 0.19 % low, the same share at both ends of a dew point: 0.02 K, and 0.25 %
    in humidity ratio and vapor density.
    """
    vapor = rh * air.saturation_pressure(t)
    assert air.dew_point_from_vapor_pressure(vapor) == pytest.approx(dew_point, abs=0.02)
    if ratio:
        found = air.humidity_ratio_from_vapor_pressure(vapor)
        assert found == pytest.approx(ratio, rel=2.5e-3)
    if vapor_density:
        found = vapor / (air.GAS_CONSTANT_VAPOR * (t + air.KELVIN))
        assert found == pytest.approx(vapor_density, rel=2.5e-3)


def test_humid_air_of_psychrolib():
    """Dew point, humidity ratio, enthalpy and density agree with psychrolib.

    Its gas constant of vapor is 461.524 (ours 461.5: 5e-5), its latent heat at 0 degC 2.501e6 (ours
    2.50e6: 4e-4), its specific heats are the same.
    """
    psychrolib.SetUnitSystem(psychrolib.SI)
    pressure = 101_325.0
    for t in (-10.0, 5.0, 24.0, 33.0):
        for rh in (0.2, 0.5, 0.9):
            vapor = rh * air.saturation_pressure(t)
            ratio = air.humidity_ratio_from_vapor_pressure(vapor, pressure)
            assert ratio == pytest.approx(
                psychrolib.GetHumRatioFromVapPres(vapor, pressure), rel=1e-4
            )
            assert air.dew_point_from_vapor_pressure(vapor) == pytest.approx(
                psychrolib.GetTDewPointFromVapPres(t, vapor), abs=2e-3
            )
            assert air.enthalpy(t, ratio) == pytest.approx(
                psychrolib.GetMoistAirEnthalpy(t, ratio), rel=1e-3, abs=20.0
            )
            assert air.density(t, vapor, pressure) == pytest.approx(
                psychrolib.GetMoistAirDensity(t, ratio, pressure), rel=2e-4
            )


@pytest.mark.parametrize(
    ("t", "permeability"),
    [(0, 182.9), (10, 188.3), (20, 193.7), (23, 195.3), (30, 199.0), (40, 204.3)],
)
def test_permeability_of_still_air(t, permeability):
    """Schirmer's equation as ISO 12572 gives it (formula from memory, values computed)."""
    found = air.still_air_permeability(float(t))
    assert found == pytest.approx(permeability * 1e-12, abs=0.06e-12)


def test_permeability_of_still_air_at_altitude():
    """Schirmer's equation: inverse to pressure."""
    found = air.still_air_permeability(23.0, 0.5 * air.STANDARD_PRESSURE)
    assert found == pytest.approx(2.0 * air.still_air_permeability(23.0))


def test_lewis_relation():
    """About 7e-9 s/m times the convective coefficient (handbook rounding, from memory)."""
    assert air.vapor_film_from_convection(1.0) == pytest.approx(6.72e-9, rel=5e-3)
    assert air.vapor_film_from_convection(17.0) == pytest.approx(1.1e-7, rel=0.05)
    assert air.vapor_film_from_convection(3.0) == pytest.approx(2.0e-8, rel=0.05)
