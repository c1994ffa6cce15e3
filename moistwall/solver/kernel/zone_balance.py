"""The balances of a zone in an hour, and what its machines do about them.

    (M(T, W) - M0) / 1 h = sum of flows(T, W, machines) + flow of the section,   H likewise

with the flow of the section as a straight line in T and p through what it gave last. A machine works for the
part of an hour that keeps its setpoint, if it can; else all of it or not at all. Air above saturation gives
up what it cannot hold as fog that falls.
"""

from __future__ import annotations

from moistwall.air import (
    GAS_CONSTANT_DRY_AIR,
    GAS_CONSTANT_VAPOR,
    LATENT_HEAT_0,
    VAPOR_HEAT_CAPACITY,
    WATER_HEAT_CAPACITY,
)
from moistwall.solver.kernel.compile import compiled_apart
from moistwall.solver.kernel.layout import Floats
from moistwall.solver.kernel.machines import (
    Coil,
    Drier,
    air_enthalpy,
    drier_shares,
    part_load,
    saturated_ratio,
)
from moistwall.solver.kernel.moist import saturation
from moistwall.solver.kernel.zone_layout import (
    AIR_IN,
    AIR_OUT,
    COOL_TO,
    COOLS,
    COOLS_FULL,
    DRIES,
    DRIES_FULL,
    DUCT_T,
    DUCTS,
    FLOATS,
    FOGS,
    FRESH_AIR,
    GROUND_P,
    GROUND_T,
    H_COOLING,
    H_DRIER,
    H_ENCLOSURE,
    H_FAN,
    H_FOG,
    H_FREE,
    H_FRESH,
    H_GROUND,
    H_HEATING,
    H_LEAKS,
    H_ROOM,
    H_SECTION,
    H_VENT,
    HEAT_FREE,
    HEAT_TO,
    HEATS,
    HEATS_FULL,
    MOIST,
    N_ACCOUNTS,
    N_WATER,
    OUT_T,
    OUT_W,
    ROOM_AIR,
    ROOM_T,
    ROOM_W,
    SUPPLY_AIR,
    SUPPLY_T,
    SUPPLY_W,
    W_COOLING,
    W_DRIER,
    W_FOG,
    W_FREE,
    W_FRESH,
    W_GROUND,
    W_LEAKS,
    W_ROOM,
    W_SECTION,
    W_VENT,
    WATER_FREE,
    ZoneNumbers,
    ZoneState,
)

HOUR = 3600.0
RATIO = GAS_CONSTANT_DRY_AIR / GAS_CONSTANT_VAPOR

MOST_MODES, MOST_NEWTON = 12, 30

SWITCHED_OFF = 500.0
"""Setpoint above which a machine is off, its fan too. [degC]"""


@compiled_apart
def contents_of(zone: ZoneNumbers, t: float, w: float, pressure: float) -> tuple[float, float]:
    """Water [kg] and enthalpy [J] of a zone."""
    full, _ = saturated_ratio(t, pressure)
    p_share = w / (RATIO + w) / (full / (RATIO + full))
    bound = zone.moisture_contents * p_share
    heat = zone.air * air_enthalpy(t, w) + zone.contents * t + WATER_HEAT_CAPACITY * t * bound
    return zone.air * w + bound, heat


@compiled_apart
def vapor_of(w: float, pressure: float) -> float:
    """Vapor pressure of a humidity ratio. [Pa]"""
    return pressure * w / (RATIO + w)


@compiled_apart
def ratio_of(p: float, pressure: float) -> float:
    """Humidity ratio of a vapor pressure. [-]"""
    return RATIO * p / (pressure - p)


@compiled_apart
def balances(
    zone: ZoneNumbers,
    coil: Coil,
    drier: Drier,
    series: Floats,
    state: ZoneState,
    pressure: float,
    t: float,
    w: float,
    demand: float,
    drying: float,
    heat: float,
    fog: float,
    accounts: Floats,
) -> tuple[float, float, float]:
    """What the hour's balances miss at a state, in W for both, and the apparatus dew point.

    ``accounts`` (23,) is filled with the flows of water [kg/s] and enthalpy [W], the section's by its line.
    """
    p = vapor_of(w, pressure)
    own = air_enthalpy(t, w)
    vapor = LATENT_HEAT_0 + VAPOR_HEAT_CAPACITY * t
    accounts[:] = 0.0
    d_t, d_p = t - state.values[2], p - state.values[3]
    accounts[H_SECTION] = state.flow[0] + state.slope[0, 0] * d_t + state.slope[0, 1] * d_p
    accounts[W_SECTION] = state.flow[1] + state.slope[1, 0] * d_t + state.slope[1, 1] * d_p

    out_t, out_w = series[OUT_T], series[OUT_W]
    accounts[W_LEAKS] = series[AIR_IN] * out_w - series[AIR_OUT] * w
    accounts[H_LEAKS] = series[AIR_IN] * air_enthalpy(out_t, out_w) - series[AIR_OUT] * own
    fresh_t = out_t + zone.sensible * (t - out_t)
    fresh_w = out_w + zone.latent * (w - out_w)
    accounts[W_FRESH] = series[FRESH_AIR] * (fresh_w - w)
    accounts[H_FRESH] = series[FRESH_AIR] * (air_enthalpy(fresh_t, fresh_w) - own)
    accounts[W_FREE] = series[WATER_FREE]
    accounts[H_FREE] = series[HEAT_FREE] + series[WATER_FREE] * vapor
    room_t, room_w = series[ROOM_T], series[ROOM_W]
    accounts[W_ROOM] = series[ROOM_AIR] * (room_w - w) + series[SUPPLY_AIR] * (series[SUPPLY_W] - w)
    accounts[H_ROOM] = (
        series[ROOM_AIR] * (air_enthalpy(room_t, room_w) - own)
        + series[SUPPLY_AIR] * (air_enthalpy(series[SUPPLY_T], series[SUPPLY_W]) - own)
        + zone.to_room * (room_t - t)
        + series[DUCTS] * (series[DUCT_T] - t)
    )
    accounts[W_GROUND] = zone.vapor_to_ground * (series[GROUND_P] - p)
    accounts[H_GROUND] = zone.to_ground * (series[GROUND_T] - t) + accounts[W_GROUND] * vapor
    accounts[W_VENT] = zone.vapor_to_outdoors * (vapor_of(out_w, pressure) - p)
    accounts[H_VENT] = accounts[W_VENT] * vapor
    accounts[H_ENCLOSURE] = zone.to_outdoors * (out_t - t)
    accounts[H_HEATING] = heat
    apparatus = 0.0
    if coil.present == 1 and series[COOL_TO] < SWITCHED_OFF:
        total, removal, fan, apparatus = part_load(coil, demand, t, w, out_t, pressure)
        accounts[W_COOLING] = -removal
        accounts[H_COOLING] = -total
        accounts[H_FAN] = fan
    if drier.present == 1 and drying != 0.0:
        p_sat, _ = saturation(t)
        water, per_energy = drier_shares(t, p / p_sat)
        taken = drying * drier.capacity * water
        accounts[W_DRIER] = -taken
        accounts[H_DRIER] = (
            drying * drier.power * water / per_energy - taken * WATER_HEAT_CAPACITY * t
        )
    accounts[W_FOG] = -fog
    accounts[H_FOG] = -fog * WATER_HEAT_CAPACITY * t

    water, enthalpy = contents_of(zone, t, w, pressure)
    miss_w = (water - state.values[0]) / HOUR
    miss_h = (enthalpy - state.values[1]) / HOUR
    for k in range(N_WATER):
        miss_w -= accounts[k]
    for k in range(N_WATER, N_ACCOUNTS):
        miss_h -= accounts[k]
    return miss_h, miss_w * LATENT_HEAT_0, apparatus


@compiled_apart
def put_unknowns(
    first: int,
    second: int,
    x: float,
    y: float,
    series: Floats,
    drier: Drier,
    pressure: float,
    found: Floats,
) -> None:
    """Put two unknowns where the modes have them: T, W, demand, drying, heat, fog in ``found``."""
    found[2] = 1.0 if first == COOLS_FULL else 0.0
    found[4] = 0.0
    if first == COOLS:
        found[0], found[2] = series[COOL_TO], x
    elif first == HEATS:
        found[0], found[4] = series[HEAT_TO], x
    else:
        found[0] = x
    found[3] = 1.0 if second == DRIES_FULL else 0.0
    found[5] = 0.0
    if second == DRIES:
        p_sat, _ = saturation(found[0])
        found[1], found[3] = ratio_of(drier.setpoint * p_sat, pressure), y
    elif second == FOGS:
        found[1], _ = saturated_ratio(found[0], pressure)
        found[5] = y
        found[3] = float(drier.present)
    else:
        found[1] = y


@compiled_apart
def solve_modes(
    zone: ZoneNumbers,
    coil: Coil,
    drier: Drier,
    series: Floats,
    state: ZoneState,
    pressure: float,
    first: int,
    second: int,
    found: Floats,
    accounts: Floats,
) -> float:
    """Solve both balances in given modes from ``found`` on; returns the apparatus dew point."""
    full_heat = zone.heating_capacity
    if first == COOLS:
        x, step_x, most_x = found[2], 1e-4, 0.5
    elif first == HEATS:
        x, step_x, most_x = found[4], 1.0, 1e9
    else:
        x, step_x, most_x = found[0], 1e-4, 10.0
    if second == DRIES:
        y, step_y, most_y = found[3], 1e-4, 1.0
    elif second == FOGS:
        y, step_y, most_y = found[5], 1e-7, 1e3
    else:
        y, step_y, most_y = found[1], 1e-7, 0.01
    apparatus = 0.0
    for _ in range(MOST_NEWTON):
        r = (0.0, 0.0)
        j11 = j12 = j21 = j22 = 0.0
        for probe in range(3):
            put_unknowns(
                first,
                second,
                x + (step_x if probe == 1 else 0.0),
                y + (step_y if probe == 2 else 0.0),
                series,
                drier,
                pressure,
                found,
            )
            if first == HEATS_FULL:
                found[4] = full_heat
            h, w, dew = balances(
                zone,
                coil,
                drier,
                series,
                state,
                pressure,
                found[0],
                found[1],
                found[2],
                found[3],
                found[4],
                found[5],
                accounts,
            )
            if probe == 0:
                r = (h, w)
                apparatus = dew
            elif probe == 1:
                j11, j21 = (h - r[0]) / step_x, (w - r[1]) / step_x
            else:
                j12, j22 = (h - r[0]) / step_y, (w - r[1]) / step_y
        det = j11 * j22 - j12 * j21
        if abs(r[0]) + abs(r[1]) < 1e-6 or det == 0.0:
            break
        d_x = (r[0] * j22 - r[1] * j12) / det
        d_y = (j11 * r[1] - j21 * r[0]) / det
        shorter = max(abs(d_x) / most_x, abs(d_y) / most_y, 1.0)
        x -= d_x / shorter
        y -= d_y / shorter
        if second in (MOIST, DRIES_FULL):
            y = max(y, 1e-6)
        if first != COOLS and first != HEATS:
            x = min(max(x, -50.0), 95.0)
    put_unknowns(first, second, x, y, series, drier, pressure, found)
    if first == HEATS_FULL:
        found[4] = full_heat
    return apparatus


@compiled_apart
def settle(
    zone: ZoneNumbers,
    coil: Coil,
    drier: Drier,
    series: Floats,
    state: ZoneState,
    pressure: float,
    heated: int,
    found: Floats,
    accounts: Floats,
) -> float:
    """Find state and machines of an hour: ``found`` (6,) T, W, demand, drying, heat, fog."""
    first, second = int(state.modes[0]), int(state.modes[1])
    if first in (COOLS, COOLS_FULL) and series[COOL_TO] >= SWITCHED_OFF:
        first = FLOATS
    apparatus = 0.0
    for _ in range(MOST_MODES):
        if first == COOLS:
            found[2] = min(max(state.turned[0], 0.05), 0.95)
        apparatus = solve_modes(
            zone, coil, drier, series, state, pressure, first, second, found, accounts
        )
        t, w = found[0], found[1]
        p_sat, _ = saturation(t)
        rh = vapor_of(w, pressure) / p_sat
        before = (first, second)
        if first == FLOATS:
            if coil.present == 1 and t > series[COOL_TO] + 1e-9:
                first = COOLS
            elif heated == 1 and t < series[HEAT_TO] - 1e-9:
                first = HEATS
        elif first == COOLS:
            if found[2] < 0.0:
                first = FLOATS
            elif found[2] > 1.0:
                first = COOLS_FULL
        elif first == COOLS_FULL:
            if t < series[COOL_TO] - 1e-9:
                first = COOLS
        elif first == HEATS:
            if found[4] < 0.0:
                first = FLOATS
            elif found[4] > zone.heating_capacity:
                first = HEATS_FULL
        elif t > series[HEAT_TO] + 1e-9:
            first = HEATS
        if second == MOIST:
            if drier.present == 1 and rh > drier.setpoint + 1e-9:
                second = DRIES
            elif rh > 1.0 + 1e-9:
                second = FOGS
        elif second == DRIES:
            if found[3] < 0.0:
                second = MOIST
            elif found[3] > 1.0:
                second = DRIES_FULL
        elif second == DRIES_FULL:
            if rh < drier.setpoint - 1e-9:
                second = DRIES
            elif rh > 1.0 + 1e-9:
                second = FOGS
        elif found[5] < 0.0:
            second = DRIES_FULL if drier.present == 1 else MOIST
        if (first, second) == before:
            break
        if first in (FLOATS, COOLS_FULL) and before[0] in (COOLS, HEATS):
            found[0] = t
        if second in (MOIST, DRIES_FULL):
            found[1] = w
        if second == DRIES and before[1] != DRIES:
            found[3] = 0.5
        if second == FOGS and before[1] != FOGS:
            found[5] = 0.0
    state.modes[0], state.modes[1] = first, second
    for k in range(4):
        state.turned[k] = found[2 + k]
    return apparatus
