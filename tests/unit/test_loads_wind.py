from pathlib import Path

import numpy as np
import pytest

from moistwall.climate.read import read_climate
from moistwall.errors import InputError
from moistwall.loads.wind import convection_from_surface_wind, exterior_convection

MIAMI = Path(__file__).parents[2] / "climates" / "miami.csv"


@pytest.mark.parametrize(("speed", "expected"), [(0, 4), (1, 8), (3, 16), (5, 24)])
def test_convection_of_iso_6946(speed, expected):
    """h_ce = 4 + 4 v of ISO 6946 (from memory): 8, 16 and 24 W/(m2 K) at 1, 3 and 5 m/s."""
    assert convection_from_surface_wind(float(speed)) == expected


# Air speed and outer surface resistance at 10 degC and emittance 0.9: ISO 6946, annex (from
# memory), printed to 0.01 m2 K/W.
@pytest.mark.parametrize(
    ("speed", "resistance"),
    [(1, 0.08), (2, 0.06), (3, 0.05), (4, 0.04), (5, 0.04), (7, 0.03), (10, 0.02)],
)
def test_surface_resistances_of_iso_6946(speed, resistance):
    """Convection with the radiation coefficient 0.9 x 4 sigma T^3 gives the annex's table."""
    radiation = 0.9 * 4.0 * 5.67e-8 * 283.15**3
    found = 1.0 / (convection_from_surface_wind(float(speed)) + radiation)
    assert found == pytest.approx(resistance, abs=0.0051)


def test_of_the_same_order_as_mcadams():
    """McAdams' 5.7 + 3.8 v (from memory) lies within 20 % of it from 1 to 5 m/s."""
    speed = np.linspace(1.0, 5.0, 9)
    np.testing.assert_allclose(convection_from_surface_wind(speed), 5.7 + 3.8 * speed, rtol=0.2)


def test_year_at_miami():
    """Calm hours have 4 W/(m2 K); the mean follows half of the mean wind of 4.34 m/s."""
    year = read_climate(MIAMI)
    coefficient = exterior_convection(year)
    assert coefficient.shape == (8760,)
    assert coefficient.min() == 4.0
    assert np.count_nonzero(coefficient == 4.0) == 183
    assert coefficient.mean() == pytest.approx(4.0 + 4.0 * 0.5 * 4.337, abs=0.01)
    np.testing.assert_allclose(exterior_convection(year, 1.0), 4.0 + 4.0 * year.wind_speed)
    with pytest.raises(InputError, match="surface_wind"):
        exterior_convection(year, 2.0)


@pytest.mark.parametrize("speed", [-0.1, float("nan"), float("inf")])
def test_impossible_wind(speed):
    """A speed that is negative or not finite is refused."""
    with pytest.raises(InputError, match="finite speed"):
        convection_from_surface_wind(speed)
