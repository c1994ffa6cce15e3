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
    N_PROPERTIES,
    THETA,
    VAPOR_RESISTIVITY,
    Cells,
    Floats,
    State,
    Tables,
)
from moistwall.solver.kernel.moist import exponential, saturation

REFERENCE_KELVIN = REFERENCE_TEMPERATURE + KELVIN


class Properties(NamedTuple):
    """Properties at the present iterate, each (n_cells,); _t and _m are slopes in T and m."""

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
    place: Floats
    """How far the cell is into its interval of the table, 0 to 1; beyond where the table ends. [-]"""
    read: Floats
    """(2 N_PROPERTIES, n_cells) both ends of that interval."""


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
def read_tables(cells: Cells, tables: Tables, coordinate: Floats, properties: Properties) -> None:
    """Copy both ends of the interval in which each cell lies."""
    place, read = properties.place, properties.read
    for i in range(coordinate.size):
        k, place[i] = locate(tables, cells.material[i], coordinate[i])
        low = tables.values[cells.material[i], k]
        high = tables.values[cells.material[i], k + 1]
        for c in range(N_PROPERTIES):
            read[c, i] = low[c]
            read[N_PROPERTIES + c, i] = high[c]


@compiled
def between(
    place: Floats, low: Floats, high: Floats, per_step: Floats, value: Floats, slope: Floats
) -> None:
    """A property on the straight line between both ends of its interval, and its slope in m."""
    for i in range(place.size):
        rise = high[i] - low[i]
        value[i] = low[i] + place[i] * rise
        slope[i] = rise * per_step[i]


@compiled
def half_vapor(
    cells: Cells, temperature: Floats, low: Floats, high: Floats, properties: Properties
) -> None:
    """Vapor resistance of half a cell: d r(m) / (1 + slope (T - 20 degC))."""
    half, slope, place = cells.half, cells.permeability_slope, properties.place
    result = properties.vapor_half
    for i in range(place.size):
        resistivity = low[i] + place[i] * (high[i] - low[i])
        warmer = 1.0 + slope[i] * (temperature[i] - REFERENCE_TEMPERATURE)
        result[i] = half[i] * resistivity / warmer


@compiled
def half_heat(
    cells: Cells, temperature: Floats, low: Floats, high: Floats, properties: Properties
) -> None:
    """Thermal resistance of half a cell: d r(m) / (1 + slope (T - T_lambda))."""
    half, slope, zero = cells.half, cells.conductivity_slope, cells.conductivity_temperature
    place, result = properties.place, properties.heat_half
    for i in range(place.size):
        resistivity = low[i] + place[i] * (high[i] - low[i])
        warmer = 1.0 + slope[i] * (temperature[i] - zero[i])
        result[i] = half[i] * resistivity / warmer


@compiled
def shift_humidity(
    temperature: Floats, over_suction: Floats, ln: Floats, ln_m: Floats, properties: Properties
) -> None:
    """Relative humidity at T, where storage is over suction: rh = rh20 ** (293.15 K / T)."""
    rh, rh_t, rh_m = properties.humidity, properties.humidity_t, properties.humidity_m
    for i in range(temperature.size):
        kelvin = temperature[i] + KELVIN
        ratio = REFERENCE_KELVIN / kelvin
        factor = exponential(ln[i] * (ratio - 1.0))
        warm = rh[i] * factor
        warm_m = factor * (rh_m[i] + rh[i] * ln_m[i] * (ratio - 1.0))
        warm_t = -warm * ln[i] * ratio / kelvin
        over = over_suction[i] != 0.0
        rh[i] = warm if over else rh[i]
        rh_m[i] = warm_m if over else rh_m[i]
        rh_t[i] = warm_t if over else 0.0


@compiled
def vapor_pressure(temperature: Floats, properties: Properties) -> None:
    """Vapor pressure rh p_sat(T), and its slopes."""
    rh, rh_t, rh_m = properties.humidity, properties.humidity_t, properties.humidity_m
    vapor, vapor_t, vapor_m = properties.vapor, properties.vapor_t, properties.vapor_m
    for i in range(temperature.size):
        p, p_t = saturation(temperature[i])
        vapor[i] = rh[i] * p
        vapor_t[i] = rh[i] * p_t + rh_t[i] * p
        vapor_m[i] = rh_m[i] * p


@compiled
def look_up(cells: Cells, tables: Tables, state: State, properties: Properties) -> None:
    """Fill ``properties`` for every cell at the temperatures and m of ``state``.

    Only `read_tables` jumps about in memory; what follows are short loops over plain rows, which are turned
    into vector instructions.
    """
    read_tables(cells, tables, state.coordinate, properties)
    t, place, read, per = state.temperature, properties.place, properties.read, cells.per_step
    low, high = read[:N_PROPERTIES], read[N_PROPERTIES:]
    between(place, low[CONTENT], high[CONTENT], per, properties.content, properties.content_m)
    between(place, low[THETA], high[THETA], per, properties.theta, properties.theta_m)
    between(place, low[HUMIDITY], high[HUMIDITY], per, properties.humidity, properties.humidity_m)
    ln, ln_m = properties.vapor, properties.vapor_m  # until vapor pressure is known
    between(place, low[LN_HUMIDITY], high[LN_HUMIDITY], per, ln, ln_m)
    shift_humidity(t, cells.over_suction, ln, ln_m, properties)
    vapor_pressure(t, properties)
    half_vapor(cells, t, low[VAPOR_RESISTIVITY], high[VAPOR_RESISTIVITY], properties)
    half_heat(cells, t, low[HEAT_RESISTIVITY], high[HEAT_RESISTIVITY], properties)
