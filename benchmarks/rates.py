"""The right-hand side of the wall as ordinary differential equations, for solvers of any kind.

The same cells, tables and equations as the kernel's (docs/theory.md sections 2 to 6), but nothing
linearised: the humidity on a joint's face is found to round-off. The unknowns are T and m of each cell, one
after the other, so that the Jacobian has three bands on either side.
"""

from __future__ import annotations

import numpy as np
from common import START_TEMPERATURE, Array
from numba import njit

from moistwall.air import (
    LATENT_HEAT_0,
    VAPOR_HEAT_CAPACITY,
    WATER_HEAT_CAPACITY,
)
from moistwall.solver.grid import Grid
from moistwall.solver.kernel.layout import (
    AIR_TEMPERATURE,
    AIR_VAPOR,
    CONTENT,
    HEAT_FILM,
    HEAT_RESISTIVITY,
    N_END_COLUMNS,
    SUN,
    THETA,
    VAPOR_FILM,
    VAPOR_RESISTIVITY,
    WITHIN,
)
from moistwall.solver.kernel.lookup import humidity_at, locate
from moistwall.solver.kernel.moist import saturation
from moistwall.solver.lanes import join_lanes
from moistwall.solver.march import Accuracy
from moistwall.solver.starting import new_state

LATENT_SLOPE = VAPOR_HEAT_CAPACITY - WATER_HEAT_CAPACITY
MOST_TURNS = 60
BANDS = 3


@njit(error_model="numpy")
def side(tables, material, over, m, t):  # type: ignore[no-untyped-def]
    """Humidity and liquid potential on a face, and their slopes in its unknown."""
    if tables.capillary[material] == 0:
        return m, 1.0, 0.0, 0.0
    rh, _, rh_m = humidity_at(tables, material, over, m, t)
    k, f = locate(tables, material, m)
    low, high = tables.values[material, k, THETA], tables.values[material, k + 1, THETA]
    return rh, rh_m, low + f * (high - low), (high - low) * tables.per_step[material]


@njit(error_model="numpy")
def face_flows(tables, cells, work, guess, t_face, i, skin_i, skin_j, y):  # type: ignore[no-untyped-def]
    """Moisture through the joint between cells i and i + 1, and vapor on both of its sides."""
    j = i + 1
    p_face, _ = saturation(t_face)
    m_i, m_j = cells.material[i, 0], cells.material[j, 0]
    if skin_i or skin_j:
        skin, layer, sign = (i, j, 1.0) if skin_i else (j, i, -1.0)
        material = m_j if skin_i else m_i
        rh = work[RH, skin]
        theta = 0.0
        if tables.capillary[material] == 1:
            m = min(max(y[2 * skin + 1], 0.0), tables.saturated[material])
            rh, _, theta, _ = side(tables, material, cells.over_suction[layer, 0], m, t_face)
        vapor = sign * (rh * p_face - work[P, layer]) / work[Z, layer]
        moisture = vapor + sign * (theta - work[POTENTIAL, layer]) / cells.half[layer, 0]
        return moisture, vapor, vapor
    # one unknown: m on the face of the layer in which liquid moves, humidity where it does in neither
    wet, other = (i, j) if tables.capillary[m_i] == 1 else (j, i)
    material, over = cells.material[wet, 0], cells.over_suction[wet, 0]
    low, high = 0.0, (tables.values.shape[1] - 1) / tables.per_step[material]
    u = guess[i] if low < guess[i] < high else 0.5 * (low + high)
    rh = theta = 0.0
    for _ in range(MOST_TURNS):
        rh, rh_u, theta, theta_u = side(tables, material, over, u, t_face)
        excess = (work[P, wet] - rh * p_face) / work[Z, wet]
        excess += (work[POTENTIAL, wet] - theta) / cells.half[wet, 0]
        excess -= (rh * p_face - work[P, other]) / work[Z, other]
        slope = rh_u * p_face * (1.0 / work[Z, wet] + 1.0 / work[Z, other])
        slope += theta_u / cells.half[wet, 0]
        if excess > 0.0:
            low = u
        else:
            high = u
        new = u + excess / slope
        if not low <= new <= high:
            new = 0.5 * (low + high)
        moved = abs(new - u)
        u = new
        if moved < 1e-13:
            break
    guess[i] = u
    rh, _, theta, _ = side(tables, material, over, u, t_face)
    out = (work[P, i] - rh * p_face) / work[Z, i]
    into = (rh * p_face - work[P, j]) / work[Z, j]
    return (into if wet == i else out), out, into


W, W_M, RH, P, POTENTIAL, Z, R, GAIN, WARMTH = range(9)


@njit(error_model="numpy")
def rates(hours, y, dy, topology, cells, tables, absorptance, loads, work, guess):  # type: ignore[no-untyped-def]
    """Fill ``dy`` at a time [h] and a state."""
    n = cells.width.shape[0]
    hour = min(int(hours), loads.shape[0] - 2)
    f = hours - hour
    for i in range(n):
        t, m = y[2 * i], y[2 * i + 1]
        material = cells.material[i, 0]
        k, s = locate(tables, material, m)
        low, high = tables.values[material, k], tables.values[material, k + 1]
        work[W, i] = low[CONTENT] + s * (high[CONTENT] - low[CONTENT])
        work[W_M, i] = (high[CONTENT] - low[CONTENT]) * tables.per_step[material]
        work[POTENTIAL, i] = low[THETA] + s * (high[THETA] - low[THETA])
        rh, _, _ = humidity_at(tables, material, cells.over_suction[i, 0], m, t)
        p, _ = saturation(t)
        work[RH, i], work[P, i] = rh, rh * p
        resistivity = low[VAPOR_RESISTIVITY] + s * (
            high[VAPOR_RESISTIVITY] - low[VAPOR_RESISTIVITY]
        )
        work[Z, i] = (
            cells.half[i, 0] * resistivity / (1.0 + cells.permeability_slope[i, 0] * (t - 20.0))
        )
        resistivity = low[HEAT_RESISTIVITY] + s * (high[HEAT_RESISTIVITY] - low[HEAT_RESISTIVITY])
        warmer = 1.0 + cells.conductivity_slope[i, 0] * (t - cells.conductivity_temperature[i, 0])
        work[R, i] = cells.half[i, 0] * resistivity / warmer
        work[GAIN, i] = work[WARMTH, i] = 0.0
    for end in range(2):
        i = 0 if end == 0 else n - 1
        now = np.empty(N_END_COLUMNS)
        for c in range(N_END_COLUMNS):
            a, b = loads[hour, end * N_END_COLUMNS + c], loads[hour + 1, end * N_END_COLUMNS + c]
            now[c] = a + f * (b - a)
        t = y[2 * i]
        vapor = now[VAPOR_FILM] * (now[AIR_VAPOR] - work[P, i])
        work[GAIN, i] += vapor
        work[WARMTH, i] += (
            now[HEAT_FILM] * (now[AIR_TEMPERATURE] - t)
            + absorptance[end] * now[SUN]
            + (LATENT_HEAT_0 + VAPOR_HEAT_CAPACITY * t) * vapor
        )
    for i in range(n - 1):
        j = i + 1
        t_i, t_j = y[2 * i], y[2 * j]
        conductance = 1.0 / (work[R, i] + work[R, j])
        if topology.face_kind[j] == WITHIN:
            t_face = 0.5 * (t_i + t_j)
            vapor = (work[P, i] - work[P, j]) / (work[Z, i] + work[Z, j])
            apart = cells.half[i, 0] + cells.half[j, 0]
            moisture = vapor + (work[POTENTIAL, i] - work[POTENTIAL, j]) / apart
        else:
            share = work[R, j] * conductance
            t_face = share * t_i + (1.0 - share) * t_j
            skin_i, skin_j = topology.is_skin[i] == 1, topology.is_skin[j] == 1
            moisture, out, into = face_flows(
                tables, cells, work, guess, t_face, i, skin_i, skin_j, y
            )
            vapor = (1.0 - share) * out + share * into
        heat = conductance * (t_i - t_j) + (LATENT_HEAT_0 + LATENT_SLOPE * t_face) * vapor
        heat += WATER_HEAT_CAPACITY * t_face * moisture
        work[GAIN, i] -= moisture
        work[GAIN, j] += moisture
        work[WARMTH, i] -= heat
        work[WARMTH, j] += heat
    for i in range(n):
        dw = work[GAIN, i] / cells.width[i, 0]
        capacity = cells.heat_capacity[i, 0] + WATER_HEAT_CAPACITY * work[W, i]
        stored = WATER_HEAT_CAPACITY * y[2 * i] * dw
        dy[2 * i] = 3600.0 * (work[WARMTH, i] / cells.width[i, 0] - stored) / capacity
        dy[2 * i + 1] = 3600.0 * dw / work[W_M, i]


class Rates:
    """The wall's rates an hour, as a function that any solver can call.

    Parameters
    ----------
    grid : Grid
        Cells of the wall; no films, gaps or arrivals.
    rows : (n_hours + 1, n_columns) ndarray
        Loads, all straight lines.
    """

    def __init__(self, grid: Grid, rows: Array) -> None:
        self.grid, self.rows = grid, rows
        n = grid.n_cells
        self.work, self.guess = np.zeros((9, n)), np.full(n, 0.5)
        self.calls = 0
        state = new_state(join_lanes([grid]), START_TEMPERATURE, Accuracy().control())
        self.start = np.empty(2 * n)
        self.start[0::2], self.start[1::2] = state.temperature[:, 0], state.coordinate[:, 0]
        self.absorptance = np.ascontiguousarray(grid.faces.absorptance[:, 0])

    def fill(self, hours: float, y: Array, dy: Array) -> None:
        """Rates into ``dy``."""
        self.calls += 1
        grid = self.grid
        rates(
            hours, y, dy, grid.topology, grid.cells, grid.tables, self.absorptance, self.rows,
            self.work, self.guess,
        )  # fmt: skip

    def __call__(self, hours: float, y: Array) -> Array:
        """Rates in a new array."""
        dy = np.empty_like(y)
        self.fill(hours, y, dy)
        return dy

    def states(self, y: Array) -> tuple[Array, Array]:
        """Temperature and relative humidity of the cells, from (n_times, 2 n_cells) unknowns."""
        t, m = y[:, 0::2], y[:, 1::2]
        rh = np.empty_like(t)
        cells, tables = self.grid.cells, self.grid.tables
        for i in range(self.grid.n_cells):
            material, over = int(cells.material[i, 0]), float(cells.over_suction[i, 0])
            rh[:, i] = humidities(
                tables, material, over, np.ascontiguousarray(m[:, i]), np.ascontiguousarray(t[:, i])
            )
        return t, rh


@njit(error_model="numpy")
def humidities(tables, material, over, m, t):  # type: ignore[no-untyped-def]
    """Relative humidities of many states of one cell."""
    found = np.empty_like(m)
    for k in range(m.size):
        found[k], _, _ = humidity_at(tables, material, over, m[k], t[k])
    return found
