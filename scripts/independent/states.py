"""From what a point stores to the humidity of its air, compiled."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from independent.curves import DRIEST, N_INTERVALS, WETTEST
from independent.mesh import SURFACE_AT_SATURATION, Mesh
from moistwall import air

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

STEP = (DRIEST - WETTEST) / N_INTERVALS
REFERENCE = 20.0 + air.KELVIN
ABOVE_SATURATION = 1e-5
"""Rise of relative humidity for an excess of one free saturation, where liquid moves. [-]"""

WATER, ICE = np.array(air.SATURATION_WATER), np.array(air.SATURATION_ICE)
TRIPLE_POINT, POWER = air.TRIPLE_POINT, air.SATURATION_POWER


class Points(NamedTuple):
    """The mesh as arrays for compiled code.

    Parameters
    ----------
    heat_of : (n,) ndarray of int
        Point of heat of each point of moisture.
    surface_holds : (n,) ndarray
        Water that stays on the surface there; 0 where there is no surface. [kg/m2]
    first : (n + 1,) ndarray of int
        First store of each point; those of point k are first[k] to first[k + 1] - 1.
    material, width : (s,) ndarray
        Of each store. [-], [m]
    """

    heat_of: Ints
    surface_holds: Array
    first: Ints
    material: Ints
    width: Array


def points_of_mesh(mesh: Mesh) -> Points:
    """Give the arrays of a mesh; its stores follow each other in the order of their points."""
    owner = np.array(mesh.store_point)
    assert np.all(np.diff(owner) >= 0)
    first = np.searchsorted(owner, np.arange(len(mesh.heat_of) + 1))
    return Points(
        np.array(mesh.heat_of, np.int64),
        np.array(mesh.surface_holds, float),
        first.astype(np.int64),
        np.array(mesh.store_material, np.int64),
        np.array(mesh.store_width, float),
    )


@njit(error_model="numpy")
def saturation(t):  # type: ignore[no-untyped-def]
    """Saturation pressure [Pa] at t [degC]."""
    x, root = t / 100.0, 0.0
    for c in WATER if t >= TRIPLE_POINT else ICE:
        root = root * x + c
    return root**POWER


@njit(error_model="numpy")
def between(value, slope, z):  # type: ignore[no-untyped-def]
    """Cubic through samples and their slopes, and its slope; constant beyond the ends."""
    at = (z - WETTEST) / STEP
    if at <= 0.0:
        return value[0], 0.0
    if at >= N_INTERVALS:
        return value[N_INTERVALS], 0.0
    k = int(at)
    s = at - k
    a, b = value[k], value[k + 1]
    da, db = slope[k] * STEP, slope[k + 1] * STEP
    c2 = 3.0 * (b - a) - 2.0 * da - db
    c3 = 2.0 * (a - b) + da + db
    return a + s * (da + s * (c2 + s * c3)), (da + s * (2.0 * c2 + s * 3.0 * c3)) / STEP


@njit(error_model="numpy")
def straight(x, y, low, high, at):  # type: ignore[no-untyped-def]
    """Straight lines between the points low to high - 1, constant beyond them."""
    if at <= x[low]:
        return y[low]
    if at >= x[high - 1]:
        return y[high - 1]
    high -= 1
    while high - low > 1:
        middle = (low + high) // 2
        if x[middle] <= at:
            low = middle
        else:
            high = middle
    share = (at - x[low]) / (x[high] - x[low])
    return y[low] + share * (y[high] - y[low])


@njit(error_model="numpy")
def shift_of(curves, material, t):  # type: ignore[no-untyped-def]
    """What to add to ln(-ln(rh)) to get that of the humidity at 20 degC with the same content."""
    return np.log((t + air.KELVIN) / REFERENCE) if curves.over_suction[material] else 0.0


@njit(error_model="numpy")
def stored_at(points, curves, n, t, z):  # type: ignore[no-untyped-def]
    """Water [kg/m2] of a point at z = ln(-ln(rh)), and its slope."""
    total, slope = 0.0, 0.0
    for s in range(points.first[n], points.first[n + 1]):
        m = points.material[s]
        w, dw = between(curves.content[m], curves.content_slope[m], z + shift_of(curves, m, t))
        total += points.width[s] * w
        slope += points.width[s] * dw
    if points.surface_holds[n] > 0.0:
        rh = np.exp(-np.exp(z))
        total += SURFACE_AT_SATURATION * rh
        slope -= SURFACE_AT_SATURATION * rh * np.exp(z)
    return total, slope


@njit(error_model="numpy")
def z_of(points, curves, n, t, water, guess):  # type: ignore[no-untyped-def]
    """Z = ln(-ln(rh)) at which a point stores this water; the wettest sample if it is saturated."""
    low, high = WETTEST, DRIEST  # water falls from low to high
    if water >= stored_at(points, curves, n, t, low)[0]:
        return low
    if water <= stored_at(points, curves, n, t, high)[0]:
        return high
    z = min(max(guess, low), high)
    for _ in range(200):
        found, slope = stored_at(points, curves, n, t, z)
        if found > water:
            low = z
        else:
            high = z
        step = (water - found) / slope if slope < 0.0 else np.inf
        new = z + step
        if not low < new < high:
            new = 0.5 * (low + high)
        if abs(new - z) < 1e-13 * (1.0 + abs(z)):
            return new
        z = new
    return z


@njit(error_model="numpy")
def resolve(points, curves, n, t, water, guess, content, potential, humidity):  # type: ignore[no-untyped-def]
    """Share the water of a point among its stores.

    Fills ``content`` [kg/m3], ``potential`` [kg/(m s)] and ``humidity`` (at 20 degC) of its stores; gives z, the
    relative humidity and the water on its surface [kg/m2].
    """
    z = z_of(points, curves, n, t, water, guess)
    rh = np.exp(-np.exp(z))
    excess, base, liquid = 0.0, 0.0, 0.0
    wet = z <= WETTEST
    surface = points.surface_holds[n] > 0.0
    if wet:
        excess = water - (SURFACE_AT_SATURATION if surface else 0.0)
    for s in range(points.first[n], points.first[n + 1]):
        m = points.material[s]
        excess -= points.width[s] * curves.free[m]
        base += points.width[s] * curves.free[m]
        if curves.capillary[m]:
            liquid += points.width[s] * curves.free[m]
    excess = max(excess, 0.0) if wet else 0.0
    on_surface = SURFACE_AT_SATURATION * rh if surface else 0.0
    if surface:
        on_surface, excess = on_surface + excess, 0.0
    elif liquid > 0.0:
        rh = (1.0 if wet else rh) + ABOVE_SATURATION * excess / liquid
    for s in range(points.first[n], points.first[n + 1]):
        m = points.material[s]
        z20 = z + shift_of(curves, m, t)
        if wet:
            content[s], potential[s], humidity[s] = curves.free[m], curves.free_potential[m], 1.0
            if liquid > 0.0:
                more = curves.free[m] * excess / liquid if curves.capillary[m] else 0.0
            else:
                more = curves.free[m] * excess / base if base > 0.0 else 0.0
            content[s] += more
            potential[s] += curves.free_diffusivity[m] * more
        else:
            content[s] = between(curves.content[m], curves.content_slope[m], z20)[0]
            potential[s] = between(curves.potential[m], curves.potential_slope[m], z20)[0]
            humidity[s] = np.exp(-np.exp(z20))
    return z, rh, on_surface
