"""The march through the hours: every lane with its own steps, the hour as the only barrier."""

from __future__ import annotations

from moistwall.air import WATER_HEAT_CAPACITY
from moistwall.solver.kernel.airflow import add_air_within
from moistwall.solver.kernel.arrivals import add_short_cuts, add_water
from moistwall.solver.kernel.compile import compiled
from moistwall.solver.kernel.eliminate import eliminate
from moistwall.solver.kernel.ends import flows_at_ends, flows_in_gaps, gap_air_changes
from moistwall.solver.kernel.joint import flows_at_joints, outer_share, side_state
from moistwall.solver.kernel.judge import FINISH, NEXT_STAGE, REPEAT, REST, decide
from moistwall.solver.kernel.layout import (
    ABOVE_ONE,
    DHH,
    DHM,
    DMH,
    DMM,
    GAP,
    JOINT,
    REJECTED,
    RH,
    RM,
    Cells,
    Control,
    Faces,
    Loads,
    Record,
    State,
    Tables,
    Topology,
    Work,
)
from moistwall.solver.kernel.lookup import Properties, look_up
from moistwall.solver.kernel.step import (
    GAMMA,
    HOUR,
    begin_step,
    come_back,
    finish_step,
    keep_start,
    move_iterate,
    to_second_stage,
)
from moistwall.solver.kernel.within import flows_within, put_flows


@compiled
def weather_at(loads: Loads, row: int, control: Control, work: Work) -> None:
    """Prescribed values at the instant of each lane's stage, within the hour that starts at ``row``."""
    for column in range(loads.rows.shape[2]):
        for lane in range(work.time.shape[0]):
            series = loads.rows[loads.set_of_lane[lane]]
            if loads.is_step[column] == 1:
                work.weather[column, lane] = series[row + 1, column]
            else:
                share = GAMMA if work.stage[lane] == 0 else 1.0
                f = (work.time[lane] + share * work.step[lane]) / HOUR
                work.weather[column, lane] = series[row, column] + f * (
                    series[row + 1, column] - series[row, column]
                )
    for lane in range(work.time.shape[0]):
        work.air[lane] = work.weather[control.air_column, lane] if control.air_column >= 0 else 0.0


@compiled
def one_pass(
    topology: Topology,
    cells: Cells,
    tables: Tables,
    faces: Faces,
    state: State,
    properties: Properties,
    control: Control,
    work: Work,
) -> None:
    """Linearise about the present iterate in every lane and solve for the corrections."""
    n_cells, n_lanes = cells.width.shape
    look_up(topology, cells, tables, state, properties)
    for i in range(n_cells):
        for lane in range(n_lanes):
            work.rows[DHH, i, lane] = 0.0
            work.rows[DHM, i, lane] = 0.0
            work.rows[DMH, i, lane] = 0.0
            work.rows[DMM, i, lane] = 0.0
            work.rows[RH, i, lane] = 0.0
            work.rows[RM, i, lane] = 0.0
    reference = control.reference_temperature
    flows_within(topology, cells, state, properties, reference, work.rows)
    if control.air_column >= 0:
        add_air_within(
            topology, state, properties, work.air, control.pressure, reference, work.rows
        )
    flows_at_ends(
        topology,
        cells,
        faces,
        state,
        properties,
        work.weather,
        work.air,
        control.pressure,
        reference,
        work.linear,
    )
    flows_in_gaps(
        topology,
        faces,
        state,
        properties,
        work.weather,
        work.air,
        control.pressure,
        reference,
        work.linear,
    )
    flows_at_joints(topology, cells, tables, faces, state, properties, control, work)
    add_water(topology, work.weather, reference, work.linear)
    add_short_cuts(
        topology,
        faces,
        state,
        properties,
        work.weather,
        control.pressure,
        reference,
        work.linear,
    )
    put_flows(topology, work.linear, work.rows)
    eliminate(
        cells,
        state,
        properties,
        work.base_content,
        work.base_enthalpy,
        work.weight,
        reference,
        work.rows,
        work.change_t,
        work.change_m,
    )


@compiled
def write_hour(
    topology: Topology,
    cells: Cells,
    tables: Tables,
    faces: Faces,
    loads: Loads,
    state: State,
    properties: Properties,
    control: Control,
    record: Record,
    work: Work,
    row: int,
    hour: int,
) -> None:
    """Write the state at the hour's end, and how far the carried storage is from it.

    Everything is looked up at that state and at ``row`` of the loads, where the hour ends: what the
    passes left behind depends on how long the other lanes went on.
    """
    n_cells, n_lanes = cells.width.shape
    look_up(topology, cells, tables, state, properties)
    for i in range(n_cells):
        for lane in range(n_lanes):
            t, content = state.temperature[i, lane], state.content[i, lane]
            record.temperature[hour, i, lane] = t
            record.humidity[hour, i, lane] = properties.humidity[i, lane]
            record.content[hour, i, lane] = content
            record.enthalpy[hour, i, lane] = state.enthalpy[i, lane]
            drift = abs(content - properties.content[i, lane]) / cells.full[i, lane]
            if not drift <= record.drift[0, lane]:
                record.drift[0, lane] = drift
            if topology.is_skin[i] == 1:
                continue  # a skin has no heat capacity but that of its dew
            capacity = cells.heat_capacity[i, lane] + WATER_HEAT_CAPACITY * content
            drift = abs(state.enthalpy[i, lane] / capacity - (t - control.reference_temperature))
            if not drift <= record.drift[1, lane]:
                record.drift[1, lane] = drift
    for column in range(loads.rows.shape[2]):
        for lane in range(n_lanes):
            work.weather[column, lane] = loads.rows[loads.set_of_lane[lane], row, column]
    for s in range(topology.special_face.shape[0]):
        j = topology.special_face[s]
        if topology.face_kind[j] == GAP:
            for lane in range(n_lanes):
                record.gap_air[hour, s, lane] = gap_air_changes(
                    topology, faces, state, properties, work.weather, control.pressure, s, lane
                )
        if topology.face_kind[j] != JOINT:
            continue
        i = j - 1
        for lane in range(n_lanes):
            air = 0.0
            if control.air_column >= 0 and topology.carries_air[j] == 1:
                air = loads.rows[loads.set_of_lane[lane], row, control.air_column]
            share = outer_share(properties.heat_half[i, lane], properties.heat_half[j, lane], air)
            t = share * state.temperature[i, lane] + (1.0 - share) * state.temperature[j, lane]
            record.side_temperature[hour, s, lane] = t
            for side in range(2):
                cell = i + side
                if topology.is_skin[cell] == 1:
                    rh = properties.humidity[cell, lane]
                else:
                    rh, _, _, _, _ = side_state(
                        tables,
                        cells.material[cell, lane],
                        cells.over_suction[cell, lane],
                        state.side[s, side, lane],
                        t,
                    )
                if rh > 1.0 + 1e-9:
                    record.counts[ABOVE_ONE, lane] += 1
                record.side_humidity[hour, s, side, lane] = min(rh, 1.0)


@compiled
def march_hours(
    topology: Topology,
    cells: Cells,
    tables: Tables,
    faces: Faces,
    loads: Loads,
    state: State,
    properties: Properties,
    control: Control,
    record: Record,
    work: Work,
    first_row: int,
    n_hours: int,
) -> int:
    """March all lanes through ``n_hours`` hours from row ``first_row`` of the loads.

    Parameters
    ----------
    record : Record
        Rows 0..n_hours-1 are written; its flows and counts must be 0 before (counts may go on).

    Returns
    -------
    int
        -1, or the hour (0 = first of this call) in which a lane could not be solved at the shortest
        step; ``work.failed[0]`` marks the lane, ``work.failed[1]`` its worst cell.
    """
    n_lanes = cells.width.shape[1]
    for hour in range(n_hours):
        running = n_lanes
        for lane in range(n_lanes):
            work.time[lane] = 0.0
            keep_start(state, work, lane)
            begin_step(topology, cells, tables, state, control, work, lane)
            work.action[lane] = REPEAT
        while running > 0:
            weather_at(loads, first_row + hour, control, work)
            one_pass(topology, cells, tables, faces, state, properties, control, work)
            for lane in range(n_lanes):
                if work.action[lane] == REST:
                    continue
                action, factor = decide(
                    topology,
                    cells,
                    tables,
                    faces,
                    state,
                    properties,
                    control,
                    record,
                    work,
                    lane,
                )
                work.action[lane] = action
                if action == REPEAT:
                    move_iterate(state, work, lane)
                elif action == NEXT_STAGE:
                    to_second_stage(topology, cells, tables, state, properties, control, work, lane)
                elif action == FINISH:
                    finish_step(
                        topology,
                        cells,
                        tables,
                        state,
                        properties,
                        control,
                        record,
                        work,
                        hour,
                        lane,
                    )
                    grown = min(factor * work.step[lane], HOUR)
                    least = min(work.step[lane], control.shortest)
                    if factor < 1.0 or grown > state.step[lane]:
                        state.step[lane] = max(grown, least)
                    if work.time[lane] > HOUR - 1e-6:
                        work.action[lane] = REST
                        running -= 1
                        continue
                    keep_start(state, work, lane)
                    begin_step(topology, cells, tables, state, control, work, lane)
                else:  # CUT
                    record.counts[REJECTED, lane] += 1
                    stuck = work.step[lane] <= control.tiniest * 1.001 or control.fixed > 0
                    if stuck:
                        work.failed[0, lane] = 1
                        return hour
                    come_back(state, work, lane)
                    state.step[lane] = max(factor * work.step[lane], control.tiniest)
                    begin_step(topology, cells, tables, state, control, work, lane)
        write_hour(
            topology,
            cells,
            tables,
            faces,
            loads,
            state,
            properties,
            control,
            record,
            work,
            first_row + hour + 1,
            hour,
        )
    return -1
