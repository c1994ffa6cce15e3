"""Where water changes phase at a joint, its latent heat is given off between the two half cells."""

import numpy as np
import pytest
from driven import Air, Driven, bare_section

from moistwall.air import LATENT_HEAT_0, VAPOR_HEAT_CAPACITY, WATER_HEAT_CAPACITY
from moistwall.library import find_material
from moistwall.section import Layer
from moistwall.solver.kernel.layout import (
    HEAT_A,
    HEAT_B,
    JOINT,
    MOISTURE_A,
    VAPOR_A,
    VAPOR_B,
)


def test_latent_heat_between_unequal_half_cells():
    """Steady condensation where wool meets cold board: heat flow of both half cells. (exact)

    q r = dT + L (r_a v_a + r_b v_b) + c_w (T - T0) g r follows from equal heat on both sides of the
    joint, with conduction and vapor enthalpy in each half cell.
    """
    section = bare_section(
        "condensing",
        [
            Layer("board", find_material("gypsum board"), 0.0125, 0.99),
            Layer("wool", find_material("mineral wool"), 0.05),
        ],
    )
    outer = Air(2.0, 600.0, heat_film=20.0, vapor_film=1e-7)
    inner = Air(25.0, 2200.0, heat_film=8.0, vapor_film=1e-7)
    driven = Driven(section, outer, inner, 4000)
    record = driven.run()
    topology = driven.grid.topology
    joints = [
        s
        for s, j in enumerate(topology.special_face)
        if topology.face_kind[j] == JOINT and 0 == topology.is_skin[j - 1] == topology.is_skin[j]
    ]
    assert len(joints) == 1
    s = joints[0]
    j = int(topology.special_face[s])
    flow = record.flow[-1, s, :, 0] / 3600.0
    v_a, v_b, g, q = (flow[k] for k in (VAPOR_A, VAPOR_B, MOISTURE_A, HEAT_A))
    assert v_b < 0.0
    assert abs(v_b) > 1.2 * abs(v_a)  # vapor turns to liquid at the joint
    r_a, r_b = (driven.march._properties.heat_half[i] for i in (j - 1, j))
    assert r_b > 2.0 * r_a
    t_a, t_b = record.temperature[-1, j - 1, 0], record.temperature[-1, j, 0]
    t = record.side_temperature[-1, s, 0]
    latent = LATENT_HEAT_0 + (VAPOR_HEAT_CAPACITY - WATER_HEAT_CAPACITY) * t
    r = r_a + r_b
    expected = (t_a - t_b) / r + latent * (r_a * v_a + r_b * v_b) / r + WATER_HEAT_CAPACITY * t * g
    wrong = (t_a - t_b) / r + latent * (r_b * v_a + r_a * v_b) / r + WATER_HEAT_CAPACITY * t * g
    assert q == pytest.approx(expected, rel=1e-6)
    assert abs(wrong - expected) > 1e-3 * abs(q)  # the control: shares the other way round
    assert record.flow[-1, s, HEAT_B, 0] == record.flow[-1, s, HEAT_A, 0]
    np.testing.assert_allclose(record.flow[-1, s, :, 0], record.flow[-2, s, :, 0], rtol=1e-6)
