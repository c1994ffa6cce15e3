"""A step of surface temperature on a half space of brick, against the error function.

Source: Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, 2.5:
T - T0 = (Ts - T0) erfc(x / sqrt(4 a t)), with a = k / (rho c) = 5.392e-7 m2/s. Values computed.
"""

import numpy as np
import pytest
from driven import Driven, bare_section, plain_material, sealed
from scipy.special import erfc

from moistwall.material_curves import storage_of_pore_air
from moistwall.section import Layer

CONDUCTIVITY, DENSITY, HEAT_CAPACITY = 0.77, 1700.0, 840.0
START, STEP = 20.0, 20.0
# depth [m], hours, rise [K]
TABLE = [(0.05, 1, 8.446), (0.10, 1, 2.170), (0.10, 6, 10.247)]
DEPTH = 1.2
"""Depth of the brick: nothing arrives there in six hours. [m]"""


@pytest.fixture(scope="module")
def brick():
    material = plain_material(
        "brick",
        storage_of_pore_air(1e-3, 1.0),
        conductivity=CONDUCTIVITY,
        permeability=1e-18,
        density=DENSITY,
        heat_capacity=HEAT_CAPACITY,
    )
    section = bare_section("half space", [Layer("brick", material, DEPTH, 0.5)])
    outer = sealed(START + STEP, heat_film=1e6)
    driven = Driven(section, outer, sealed(START), 6, start_temperature=START)
    return driven, driven.run()


def exact(x, hours):
    diffusivity = CONDUCTIVITY / (DENSITY * HEAT_CAPACITY)
    return STEP * erfc(x / np.sqrt(4.0 * diffusivity * hours * 3600.0))


@pytest.mark.parametrize(("depth", "hours", "rise"), TABLE)
def test_error_function_gives_the_table(depth, hours, rise):
    """The closed form gives the tabled rises."""
    assert exact(depth, hours) == pytest.approx(rise, abs=6e-4)


@pytest.mark.parametrize(("depth", "hours", "rise"), TABLE)
def test_rise_at_depth(brick, depth, hours, rise):
    """The rise read off at the depths of the table is within 0.05 K."""
    driven, record = brick
    found = np.interp(depth, driven.grid.x_cell, record.temperature[hours - 1, :, 0]) - START
    assert found == pytest.approx(rise, abs=0.05)


@pytest.mark.parametrize("hours", range(1, 7))
def test_rise_in_every_cell(brick, hours):
    """In every cell the rise keeps to the error function within 0.05 K."""
    driven, record = brick
    found = record.temperature[hours - 1, :, 0] - START
    np.testing.assert_allclose(found, exact(driven.grid.x_cell, hours), atol=0.05)
