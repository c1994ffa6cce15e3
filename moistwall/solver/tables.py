"""Property tables of a material, uniform in the moisture coordinate m = rh + w / w_f.

Up to saturation rh rises from 0 to 1 and w from 0 to w_f, so m runs from 0 to m_sat = 2; beyond, rh
stays at 1 and w goes on, m = 1 + w / w_f. Every property has a bounded slope in m and nothing switches
at saturation, which neither rh (flat above saturation) nor w (flat below it, in wool) would give.

Where liquid moves, rh goes on rising above saturation by ``OVERPRESSURE`` per unit of m, far below
what any humidity can tell apart, so that two saturated layers in contact still have one answer.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import cumulative_trapezoid

from moistwall.material import Material
from moistwall.solver.kernel.layout import (
    CONTENT,
    HEAT_RESISTIVITY,
    HUMIDITY,
    LN_HUMIDITY,
    N_PROPERTIES,
    THETA,
    VAPOR_RESISTIVITY,
    Tables,
)

Array = NDArray[np.float64]

N_POINTS = 769
"""Points of a table: 512 intervals up to saturation, 256 above."""

N_SATURATED = 512
"""Intervals from m = 0 to saturation, so that saturation is a point of the table."""

OVERPRESSURE = 1e-5
"""Rise of rh per unit of m above saturation where liquid moves. [-]"""

RUN_OFF = 1e5
"""How much steeper content rises with m above what a layer holds: water that is to run off at the end of a step
hardly presses on its neighbors until then. [-]"""

SKIN_SORBED = 5e-5
"""Water on a skin at relative humidity 1, before it is wet: a layer of some molecules. [kg/m2]"""

SKIN_WIDTH = 1e-3
"""Width that a skin's content per volume refers to. [m]"""


def full_content(material: Material) -> float:
    """Water content w_f that scales m: free saturation, or what is held where nothing is sorbed.

    Parameters
    ----------
    material : Material
        Material of a layer.

    Returns
    -------
    float
        [kg/m3]
    """
    return material.storage.free if material.capillary else material.storage.holds


def material_table(material: Material) -> tuple[Array, float, float]:
    """Property table of a layer's material.

    Parameters
    ----------
    material : Material
        The material.

    Returns
    -------
    values : (N_POINTS, N_PROPERTIES) ndarray
        Content [kg/m3], rh [-], ln rh [-], Theta [kg/(m s)], vapor resistivity [m s Pa/kg] and heat
        resistivity [m K/W].
    step : float
        Distance of the points in m. [-]
    saturated : float
        m at relative humidity 1. [-]
    """
    storage = material.storage
    full = full_content(material)
    # dense samples of humidity: uniform, and ever closer towards 1, where the last suction acts
    dry = np.linspace(1e-6, 0.999, 4000)
    wet = -np.expm1(np.log(10) * np.linspace(-3, -12, 4000))
    rh = np.concatenate((dry, wet[1:], [1.0]))
    sampled = storage.content(np.log(rh))
    sampled[-1] = storage.free
    coordinate = rh + sampled / full
    saturated = 1.0 + storage.free / full
    step = saturated / N_SATURATED
    m = step * np.arange(N_POINTS)
    below = slice(0, N_SATURATED + 1)
    content = np.empty(N_POINTS)
    content[below] = np.interp(m[below], coordinate, sampled, left=0.0)
    content[0] = 0.0
    humidity = np.empty(N_POINTS)
    humidity[below] = m[below] - content[below] / full
    content[N_SATURATED:] = storage.free + (m[N_SATURATED:] - saturated) * full
    humidity[N_SATURATED:] = 1.0
    if material.capillary:
        humidity[N_SATURATED:] += OVERPRESSURE * (m[N_SATURATED:] - saturated)
    values = np.empty((N_POINTS, N_PROPERTIES))
    values[:, CONTENT] = content
    values[:, HUMIDITY] = humidity
    values[:, LN_HUMIDITY] = np.log(np.clip(humidity, 1e-4, 1.0))
    values[:, THETA] = kirchhoff_potential(material, content)
    shown = np.minimum(humidity, 1.0)
    values[:, VAPOR_RESISTIVITY] = 1.0 / np.interp(
        shown, material.vapor_rh, material.vapor_permeability
    )
    values[:, HEAT_RESISTIVITY] = 1.0 / np.interp(
        content, material.conductivity_content, material.conductivity
    )
    values[:, CONTENT] += RUN_OFF * np.maximum(content - storage.holds, 0.0)
    return values, step, saturated


def kirchhoff_potential(material: Material, content: Array) -> Array:
    """Integral of the liquid diffusivity from 0 to each content; 0 without capillary transport.

    Parameters
    ----------
    material : Material
        The material.
    content : (n,) ndarray
        Water contents, rising. [kg/m3]

    Returns
    -------
    (n,) ndarray
        Theta. [kg/(m s)]
    """
    if material.diffusivity is None:
        return np.zeros_like(content)
    free = material.storage.free
    # refine between the table's points, as the diffusivity may rise a thousandfold
    fine = np.unique(np.concatenate((np.linspace(0.0, free, 20001), content[content < free])))
    theta = cumulative_trapezoid(material.diffusivity(fine), fine, initial=0)
    last = float(material.diffusivity(np.array([free]))[0])
    above = np.maximum(content - free, 0.0)
    return np.asarray(np.interp(content, fine, theta) + last * above)


def skin_table(
    holds: float, layer: tuple[Array, float, float] | None = None
) -> tuple[Array, float, float]:
    """Table of a skin: next to nothing sorbed, then a film of water up to what stays on the surface.

    Parameters
    ----------
    holds : float
        Water that stays on the surface. [kg/m2]
    layer : (values, step, saturated) or None
        Table of the capillary layer that the skin lies on, bare. Up to saturation the skin then has
        that layer's m: what the layer takes from it is steep in humidity, but not in m.

    Returns
    -------
    values, step, saturated
        As `material_table`; content refers to ``SKIN_WIDTH``.
    """
    full = holds / SKIN_WIDTH
    free = SKIN_SORBED / SKIN_WIDTH
    saturated = 1.0 + free / full if layer is None else layer[2]
    step = saturated / N_SATURATED
    m = step * np.arange(N_POINTS)
    values = np.zeros((N_POINTS, N_PROPERTIES))
    values[:, HUMIDITY] = np.minimum(m / saturated, 1.0)
    if layer is not None:
        values[:N_SATURATED, HUMIDITY] = layer[0][:N_SATURATED, HUMIDITY]
    values[:, CONTENT] = np.where(
        m <= saturated, free * m / saturated, free + (m - saturated) * full
    )
    values[:, LN_HUMIDITY] = np.log(np.clip(values[:, HUMIDITY], 1e-4, 1.0))
    return values, step, saturated


def stack(entries: list[tuple[Array, float, float]], capillary: list[bool]) -> Tables:
    """Tables of several materials in the form that the kernel reads.

    Parameters
    ----------
    entries : list of (values, step, saturated)
        From `material_table` and `skin_table`.
    capillary : list of bool
        Whether liquid moves in each.

    Returns
    -------
    Tables
    """
    return Tables(
        values=np.ascontiguousarray([values for values, _, _ in entries]),
        per_step=np.array([1.0 / step for _, step, _ in entries]),
        saturated=np.array([saturated for _, _, saturated in entries]),
        capillary=np.array(capillary, dtype=np.int64),
    )


def coordinate_of_content(tables: Tables, material: int, content: Array) -> Array:
    """The m at which a material holds some water; beyond its table the last interval goes on.

    Parameters
    ----------
    tables : Tables
        Properties over m.
    material : int
        Row of the tables.
    content : (n,) ndarray
        Water content. [kg/m3]

    Returns
    -------
    (n,) ndarray
        [-]
    """
    values, step = tables.values[material, :, CONTENT], 1.0 / tables.per_step[material]
    beyond = np.maximum(content - values[-1], 0.0) / (values[-1] - values[-2])
    within = np.interp(content, values, np.arange(values.size))
    return np.asarray(step * (within + beyond))


def brims(tables: Tables, material: NDArray[np.int64], holds: Array) -> Array:
    """The m at which cells hold all that they can.

    Parameters
    ----------
    tables : Tables
        Properties over m.
    material : (n_cells, n_lanes) ndarray of int
        Row of the tables.
    holds : (n_cells, n_lanes) ndarray
        Water content above which water runs off. [kg/m3]

    Returns
    -------
    (n_cells, n_lanes) ndarray
        [-]
    """
    found = np.empty(holds.shape)
    for row in np.unique(material):
        own = material == row
        found[own] = coordinate_of_content(tables, int(row), holds[own])
    return found
