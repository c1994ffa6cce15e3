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
    STEPS,
    Cells,
    Control,
    Floats,
    Ints,
    Record,
    State,
    Tables,
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
    topology: Topology,
    cells: Cells,
    tables: Tables,
    state: State,
    work: Work,
    fallback_m: Floats,
    lane: int,
    ahead: float,
) -> None:
    """Put the latest slopes, ``ahead`` seconds on, into the state as the first iterate of a stage.

    The moisture of skins, and of a cell that would cross saturation, starts from ``fallback_m``: there
    the past says nothing about what comes.
    """
    for i in range(cells.width.shape[0]):
        state.temperature[i, lane] = work.start_t[i, lane] + ahead * state.temperature_rate[i, lane]
        m = work.start_m[i, lane]
        ahead_m = m + ahead * state.coordinate_rate[i, lane]
        saturated = tables.saturated[cells.material[i, lane]]
        crossed = (m < saturated) != (ahead_m < saturated)
        if topology.is_skin[i] == 1 or crossed or ahead_m < 0.5 * m:
            ahead_m = fallback_m[i, lane]
        state.coordinate[i, lane] = ahead_m
    for s in range(topology.special_face.shape[0]):
        for side in range(2):
            m = work.start_side[s, side, lane]
            ahead_m = m + ahead * state.side_rate[s, side, lane]
            state.side[s, side, lane] = m if abs(ahead_m - m) > 0.5 * m else ahead_m


@compiled
def keep_start(state: State, work: Work, lane: int) -> None:
    """Remember the state from which the next step starts, to come back to if it is cut."""
    for i in range(state.temperature.shape[0]):
        work.start_t[i, lane] = state.temperature[i, lane]
        work.start_m[i, lane] = state.coordinate[i, lane]
        work.kept_content[i, lane] = state.content[i, lane]
        work.kept_enthalpy[i, lane] = state.enthalpy[i, lane]
    for s in range(state.side.shape[0]):
        for side in range(2):
            work.start_side[s, side, lane] = state.side[s, side, lane]


@compiled
def begin_step(
    topology: Topology,
    cells: Cells,
    tables: Tables,
    state: State,
    control: Control,
    work: Work,
    lane: int,
) -> None:
    """Choose the step, remember where it starts and set up its first stage."""
    left = HOUR - work.time[lane]
    wanted = HOUR / control.fixed if control.fixed > 0 else state.step[lane]
    pieces = int(left / wanted - 1e-9) + 1
    work.step[lane] = left / pieces
    work.stage[lane] = 0
    work.passes[lane] = 0
    work.weight[lane] = GAMMA * work.step[lane]
    for i in range(cells.width.shape[0]):
        work.base_content[i, lane] = state.content[i, lane]
        work.base_enthalpy[i, lane] = state.enthalpy[i, lane]
    guess(topology, cells, tables, state, work, work.start_m, lane, GAMMA * work.step[lane])


@compiled
def come_back(state: State, work: Work, lane: int) -> None:
    """Return to the start of the step that is cut, without the slopes that may have misled it."""
    for i in range(state.temperature.shape[0]):
        state.content[i, lane] = work.kept_content[i, lane]
        state.enthalpy[i, lane] = work.kept_enthalpy[i, lane]
        state.temperature_rate[i, lane] = 0.0
        state.coordinate_rate[i, lane] = 0.0
    for s in range(state.side.shape[0]):
        state.side_rate[s, 0, lane] = 0.0
        state.side_rate[s, 1, lane] = 0.0


@compiled
def move_iterate(state: State, work: Work, lane: int) -> None:
    """Move the iterate by the corrections of a pass that is to be repeated."""
    for i in range(state.temperature.shape[0]):
        state.temperature[i, lane] += work.change_t[i, lane]
        state.coordinate[i, lane] += work.change_m[i, lane]
    for s in range(state.side.shape[0]):
        state.side[s, 0, lane] = work.new_side[s, 0, lane]
        state.side[s, 1, lane] = work.new_side[s, 1, lane]


@compiled
def take_correction(
    cells: Cells, state: State, properties: Properties, control: Control, work: Work, lane: int
) -> None:
    """Move the iterate and, by the linearised storage, the carried content and enthalpy."""
    for i in range(cells.width.shape[0]):
        d_t, d_m = work.change_t[i, lane], work.change_m[i, lane]
        above = state.temperature[i, lane] - control.reference_temperature
        content = properties.content[i, lane]
        d_w = properties.content_m[i, lane] * d_m
        capacity = cells.heat_capacity[i, lane] + WATER_HEAT_CAPACITY * content
        state.content[i, lane] = content + d_w
        state.enthalpy[i, lane] = capacity * (above + d_t) + WATER_HEAT_CAPACITY * above * d_w
    move_iterate(state, work, lane)


@compiled
def flows_now(
    special_face: Ints, linear: Floats, change_t: Floats, change_m: Floats, lane: int, flows: Floats
) -> None:
    """Fill ``flows`` with the special faces' flows after this pass, by their own linearisation."""
    n_cells = change_t.shape[0]
    for s in range(special_face.shape[0]):
        j = special_face[s]
        t_a = m_a = t_b = m_b = 0.0
        if j > 0:
            t_a, m_a = change_t[j - 1, lane], change_m[j - 1, lane]
        if j < n_cells:
            t_b, m_b = change_t[j, lane], change_m[j, lane]
        for k in range(N_FLOWS):
            flows[s, k, lane] = (
                linear[s, k, 0, lane]
                + linear[s, k, 1, lane] * t_a
                + linear[s, k, 2, lane] * m_a
                + linear[s, k, 3, lane] * t_b
                + linear[s, k, 4, lane] * m_b
            )


@compiled
def to_second_stage(
    topology: Topology,
    cells: Cells,
    tables: Tables,
    state: State,
    properties: Properties,
    control: Control,
    work: Work,
    lane: int,
) -> None:
    """Keep the flows of the first stage and set up the second."""
    flows_now(
        topology.special_face, work.linear, work.change_t, work.change_m, lane, work.first_flow
    )
    take_correction(cells, state, properties, control, work, lane)
    again = (1.0 - GAMMA) / GAMMA
    ahead = GAMMA * work.step[lane]
    for i in range(cells.width.shape[0]):
        # the carried values of the first stage are U(n) + c dt F(Y1)
        work.base_content[i, lane] += again * (state.content[i, lane] - work.base_content[i, lane])
        work.base_enthalpy[i, lane] += again * (
            state.enthalpy[i, lane] - work.base_enthalpy[i, lane]
        )
        work.first_t[i, lane] = state.temperature[i, lane]
        work.first_m[i, lane] = state.coordinate[i, lane]
        state.temperature_rate[i, lane] = (work.first_t[i, lane] - work.start_t[i, lane]) / ahead
        state.coordinate_rate[i, lane] = (work.first_m[i, lane] - work.start_m[i, lane]) / ahead
    for s in range(state.side.shape[0]):
        for side in range(2):
            work.first_side[s, side, lane] = state.side[s, side, lane]
            state.side_rate[s, side, lane] = (
                state.side[s, side, lane] - work.start_side[s, side, lane]
            ) / ahead
    guess(topology, cells, tables, state, work, work.first_m, lane, work.step[lane])
    work.stage[lane] = 1
    work.passes[lane] = 0


@compiled
def finish_step(
    topology: Topology,
    cells: Cells,
    tables: Tables,
    state: State,
    properties: Properties,
    control: Control,
    record: Record,
    work: Work,
    hour: int,
    lane: int,
) -> None:
    """Book the flows of the step, let run off what cannot be held, and keep the slopes."""
    dt = work.step[lane]
    flows_now(
        topology.special_face, work.linear, work.change_t, work.change_m, lane, work.last_flow
    )
    for s in range(topology.special_face.shape[0]):
        for k in range(N_FLOWS):
            record.flow[hour, s, k, lane] += dt * (
                (1.0 - GAMMA) * work.first_flow[s, k, lane] + GAMMA * work.last_flow[s, k, lane]
            )
    take_correction(cells, state, properties, control, work, lane)
    back = 1.0 / ((1.0 - GAMMA) * dt)
    for i in range(cells.width.shape[0]):
        state.temperature_rate[i, lane] = back * (
            state.temperature[i, lane] - work.first_t[i, lane]
        )
        state.coordinate_rate[i, lane] = back * (state.coordinate[i, lane] - work.first_m[i, lane])
        excess = state.content[i, lane] - cells.holds[i, lane]
        if excess > 0.0:
            heat = (
                WATER_HEAT_CAPACITY
                * (state.temperature[i, lane] - control.reference_temperature)
                * excess
            )
            state.content[i, lane] -= excess
            state.enthalpy[i, lane] -= heat
            state.coordinate[i, lane] -= excess / cells.full[i, lane]
            record.drained[hour, i, lane] += excess * cells.width[i, lane]
            record.drained_heat[hour, i, lane] += heat * cells.width[i, lane]
    for s in range(state.side.shape[0]):
        for side in range(2):
            state.side_rate[s, side, lane] = back * (
                state.side[s, side, lane] - work.first_side[s, side, lane]
            )
    record.counts[STEPS, lane] += 1
    work.time[lane] += dt
