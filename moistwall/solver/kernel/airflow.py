"""Air that passes through the section, carrying vapor and heat: exponential fitting.

Along a resistance z, steady air of a [kg/(m2 s)] carries the humidity ratio x beside diffusion:

    F = a x - (dp/dx) (1/z) dx/ds = const    gives    F = a x_1 + c (x_1 - x_2)
    c = b(Pe) / (x_p z),   Pe = a x_p z,   b(Pe) = Pe / (exp(Pe) - 1)

with x_p = dx/dp taken at the mean pressure. Peclet numbers of resistances in series add, so a face
within a layer is exact for the two half cells together, and without air F is plain diffusion. Heat goes
the same way with c_pa T for x and x_p = 1. A film is one more resistance in the row: a tight one crossed
by air lets through what the air brings, a x_1, and no more: the air goes by its own holes.

The air counts from outside to inside. It keeps its mass: what enters at one end leaves at the other.
"""

from __future__ import annotations

import math

from moistwall.air import (
    AIR_HEAT_CAPACITY,
    GAS_CONSTANT_DRY_AIR,
    GAS_CONSTANT_VAPOR,
    LATENT_HEAT_0,
    VAPOR_HEAT_CAPACITY,
    WATER_HEAT_CAPACITY,
)
from moistwall.solver.kernel.compile import compiled
from moistwall.solver.kernel.layout import (
    HEAT,
    HEAT_MA,
    HEAT_MB,
    HEAT_TA,
    HEAT_TB,
    MOISTURE,
    MOISTURE_MA,
    MOISTURE_MB,
    MOISTURE_TA,
    MOISTURE_TB,
    WITHIN,
    Floats,
    State,
    Topology,
)
from moistwall.solver.kernel.lookup import Properties
from moistwall.solver.kernel.within import LATENT_SLOPE

LARGEST_PECLET = 30.0
"""Peclet number beyond which the far side no longer matters: exp(-30) is below 1e-13. [-]"""

VAPOR_TO_AIR = GAS_CONSTANT_DRY_AIR / GAS_CONSTANT_VAPOR
"""Ratio of the molar masses of vapor and dry air. [-]"""


@compiled
def humidity_ratio(vapor: float, pressure: float) -> tuple[float, float]:
    """Vapor per dry air at a vapor pressure [-], and its slope [1/Pa]."""
    dry = pressure - vapor
    return VAPOR_TO_AIR * vapor / dry, VAPOR_TO_AIR * pressure / (dry * dry)


@compiled
def bernoulli(z: float) -> float:
    """Z / (exp(z) - 1), at most ``LARGEST_PECLET`` from 0 on either side."""
    if abs(z) < 1e-4:
        return 1.0 - 0.5 * z + z * z / 12.0
    if z < -LARGEST_PECLET:
        return -z
    z = min(z, LARGEST_PECLET)
    return z / math.expm1(z)


@compiled
def fitted(air: float, slope: float, resistance: float) -> tuple[float, float]:
    """Weights of the humidity ratios at both ends of a resistance: air x_1 + c (x_1 - x_2).

    Parameters
    ----------
    air : float
        [kg/(m2 s)]
    slope : float
        Of the humidity ratio in the vapor pressure. [1/Pa]
    resistance : float
        [m2 s Pa/kg]

    Returns
    -------
    before, c : float
        air + c and c, both above 0: the first is worked out by b(Pe) + Pe = b(-Pe) where the air comes from
        the second end, since the sum would leave nothing but round-off, or 0. [kg/(m2 s)]
    """
    number = slope * resistance
    peclet = air * number
    c = bernoulli(peclet) / number
    if peclet > -1.0:
        return air + c, c
    return bernoulli(-peclet) / number, c


@compiled
def upstream_share(first: float, second: float) -> float:
    """Share of the state upstream in the state between two resistances, by their Peclet numbers.

    Parameters
    ----------
    first, second : float
        Peclet numbers of the resistances before and after the place. [-]

    Returns
    -------
    float
        1 - (exp(first) - 1) / (exp(first + second) - 1); without flow second / (first + second).
    """
    whole = first + second
    scale = LARGEST_PECLET / max(abs(whole), LARGEST_PECLET)
    return 1.0 - math.expm1(first * scale) / math.expm1(whole * scale)


@compiled
def half_cell(
    first: float, second: float, resistance: float, air: float, pressure: float
) -> tuple[float, float, float]:
    """Vapor through a half cell from one vapor pressure to another, with air if it passes.

    Parameters
    ----------
    first, second : float
        Vapor pressures outside and inside. [Pa]
    resistance : float
        [m2 s Pa/kg]
    air, pressure : float
        Air flow [kg/(m2 s)] and its pressure [Pa].

    Returns
    -------
    flow, per_first, per_second : float
        Flow [kg/(m2 s)] and its slopes in the two pressures [kg/(m2 s Pa)].
    """
    permeance = 1.0 / resistance
    if air == 0.0:
        return permeance * (first - second), permeance, -permeance
    x_first, slope_first = humidity_ratio(first, pressure)
    x_second, slope_second = humidity_ratio(second, pressure)
    _, slope = humidity_ratio(0.5 * (first + second), pressure)
    before, c = fitted(air, slope, resistance)
    return air * x_first + c * (x_first - x_second), before * slope_first, -c * slope_second


@compiled
def across_film(
    resistance: float, first: float, second: float, air: float, pressure: float
) -> tuple[float, float, float]:
    """Write the flow through a film, g = a x_1 + c (x_1 - x_2), as g film = drive + gain dp_1 - dp_2.

    Parameters
    ----------
    resistance : float
        Of the film; 0 without one. [m2 s Pa/kg]
    first, second : float
        Vapor pressures on its outer and inner face. [Pa]
    air, pressure : float
        Air flow [kg/(m2 s)] and its pressure [Pa].

    Returns
    -------
    drive : float
        Difference of pressure that stands for the flow at the given pressures. [Pa]
    gain : float
        Weight of a change of the outer pressure: about exp(Pe), 1 without air. [-]
    film : float
        Resistance that remains. [m2 s Pa/kg]
    """
    if air == 0.0 or resistance == 0.0:
        return first - second, 1.0, resistance
    x_first, slope_first = humidity_ratio(first, pressure)
    x_second, slope_second = humidity_ratio(second, pressure)
    _, slope = humidity_ratio(0.5 * (first + second), pressure)
    before, c = fitted(air, slope, resistance)
    film = 1.0 / (c * slope_second)
    return (before * x_first - c * x_second) * film, before * slope_first * film, film


@compiled
def add_air_within(
    topology: Topology,
    state: State,
    properties: Properties,
    air: float,
    pressure: float,
    reference_temperature: float,
    through: Floats,
) -> None:
    """Add what air changes in the flows of every face within a layer that it crosses.

    Parameters
    ----------
    air : float
        Air flow. [kg/(m2 s)]
    pressure : float
        Air pressure. [Pa]
    through : (N_THROUGH, n_cells + 1) ndarray
        Linearised flows through the faces, changed in place.
    """
    for i in range(state.temperature.size - 1):
        j = i + 1
        if topology.face_kind[j] != WITHIN or topology.carries_air[j] == 0:
            continue
        t_a, t_b = state.temperature[i], state.temperature[j]
        p_a, p_b = properties.vapor[i], properties.vapor[j]
        # vapor: with air less without
        z = properties.vapor_half[i] + properties.vapor_half[j]
        x_a, x_pa = humidity_ratio(p_a, pressure)
        x_b, x_pb = humidity_ratio(p_b, pressure)
        _, x_p = humidity_ratio(0.5 * (p_a + p_b), pressure)
        c = bernoulli(air * x_p * z) / (x_p * z)
        vapor = air * x_a + c * (x_a - x_b) - (p_a - p_b) / z
        per_a = (air + c) * x_pa - 1.0 / z
        per_b = -c * x_pb + 1.0 / z
        vapor_ta = per_a * properties.vapor_t[i]
        vapor_ma = per_a * properties.vapor_m[i]
        vapor_tb = per_b * properties.vapor_t[j]
        vapor_mb = per_b * properties.vapor_m[j]
        # heat: conduction with air less without, and the enthalpy of the added vapor
        r = properties.heat_half[i] + properties.heat_half[j]
        flow = AIR_HEAT_CAPACITY * air
        conductance = bernoulli(flow * r) / r
        t_face = 0.5 * (t_a + t_b)
        total = (
            LATENT_HEAT_0
            + LATENT_SLOPE * t_face
            + WATER_HEAT_CAPACITY * (t_face - reference_temperature)
        )
        warming = 0.5 * VAPOR_HEAT_CAPACITY * vapor
        through[HEAT, j] += flow * t_a + (conductance - 1.0 / r) * (t_a - t_b) + total * vapor
        through[HEAT_TA, j] += flow + conductance - 1.0 / r + total * vapor_ta + warming
        through[HEAT_MA, j] += total * vapor_ma
        through[HEAT_TB, j] += -conductance + 1.0 / r + total * vapor_tb + warming
        through[HEAT_MB, j] += total * vapor_mb
        through[MOISTURE, j] += vapor
        through[MOISTURE_TA, j] += vapor_ta
        through[MOISTURE_MA, j] += vapor_ma
        through[MOISTURE_TB, j] += vapor_tb
        through[MOISTURE_MB, j] += vapor_mb
