"""Moisture uptake of a half space: the normative test of EN 15026:2007.

Source: EN 15026:2007, Hygrothermal performance of building components, clause on the test of
moisture uptake in a semi-infinite region. The functions of the material are from memory (they are
those of HAMSTAD benchmark 1, Hagentoft 2002, report R-02:8); so is that the surface has no
resistance. The numbers below do not come from the standard's printed table: they were computed for
these functions by another one-dimensional scheme on two grids that agree to 0.01 kg/m3, and carry
whatever is wrong in the functions. The standard's own tolerance is of the order of 2.5 %.
"""

import numpy as np
import pytest
from driven import Driven, bare_section, humid, sealed

from moistwall.air import GAS_CONSTANT_VAPOR, KELVIN
from moistwall.material import Material
from moistwall.material_curves import storage_over_suction, suction_from_ln_rh
from moistwall.section import Layer

FREE = 146.0
START, SURFACE = 42.943, 128.299
DAYS = (7, 30, 365)
UPTAKE = {7: 0.4503, 30: 0.9324, 365: 3.252}  # kg/m2
DEPTHS = np.array([0.005, 0.010, 0.015, 0.020, 0.030, 0.040, 0.060, 0.100])
CONTENT = {
    7: [80.28, 51.89, 45.17, 43.40, 42.95, 42.94, 42.94, 42.94],
    30: [109.31, 82.12, 62.22, 52.78, 45.52, 43.51, 42.96, 42.94],
    365: [124.06, 118.83, 112.65, 105.63, 89.87, 74.84, 57.20, 46.04],
}
WARM_DEPTHS = np.array([0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0])
TEMPERATURE = {
    7: [28.29, 26.64, 23.84, 21.91, 20.81, 20.09, 20.01, 20.00],
    30: [29.18, 28.35, 26.75, 25.29, 24.00, 22.07, 20.92, 20.35],
    365: [29.78, 29.54, 29.06, 28.58, 28.11, 27.19, 26.30, 25.47],
}

DEPTH = 20.0
"""Depth at which the half space is cut: heat that is turned back there has hardly reached 5 m after
a year (erfc of 3). [m]"""

FIRST, GROWTH = 2e-4, 1.06
"""The layer's own cells would number some hundreds of equal ones: it is given cells that grow from
0.2 mm, 150 in all. [m], [-]"""


def suction(content):
    """Suction over water content, the inverse of the storage function. [Pa]"""
    return 0.125e8 * ((FREE / content) ** (1.0 / 0.375) - 1.0) ** 0.625


def diffusivity(content):
    """Liquid diffusivity K |dP/dw|; held outside 5 to 145 kg/m3, where this case does not come."""
    w = np.clip(content, 5.0, 145.0)
    d = w - 73.0
    conductivity = np.exp(
        -39.2619 + 0.0704 * d - 1.7420e-4 * d**2 - 2.7953e-6 * d**3 - 1.1566e-7 * d**4
        + 2.5969e-9 * d**5
    )  # fmt: skip
    ratio = (FREE / w) ** (1.0 / 0.375)
    slope = 0.125e8 * 0.625 * (ratio - 1.0) ** (-0.375) * ratio / (0.375 * w)
    return conductivity * slope


def concrete():
    storage = storage_over_suction(FREE, FREE, 8e-8, 1.6, 0.375)
    rh = np.concatenate((np.linspace(0.01, 0.95, 95), 1.0 - np.geomspace(0.04, 1e-4, 40)))
    dry = 1.0 - storage.content(np.log(rh)) / FREE
    at_20 = 1.0 / (GAS_CONSTANT_VAPOR * (20.0 + KELVIN)) * 26.1e-6 / 200.0
    content = np.array([0.0, 2.0 * FREE])
    return Material(
        name="material of EN 15026",
        kind="made for a test",
        density=2280.0,
        heat_capacity=800.0,  # 1.824e6 J/(m3 K) together
        conductivity_content=content,
        conductivity=1.5 + 15.8e-3 * content,
        vapor_rh=rh,
        vapor_permeability=at_20 * dry / (0.503 * dry**2 + 0.497),
        permeability_slope=-1.0 / (20.0 + KELVIN),  # M / (R T)
        storage=storage,
        diffusivity=diffusivity,
    )


@pytest.fixture(scope="module")
def half_space():
    widths = [FIRST]
    while sum(widths) < DEPTH:
        widths.append(widths[-1] * GROWTH)
    widths = np.array(widths) * DEPTH / sum(widths)
    section = bare_section("half space", [Layer("half space", concrete(), DEPTH, 0.5)])
    driven = Driven(section, humid(30.0, 0.95), sealed(20.0), 8760, widths={"half space": widths})
    before = driven.march.stored()[0].sum()
    return driven, driven.run(), before


def at(half_space, values, days, depths):
    driven, _, _ = half_space
    cells = driven.layer_cells
    return np.interp(depths, driven.grid.x_cell[cells], values[24 * days - 1, cells, 0])


def test_functions_of_the_material():
    """Content at the start and at the surface, and suction as the inverse of the storage function."""
    content = concrete().storage.content
    assert content(np.log(np.array([0.5])))[0] == pytest.approx(START, abs=6e-4)
    warmer = np.log(np.array([0.95])) * (30.0 + KELVIN) / (20.0 + KELVIN)
    assert content(warmer)[0] == pytest.approx(SURFACE, abs=6e-4)
    ln_rh = np.log(np.linspace(0.3, 0.99, 50))
    np.testing.assert_allclose(suction(content(ln_rh)), suction_from_ln_rh(ln_rh), rtol=1e-9)


@pytest.mark.parametrize("days", DAYS)
def test_uptake(half_space, days):
    """Water taken up since the start is within 0.5 %."""
    driven, record, before = half_space
    taken = driven.water(record)[24 * days - 1] - before
    assert taken == pytest.approx(UPTAKE[days], rel=5e-3)


@pytest.mark.parametrize("days", DAYS)
def test_water_content(half_space, days):
    """Water content is within 0.5 % at every depth, well inside the tolerance of the standard."""
    found = at(half_space, half_space[1].content, days, DEPTHS)
    np.testing.assert_allclose(found, CONTENT[days], rtol=5e-3)


@pytest.mark.parametrize("days", DAYS)
def test_temperature(half_space, days):
    """Temperature is within 0.05 K at every depth."""
    found = at(half_space, half_space[1].temperature, days, WARM_DEPTHS)
    np.testing.assert_allclose(found, TEMPERATURE[days], atol=0.05)


def test_similarity(half_space):
    """Content and temperature depend on depth over the root of time alone; uptake grows with it."""
    driven, record, before = half_space
    stretch = np.sqrt(365.0 / 7.0)
    early = at(half_space, record.content, 7, DEPTHS / stretch)
    late = at(half_space, record.content, 365, DEPTHS)
    np.testing.assert_allclose(early, late, rtol=5e-3)
    early = at(half_space, record.temperature, 7, WARM_DEPTHS / stretch)
    late = at(half_space, record.temperature, 365, WARM_DEPTHS)
    np.testing.assert_allclose(early, late, atol=0.05)
    taken = driven.water(record)[[24 * days - 1 for days in DAYS]] - before
    rate = taken / np.sqrt(DAYS)
    np.testing.assert_allclose(rate, rate[-1], rtol=5e-3)
