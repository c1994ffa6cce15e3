"""Water and air that reach a place by a way of their own: rain that leaks in, air along a short cut.

Water arrives as liquid, at the temperature of outdoor air, at a prescribed rate. Air along a short cut
comes from the side that its flow says, outdoors or room; a share of it takes on the temperature and
the vapor pressure of the cell it meets, and goes on:

    g = k (p_up - p),  k = contact |G| 0.622 / P        q = contact |G| c_pa (T_up - T) + g h_v(T)

Both are added to the flow into the cell at its joint, gap or end, so that what differs between the two
sides of that face is what arrived there.
"""

from __future__ import annotations

from moistwall.air import (
    AIR_HEAT_CAPACITY,
    LATENT_HEAT_0,
    VAPOR_HEAT_CAPACITY,
    WATER_HEAT_CAPACITY,
)
from moistwall.solver.kernel.airflow import VAPOR_TO_AIR
from moistwall.solver.kernel.compile import compiled
from moistwall.solver.kernel.layout import (
    AIR_TEMPERATURE,
    AIR_VAPOR,
    HEAT_A,
    HEAT_B,
    MOISTURE_A,
    MOISTURE_B,
    N_END_COLUMNS,
    VAPOR_A,
    VAPOR_B,
    Faces,
    Floats,
    State,
    Topology,
)
from moistwall.solver.kernel.lookup import Properties


@compiled
def add_water(
    topology: Topology, weather: Floats, reference_temperature: float, linear: Floats
) -> None:
    """Add the water that leaks in to the flows of ``linear``.

    Parameters
    ----------
    weather : (n_columns,) ndarray
        Loads at the stage's instant.
    linear : (n_special, N_FLOWS, N_TERMS) ndarray
        Linearised flows.
    """
    for k in range(topology.water_special.shape[0]):
        s = topology.water_special[k]
        inner = topology.water_inner[k] == 1
        moisture, heat = (MOISTURE_B, HEAT_B) if inner else (MOISTURE_A, HEAT_A)
        sign = 1.0 if inner else -1.0  # flows count from outside to inside
        rate = sign * weather[topology.water_column[k]]
        above = weather[AIR_TEMPERATURE] - reference_temperature
        linear[s, moisture, 0] += rate
        linear[s, heat, 0] += WATER_HEAT_CAPACITY * above * rate


@compiled
def add_short_cuts(
    topology: Topology,
    faces: Faces,
    state: State,
    properties: Properties,
    weather: Floats,
    pressure: float,
    reference_temperature: float,
    linear: Floats,
) -> None:
    """Add what air along a short cut leaves at the cell it meets, or takes from it.

    Parameters
    ----------
    weather : (n_columns,) ndarray
        Loads at the stage's instant; the air counts from outside to inside. [kg/(m2 s)]
    pressure : float
        Air pressure. [Pa]
    linear : (n_special, N_FLOWS, N_TERMS) ndarray
        Linearised flows.
    """
    for k in range(topology.cut_special.shape[0]):
        s = topology.cut_special[k]
        inner = topology.cut_inner[k] == 1
        cell = topology.special_face[s] - (0 if inner else 1)
        sign = 1.0 if inner else -1.0
        t_term = 3 if inner else 1
        vapor_row = VAPOR_B if inner else VAPOR_A
        moisture_row = MOISTURE_B if inner else MOISTURE_A
        heat_row = HEAT_B if inner else HEAT_A
        air = weather[topology.cut_column[k]]
        upstream = 0 if air >= 0.0 else N_END_COLUMNS
        stream = faces.cut_contact[k] * abs(air)
        t = state.temperature[cell]
        per_pascal = stream * VAPOR_TO_AIR / pressure
        vapor = per_pascal * (weather[upstream + AIR_VAPOR] - properties.vapor[cell])
        vapor_t = -per_pascal * properties.vapor_t[cell]
        vapor_m = -per_pascal * properties.vapor_m[cell]
        capacity = AIR_HEAT_CAPACITY * stream
        total = (
            LATENT_HEAT_0 + VAPOR_HEAT_CAPACITY * t - WATER_HEAT_CAPACITY * reference_temperature
        )
        heat = capacity * (weather[upstream + AIR_TEMPERATURE] - t) + total * vapor
        heat_t = -capacity + total * vapor_t + VAPOR_HEAT_CAPACITY * vapor
        for row in (vapor_row, moisture_row):
            linear[s, row, 0] += sign * vapor
            linear[s, row, t_term] += sign * vapor_t
            linear[s, row, t_term + 1] += sign * vapor_m
        linear[s, heat_row, 0] += sign * heat
        linear[s, heat_row, t_term] += sign * heat_t
        linear[s, heat_row, t_term + 1] += sign * total * vapor_m
