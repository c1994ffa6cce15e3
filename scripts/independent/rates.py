"""Rates of change of all unknowns, compiled: the right-hand side of the method of lines."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from independent.links import HEAT, MOISTURE, VAPOR
from independent.states import (
    Points,
    resolve,
    saturation,
    straight,
)
from moistwall import air

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

DRAINING = 100.0
"""Water above what a point holds runs off at this rate. [1/s]"""

T_AIR, P_AIR, H_FILM, V_FILM, SUN, LONGWAVE, RAIN, N_END = range(8)
"""Columns of one end in the loads of a problem."""

L0, C_V, C_W, C_A = (
    air.LATENT_HEAT_0,
    air.VAPOR_HEAT_CAPACITY,
    air.WATER_HEAT_CAPACITY,
    air.AIR_HEAT_CAPACITY,
)
EPSILON = air.GAS_CONSTANT_DRY_AIR / air.GAS_CONSTANT_VAPOR
SIGMA, KELVIN = air.STEFAN_BOLTZMANN, air.KELVIN
R_A, R_V = air.GAS_CONSTANT_DRY_AIR, air.GAS_CONSTANT_VAPOR
LEWIS_FACTOR = float(air.LEWIS ** (2.0 / 3.0))


class Work(NamedTuple):
    """States that belong to the unknowns, filled by `states`.

    Parameters
    ----------
    z, rh, vapor, on_surface : (n,) ndarray
        ln(-ln(rh)), relative humidity, vapor pressure [Pa] and water on the surface [kg/m2] of each point.
    content, potential, humidity : (s,) ndarray
        Water content [kg/m3], liquid potential [kg/(m s)] and humidity at 20 degC of each store.
    """

    z: Array
    rh: Array
    vapor: Array
    on_surface: Array
    content: Array
    potential: Array
    humidity: Array


def work_for(points: Points) -> Work:
    """Give room for the states of a mesh."""
    n, s = len(points.heat_of), len(points.material)
    return Work(*(np.zeros(n) for _ in range(4)), *(np.zeros(s) for _ in range(3)))


@njit(error_model="numpy")
def states(points, curves, links, y, work):  # type: ignore[no-untyped-def]
    """Fill in the states that belong to the unknowns."""
    for n in range(len(points.heat_of)):
        t = y[links.at_t[points.heat_of[n]]]
        z, rh, wet = resolve(
            points,
            curves,
            n,
            t,
            y[links.at_w[n]],
            work.z[n],
            work.content,
            work.potential,
            work.humidity,
        )
        work.z[n], work.rh[n], work.on_surface[n] = z, rh, wet
        work.vapor[n] = links.vapor_counts * rh * saturation(t)


@njit(error_model="numpy")
def fitted(peclet):  # type: ignore[no-untyped-def]
    """Y / (exp(y) - 1)."""
    if abs(peclet) < 1e-9:
        return 1.0 - 0.5 * peclet
    if peclet > 700.0:
        return 0.0
    return peclet / np.expm1(peclet)


@njit(error_model="numpy")
def vapor_through(flow, permeance, before, after, pressure):  # type: ignore[no-untyped-def]
    """Vapor flow through a film that air may cross: the steady solution."""
    if flow == 0.0:
        return permeance * (before - after)
    mean = 0.5 * (before + after)
    slope = EPSILON * pressure / (pressure - mean) ** 2
    ratio_before = EPSILON * before / (pressure - before)
    ratio_after = EPSILON * after / (pressure - after)
    carried = fitted(flow * slope / permeance) * permeance / slope
    return flow * ratio_before + carried * (ratio_before - ratio_after)


@njit(error_model="numpy")
def heat_through(flow, conductance, before, after):  # type: ignore[no-untyped-def]
    """Heat flow through a film that air may cross, with the enthalpy of the dry air."""
    if flow == 0.0:
        return conductance * (before - after)
    spread = fitted(flow * C_A / conductance) * conductance
    return flow * C_A * before + spread * (before - after)


@njit(error_model="numpy")
def rates(hour_start, hour_end, share, points, curves, links, y, work, dy):  # type: ignore[no-untyped-def]
    """Fill ``dy`` with the rates of change; ``share`` of the hour between the two rows of loads has passed."""
    states(points, curves, links, y, work)
    dy[:] = 0.0
    n_points = len(points.heat_of)
    flow = hour_start[-1] + share * (hour_end[-1] - hour_start[-1])
    # within layers
    for c in range(len(links.apart)):
        a, b = links.inside_layer[c, 0], links.inside_layer[c, 1]
        m, dx = links.inside_layer[c, 2], links.apart[c]
        n, k = links.owner[a], links.owner[b]
        ta, tb = links.at_t[points.heat_of[n]], links.at_t[points.heat_of[k]]
        middle = 0.5 * (y[ta] + y[tb])
        low, high = curves.at[m, 0], curves.at[m, 1]
        permeability = 0.5 * (
            straight(curves.rh, curves.permeability, low, high, work.humidity[a])
            + straight(curves.rh, curves.permeability, low, high, work.humidity[b])
        )
        permeability *= 1.0 + curves.slopes[m, 0] * (middle - 20.0)
        low, high = curves.at[m, 2], curves.at[m, 3]
        conductivity = 0.5 * (
            straight(curves.at_content, curves.conductivity, low, high, work.content[a])
            + straight(curves.at_content, curves.conductivity, low, high, work.content[b])
        )
        conductivity *= 1.0 + curves.slopes[m, 1] * (middle - curves.slopes[m, 2])
        vapor = permeability * (work.vapor[n] - work.vapor[k]) / dx
        heat = conductivity * (y[ta] - y[tb]) / dx
        if flow != 0.0:
            ratio_a = EPSILON * work.vapor[n] / (links.pressure - work.vapor[n])
            ratio_b = EPSILON * work.vapor[k] / (links.pressure - work.vapor[k])
            vapor += flow * 0.5 * (ratio_a + ratio_b)
            heat += flow * C_A * middle
        liquid = (work.potential[a] - work.potential[b]) / dx
        heat += (L0 + C_V * middle) * vapor + C_W * middle * liquid
        dy[links.at_w[n]] -= vapor + liquid
        dy[links.at_w[k]] += vapor + liquid
        dy[ta] -= heat
        dy[tb] += heat
    # through films, whose two sides have one temperature
    for f in range(len(links.film)):
        n, k = links.film[f, 0], links.film[f, 1]
        low, high = links.film[f, 2], links.film[f, 3]
        permeance = straight(
            links.film_rh, links.film_permeance, low, high, 0.5 * (work.rh[n] + work.rh[k])
        )
        vapor = vapor_through(flow, permeance, work.vapor[n], work.vapor[k], links.pressure)
        dy[links.at_w[n]] -= vapor
        dy[links.at_w[k]] += vapor
    # across gaps
    for g in range(len(links.gap)):
        n, k = links.gap[g, 0], links.gap[g, 1]
        ta, tb = links.at_t[points.heat_of[n]], links.at_t[points.heat_of[k]]
        out, changes = hour_start + share * (hour_end - hour_start), 2 * N_END + g
        heat_a, heat_b, vapor_a, vapor_b = across_gap(
            links.gap_values[g],
            out[changes],
            out[T_AIR],
            out[P_AIR],
            y[ta],
            y[tb],
            work.vapor[n],
            work.vapor[k],
            links.pressure,
        )
        dy[links.at_w[n]] -= vapor_a
        dy[links.at_w[k]] += vapor_b
        dy[ta] -= heat_a + (L0 + C_V * y[ta]) * vapor_a
        dy[tb] += heat_b + (L0 + C_V * y[tb]) * vapor_b
    # at the ends; flows into the section
    for end in range(2):
        n = 0 if end == 0 else n_points - 1
        first, sign = end * N_END, 1.0 - 2.0 * end
        now = hour_start[first : first + N_END] + share * (
            hour_end[first : first + N_END] - hour_start[first : first + N_END]
        )
        at = links.at_t[points.heat_of[n]]
        t = y[at]
        if end == 0:
            vapor = vapor_through(flow, now[V_FILM], now[P_AIR], work.vapor[n], links.pressure)
            heat = heat_through(flow, now[H_FILM], now[T_AIR], t)
        else:
            vapor = -vapor_through(flow, now[V_FILM], work.vapor[n], now[P_AIR], links.pressure)
            heat = -heat_through(flow, now[H_FILM], t, now[T_AIR])
        heat += links.surface[end, 0] * now[SUN]
        heat += links.surface[end, 1] * (now[LONGWAVE] - SIGMA * (t + KELVIN) ** 4)
        heat += (L0 + C_V * t) * vapor + C_W * now[T_AIR] * now[RAIN]
        dy[links.at_w[n]] += vapor + now[RAIN]
        dy[at] += heat
        total = links.totals[end]
        dy[total + MOISTURE] = sign * (vapor + now[RAIN])
        dy[total + VAPOR] = sign * vapor
        dy[total + HEAT] = sign * heat
    # running off, and from heat to temperature
    water = np.zeros(len(links.at_t))
    gain = np.zeros(len(links.at_t))
    for n in range(n_points):
        at = links.at_w[n]
        over = y[at] - links.holds[n]
        if over > 0.0:
            runs = DRAINING * over
            dy[at] -= runs
            dy[links.at_t[points.heat_of[n]]] -= C_W * y[links.at_t[points.heat_of[n]]] * runs
            dy[links.at_drained[n]] = runs
        water[points.heat_of[n]] += y[at]
        gain[points.heat_of[n]] += dy[at]
    for h in range(len(links.at_t)):
        at = links.at_t[h]
        capacity = links.dry_capacity[h] + C_W * water[h]
        dy[at] = (dy[at] - C_W * y[at] * gain[h]) / capacity


@njit(error_model="numpy")
def across_gap(values, changes, t_out, p_out, t_a, t_b, p_a, p_b, pressure):  # type: ignore[no-untyped-def]
    """Heat and vapor from face a into a gap, and from the gap into face b."""
    depth, h = values[0], values[1]
    density = pressure / (R_A * (t_out + KELVIN))
    beta = h * R_A / (pressure * C_A * R_V * LEWIS_FACTOR)
    volume = depth * changes / 3600.0
    s = s_v = 0.0
    if volume > 0.0:
        units = 2.0 * h / (density * C_A * volume)
        s = -np.expm1(-units) / units
        units = 2.0 * beta * R_V * (t_out + KELVIN) / volume
        s_v = -np.expm1(-units) / units
    t_mean = (1.0 - s) * 0.5 * (t_a + t_b) + s * t_out
    p_mean = (1.0 - s_v) * 0.5 * (p_a + p_b) + s_v * p_out
    radiation = SIGMA * ((t_a + KELVIN) ** 4 - (t_b + KELVIN) ** 4)
    radiation /= 1.0 / values[2] + 1.0 / values[3] - 1.0
    heat_a = h * (t_a - t_mean) + radiation
    heat_b = h * (t_mean - t_b) + radiation
    return heat_a, heat_b, beta * (p_a - p_mean), beta * (p_mean - p_b)
