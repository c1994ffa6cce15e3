"""Flows where two layers meet, by continuity of the total moisture flow.

At a joint, with or without a film, the humidity on the outer side a and the inner side b follow from

    g = (p_i - rh_a p_sat) / z_a + (Theta_i - Theta_a(rh_a)) / d_a      half cell outside
    g = (rh_a - rh_b) p_sat / Z                                         film, Z = 0 without one
    g = (rh_b p_sat - p_j) / z_b + (Theta_b(rh_b) - Theta_j) / d_b      half cell inside

so that vapor on one side may go on as liquid on the other. Each side has its own moisture coordinate
as an unknown, linearised at the last pass; eliminating both leaves one flow that is linear in the
states of the two cells. A layer without capillary transport takes the humidity itself as unknown. A
skin has no half cell: it imposes its own humidity. What changes phase at the joint gives off its
latent heat there, between the two half-cell resistances.
"""

from __future__ import annotations

import numpy as np

from moistwall.air import AIR_HEAT_CAPACITY, LATENT_HEAT_0, WATER_HEAT_CAPACITY
from moistwall.solver.kernel.airflow import across_film, bernoulli, half_cell, upstream_share
from moistwall.solver.kernel.compile import compiled
from moistwall.solver.kernel.layout import (
    HEAT_A,
    HEAT_B,
    JOINT,
    MOISTURE_A,
    MOISTURE_B,
    N_FILM_POINTS,
    VAPOR_A,
    VAPOR_B,
    Cells,
    Control,
    Faces,
    State,
    Tables,
    Topology,
    Work,
)
from moistwall.solver.kernel.lookup import (
    Properties,
    coordinate_near,
    humidity_at,
    theta_at,
)
from moistwall.solver.kernel.moist import saturation
from moistwall.solver.kernel.within import LATENT_SLOPE

# what the update of the sides needs again: two columns a side
STIFFNESS, EXCESS, RESISTANCE = 0, 1, 6
"""Places in ``sides``: flow per unit of the side's unknown; excess of the half cell's flow over the
joint's (N_TERMS linear terms); resistance of the half cell in terms of humidity."""
N_SIDE = 7

BLIND = 1e8
"""A half cell whose flow hangs on the humidity at its end so many times less than that of the rest of the joint
does not tell that humidity but for round-off. [-]"""


@compiled
def side_state(
    tables: Tables, material: int, over_suction: float, unknown: float, temperature: float
) -> tuple[float, float, float, float, float]:
    """Humidity, its slopes in T and in the unknown, Theta and its slope, on one side of a joint."""
    if tables.capillary[material] == 0:
        return unknown, 0.0, 1.0, 0.0, 0.0
    rh, rh_t, rh_m = humidity_at(tables, material, over_suction, unknown, temperature)
    theta, theta_m = theta_at(tables, material, unknown)
    return rh, rh_t, rh_m, theta, theta_m


@compiled
def film_resistance(faces: Faces, s: int, humidity: float) -> float:
    """Vapor resistance of the film at joint s, at the mean relative humidity across it. [m2 s Pa/kg]"""
    x = min(max(humidity, 0.0), 1.0) * (N_FILM_POINTS - 1)
    k = min(int(x), N_FILM_POINTS - 2)
    low = faces.film_resistance[s, k]
    return low + (x - k) * (faces.film_resistance[s, k + 1] - low)  # type: ignore[no-any-return]


@compiled
def outer_share(outer: float, inner: float, air: float) -> float:
    """Share of the outer cell's temperature in that of a joint.

    Parameters
    ----------
    outer, inner : float
        Thermal resistances of the half cells. [m2 K/W]
    air : float
        Air that crosses the joint. [kg/(m2 s)]

    Returns
    -------
    float
        [-]
    """
    if air == 0.0:
        return inner * (1.0 / (outer + inner))
    flow = AIR_HEAT_CAPACITY * air
    return upstream_share(flow * outer, flow * inner)


@compiled
def flows_at_joints(
    topology: Topology,
    cells: Cells,
    tables: Tables,
    faces: Faces,
    state: State,
    properties: Properties,
    control: Control,
    air_flow: float,
    work: Work,
) -> None:
    """Linearise the flows at every joint into ``work.linear`` and ``work.sides``."""
    linear, sides = work.linear, work.sides
    reference_temperature, pressure = control.reference_temperature, control.pressure
    n_special = topology.special_face.shape[0]
    for s in range(n_special):
        j = topology.special_face[s]
        if topology.face_kind[j] != JOINT:
            continue
        i = j - 1
        r_a, r_b = properties.heat_half[i], properties.heat_half[j]
        # air through the joint; 0 where it does not pass
        air = air_flow if topology.carries_air[j] == 1 else 0.0
        conductance = 1.0 / (r_a + r_b)
        share_a = outer_share(r_a, r_b, air)  # of T_i in T_joint
        flow = AIR_HEAT_CAPACITY * air
        if air != 0.0:
            conductance = bernoulli(flow * (r_a + r_b)) * conductance
        share_b = 1.0 - share_a
        work.outer_share[s] = share_a
        t_i, t_j = state.temperature[i], state.temperature[j]
        t = share_a * t_i + share_b * t_j
        p, p_t = saturation(t)

        # side a ---------------------------------------------------------------------------
        skin_a = topology.is_skin[i] == 1
        if skin_a:
            rh_a = properties.humidity[i]
            v_a = x_a = x_a_ti = x_a_mi = x_a_tj = v_a_ti = v_a_mi = v_a_tj = 0.0
            stiff_a, res_a, vapor_share_a, rh_a_t = 1.0, 0.0, 0.0, 0.0
        else:
            rh_a, rh_a_t, rh_m, theta, theta_m = side_state(
                tables,
                cells.material[i],
                cells.over_suction[i],
                state.side[s, 0],
                t,
            )
            # vapor of the half cell, and its slopes in the pressures of cell and side
            v_a, per_cell, per_side = half_cell(
                properties.vapor[i],
                rh_a * p,
                properties.vapor_half[i],
                air,
                pressure,
            )
            per_length = 1.0 / cells.half[i]
            stiff_a = -per_side * p * rh_m + per_length * theta_m
            res_a = rh_m / stiff_a
            vapor_share_a = -per_side * p * res_a
            p_a_t = rh_a * p_t + rh_a_t * p
            v_a_ti = per_cell * properties.vapor_t[i] + per_side * p_a_t * share_a
            v_a_mi = per_cell * properties.vapor_m[i]
            v_a_tj = per_side * p_a_t * share_b
            x_a = v_a + per_length * (properties.theta[i] - theta)
            x_a_ti, x_a_tj = v_a_ti, v_a_tj
            x_a_mi = v_a_mi + per_length * properties.theta_m[i]

        # side b ---------------------------------------------------------------------------
        skin_b = topology.is_skin[j] == 1
        if skin_b:
            rh_b = properties.humidity[j]
            v_b = x_b = x_b_ti = x_b_mj = x_b_tj = v_b_ti = v_b_mj = v_b_tj = 0.0
            stiff_b, res_b, vapor_share_b, rh_b_t = 1.0, 0.0, 0.0, 0.0
        else:
            rh_b, rh_b_t, rh_m, theta, theta_m = side_state(
                tables,
                cells.material[j],
                cells.over_suction[j],
                state.side[s, 1],
                t,
            )
            v_b, per_side, per_cell = half_cell(
                rh_b * p,
                properties.vapor[j],
                properties.vapor_half[j],
                air,
                pressure,
            )
            per_length = 1.0 / cells.half[j]
            stiff_b = per_side * p * rh_m + per_length * theta_m
            res_b = rh_m / stiff_b
            vapor_share_b = per_side * p * res_b
            p_b_t = rh_b * p_t + rh_b_t * p
            v_b_ti = per_side * p_b_t * share_a
            v_b_mj = per_cell * properties.vapor_m[j]
            v_b_tj = per_side * p_b_t * share_b + per_cell * properties.vapor_t[j]
            x_b = v_b + per_length * (theta - properties.theta[j])
            x_b_ti, x_b_tj = v_b_ti, v_b_tj
            x_b_mj = v_b_mj - per_length * properties.theta_m[j]

        # the one flow that both sides and the film agree on ---------------------------------
        film = film_resistance(faces, s, 0.5 * (rh_a + rh_b))
        # across the film, in terms of humidity: g film = drive + gain d(rh_a) - d(rh_b)
        drive, gain, film = across_film(film, rh_a * p, rh_b * p, air, pressure)
        drive, film = drive / p, film / p
        own_a = res_a
        res_a *= gain
        whole = 1.0 / (res_a + res_b + film)
        g = whole * (drive + res_a * x_a + res_b * x_b)
        # slope with the joint's temperature: of rh at fixed content, and of the film's p_sat
        lacking = gain * rh_a - rh_b - drive + g * film
        g_t = whole * (gain * rh_a_t - rh_b_t + lacking * p_t / p)
        g_ti = whole * (res_a * x_a_ti + res_b * x_b_ti) + g_t * share_a
        g_tj = whole * (res_a * x_a_tj + res_b * x_b_tj) + g_t * share_b
        g_mi = whole * res_a * x_a_mi
        g_mj = whole * res_b * x_b_mj
        if skin_a:
            g_ti += whole * gain * properties.humidity_t[i]
            g_mi += whole * gain * properties.humidity_m[i]
        if skin_b:
            g_tj -= whole * properties.humidity_t[j]
            g_mj -= whole * properties.humidity_m[j]
        res_a = own_a

        # vapor on either side, after the side's own unknown has followed ---------------------
        if not skin_a:
            v_a -= vapor_share_a * (x_a - g)
            v_a_ti -= vapor_share_a * (x_a_ti - g_ti)
            v_a_mi -= vapor_share_a * (x_a_mi - g_mi)
            v_a_tj -= vapor_share_a * (x_a_tj - g_tj)
            v_a_mj = vapor_share_a * g_mj
        if not skin_b:
            v_b += vapor_share_b * (g - x_b)
            v_b_ti += vapor_share_b * (g_ti - x_b_ti)
            v_b_mi = vapor_share_b * g_mi
            v_b_tj += vapor_share_b * (g_tj - x_b_tj)
            v_b_mj += vapor_share_b * (g_mj - x_b_mj)
        if skin_a:
            v_a, v_a_ti, v_a_mi, v_a_tj, v_a_mj = v_b, v_b_ti, v_b_mi, v_b_tj, v_b_mj
        if skin_b:
            v_b, v_b_ti, v_b_mi, v_b_tj, v_b_mj = v_a, v_a_ti, v_a_mi, v_a_tj, v_a_mj

        # heat: conduction, latent heat weighted by where the phase change sits, carried heat --
        vapor = share_b * v_a + share_a * v_b
        latent = LATENT_HEAT_0 + LATENT_SLOPE * t
        carried = WATER_HEAT_CAPACITY * (t - reference_temperature)
        warming = LATENT_SLOPE * vapor + WATER_HEAT_CAPACITY * g
        heat = flow * t_i + conductance * (t_i - t_j) + latent * vapor + carried * g
        heat_ti = (
            flow
            + conductance
            + latent * (share_b * v_a_ti + share_a * v_b_ti)
            + carried * g_ti
            + warming * share_a
        )
        heat_tj = (
            -conductance
            + latent * (share_b * v_a_tj + share_a * v_b_tj)
            + carried * g_tj
            + warming * share_b
        )
        heat_mi = latent * (share_b * v_a_mi + share_a * v_b_mi) + carried * g_mi
        heat_mj = latent * (share_b * v_a_mj + share_a * v_b_mj) + carried * g_mj

        linear[s, VAPOR_A, 0] = v_a
        linear[s, VAPOR_A, 1] = v_a_ti
        linear[s, VAPOR_A, 2] = v_a_mi
        linear[s, VAPOR_A, 3] = v_a_tj
        linear[s, VAPOR_A, 4] = v_a_mj
        linear[s, VAPOR_B, 0] = v_b
        linear[s, VAPOR_B, 1] = v_b_ti
        linear[s, VAPOR_B, 2] = v_b_mi
        linear[s, VAPOR_B, 3] = v_b_tj
        linear[s, VAPOR_B, 4] = v_b_mj
        for k in (MOISTURE_A, MOISTURE_B):
            linear[s, k, 0] = g
            linear[s, k, 1] = g_ti
            linear[s, k, 2] = g_mi
            linear[s, k, 3] = g_tj
            linear[s, k, 4] = g_mj
        for k in (HEAT_A, HEAT_B):
            linear[s, k, 0] = heat
            linear[s, k, 1] = heat_ti
            linear[s, k, 2] = heat_mi
            linear[s, k, 3] = heat_tj
            linear[s, k, 4] = heat_mj
        sides[s, 0, STIFFNESS] = stiff_a
        sides[s, 0, RESISTANCE] = res_a
        sides[s, 0, EXCESS] = x_a - g
        sides[s, 0, EXCESS + 1] = x_a_ti - g_ti
        sides[s, 0, EXCESS + 2] = x_a_mi - g_mi
        sides[s, 0, EXCESS + 3] = x_a_tj - g_tj
        sides[s, 0, EXCESS + 4] = -g_mj
        sides[s, 1, STIFFNESS] = stiff_b
        sides[s, 1, RESISTANCE] = res_b
        sides[s, 1, EXCESS] = g - x_b
        sides[s, 1, EXCESS + 1] = g_ti - x_b_ti
        sides[s, 1, EXCESS + 2] = g_mi
        sides[s, 1, EXCESS + 3] = g_tj - x_b_tj
        sides[s, 1, EXCESS + 4] = g_mj - x_b_mj
        if film == 0.0:
            continue
        # air that leaves a half cell brings along what is in it: what stands at its end hardly changes
        # its flow, and follows from the film's, g film = drive + gain d(rh_a) - d(rh_b)
        turn = gain * rh_a_t - rh_b_t + lacking * p_t / p
        if not skin_a and res_a * gain > BLIND * (film + res_b):
            sides[s, 0, STIFFNESS] = gain * res_a * stiff_a
            sides[s, 0, EXCESS] = film * g - drive + res_b * (g - x_b)
            sides[s, 0, EXCESS + 1] = film * g_ti + res_b * (g_ti - x_b_ti) - turn * share_a
            sides[s, 0, EXCESS + 2] = film * g_mi + res_b * g_mi
            sides[s, 0, EXCESS + 3] = film * g_tj + res_b * (g_tj - x_b_tj) - turn * share_b
            sides[s, 0, EXCESS + 4] = film * g_mj + res_b * (g_mj - x_b_mj)
            if skin_b:
                sides[s, 0, EXCESS + 3] += properties.humidity_t[j]
                sides[s, 0, EXCESS + 4] += properties.humidity_m[j]
        elif not skin_b and res_b > BLIND * (film + res_a * gain):
            own = gain * res_a
            sides[s, 1, STIFFNESS] = res_b * stiff_b
            sides[s, 1, EXCESS] = drive - film * g + own * (x_a - g)
            sides[s, 1, EXCESS + 1] = own * (x_a_ti - g_ti) - film * g_ti + turn * share_a
            sides[s, 1, EXCESS + 2] = own * (x_a_mi - g_mi) - film * g_mi
            sides[s, 1, EXCESS + 3] = own * (x_a_tj - g_tj) - film * g_tj + turn * share_b
            sides[s, 1, EXCESS + 4] = -own * g_mj - film * g_mj
            if skin_a:
                sides[s, 1, EXCESS + 1] += gain * properties.humidity_t[i]
                sides[s, 1, EXCESS + 2] += gain * properties.humidity_m[i]


@compiled
def bounded_coordinate(tables: Tables, material: int, m: float) -> float:
    """The side's unknown, kept within its table (Newton may step outside before it converges)."""
    top: float = (tables.values.shape[1] - 1) / tables.per_step[material]
    if tables.capillary[material] == 0:
        return max(m, 0.0)
    return min(max(m, 0.0), top)


@compiled
def follow_joints(
    topology: Topology,
    cells: Cells,
    tables: Tables,
    faces: Faces,
    state: State,
    work: Work,
    largest: float,
    per_m: float,
) -> float:
    """New unknowns of the sides of all joints after the cells have changed.

    With a film each side moves by its own linear equation. Without one the side with the smaller
    resistance moves so, and the other takes the same humidity exactly. All joints are done in one call:
    handing over the arrays costs more than a joint.

    Parameters
    ----------
    work : Work
        Has the corrections of the cells; its ``new_side`` is filled.
    largest : float
        Largest correction so far, in units of its tolerance.
    per_m : float
        One over the correction of a side that is tolerated. [-]

    Returns
    -------
    float
        Largest correction, the sides' included.
    """
    sides, change_t, change_m = work.sides, work.change_t, work.change_m
    for s in range(topology.special_face.shape[0]):
        j = topology.special_face[s]
        if topology.face_kind[j] != JOINT:
            continue
        i = j - 1
        d_ti, d_mi = change_t[i], change_m[i]
        d_tj, d_mj = change_t[j], change_m[j]
        share = work.outer_share[s]
        temperature = share * (state.temperature[i] + d_ti) + (1.0 - share) * (
            state.temperature[j] + d_tj
        )
        for side in range(2):
            excess = (
                sides[s, side, EXCESS]
                + sides[s, side, EXCESS + 1] * d_ti
                + sides[s, side, EXCESS + 2] * d_mi
                + sides[s, side, EXCESS + 3] * d_tj
                + sides[s, side, EXCESS + 4] * d_mj
            )
            cell = i if side == 0 else j
            old = state.side[s, side]
            if topology.is_skin[cell] == 1:
                work.new_side[s, side] = old
            else:
                work.new_side[s, side] = bounded_coordinate(
                    tables,
                    cells.material[cell],
                    old + excess / sides[s, side, STIFFNESS],
                )
        if faces.film_resistance[s, 0] == 0.0:
            lead = 0 if sides[s, 0, RESISTANCE] <= sides[s, 1, RESISTANCE] else 1
            cell, other = (i, j) if lead == 0 else (j, i)
            material = cells.material[other]
            capillary = tables.capillary[material] == 1
            if topology.is_skin[cell] == 1 and capillary:
                # a bare skin shares the layer's m up to saturation; beyond, the layer's face is saturated
                taken = min(
                    max(state.coordinate[cell] + change_m[cell], 0.0),
                    tables.saturated[material],
                )
            else:
                if topology.is_skin[cell] == 1:
                    rh, _, _ = humidity_at(
                        tables,
                        cells.material[cell],
                        cells.over_suction[cell],
                        state.coordinate[cell] + change_m[cell],
                        temperature,
                    )
                    rh = min(max(rh, 0.0), 1.0)
                else:
                    rh, _, _, _, _ = side_state(
                        tables,
                        cells.material[cell],
                        cells.over_suction[cell],
                        work.new_side[s, lead],
                        temperature,
                    )
                taken = rh
                if capillary:
                    taken = bounded_coordinate(
                        tables,
                        material,
                        coordinate_near(
                            tables,
                            material,
                            cells.over_suction[other],
                            rh,
                            temperature,
                            state.side[s, 1 - lead],
                        ),
                    )
            work.new_side[s, 1 - lead] = taken
        for side in range(2):
            size = abs(work.new_side[s, side] - state.side[s, side]) * per_m
            if not size < np.inf:
                return np.inf
            largest = max(largest, size)
    return largest
