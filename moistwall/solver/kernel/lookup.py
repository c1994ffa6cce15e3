"""Properties of every cell at the present iterate, from tables that are uniform in m."""

from __future__ import annotations

from typing import NamedTuple

from moistwall.air import KELVIN
from moistwall.material import REFERENCE_TEMPERATURE
from moistwall.solver.kernel.compile import compiled
from moistwall.solver.kernel.layout import (
    CONTENT,
    HEAT_RESISTIVITY,
    HUMIDITY,
    LN_HUMIDITY,
    THETA,
    VAPOR_RESISTIVITY,
    Cells,
    Floats,
    State,
    Tables,
    Topology,
)
from moistwall.solver.kernel.moist import exponential, saturation

REFERENCE_KELVIN = REFERENCE_TEMPERATURE + KELVIN


class Properties(NamedTuple):
    """Properties at the present iterate, each (n_cells, n_lanes); _t and _m are slopes in T and m."""

    content: Floats
    content_m: Floats
    humidity: Floats
    humidity_t: Floats
    humidity_m: Floats
    vapor: Floats
    vapor_t: Floats
    vapor_m: Floats
    theta: Floats
    theta_m: Floats
    vapor_half: Floats
    """Vapor resistance of half the cell. [m2 s Pa/kg]"""
    heat_half: Floats
    """Thermal resistance of half the cell. [m2 K/W]"""


@compiled
def locate(tables: Tables, material: int, m: float) -> tuple[int, float]:
    """Interval of the table that holds m, and how far into it; the end intervals are extended."""
    x = m * tables.per_step[material]
    last = tables.values.shape[1] - 2
    k = int(x)
    if k < 0 or x < 0.0:
        k = 0
    elif k > last:
        k = last
    return k, x - k


@compiled
def humidity_at(
    tables: Tables, material: int, over_suction: float, m: float, temperature: float
) -> tuple[float, float, float]:
    """Relative humidity at m and T, with its slopes in T and in m.

    Storage over suction: rh = rh20 ** (293.15 K / T), the same suction at another temperature.
    """
    k, f = locate(tables, material, m)
    table = tables.values[material]
    per = tables.per_step[material]
    rh = table[k, HUMIDITY] + f * (table[k + 1, HUMIDITY] - table[k, HUMIDITY])
    rh_m = (table[k + 1, HUMIDITY] - table[k, HUMIDITY]) * per
    if over_suction == 0.0:
        return rh, 0.0, rh_m
    ln = table[k, LN_HUMIDITY] + f * (table[k + 1, LN_HUMIDITY] - table[k, LN_HUMIDITY])
    ln_m = (table[k + 1, LN_HUMIDITY] - table[k, LN_HUMIDITY]) * per
    kelvin = temperature + KELVIN
    ratio = REFERENCE_KELVIN / kelvin
    factor = exponential(ln * (ratio - 1.0))
    return (
        rh * factor,
        -rh * factor * ln * ratio / kelvin,
        factor * (rh_m + rh * ln_m * (ratio - 1.0)),
    )


@compiled
def theta_at(tables: Tables, material: int, m: float) -> tuple[float, float]:
    """Kirchhoff potential of liquid transport at m [kg/(m s)], and its slope in m."""
    k, f = locate(tables, material, m)
    table = tables.values[material]
    low, high = table[k, THETA], table[k + 1, THETA]
    return low + f * (high - low), (high - low) * tables.per_step[material]


@compiled
def content_at(tables: Tables, material: int, m: float) -> float:
    """Water content at m. [kg/m3]"""
    k, f = locate(tables, material, m)
    table = tables.values[material]
    return table[k, CONTENT] + f * (table[k + 1, CONTENT] - table[k, CONTENT])  # type: ignore[no-any-return]


@compiled
def humidity_of_point(
    tables: Tables, material: int, over_suction: float, temperature: float, point: int
) -> float:
    """Relative humidity at a point of a table."""
    rh: float = tables.values[material, point, HUMIDITY]
    if over_suction == 0.0:
        return rh
    ratio = REFERENCE_KELVIN / (temperature + KELVIN)
    return rh * exponential(tables.values[material, point, LN_HUMIDITY] * (ratio - 1.0))


@compiled
def coordinate_between(
    tables: Tables,
    material: int,
    over_suction: float,
    humidity: float,
    temperature: float,
    low: int,
    high: int,
) -> float:
    """The least m between two points of a table with a given relative humidity.

    Bisection over the points, then the exact place within the interval.
    """
    while high - low > 1:
        middle = (low + high) // 2
        if humidity_of_point(tables, material, over_suction, temperature, middle) < humidity:
            low = middle
        else:
            high = middle
    a = humidity_of_point(tables, material, over_suction, temperature, low)
    b = humidity_of_point(tables, material, over_suction, temperature, high)
    if not b > a:
        return high / tables.per_step[material]  # type: ignore[no-any-return]
    return (low + (humidity - a) / (b - a)) / tables.per_step[material]  # type: ignore[no-any-return]


@compiled
def coordinate_of_humidity(
    tables: Tables, material: int, over_suction: float, humidity: float, temperature: float
) -> float:
    """The least m at which the pores have a given relative humidity."""
    last = tables.values.shape[1] - 1
    return coordinate_between(tables, material, over_suction, humidity, temperature, 0, last)


@compiled
def coordinate_near(
    tables: Tables,
    material: int,
    over_suction: float,
    humidity: float,
    temperature: float,
    guess: float,
) -> float:
    """The same as `coordinate_of_humidity`, found sooner from an m that lies near it.

    From the guess strides double until the humidity lies between two points.
    """
    last = tables.values.shape[1] - 1
    start = min(max(int(guess * tables.per_step[material]), 0), last - 1)
    stride = 1
    if humidity_of_point(tables, material, over_suction, temperature, start) < humidity:
        low, high = start, start + 1
        while high < last and (
            humidity_of_point(tables, material, over_suction, temperature, high) < humidity
        ):
            low, stride = high, 2 * stride
            high = min(high + stride, last)
    else:
        low, high = start - 1, start
        while low > 0 and not (
            humidity_of_point(tables, material, over_suction, temperature, low) < humidity
        ):
            high, stride = low, 2 * stride
            low = max(low - stride, 0)
        if low < 0:
            low, high = 0, 1
    return coordinate_between(tables, material, over_suction, humidity, temperature, low, high)


@compiled
def look_up(
    topology: Topology, cells: Cells, tables: Tables, state: State, properties: Properties
) -> None:
    """Fill ``properties`` for every cell and lane at the temperatures and m of ``state``."""
    n_cells, n_lanes = cells.width.shape
    for i in range(n_cells):
        for lane in range(n_lanes):
            material = cells.material[i, lane]
            m = state.coordinate[i, lane]
            temperature = state.temperature[i, lane]
            k, f = locate(tables, material, m)
            low = tables.values[material, k]
            high = tables.values[material, k + 1]
            per = tables.per_step[material]
            properties.content[i, lane] = low[CONTENT] + f * (high[CONTENT] - low[CONTENT])
            properties.content_m[i, lane] = (high[CONTENT] - low[CONTENT]) * per
            properties.theta[i, lane] = low[THETA] + f * (high[THETA] - low[THETA])
            properties.theta_m[i, lane] = (high[THETA] - low[THETA]) * per
            rh, rh_t, rh_m = humidity_at(
                tables, material, cells.over_suction[i, lane], m, temperature
            )
            properties.humidity[i, lane] = rh
            properties.humidity_t[i, lane] = rh_t
            properties.humidity_m[i, lane] = rh_m
            p, p_t = saturation(temperature)
            properties.vapor[i, lane] = rh * p
            properties.vapor_t[i, lane] = rh * p_t + rh_t * p
            properties.vapor_m[i, lane] = rh_m * p
            resistivity = low[VAPOR_RESISTIVITY] + f * (
                high[VAPOR_RESISTIVITY] - low[VAPOR_RESISTIVITY]
            )
            warmer = 1.0 + cells.permeability_slope[i, lane] * (temperature - REFERENCE_TEMPERATURE)
            properties.vapor_half[i, lane] = cells.half[i, lane] * resistivity / warmer
            resistivity = low[HEAT_RESISTIVITY] + f * (
                high[HEAT_RESISTIVITY] - low[HEAT_RESISTIVITY]
            )
            warmer = 1.0 + cells.conductivity_slope[i, lane] * (
                temperature - cells.conductivity_temperature[i, lane]
            )
            properties.heat_half[i, lane] = cells.half[i, lane] * resistivity / warmer
