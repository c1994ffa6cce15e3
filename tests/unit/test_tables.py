"""Property tables: uniform in m, bounded, and exact at their points."""

from __future__ import annotations

import numpy as np
import pytest

from moistwall.library import find_material, material_names
from moistwall.material import Material
from moistwall.solver.kernel.layout import CONTENT, HUMIDITY, THETA
from moistwall.solver.kernel.lookup import content_at, coordinate_of_humidity, humidity_at
from moistwall.solver.tables import (
    N_SATURATED,
    brims,
    coordinate_of_content,
    full_content,
    material_table,
    skin_table,
    stack,
)

MATERIALS = ["OSB", "fiber cement", "gypsum board", "mineral wool batt", "XPS", "spruce"]


@pytest.fixture(params=MATERIALS)
def material(request: pytest.FixtureRequest) -> Material:
    """A material of the library."""
    return find_material(request.param)


def test_library_holds_the_materials_of_this_file() -> None:
    """Every material used here is in the library by this very name."""
    assert set(MATERIALS) <= set(material_names())


def test_content_and_humidity_add_up_to_m(material: Material) -> None:
    """At every point m = rh + w / w_f, up to what the layer holds; beyond, w rises far more steeply."""
    values, step, _ = material_table(material)
    m = step * np.arange(values.shape[0])
    humidity = np.minimum(values[:, HUMIDITY], 1.0)
    full, held = full_content(material), values[:, CONTENT] <= material.storage.holds
    assert np.allclose((humidity + values[:, CONTENT] / full)[held], m[held], atol=1e-12)
    assert np.all(np.diff(values[~held, CONTENT]) > 1e4 * step * full)


def test_the_brim_is_where_the_layer_holds_all_that_it_can(material: Material) -> None:
    """At the brim, looked up, stands what the material holds; a point of the table lies within a step of it."""
    tables = stack([material_table(material)], [material.capillary])
    holds = np.array([[material.storage.holds]])
    ((brim,),) = brims(tables, np.array([[0]]), holds)
    assert content_at(tables, 0, brim) == pytest.approx(material.storage.holds, rel=1e-8)
    free = 1.0 + material.storage.holds / full_content(material)
    assert brim == pytest.approx(free, abs=1.0 / tables.per_step[0])


def test_table_meets_the_storage_curve(material: Material) -> None:
    """Content at the table's humidity is that of the material's own curve, within 0.1 % of w_f."""
    values, _, _ = material_table(material)
    part = slice(5, N_SATURATED, 7)
    expected = material.storage.content(np.log(values[part, HUMIDITY]))
    assert np.allclose(values[part, CONTENT], expected, atol=1e-3 * full_content(material))


def test_saturation_is_a_point_of_the_table(material: Material) -> None:
    """Humidity reaches 1 at a point, with free saturation there."""
    values, step, saturated = material_table(material)
    assert saturated == pytest.approx(step * N_SATURATED)
    assert values[N_SATURATED, HUMIDITY] == pytest.approx(1.0)
    assert values[N_SATURATED, CONTENT] == pytest.approx(material.storage.free)


def test_content_rises_everywhere_and_theta_never_falls(material: Material) -> None:
    """Storage has a slope at every m, below and above saturation; Theta is an integral of D >= 0."""
    values, _, _ = material_table(material)
    assert np.all(np.diff(values[:, CONTENT]) > 0)
    assert np.all(np.diff(values[:, HUMIDITY]) >= 0)
    assert np.all(np.diff(values[:, THETA]) >= 0)
    assert bool(values[-1, THETA] > 0) == material.capillary


def test_theta_is_the_integral_of_the_diffusivity() -> None:
    """For D = 3.8 (A/w_f)^2 1000^(w/w_f - 1) the integral to w_f is known in closed form."""
    material = find_material("fiber cement")
    assert material.diffusivity is not None
    free = material.storage.free
    at_free = float(material.diffusivity(np.array([free]))[0])
    expected = at_free * free / np.log(1000.0) * (1.0 - 1.0 / 1000.0)
    values, _, _ = material_table(material)
    assert values[N_SATURATED, THETA] == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize("humidity", [0.02, 0.3, 0.8, 0.97, 0.9995, 1.0])
def test_humidity_and_m_are_inverse(material: Material, humidity: float) -> None:
    """The m found for a humidity gives that humidity back, at a temperature other than 20 degC."""
    tables = stack([material_table(material)], [material.capillary])
    suction = float(material.storage.over_suction)
    m = coordinate_of_humidity(tables, 0, suction, humidity, 35.0)
    back, _, _ = humidity_at(tables, 0, suction, m, 35.0)
    assert back == pytest.approx(humidity, abs=1e-12)


def test_storage_over_suction_dries_the_pore_air_when_cold() -> None:
    """At one water content rh = rh20 ** (293.15 K / T): 80 % at 20 degC is 79.2 % at 7 degC."""
    material = find_material("OSB")
    tables = stack([material_table(material)], [True])
    m = coordinate_of_humidity(tables, 0, 1.0, 0.8, 20.0)
    cold, _, _ = humidity_at(tables, 0, 1.0, m, 7.0)
    assert cold == pytest.approx(0.8 ** (293.15 / 280.15), abs=2e-6)
    same, _, _ = humidity_at(tables, 0, 0.0, m, 7.0)
    assert same == pytest.approx(0.8, abs=1e-12)


def test_skin_holds_next_to_nothing_until_it_is_wet() -> None:
    """A skin that holds 100 g/m2 has 0.05 g/m2 at rh 1, and its table goes on past what it holds."""
    values, step, saturated = skin_table(0.1)
    at_one = values[round(saturated / step), CONTENT] * 1e-3
    assert at_one == pytest.approx(5e-5)
    assert values[-1, HUMIDITY] == 1.0
    assert values[-1, CONTENT] * 1e-3 > 0.04


@pytest.mark.parametrize("name", ["mineral wool", "steel sheet", "XPS", "OSB"])
def test_a_start_full_of_water_is_full_of_water(name: str) -> None:
    """Water beyond the last point of a table is found again, and not cut to it."""
    material = find_material(name)
    tables = stack([material_table(material)], [material.capillary])
    for share in (0.3, 0.9, 1.0):
        content = np.array([share * material.storage.holds])
        (m,) = coordinate_of_content(tables, 0, content)
        assert content_at(tables, 0, float(m)) == pytest.approx(float(content[0]), rel=1e-8)
