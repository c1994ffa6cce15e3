"""The march through the hours: steps of their own length, the hour as the only barrier."""

from __future__ import annotations

from moistwall.air import WATER_HEAT_CAPACITY
from moistwall.solver.kernel.airflow import add_air_within
from moistwall.solver.kernel.arrivals import add_short_cuts, add_water
from moistwall.solver.kernel.compile import compiled
from moistwall.solver.kernel.eliminate import eliminate, set_up
from moistwall.solver.kernel.ends import flows_at_ends, flows_in_gaps, gap_air_changes
from moistwall.solver.kernel.joint import flows_at_joints, outer_share, side_state
from moistwall.solver.kernel.judge import (
    HOPELESS,
    correction_size,
    estimated_error,
    largest_of,
)
from moistwall.solver.kernel.layout import (
    ABOVE_ONE,
    FORCED,
    GAP,
    JOINT,
    N_THROUGH,
    PASSES,
    REJECTED,
    STEPS,
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
from moistwall.solver.kernel.lookup import Properties, look_up
from moistwall.solver.kernel.step import (
    GAMMA,
    HOUR,
    come_back,
    copy,
    finish_step,
    keep_start,
    move_iterate,
    to_first_stage,
    to_second_stage,
)
from moistwall.solver.kernel.within import flows_within, put_flows


@compiled
def weather_at(rows: Floats, is_step: Ints, row: int, share: float, weather: Floats) -> None:
    """Prescribed values at a share of the hour that starts at ``row``."""
    for column in range(weather.size):
        before, after = rows[row, column], rows[row + 1, column]
        weather[column] = after if is_step[column] == 1 else before + share * (after - before)


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
    weight: float,
) -> None:
    """Linearise about the present iterate and solve for the corrections."""
    reference, pressure = control.reference_temperature, control.pressure
    air = work.weather[control.air_column] if control.air_column >= 0 else 0.0
    look_up(cells, tables, state, properties)
    flows_within(cells, state, properties, reference, work.pieces, work.out)
    if air != 0.0:
        add_air_within(topology, state, properties, air, pressure, reference, work.out)
    for k in range(N_THROUGH):
        for j in range(work.out.shape[1]):
            work.into[k, j] = work.out[k, j]
    flows_at_ends(
        topology,
        cells,
        faces,
        state,
        properties,
        work.weather,
        air,
        pressure,
        reference,
        work.linear,
    )
    flows_in_gaps(
        topology, faces, state, properties, work.weather, air, pressure, reference, work.linear
    )
    flows_at_joints(topology, cells, tables, faces, state, properties, control, air, work)
    add_water(topology, work.weather, reference, work.linear)
    add_short_cuts(
        topology, faces, state, properties, work.weather, pressure, reference, work.linear
    )
    put_flows(topology.special_face, work.linear, work.out, work.into)
    set_up(
        cells,
        state,
        properties,
        work.base_content,
        work.base_enthalpy,
        weight,
        reference,
        work.out,
        work.into,
        work.rows,
    )
    eliminate(work.out, work.into, work.rows, work.change_t, work.change_m)


@compiled
def take_step(
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
    row: int,
    time: float,
    step: float,
) -> float:
    """Try a step: its error in units of the tolerance, or -1 if the passes of a stage do not settle."""
    for stage in range(2):
        if stage == 0:
            to_first_stage(topology, cells, state, work, step)
        else:
            to_second_stage(
                topology, cells, state, properties, control.reference_temperature, work, step
            )
        at = time + (GAMMA if stage == 0 else 1.0) * step
        weather_at(rows, is_step, row, at / HOUR, work.weather)
        for k in range(control.most_passes):
            one_pass(topology, cells, tables, faces, state, properties, control, work, GAMMA * step)
            record.counts[PASSES] += 1
            size = correction_size(topology, cells, tables, faces, state, properties, control, work)
            if size <= 1.0:
                break
            if k == control.most_passes - 1 or not size * control.pass_coordinate < HOPELESS:
                return -1.0
            move_iterate(state, work)
    return estimated_error(cells, control, state, work)


@compiled
def storage_drift(
    cells: Cells, state: State, properties: Properties, control: Control, work: Work
) -> tuple[float, float]:
    """How far the carried content is from that of m, in units of w_f, and the carried enthalpy from that of T [K].

    The latter not in skins, which have no heat capacity but that of their dew.
    """
    size, content, true, full = work.size, state.content, properties.content, cells.full
    for i in range(size.size):
        size[i] = abs(content[i] - true[i]) / full[i]
    moisture = largest_of(size, work.bits)
    enthalpy, temperature, liquid = state.enthalpy, state.temperature, cells.liquid
    dry, zero = cells.heat_capacity, control.reference_temperature
    for i in range(size.size):
        capacity = dry[i] + WATER_HEAT_CAPACITY * content[i]
        drift = abs(enthalpy[i] / capacity - (temperature[i] - zero))
        size[i] = drift if liquid[i] != 2 else 0.0
    return moisture, largest_of(size, work.bits)


@compiled
def write_hour(
    topology: Topology,
    cells: Cells,
    tables: Tables,
    faces: Faces,
    rows: Floats,
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
    passes left behind belongs to the start of the last one.
    """
    look_up(cells, tables, state, properties)
    copy(state.temperature, record.temperature[hour])
    copy(properties.humidity, record.humidity[hour])
    copy(state.content, record.content[hour])
    copy(state.enthalpy, record.enthalpy[hour])
    drift = storage_drift(cells, state, properties, control, work)
    for k in range(2):
        if not drift[k] <= record.drift[k]:
            record.drift[k] = drift[k]
    for s in range(topology.special_face.size):
        j = topology.special_face[s]
        if topology.face_kind[j] == GAP:
            record.gap_air[hour, s] = gap_air_changes(
                topology, faces, state, properties, rows[row], control.pressure, s
            )
        if topology.face_kind[j] != JOINT:
            continue
        i = j - 1
        air = 0.0
        if control.air_column >= 0 and topology.carries_air[j] == 1:
            air = rows[row, control.air_column]
        share = outer_share(properties.heat_half[i], properties.heat_half[j], air)
        t = share * state.temperature[i] + (1.0 - share) * state.temperature[j]
        record.side_temperature[hour, s] = t
        for side in range(2):
            cell = i + side
            if topology.is_skin[cell] == 1:
                rh = properties.humidity[cell]
            else:
                rh, _, _, _, _ = side_state(
                    tables, cells.material[cell], cells.over_suction[cell], state.side[s, side], t
                )
            if rh > 1.0 + 1e-9:
                record.counts[ABOVE_ONE] += 1
            record.side_humidity[hour, s, side] = min(rh, 1.0)


@compiled
def too_many(counts: Ints, control: Control) -> bool:
    """Whether steps and cuts together are more than a march may take."""
    return counts[STEPS] + counts[REJECTED] >= control.most_work  # type: ignore[no-any-return]


@compiled
def march_hours(
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
) -> int:
    """March one section through ``n_hours`` hours from row ``first_row`` of its loads.

    Parameters
    ----------
    rows : (n_rows, n_columns) ndarray
        Prescribed series.
    is_step : (n_columns,) ndarray of int
        1 where a value holds for the whole hour before its row.
    record : Record
        Rows 0..n_hours-1 are written; its flows and counts must be 0 before (counts may go on).

    Returns
    -------
    int
        -1, or the hour (0 = first of this call) in which a step could not be solved at its shortest (its length
        is then 0 in ``state``) or in which more steps were tried than are allowed.
    """
    for hour in range(n_hours):
        row = first_row + hour
        time, tries = 0.0, 0
        while time <= HOUR - 1e-6:
            tries += 1
            if tries > control.most_tries or too_many(record.counts, control):
                return hour
            keep_start(state, work)
            wanted = HOUR / control.fixed if control.fixed > 0 else state.step[0]
            step = (HOUR - time) / (int((HOUR - time) / wanted - 1e-9) + 1)
            error = take_step(
                topology,
                cells,
                tables,
                faces,
                rows,
                is_step,
                state,
                properties,
                control,
                record,
                work,
                row,
                time,
                step,
            )
            settled = error >= 0.0
            factor = min(max(0.8 / (max(error, 0.0) + 1e-12) ** 0.5, 0.3), 2.5) if settled else 0.25
            if settled and control.fixed > 0:
                error, factor = 0.0, 1.0
            if settled and (error <= 1.0 or step <= control.shortest * 1.001):
                record.counts[FORCED] += error > 1.0
                record.counts[STEPS] += 1
                finish_step(
                    topology,
                    cells,
                    state,
                    properties,
                    control.reference_temperature,
                    record,
                    work,
                    hour,
                    step,
                )
                time += step
                grown = min(factor * step, HOUR)
                if factor < 1.0 or grown > state.step[0]:
                    state.step[0] = max(grown, min(1.1 * step, control.shortest))
                continue
            record.counts[REJECTED] += 1
            if step <= control.tiniest * 1.001 or control.fixed > 0:
                state.step[0] = 0.0
                return hour
            come_back(state, work)
            state.step[0] = max(factor * step, control.tiniest)
        write_hour(
            topology,
            cells,
            tables,
            faces,
            rows,
            state,
            properties,
            control,
            record,
            work,
            row + 1,
            hour,
        )
    return -1
