from dataclasses import replace

import numpy as np
import pytest

from moistwall.errors import MaterialError
from moistwall.material import FilmMaterial, Material
from moistwall.material_curves import (
    AIR_ENTRY,
    diffusivity_from_absorption,
    diffusivity_from_table,
    ln_rh_from_suction,
    storage_from_table,
    storage_of_pore_air,
    storage_of_wood,
    storage_over_humidity,
    storage_over_suction,
    suction_from_ln_rh,
)

RH = np.array([0.5, 0.8, 0.95, 0.98])
CONTENT = np.array([42.0, 78.0, 130.0, 156.0])


def board(**changes):
    """A plausible board, changed in some fields."""
    plain = Material(
        name="board",
        kind="sheathing",
        density=650.0,
        heat_capacity=1880.0,
        conductivity_content=np.array([0.0]),
        conductivity=np.array([0.1]),
        vapor_rh=np.array([0.25, 0.75]),
        vapor_permeability=np.array([5e-13, 1.3e-12]),
        storage=storage_from_table(RH, CONTENT, 540.0, 570.0),
        diffusivity=diffusivity_from_absorption(0.002, 540.0),
    )
    return replace(plain, **changes)


def every_storage():
    """One storage of each form."""
    return {
        "table": storage_from_table(RH, CONTENT, 540.0, 570.0),
        "pore air": storage_of_pore_air(0.97, 20.0),
        "wood": storage_of_wood(420.0, 21.1, 720.0, 725.0),
        "over suction": storage_over_suction(146.0, 146.0, 8e-8, 1.6, 0.375),
        "over humidity": storage_over_humidity(116.0, 116.0, 0.118, 0.869),
    }


@pytest.mark.parametrize("form", every_storage())
def test_storage_rises_to_free_saturation(form):
    """Each form rises strictly from next to nothing to what it calls free saturation."""
    storage = every_storage()[form]
    near_one = -np.logspace(-0.5, -8, 200)
    ln_rh = np.concatenate((np.log(np.linspace(1e-4, 0.7, 200)), near_one, [0.0]))
    content = storage.content(ln_rh)
    assert np.all(np.diff(content) > 0.0)
    assert content[-1] == pytest.approx(storage.free, rel=1e-12)
    assert content[0] < 0.1 * storage.free
    assert storage.holds >= storage.free


def test_table_passes_through_its_points():
    """A table gives back its own points, and is 0 in dry air."""
    storage = storage_from_table(RH, CONTENT, 540.0, 570.0)
    np.testing.assert_allclose(storage.content(np.log(RH)), CONTENT, rtol=1e-12)
    assert storage.content(np.array([-700.0]))[0] == pytest.approx(0.0, abs=1e-9)


def test_table_above_its_last_point():
    """Above 98 % content falls with the logarithm of suction: equal decades, equal shares."""
    storage = storage_from_table(RH, CONTENT, 540.0, 570.0)
    suction = AIR_ENTRY * (np.array([1.0, 10.0, 100.0]) - 1.0)
    content = storage.content(ln_rh_from_suction(suction))
    assert content[0] - content[1] == pytest.approx(content[1] - content[2])
    assert content[0] == pytest.approx(540.0)
    # the table keeps its own at 98 %, and one percent higher most pores are still empty
    assert 156.0 < storage.content(np.log(np.array([0.99])))[0] < 0.4 * 540.0


def test_suction_and_humidity_undo_each_other():
    """Kelvin's equation forth and back."""
    ln_rh = np.log(np.array([0.5, 0.9, 0.999]))
    np.testing.assert_allclose(ln_rh_from_suction(suction_from_ln_rh(ln_rh)), ln_rh, rtol=1e-14)


def test_pore_air_holds_saturated_vapor():
    """A foam stores the vapor in its pores and no more: 17.3 g/m3 of pore at 20 degC."""
    storage = storage_of_pore_air(0.5, 20.0)
    assert storage.free == pytest.approx(0.5 * 0.01729, rel=1e-3)
    assert storage.content(np.log(np.array([0.5])))[0] == pytest.approx(0.5 * storage.free)


def test_diffusivity_from_absorption():
    """Three decades from dry to free saturation, 3.8 (A/w_f)^2 there and above."""
    diffusivity = diffusivity_from_absorption(0.01, 200.0)
    dry, free, above = diffusivity(np.array([0.0, 200.0, 250.0]))
    assert free == pytest.approx(3.8 * (0.01 / 200.0) ** 2)
    assert free == pytest.approx(1000.0 * dry)
    assert above == free


def test_diffusivity_from_absorption_takes_up_what_it_stands_for():
    """A dry half-space wetted at its face takes up A sqrt(t), within 10 %.

    The relation is an approximation of its author's (Kuenzel 1995, from memory).
    """
    absorption, free, width, cells = 0.01, 200.0, 2e-4, 200
    diffusivity = diffusivity_from_absorption(absorption, free)
    fine = np.linspace(0.0, free, 4001)
    steps = 0.5 * np.diff(fine) * (diffusivity(fine[1:]) + diffusivity(fine[:-1]))
    theta = np.concatenate(([0.0], np.cumsum(steps)))
    content = np.zeros(cells)
    dt = 0.2 * width**2 / diffusivity(np.array([free]))[0]
    n_steps = int(1800.0 / dt)
    for _ in range(n_steps):
        potential = np.interp(content, fine, theta)
        flux = np.empty(cells + 1)
        flux[0] = (theta[-1] - potential[0]) / (0.5 * width)
        flux[1:-1] = (potential[:-1] - potential[1:]) / width
        flux[-1] = 0.0
        content += dt / width * (flux[:-1] - flux[1:])
    taken_up = content.sum() * width
    assert taken_up == pytest.approx(absorption * np.sqrt(n_steps * dt), rel=0.10)
    assert content[-1] < 1e-6 * free


def test_diffusivity_from_table():
    """The logarithm is linear between points, and constant beyond them."""
    diffusivity = diffusivity_from_table(np.array([50.0, 150.0]), np.array([1e-10, 1e-8]))
    found = diffusivity(np.array([0.0, 50.0, 100.0, 150.0, 900.0]))
    np.testing.assert_allclose(found, [1e-10, 1e-10, 1e-9, 1e-8, 1e-8])


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("density", -650.0),
        ("density", np.nan),
        ("heat_capacity", 0.0),
        ("conductivity", np.array([0.0])),
        ("conductivity", np.array([0.1, 0.2])),
        ("vapor_rh", np.array([0.75, 0.25])),
        ("vapor_permeability", np.array([5e-13, np.inf])),
        ("emittance", 1.2),
        ("absorptance", -0.1),
    ],
)
def test_impossible_material_is_refused(field, value):
    """A number that cannot be right is named when the material is built."""
    with pytest.raises(MaterialError, match=field.split("_")[0]):
        board(**{field: value})


def test_every_fault_is_reported():
    """A material with three mistakes reports three."""
    with pytest.raises(MaterialError) as caught:
        board(density=0.0, emittance=2.0, heat_capacity=-1.0)
    assert [fault.field for fault in caught.value.faults] == [
        "density",
        "heat_capacity",
        "emittance",
    ]


def test_storage_must_rise_and_end_at_free():
    """A falling curve, one that ends elsewhere, and holds below free are refused."""
    good = storage_from_table(RH, CONTENT, 540.0, 570.0)
    with pytest.raises(MaterialError, match="rise strictly"):
        board(storage=replace(good, content=lambda ln_rh: 540.0 - 0.0 * ln_rh))
    with pytest.raises(MaterialError, match="does not meet the curve, which ends at 540"):
        board(storage=replace(good, free=541.0))
    with pytest.raises(MaterialError, match="must not be below free saturation, 540"):
        board(storage=replace(good, holds=500.0))


def test_capillary_where_liquid_moves():
    """A material is capillary if it has a diffusivity."""
    assert board().capillary
    assert not board(diffusivity=None).capillary


@pytest.mark.parametrize(
    "changes",
    [
        {"permeance": np.array([0.0, 1e-10])},
        {"permeance": np.array([1e-10])},
        {"rh": np.array([0.5, 0.5])},
        {"emittance": 1.5},
    ],
)
def test_impossible_film_is_refused(changes):
    """A film checks itself when built."""
    fields = {
        "name": "coat",
        "kind": "coating",
        "rh": np.array([0.25, 0.75]),
        "permeance": np.array([1e-10, 2e-10]),
    }
    assert FilmMaterial(**fields).emittance is None
    with pytest.raises(MaterialError, match="film 'coat'"):
        FilmMaterial(**fields | changes)
