"""Flows between two cells of one layer, and the bookkeeping that puts any flow into the rows.

Vapor crosses two half-cell resistances in series; liquid follows the gradient of the Kirchhoff
potential; heat is conduction plus the enthalpy that vapor and liquid carry:

    g_v = (p_a - p_b) / (z_a + z_b)          g_l = 2 (Theta_a - Theta_b) / (d_a + d_b)
    E   = (T_a - T_b) / (r_a + r_b) + L(T_f) g_v + c_w (T_f - T_ref) (g_v + g_l)

with L(T) = L0 + (c_pv - c_w) T the latent heat, and T_f the temperature of the face.
"""

from __future__ import annotations

from moistwall.air import LATENT_HEAT_0, VAPOR_HEAT_CAPACITY, WATER_HEAT_CAPACITY
from moistwall.solver.kernel.compile import compiled
from moistwall.solver.kernel.layout import (
    DHH,
    DHM,
    DMH,
    DMM,
    HEAT_A,
    HEAT_B,
    LHH,
    LHM,
    LMH,
    LMM,
    MOISTURE_A,
    MOISTURE_B,
    RH,
    RM,
    UHH,
    UHM,
    UMH,
    UMM,
    WITHIN,
    Cells,
    Floats,
    State,
    Topology,
)
from moistwall.solver.kernel.lookup import Properties

LATENT_SLOPE = VAPOR_HEAT_CAPACITY - WATER_HEAT_CAPACITY


@compiled
def flows_within(
    topology: Topology,
    cells: Cells,
    state: State,
    properties: Properties,
    reference_temperature: float,
    rows: Floats,
) -> None:
    """Linearise the flows of every face within a layer and put them into the rows.

    Rows are set here (couplings) or added to (diagonal, right-hand side), which must be 0 before.
    """
    n_cells, n_lanes = cells.width.shape
    for i in range(n_cells - 1):
        if topology.face_kind[i + 1] != WITHIN:
            continue
        j = i + 1
        for lane in range(n_lanes):
            t_a, t_b = state.temperature[i, lane], state.temperature[j, lane]
            conductance = 1.0 / (properties.heat_half[i, lane] + properties.heat_half[j, lane])
            permeance = 1.0 / (properties.vapor_half[i, lane] + properties.vapor_half[j, lane])
            per_length = 1.0 / (cells.half[i, lane] + cells.half[j, lane])
            vapor = permeance * (properties.vapor[i, lane] - properties.vapor[j, lane])
            moisture = vapor + per_length * (properties.theta[i, lane] - properties.theta[j, lane])
            t_face = 0.5 * (t_a + t_b)
            latent = LATENT_HEAT_0 + LATENT_SLOPE * t_face
            carried = WATER_HEAT_CAPACITY * (t_face - reference_temperature)

            vapor_ta = permeance * properties.vapor_t[i, lane]
            vapor_tb = -permeance * properties.vapor_t[j, lane]
            vapor_ma = permeance * properties.vapor_m[i, lane]
            vapor_mb = -permeance * properties.vapor_m[j, lane]
            moisture_ma = vapor_ma + per_length * properties.theta_m[i, lane]
            moisture_mb = vapor_mb - per_length * properties.theta_m[j, lane]
            # slope of L and of c_w T_f with either temperature
            warming = 0.5 * (LATENT_SLOPE * vapor + WATER_HEAT_CAPACITY * moisture)
            total = latent + carried

            heat_ta = conductance + total * vapor_ta + warming
            heat_tb = -conductance + total * vapor_tb + warming
            heat_ma = latent * vapor_ma + carried * moisture_ma
            heat_mb = latent * vapor_mb + carried * moisture_mb
            heat = conductance * (t_a - t_b) + latent * vapor + carried * moisture

            rows[DHH, i, lane] += heat_ta
            rows[DHM, i, lane] += heat_ma
            rows[DMH, i, lane] += vapor_ta
            rows[DMM, i, lane] += moisture_ma
            rows[UHH, i, lane] = heat_tb
            rows[UHM, i, lane] = heat_mb
            rows[UMH, i, lane] = vapor_tb
            rows[UMM, i, lane] = moisture_mb
            rows[RH, i, lane] -= heat
            rows[RM, i, lane] -= moisture
            rows[DHH, j, lane] -= heat_tb
            rows[DHM, j, lane] -= heat_mb
            rows[DMH, j, lane] -= vapor_tb
            rows[DMM, j, lane] -= moisture_mb
            rows[LHH, j, lane] = -heat_ta
            rows[LHM, j, lane] = -heat_ma
            rows[LMH, j, lane] = -vapor_ta
            rows[LMM, j, lane] = -moisture_ma
            rows[RH, j, lane] += heat
            rows[RM, j, lane] += moisture


@compiled
def put_flows(topology: Topology, linear: Floats, rows: Floats) -> None:
    """Put the linearised flows of the special faces into the rows.

    Parameters
    ----------
    linear : (n_special, N_FLOWS, N_TERMS, n_lanes) ndarray
        Flows at the iterate and their slopes in T and m of the cell outside and of the one inside.
    rows : (N_ROW, n_cells, n_lanes) ndarray
        Changed in place.
    """
    n_special, _, _, n_lanes = linear.shape
    n_cells = rows.shape[1]
    for s in range(n_special):
        j = topology.special_face[s]
        i = j - 1
        for lane in range(n_lanes):
            if i >= 0:
                rows[DHH, i, lane] += linear[s, HEAT_A, 1, lane]
                rows[DHM, i, lane] += linear[s, HEAT_A, 2, lane]
                rows[DMH, i, lane] += linear[s, MOISTURE_A, 1, lane]
                rows[DMM, i, lane] += linear[s, MOISTURE_A, 2, lane]
                rows[UHH, i, lane] = linear[s, HEAT_A, 3, lane]
                rows[UHM, i, lane] = linear[s, HEAT_A, 4, lane]
                rows[UMH, i, lane] = linear[s, MOISTURE_A, 3, lane]
                rows[UMM, i, lane] = linear[s, MOISTURE_A, 4, lane]
                rows[RH, i, lane] -= linear[s, HEAT_A, 0, lane]
                rows[RM, i, lane] -= linear[s, MOISTURE_A, 0, lane]
            if j < n_cells:
                rows[DHH, j, lane] -= linear[s, HEAT_B, 3, lane]
                rows[DHM, j, lane] -= linear[s, HEAT_B, 4, lane]
                rows[DMH, j, lane] -= linear[s, MOISTURE_B, 3, lane]
                rows[DMM, j, lane] -= linear[s, MOISTURE_B, 4, lane]
                rows[LHH, j, lane] = -linear[s, HEAT_B, 1, lane]
                rows[LHM, j, lane] = -linear[s, HEAT_B, 2, lane]
                rows[LMH, j, lane] = -linear[s, MOISTURE_B, 1, lane]
                rows[LMM, j, lane] = -linear[s, MOISTURE_B, 2, lane]
                rows[RH, j, lane] += linear[s, HEAT_B, 0, lane]
                rows[RM, j, lane] += linear[s, MOISTURE_B, 0, lane]
