"""A roof under a clear sky at night: how cold it gets, and how much dew keeps it from getting colder.

A sheet whose back takes no heat: h_c (T_a - T) + eps (L - sigma T^4) + L_v beta (p_a - p_sat(T)) = 0.
The sky is that of Martin and Berdahl 1984 (Solar Energy 33, 321-336; as quoted by Duffie and
Beckman), at midnight; the Lewis relation gives beta = 7e-9 h_c (ASHRAE Fundamentals ch. 6, rounded).
The temperatures are computed from these formulas.
"""

import numpy as np
import pytest
from driven import Air, Driven, plain_material, sealed

from moistwall.air import KELVIN, STEFAN_BOLTZMANN, saturation_pressure
from moistwall.loads.sky import clear_sky_emissivity
from moistwall.material_curves import storage_of_pore_air
from moistwall.section import Face, Layer, Section

# air, dew point [degC], h_c [W/(m2 K)], emittance: roof [degC] when dry, and with dew (None: not asked)
CASES = [
    (25.0, 23.0, 4.0, 0.9, 20.28, 21.74),
    (25.0, 23.0, 8.0, 0.9, 21.71, 22.51),
    (25.0, 20.0, 6.0, 0.9, 20.18, None),
    (25.0, 20.0, 6.0, 0.3, 22.67, None),
    (20.0, 10.0, 6.0, 0.9, 12.68, None),
]
LEWIS = 7e-9
"""Vapor film over convection, as these temperatures were computed. [s/m]"""


def roof_at_midnight(air, dew_point, convection, emittance, vapor_film):
    """Temperature of the steel, and dew [g/(m2 h)], after a night under the same sky."""
    steel = plain_material(
        "steel sheet",
        storage_of_pore_air(0.01, 0.1),
        conductivity=50.0,
        permeability=1e-18,
        density=7800.0,
        heat_capacity=450.0,
    )
    section = Section(
        "roof", (Layer("steel", steel, 0.0006, 0.3),), outer=Face(emittance, 0.4), tilt=0.0
    )
    sky = float(clear_sky_emissivity(dew_point, 24.0))
    outer = Air(
        air,
        float(saturation_pressure(dew_point)),
        convection,
        vapor_film,
        longwave=sky * STEFAN_BOLTZMANN * (air + KELVIN) ** 4,
    )
    driven = Driven(section, outer, sealed(20.0), 12, start_temperature=air)
    record = driven.run()
    water = driven.water(record) + np.cumsum(record.drained[:, :, 0].sum(axis=1))
    return record.temperature[-1, 0, 0], 1000.0 * (water[-1] - water[-2])


@pytest.mark.parametrize(("air", "dew_point", "convection", "emittance", "dry", "wet"), CASES)
def test_dry_roof(air, dew_point, convection, emittance, dry, wet):
    """Without dew the steel is within 0.1 K of the table."""
    found, dew = roof_at_midnight(air, dew_point, convection, emittance, 0.0)
    assert found == pytest.approx(dry, abs=0.1)
    assert dew == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("air", "dew_point", "convection", "emittance", "dry", "wet"),
    [case for case in CASES if case[-1] is not None],
)
def test_roof_with_dew(air, dew_point, convection, emittance, dry, wet):
    """Dew keeps the steel warmer, within 0.1 K of the table, yet below the dew point."""
    found, dew = roof_at_midnight(air, dew_point, convection, emittance, LEWIS * convection)
    assert found == pytest.approx(wet, abs=0.1)
    assert found < dew_point
    drive = saturation_pressure(dew_point) - saturation_pressure(found)
    assert dew == pytest.approx(1000.0 * 3600.0 * LEWIS * convection * drive, rel=1e-3)


def test_no_dew_above_the_dew_point():
    """A bright roof (emittance 0.3) stays above the dew point, and vapor changes nothing."""
    case = (25.0, 20.0, 6.0, 0.3)
    found, _ = roof_at_midnight(*case, LEWIS * 6.0)
    assert found > 20.0
    assert found == pytest.approx(roof_at_midnight(*case, 0.0)[0], abs=0.01)
