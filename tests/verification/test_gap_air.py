"""Gaps in the kernel: radiation across them, and outdoor air from stack and wind."""

import numpy as np
import pytest
from driven import Driven, bare_section, humid, sealed
from scipy.optimize import brentq

from moistwall.air import (
    AIR_HEAT_CAPACITY,
    GAS_CONSTANT_DRY_AIR,
    GAS_CONSTANT_VAPOR,
    KELVIN,
    STANDARD_PRESSURE,
    STEFAN_BOLTZMANN,
    saturation_pressure,
    vapor_film_from_convection,
)
from moistwall.exposure import Openings
from moistwall.library import find_material
from moistwall.section import Gap, Layer
from moistwall.solver.kernel.draft import draft, speed
from moistwall.solver.kernel.layout import HEAT_A, HEAT_B

FRICTION = 12.0 * 1.82e-5 * 2.44 / 0.019**2  # of two plates, Pa s/m
FULL = Openings(rise=2.44, length=2.44, loss=4.0, friction=FRICTION, wind_coefficient=0.0)


def steel_gap(emittances=None, air_changes=0.0, **gap):
    """Two steel sheets with a gap between them, no vapor at the ends."""
    steel = find_material("steel sheet")
    return bare_section(
        "sheets",
        [
            Layer("outer", steel, 0.001),
            Gap("gap", 0.019, gap.pop("kind", "sealed"), 1.5, air_changes, **gap),
            Layer("inner", steel, 0.001),
        ],
    )


def test_radiation_crosses_a_sealed_gap():
    """Films in series beside sigma (T_a^4 - T_b^4) / (1/e_a + 1/e_b - 1): the steady flow. (exact)"""
    driven = Driven(steel_gap(), sealed(60.0, 20.0), sealed(20.0, 20.0), 200, air_changes=(0.0,))
    record = driven.run()
    s = driven.grid.gap_special[0]
    j = driven.grid.topology.special_face[s]
    a, b = record.temperature[-1, j - 1, 0], record.temperature[-1, j, 0]
    e = find_material("steel sheet").emittance
    together = 1.0 / (2.0 / e - 1.0)
    radiation = together * STEFAN_BOLTZMANN * ((a + KELVIN) ** 4 - (b + KELVIN) ** 4)
    flow = record.flow[-1, s, HEAT_A, 0] / 3600.0
    assert flow == pytest.approx(0.75 * (a - b) + radiation, rel=1e-6)
    assert flow == pytest.approx(20.0 * (60.0 - record.temperature[-1, 0, 0]), rel=1e-5)
    assert radiation > 0.5 * flow
    assert record.flow[-1, s, HEAT_B, 0] == pytest.approx(record.flow[-1, s, HEAT_A, 0], rel=1e-9)


@pytest.mark.parametrize("pressure", [1e-9, 0.01, 1.0, 50.0, -2.0])
@pytest.mark.parametrize("friction", [0.0, 0.3, 40.0])
def test_speed_spends_the_pressure(pressure, friction):
    """Loss and friction at the speed found add up to the pressure, either way round. (exact)"""
    v = speed(pressure, 4.0, friction, 1.15)
    assert 0.5 * 4.0 * 1.15 * v * abs(v) + friction * v == pytest.approx(pressure, rel=1e-9)


def density(t, vapor):
    return (STANDARD_PRESSURE - vapor) / (GAS_CONSTANT_DRY_AIR * (t + KELVIN)) + vapor / (
        GAS_CONSTANT_VAPOR * (t + KELVIN)
    )


def independent_draft(openings, depth, h, outdoor, vapor, faces, faces_vapor, wind):
    """The same flow by a root finder on the speed, with nothing taken from the kernel."""
    beta = float(vapor_film_from_convection(h))
    rho = density(outdoor, vapor)

    def left(v):
        n = 2 * h * openings.length / (rho * AIR_HEAT_CAPACITY * depth * v)
        n_v = 2 * beta * GAS_CONSTANT_VAPOR * (outdoor + KELVIN) * openings.length / (depth * v)
        t = faces + (outdoor - faces) * (1 - np.exp(-n)) / n
        p = faces_vapor + (vapor - faces_vapor) * (1 - np.exp(-n_v)) / n_v
        inside = density(t, p)
        drive = 9.80665 * openings.rise * (rho - inside) + wind
        mean = 0.5 * (rho + inside)
        return abs(drive) - 0.5 * openings.loss * mean * v**2 - openings.friction * v

    return 3600.0 / openings.length * brentq(left, 1e-6, 10.0)


@pytest.mark.parametrize("faces", [20.0, 29.0, 35.0, 60.0])
@pytest.mark.parametrize("wind", [0.0, 0.3])
@pytest.mark.parametrize("moist", [1.0, 1.5])
def test_flow_is_that_of_a_root_finder(faces, wind, moist):
    """The kernel's bisection finds the air changes that an independent root finder finds."""
    vapor = 0.7 * float(saturation_pressure(28.0))
    given = (0.019, 2.5, 28.0, vapor, faces, moist * vapor)
    if faces < 28.0 and wind > 0.0:
        wind = -wind  # both ways against each other have more than one answer
    expected = independent_draft(FULL, *given, wind)
    beta = float(vapor_film_from_convection(2.5))
    found = draft(
        FULL.rise, FULL.length, FULL.loss, FULL.friction, 0.019, 2.5, beta, *given[2:], wind,
        STANDARD_PRESSURE,
    )  # fmt: skip
    assert found == pytest.approx(expected, rel=0.01, abs=1.0)


def test_a_sunlit_gap_draws_air_and_a_wind_adds():
    """In a march: warm faces draw air through the gap, and heat leaves with it; wind draws more."""
    found = {}
    for wind in (0.0, 1.0):
        section = steel_gap(kind="ventilated", openings=FULL)
        driven = Driven(
            section, humid(50.0, 0.1, heat_film=20.0, vapor_film=0.0), sealed(40.0, 5.0), 48,
            air_changes=(wind,),
        )  # fmt: skip
        record = driven.run()
        s = driven.grid.gap_special[0]
        found[wind] = record.gap_air[-1, s, 0]
    # the inlet is the outer air of 50 degC, so the cooler gap falls: the draft is downward
    assert 10.0 < found[0.0] < found[1.0] < 1000.0


def test_openings_of_prescribed_gaps_change_nothing():
    """Without openings the recorded air changes are those given."""
    driven = Driven(
        steel_gap(kind="ventilated"), sealed(30.0, 8.0), sealed(20.0, 8.0), 3, air_changes=(77.0,)
    )
    record = driven.run()
    np.testing.assert_array_equal(record.gap_air[:, driven.grid.gap_special[0], 0], 77.0)
