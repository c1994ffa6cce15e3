"""One step of SDIRK2: its start, its two stages, its end.

An L-stable, singly diagonally implicit scheme of second order (Alexander 1977), with
c = 1 - 1/sqrt(2):

    U1      = U(n) + c dt F(Y1, t + c dt)
    U(n+1)  = U(n) + (1 - c) dt F(Y1) + c dt F(Y2, t + dt)

U are the carried water content and enthalpy, Y the temperatures and moisture coordinates. A pass
linearises storage and flows about the latest Y and solves for its correction; the carried U follows
the *linearised* equations, so that what is carried is conserved to round-off whatever the size of the
correction, and the flows that are booked are the linearised ones too.
"""

from __future__ import annotations

from moistwall.air import WATER_HEAT_CAPACITY
from moistwall.solver.kernel.compile import compiled
from moistwall.solver.kernel.layout import (
    N_FLOWS,
    Cells,
    Floats,
    Ints,
    Record,
    State,
    Topology,
    Work,
)
from moistwall.solver.kernel.lookup import Properties

HOUR = 3600.0
"""Length of an hour. [s]"""

GAMMA = 0.2928932188134524
"""1 - 1/sqrt(2): weight of the implicit part and place of the first stage. [-]"""


@compiled
def guess(
    cells: Cells, state: State, work: Work, special_face: Ints, fallback_m: Floats, ahead: float
) -> None:
    """Put the latest slopes, ``ahead`` seconds on, into the state as the first iterate of a stage.

    The moisture of a cell that would cross saturation, or fall by half, starts from ``fallback_m``: there the
    past says nothing about what comes.
    """
    temperature, rate, start = state.temperature, state.temperature_rate, work.start_t
    for i in range(temperature.size):
        temperature[i] = start[i] + ahead * rate[i]
    coordinate, rate, start = state.coordinate, state.coordinate_rate, work.start_m
    saturated = cells.saturated
    for i in range(coordinate.size):
        m = start[i]
        ahead_m = m + ahead * rate[i]
        crossed = (m < saturated[i]) != (ahead_m < saturated[i])
        unsure = crossed | (ahead_m < 0.5 * m)
        coordinate[i] = fallback_m[i] if unsure else ahead_m
    for s in range(special_face.size):
        for side in range(2):
            m = work.start_side[s, side]
            ahead_m = m + ahead * state.side_rate[s, side]
            state.side[s, side] = m if abs(ahead_m - m) > 0.5 * m else ahead_m


@compiled
def copy(values: Floats, to: Floats) -> None:
    """Copy a row."""
    for i in range(values.size):
        to[i] = values[i]


@compiled
def keep_start(state: State, work: Work) -> None:
    """Remember the state from which the next step starts, to come back to if it is cut."""
    copy(state.temperature, work.start_t)
    copy(state.coordinate, work.start_m)
    copy(state.content, work.kept_content)
    copy(state.enthalpy, work.kept_enthalpy)
    for s in range(state.side.shape[0]):
        for side in range(2):
            work.start_side[s, side] = state.side[s, side]


@compiled
def to_first_stage(topology: Topology, cells: Cells, state: State, work: Work, step: float) -> None:
    """Set up the first stage of a step."""
    copy(work.kept_content, work.base_content)
    copy(work.kept_enthalpy, work.base_enthalpy)
    guess(cells, state, work, topology.special_face, work.start_m, GAMMA * step)


@compiled
def come_back(state: State, work: Work) -> None:
    """Return to the start of the step that is cut, without the slopes that may have misled it."""
    copy(work.start_t, state.temperature)
    copy(work.start_m, state.coordinate)
    copy(work.kept_content, state.content)
    copy(work.kept_enthalpy, state.enthalpy)
    for s in range(state.side.shape[0]):
        for side in range(2):
            state.side[s, side] = work.start_side[s, side]
    state.temperature_rate[:] = 0.0
    state.coordinate_rate[:] = 0.0
    state.side_rate[:] = 0.0


@compiled
def move_iterate(state: State, work: Work) -> None:
    """Move the iterate by the corrections of a pass."""
    temperature, change_t = state.temperature, work.change_t
    coordinate, change_m = state.coordinate, work.change_m
    for i in range(temperature.size):
        temperature[i] += change_t[i]
        coordinate[i] += change_m[i]
    for s in range(state.side.shape[0]):
        for side in range(2):
            state.side[s, side] = work.new_side[s, side]


@compiled
def take_correction(
    cells: Cells, state: State, properties: Properties, reference_temperature: float, work: Work
) -> None:
    """Move the iterate and, by the linearised storage, the carried content and enthalpy."""
    content, content_m = properties.content, properties.content_m
    change_t, change_m = work.change_t, work.change_m
    carried, enthalpy = state.content, state.enthalpy
    temperature, dry = state.temperature, cells.heat_capacity
    for i in range(content.size):
        d_w = content_m[i] * change_m[i]
        above = temperature[i] - reference_temperature
        capacity = dry[i] + WATER_HEAT_CAPACITY * content[i]
        carried[i] = content[i] + d_w
        enthalpy[i] = capacity * (above + change_t[i]) + WATER_HEAT_CAPACITY * above * d_w
    move_iterate(state, work)


@compiled
def flows_now(
    special_face: Ints, linear: Floats, change_t: Floats, change_m: Floats, flows: Floats
) -> None:
    """Fill ``flows`` with the special faces' flows after this pass, by their own linearisation."""
    n_cells = change_t.size
    for s in range(special_face.size):
        j = special_face[s]
        t_a = m_a = t_b = m_b = 0.0
        if j > 0:
            t_a, m_a = change_t[j - 1], change_m[j - 1]
        if j < n_cells:
            t_b, m_b = change_t[j], change_m[j]
        for k in range(N_FLOWS):
            flows[s, k] = (
                linear[s, k, 0]
                + linear[s, k, 1] * t_a
                + linear[s, k, 2] * m_a
                + linear[s, k, 3] * t_b
                + linear[s, k, 4] * m_b
            )


@compiled
def slopes(now: Floats, before: Floats, per_second: float, rate: Floats) -> None:
    """Slopes between two states, which start the next guess."""
    for i in range(now.size):
        rate[i] = per_second * (now[i] - before[i])


@compiled
def extend(first: Floats, base: Floats) -> None:
    """From the carried values of the first stage, U(n) + c dt F(Y1), to U(n) + (1 - c) dt F(Y1)."""
    for i in range(base.size):
        base[i] += (1.0 - GAMMA) / GAMMA * (first[i] - base[i])


@compiled
def to_second_stage(
    topology: Topology,
    cells: Cells,
    state: State,
    properties: Properties,
    reference_temperature: float,
    work: Work,
    step: float,
) -> None:
    """Keep the flows of the first stage and set up the second."""
    flows_now(topology.special_face, work.linear, work.change_t, work.change_m, work.first_flow)
    take_correction(cells, state, properties, reference_temperature, work)
    extend(state.content, work.base_content)
    extend(state.enthalpy, work.base_enthalpy)
    copy(state.temperature, work.first_t)
    copy(state.coordinate, work.first_m)
    per_second = 1.0 / (GAMMA * step)
    slopes(work.first_t, work.start_t, per_second, state.temperature_rate)
    slopes(work.first_m, work.start_m, per_second, state.coordinate_rate)
    for s in range(state.side.shape[0]):
        for side in range(2):
            work.first_side[s, side] = state.side[s, side]
            state.side_rate[s, side] = per_second * (state.side[s, side] - work.start_side[s, side])
    guess(cells, state, work, topology.special_face, work.first_m, step)


@compiled
def run_off(
    cells: Cells, state: State, reference_temperature: float, drained: Floats, drained_heat: Floats
) -> None:
    """Let run off what cells cannot hold."""
    content, holds = state.content, cells.holds
    count = 0
    for i in range(content.size):
        count += content[i] > holds[i]
    if count == 0:
        return
    for i in range(content.size):
        excess = content[i] - holds[i]
        if excess > 0.0:
            above = state.temperature[i] - reference_temperature
            heat = WATER_HEAT_CAPACITY * above * excess
            state.content[i] -= excess
            state.enthalpy[i] -= heat
            if cells.liquid[i] == 2:
                state.coordinate[i] -= excess / cells.full[i]
            else:
                state.coordinate[i] = cells.brim[i]
            drained[i] += excess * cells.width[i]
            drained_heat[i] += heat * cells.width[i]


@compiled
def finish_step(
    topology: Topology,
    cells: Cells,
    state: State,
    properties: Properties,
    reference_temperature: float,
    record: Record,
    work: Work,
    hour: int,
    step: float,
) -> None:
    """Book the flows of the step, let run off what cannot be held, and keep the slopes."""
    flows_now(topology.special_face, work.linear, work.change_t, work.change_m, work.last_flow)
    for s in range(topology.special_face.size):
        for k in range(N_FLOWS):
            record.flow[hour, s, k] += step * (
                (1.0 - GAMMA) * work.first_flow[s, k] + GAMMA * work.last_flow[s, k]
            )
    take_correction(cells, state, properties, reference_temperature, work)
    per_second = 1.0 / ((1.0 - GAMMA) * step)
    slopes(state.temperature, work.first_t, per_second, state.temperature_rate)
    slopes(state.coordinate, work.first_m, per_second, state.coordinate_rate)
    for s in range(state.side.shape[0]):
        for side in range(2):
            state.side_rate[s, side] = per_second * (state.side[s, side] - work.first_side[s, side])
    run_off(cells, state, reference_temperature, record.drained[hour], record.drained_heat[hour])
