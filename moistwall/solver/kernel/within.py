"""Flows between two cells of one layer, and where the flows of all faces are kept.

Vapor crosses two half-cell resistances in series; liquid follows the gradient of the Kirchhoff
potential; heat is conduction plus the enthalpy that vapor and liquid carry:

    g_v = (p_a - p_b) / (z_a + z_b)          g_l = 2 (Theta_a - Theta_b) / (d_a + d_b)
    E   = (T_a - T_b) / (r_a + r_b) + L(T_f) g_v + c_w (T_f - T_ref) (g_v + g_l)

with L(T) = L0 + (c_pv - c_w) T the latent heat, and T_f the temperature of the face.

The loops here are short and run over plain rows, so that they are turned into vector instructions. They take
all faces alike; what they write for those that are not within a layer is written over afterwards.
"""

from __future__ import annotations

from moistwall.air import LATENT_HEAT_0, VAPOR_HEAT_CAPACITY, WATER_HEAT_CAPACITY
from moistwall.solver.kernel.compile import compiled
from moistwall.solver.kernel.layout import (
    HEAT,
    HEAT_A,
    HEAT_B,
    HEAT_MA,
    HEAT_MB,
    HEAT_TA,
    HEAT_TB,
    MOISTURE,
    MOISTURE_A,
    MOISTURE_B,
    MOISTURE_MA,
    MOISTURE_MB,
    MOISTURE_TA,
    MOISTURE_TB,
    N_TERMS,
    Cells,
    Floats,
    Ints,
    State,
)
from moistwall.solver.kernel.lookup import Properties

LATENT_SLOPE = VAPOR_HEAT_CAPACITY - WATER_HEAT_CAPACITY

CONDUCTANCE, PERMEANCE, PER_LENGTH, VAPOR, LATENT, CARRIED, WARMING = range(7)
"""What the flows within layers are made of, a value a face."""
N_PIECES = 7


@compiled
def conductances(properties: Properties, half: Floats, pieces: Floats) -> None:
    """Fill in what joins two cells: half cells in series for heat, vapor and liquid."""
    r_a, r_b = properties.heat_half[:-1], properties.heat_half[1:]
    z_a, z_b = properties.vapor_half[:-1], properties.vapor_half[1:]
    d_a, d_b = half[:-1], half[1:]
    conductance, permeance = pieces[CONDUCTANCE], pieces[PERMEANCE]
    per_length = pieces[PER_LENGTH]
    for i in range(r_a.size):
        conductance[i] = 1.0 / (r_a[i] + r_b[i])
        permeance[i] = 1.0 / (z_a[i] + z_b[i])
        per_length[i] = 1.0 / (d_a[i] + d_b[i])


@compiled
def moisture_within(properties: Properties, pieces: Floats, through: Floats) -> None:
    """Vapor and liquid through every face, and their slopes in T and m on either side."""
    permeance, per_length = pieces[PERMEANCE], pieces[PER_LENGTH]
    vapor, moisture = pieces[VAPOR], through[MOISTURE, 1:]
    p_a, p_b = properties.vapor[:-1], properties.vapor[1:]
    theta_a, theta_b = properties.theta[:-1], properties.theta[1:]
    n = p_a.size
    for i in range(n):
        vapor[i] = permeance[i] * (p_a[i] - p_b[i])
        moisture[i] = vapor[i] + per_length[i] * (theta_a[i] - theta_b[i])
    slope_a, slope_b = properties.vapor_t[:-1], properties.vapor_t[1:]
    by_a, by_b = through[MOISTURE_TA, 1:], through[MOISTURE_TB, 1:]
    for i in range(n):
        by_a[i] = permeance[i] * slope_a[i]
        by_b[i] = -permeance[i] * slope_b[i]
    slope_a, slope_b = properties.vapor_m[:-1], properties.vapor_m[1:]
    theta_a, theta_b = properties.theta_m[:-1], properties.theta_m[1:]
    by_a, by_b = through[MOISTURE_MA, 1:], through[MOISTURE_MB, 1:]
    for i in range(n):
        by_a[i] = permeance[i] * slope_a[i] + per_length[i] * theta_a[i]
        by_b[i] = -permeance[i] * slope_b[i] - per_length[i] * theta_b[i]


@compiled
def heat_within(
    temperature: Floats,
    properties: Properties,
    reference_temperature: float,
    pieces: Floats,
    through: Floats,
) -> None:
    """Heat through every face, and its slopes in T and m on either side."""
    t_a, t_b = temperature[:-1], temperature[1:]
    conductance, permeance = pieces[CONDUCTANCE], pieces[PERMEANCE]
    vapor, moisture = pieces[VAPOR], through[MOISTURE, 1:]
    latent, carried, warming = pieces[LATENT], pieces[CARRIED], pieces[WARMING]
    heat = through[HEAT, 1:]
    n = t_a.size
    for i in range(n):
        t_face = 0.5 * (t_a[i] + t_b[i])
        latent[i] = LATENT_HEAT_0 + LATENT_SLOPE * t_face
        carried[i] = WATER_HEAT_CAPACITY * (t_face - reference_temperature)
    for i in range(n):
        # slope of L and of c_w T_f with either temperature
        warming[i] = 0.5 * (LATENT_SLOPE * vapor[i] + WATER_HEAT_CAPACITY * moisture[i])
        heat[i] = (
            conductance[i] * (t_a[i] - t_b[i]) + latent[i] * vapor[i] + carried[i] * moisture[i]
        )
    slope_a, slope_b = through[MOISTURE_TA, 1:], through[MOISTURE_TB, 1:]
    by_a, by_b = through[HEAT_TA, 1:], through[HEAT_TB, 1:]
    for i in range(n):
        total = latent[i] + carried[i]
        by_a[i] = conductance[i] + total * slope_a[i] + warming[i]
        by_b[i] = -conductance[i] + total * slope_b[i] + warming[i]
    vapor_a, vapor_b = properties.vapor_m[:-1], properties.vapor_m[1:]
    slope_a, slope_b = through[MOISTURE_MA, 1:], through[MOISTURE_MB, 1:]
    by_a, by_b = through[HEAT_MA, 1:], through[HEAT_MB, 1:]
    for i in range(n):
        by_a[i] = latent[i] * permeance[i] * vapor_a[i] + carried[i] * slope_a[i]
        by_b[i] = -latent[i] * permeance[i] * vapor_b[i] + carried[i] * slope_b[i]


@compiled
def flows_within(
    cells: Cells,
    state: State,
    properties: Properties,
    reference_temperature: float,
    pieces: Floats,
    through: Floats,
) -> None:
    """Linearise the flows of every face within a layer.

    Parameters
    ----------
    pieces : (N_PIECES, n_cells - 1) ndarray
        Scratch.
    through : (N_THROUGH, n_cells + 1) ndarray
        Filled, but for the ends.
    """
    conductances(properties, cells.half, pieces)
    moisture_within(properties, pieces, through)
    heat_within(state.temperature, properties, reference_temperature, pieces, through)


@compiled
def put_flows(special_face: Ints, linear: Floats, out: Floats, into: Floats) -> None:
    """Put the linearised flows of the special faces in their places among all faces.

    Parameters
    ----------
    linear : (n_special, N_FLOWS, N_TERMS) ndarray
        Flows at the iterate and their slopes in T and m of the cell outside and of the one inside.
    out, into : (N_THROUGH, n_cells + 1) ndarray
        What leaves the cell outside of a face, and what enters the one inside; changed in place.
    """
    for s in range(special_face.size):
        j = special_face[s]
        for k in range(N_TERMS):
            out[HEAT + k, j] = linear[s, HEAT_A, k]
            out[MOISTURE + k, j] = linear[s, MOISTURE_A, k]
            into[HEAT + k, j] = linear[s, HEAT_B, k]
            into[MOISTURE + k, j] = linear[s, MOISTURE_B, k]
