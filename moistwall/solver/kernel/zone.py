"""A zone of air beside a section, hour by hour: its balances, its machines, and the section's answer.

In an hour the air of the zone has one state (T, W), that of backward Euler's method. Its balances of water
and of enthalpy,

    (M(T, W) - M0) / 1 h = sum of flows(T, W, machines) + area * flow of the section,   H likewise,

are solved with the flow of the section as a straight line through what it gave last, f + J (x - x_last) with
x = (T, p). Then the section is marched through the hour beside that state, and gives what it really gives;
this repeats until the state that the balances ask for is the one that the section has seen. J is learned from
the section's answers (Broyden's method). What is carried into the next hour is what the flows of the last
march bring, so that water and energy are conserved whatever the repetition left over; how far the state
that the balances ask for at last is from the one that the section has seen is recorded.

A machine works for the part of an hour that keeps its setpoint, if it can; else all of it or not at all. Air
above saturation gives up what it cannot hold as fog that falls.
"""

from __future__ import annotations

from moistwall.air import WATER_HEAT_CAPACITY
from moistwall.solver.kernel.compile import compiled_apart
from moistwall.solver.kernel.layout import (
    AIR_TEMPERATURE,
    AIR_VAPOR,
    HEAT_A,
    HEAT_B,
    MOISTURE_A,
    MOISTURE_B,
    N_END_COLUMNS,
    Cells,
    Control,
    Faces,
    Floats,
    Ints,
    Record,
    State,
    Tables,
    Topology,
    Work,
)
from moistwall.solver.kernel.lookup import Properties
from moistwall.solver.kernel.machines import Coil, Drier
from moistwall.solver.kernel.march import march_hours, too_many
from moistwall.solver.kernel.moist import saturation
from moistwall.solver.kernel.zone_balance import HOUR, balances, settle, vapor_of
from moistwall.solver.kernel.zone_layout import (
    APPARATUS,
    CARRIED_HEAT,
    CARRIED_WATER,
    DEMAND,
    DRIFT_RH,
    DRIFT_T,
    DRYING,
    MARCHES,
    N_ACCOUNTS,
    N_STATES,
    N_WATER,
    ZONE_T,
    ZONE_W,
    ZoneNumbers,
    ZoneState,
)

MOST_MARCHES = 40
CLOSE_T, CLOSE_P = 0.004, 1.0
"""Differences between the state that the balances ask for and the one the section has seen, at which the two
are taken as one. [K], [Pa]"""


@compiled_apart
def copy_state(source: State, target: State) -> None:
    """Copy the state of a section."""
    target.temperature[:] = source.temperature
    target.coordinate[:] = source.coordinate
    target.content[:] = source.content
    target.enthalpy[:] = source.enthalpy
    target.side[:] = source.side
    target.temperature_rate[:] = source.temperature_rate
    target.coordinate_rate[:] = source.coordinate_rate
    target.side_rate[:] = source.side_rate
    target.step[:] = source.step


@compiled_apart
def learn_slopes(state: ZoneState, d_t: float, d_p: float, d_heat: float, d_water: float) -> None:
    """Turn the slopes of the section's flows so that they tell its last answer (Broyden 1965)."""
    size = d_t * d_t + (0.01 * d_p) ** 2  # 100 Pa weigh as much as 1 K
    if size < 1e-6:
        return
    left_h = d_heat - state.slope[0, 0] * d_t - state.slope[0, 1] * d_p
    left_w = d_water - state.slope[1, 0] * d_t - state.slope[1, 1] * d_p
    state.slope[0, 0] += left_h * d_t / size
    state.slope[0, 1] += left_h * 1e-4 * d_p / size
    state.slope[1, 0] += left_w * d_t / size
    state.slope[1, 1] += left_w * 1e-4 * d_p / size
    # a section never gives more to air that is warmer or damper, nor more than its films let through
    for k in range(2):
        if not 3.0 * state.first_slope[k, k] < state.slope[k, k] < 0.0:
            state.slope[:] = state.first_slope
            break


@compiled_apart
def march_zone(
    topology: Topology,
    cells: Cells,
    tables: Tables,
    faces: Faces,
    rows: Floats,
    is_step: Ints,
    state: State,
    properties: Properties,
    control: Control,
    record: Record,
    work: Work,
    first_row: int,
    n_hours: int,
    zone: ZoneNumbers,
    coil: Coil,
    drier: Drier,
    heated: int,
    series: Floats,
    own: ZoneState,
    kept: State,
    hour_record: Record,
    zone_record: Floats,
    found: Floats,
    accounts: Floats,
) -> int:
    """March one section and its zone through ``n_hours`` hours from row ``first_row`` of the loads.

    Parameters
    ----------
    rows : (n_rows, n_columns) ndarray
        Series of the section; the columns of the air at the zone's end are written, and hold for a whole
        hour each.
    is_step : (n_columns,) ndarray of int
        As `march_hours`.
    series : (n_rows, 19) ndarray
        What acts on the zone, mean of each hour.
    own : ZoneState
        Goes in and out.
    kept, hour_record
        Scratch: a state, and a record of one hour.
    zone_record : (n_hours, 33) ndarray
        What is recorded of each hour: states, then accounts [kg, J].
    found, accounts : (6,), (23,) ndarray
        Scratch.

    Returns
    -------
    int
        As `march_hours`.
    """
    last = topology.special_face.shape[0] - 1
    column = 0 if zone.outer == 1 else N_END_COLUMNS
    pressure = control.pressure
    for hour in range(n_hours):
        row = first_row + hour
        copy_state(state, kept)
        apparatus = settle(zone, coil, drier, series[row], own, pressure, heated, found, accounts)
        marches = 0
        while True:
            t, w = found[0], found[1]
            p = vapor_of(w, pressure)
            rows[row + 1, column + AIR_TEMPERATURE] = t
            rows[row + 1, column + AIR_VAPOR] = p
            hour_record.flow[:] = 0.0
            hour_record.drained[:] = 0.0
            hour_record.drained_heat[:] = 0.0
            hour_record.counts[:] = 0
            hour_record.drift[:] = record.drift
            failed = march_hours(
                topology,
                cells,
                tables,
                faces,
                rows,
                is_step,
                state,
                properties,
                control,
                hour_record,
                work,
                row,
                1,
            )
            if failed >= 0 or too_many(record.counts, control):
                return hour
            marches += 1
            if zone.outer == 1:
                heat = -hour_record.flow[0, 0, HEAT_B]
                water = -hour_record.flow[0, 0, MOISTURE_B]
            else:
                heat = hour_record.flow[0, last, HEAT_A]
                water = hour_record.flow[0, last, MOISTURE_A]
            # the section counts the enthalpy of water from the control's reference on
            heat += WATER_HEAT_CAPACITY * control.reference_temperature * water
            heat *= zone.area / HOUR
            water *= zone.area / HOUR
            if marches > 1:
                learn_slopes(
                    own,
                    t - own.values[2],
                    p - own.values[3],
                    heat - own.flow[0],
                    water - own.flow[1],
                )
            own.values[2], own.values[3] = t, p
            own.flow[0], own.flow[1] = heat, water
            asked = found.copy()
            apparatus_asked = settle(
                zone, coil, drier, series[row], own, pressure, heated, asked, accounts
            )
            close = (
                abs(asked[0] - t) <= CLOSE_T and abs(vapor_of(asked[1], pressure) - p) <= CLOSE_P
            )
            # the machines of the last balance, the state that the section has seen
            for k in range(2, 6):
                found[k] = asked[k]
            apparatus = apparatus_asked
            if close or marches >= MOST_MARCHES:
                break
            found[0], found[1] = asked[0], asked[1]
            copy_state(kept, state)
        balances(
            zone,
            coil,
            drier,
            series[row],
            own,
            pressure,
            found[0],
            found[1],
            found[2],
            found[3],
            found[4],
            found[5],
            accounts,
        )
        for k in range(N_WATER):
            own.values[0] += HOUR * accounts[k]
        for k in range(N_WATER, N_ACCOUNTS):
            own.values[1] += HOUR * accounts[k]
        book_hour(own, record, hour_record, zone_record, hour, found, accounts)
        p_sat, _ = saturation(found[0])
        zone_record[hour, DRIFT_T] = asked[0] - found[0]
        zone_record[hour, DRIFT_RH] = (
            vapor_of(asked[1], pressure) - vapor_of(found[1], pressure)
        ) / p_sat
        zone_record[hour, APPARATUS] = apparatus
        zone_record[hour, MARCHES] = marches
    return -1


@compiled_apart
def book_hour(
    own: ZoneState,
    record: Record,
    hour_record: Record,
    zone_record: Floats,
    hour: int,
    found: Floats,
    accounts: Floats,
) -> None:
    """Book an hour of the section and of its zone."""
    record.temperature[hour] = hour_record.temperature[0]
    record.humidity[hour] = hour_record.humidity[0]
    record.content[hour] = hour_record.content[0]
    record.enthalpy[hour] = hour_record.enthalpy[0]
    record.side_temperature[hour] = hour_record.side_temperature[0]
    record.side_humidity[hour] = hour_record.side_humidity[0]
    record.gap_air[hour] = hour_record.gap_air[0]
    record.flow[hour] = hour_record.flow[0]
    record.drained[hour] = hour_record.drained[0]
    record.drained_heat[hour] = hour_record.drained_heat[0]
    record.counts[:] += hour_record.counts
    record.drift[:] = hour_record.drift
    zone_record[hour, ZONE_T] = found[0]
    zone_record[hour, ZONE_W] = found[1]
    zone_record[hour, CARRIED_WATER] = own.values[0]
    zone_record[hour, CARRIED_HEAT] = own.values[1]
    zone_record[hour, DEMAND] = found[2]
    zone_record[hour, DRYING] = found[3]
    for k in range(N_ACCOUNTS):
        zone_record[hour, N_STATES + k] = HOUR * accounts[k]
