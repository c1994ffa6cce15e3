"""Solve a problem and gather what it asks for.

The compiled kernel does the solving, with the same grid, tables and march as every other run; here the
state at the start is laid out, and what is wanted is read from the record, chunk by chunk.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from moistwall.air import WATER_HEAT_CAPACITY
from moistwall.closing import LEAST_MOVED, check_limits, refuse_temperatures
from moistwall.result import Balance
from moistwall.solver.grid import Grid, build_grid
from moistwall.solver.kernel.layout import (
    CONTENT,
    HEAT_A,
    HEAT_B,
    MOISTURE_A,
    MOISTURE_B,
    Loads,
    Record,
    State,
)
from moistwall.solver.lanes import Lanes, join_lanes
from moistwall.solver.march import Accuracy, March
from moistwall.solver.starting import new_state
from moistwall.verify.gather import Reader, layer_cells
from moistwall.verify.stated import Problem

Array = NDArray[np.float64]

HOURS_AT_ONCE = 2000
"""Hours marched before the record is read and dropped."""


@dataclass(frozen=True)
class Answer:
    """What a problem asked for.

    Parameters
    ----------
    problem : Problem
        What was solved.
    hours : (n_times,) ndarray
        Hours at whose end the values hold; flows are means of the hour before, what has passed or
        drained is counted from the start.
    series : dict of str to (n_times,) ndarray
        Values by name of the output.
    balance : Balance
        Largest relative error of the balances over the chunks, and of the storage drift.
    counts : (5,) ndarray of int
        Steps, rejected steps, passes, forced steps, sides above saturation.
    cells : int
        Cells, skins included.
    seconds : float
        Time in the compiled kernel. [s]
    """

    problem: Problem
    hours: NDArray[np.int64]
    series: dict[str, Array]
    balance: Balance
    counts: NDArray[np.int64]
    cells: int
    seconds: float

    def table(self) -> str:
        """Give the answer as CSV: a column ``hour``, then one for each output, unit in its name.

        Returns
        -------
        str
            Numbers in full precision, so that reading them back gives the same bytes.
        """
        text = io.StringIO()
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow(["hour", *(wanted.column for wanted in self.problem.outputs)])
        columns = [self.series[wanted.name].tolist() for wanted in self.problem.outputs]
        for k, hour in enumerate(self.hours.tolist()):
            writer.writerow([hour, *(repr(column[k]) for column in columns)])
        return text.getvalue()


def run_problem(
    problem: Problem,
    *,
    accuracy: Accuracy | None = None,
    refine: int = 1,
    tell: Callable[[int], None] | None = None,
) -> Answer:
    """Solve a problem.

    Parameters
    ----------
    problem : Problem
        What to solve.
    accuracy : Accuracy or None
        How closely to solve in time.
    refine : int
        Each cell is split into this many equal ones.
    tell : callable or None
        Called with the number of hours done since its last call.

    Returns
    -------
    Answer

    Raises
    ------
    ConvergenceError
        If a step could not be solved at the shortest length.
    BalanceError
        If a balance or the storage drift is over its limit.
    InputError
        If the loads drive a temperature out of the range of the saturation pressure.
    """
    grid = _grid(problem, refine)
    lanes = join_lanes([grid])
    # without air through the section its column is left out, and with it the work that it makes
    used = slice(None) if np.any(problem.loads[:, -1]) else slice(-1)
    rows = np.ascontiguousarray(problem.loads[None, :, used])
    loads = Loads(rows, problem.is_step[used], np.zeros(1, dtype=np.int64))
    march = March(lanes, loads, accuracy, pressure=problem.pressure)
    march.state = _start(problem, grid, lanes, march, refine)
    reader = Reader(problem, grid, refine)
    worst = np.zeros(4)
    counts = np.zeros(5, dtype=np.int64)
    for begin in range(0, problem.hours, HOURS_AT_ONCE):
        count = min(HOURS_AT_ONCE, problem.hours - begin)
        water, heat = (stored[:, 0].copy() for stored in march.stored())
        record = march.hours(begin, count)
        balance = _balance(problem, grid, record, water, heat)
        worst = np.maximum(
            worst,
            (
                balance.moisture_relative,
                balance.heat_relative,
                balance.storage_drift,
                balance.storage_drift_temperature,
            ),
        )
        if problem.mode != "heat only":
            refuse_temperatures(grid, record.temperature[..., 0], problem.file, begin)
        counts += record.counts[:, 0]
        reader.take(record, begin, count)
        if tell is not None:
            tell(count)
    return Answer(
        problem,
        problem.output_hours,
        reader.series,
        Balance(float(worst[0]), float(worst[1]), float(worst[2]), float(worst[3]), ()),
        counts,
        grid.n_cells,
        march.seconds,
    )


def _grid(problem: Problem, refine: int) -> Grid:
    grid = build_grid(problem.section, refine, problem.widths)
    faces = grid.faces._replace(
        emittance=np.array(problem.emittance)[:, None],
        absorptance=np.array(problem.absorptance)[:, None],
    )
    return replace(grid, faces=faces)


def _balance(problem: Problem, grid: Grid, record: Record, water: Array, heat: Array) -> Balance:
    """Balances of a chunk: what is stored more at its end against what came, left and ran off.

    Parameters
    ----------
    water, heat : (n_cells,) ndarray
        Stored at its start. [kg/m2], [J/m2]

    Returns
    -------
    Balance
        Relative to all flows, the change and `LEAST_MOVED` of what is stored; an isothermal problem
        has no heat to balance.

    Raises
    ------
    BalanceError
        If a balance or the storage drift is over the limits of every other run.
    """
    width = grid.cells.width[:, 0]
    flow = record.flow[..., 0]
    relative = []
    for start, end, drained, into, out in (
        (water, record.content, record.drained, MOISTURE_B, MOISTURE_A),
        (heat, record.enthalpy, record.drained_heat, HEAT_B, HEAT_A),
    ):
        change = end[-1, :, 0] * width - start
        parts = [flow[:, 0, into], -flow[:, -1, out], -drained[:, :, 0].sum(axis=1)]
        parts += [flow[:, s, into] - flow[:, s, out] for s in grid.gap_special]
        size = sum(np.abs(part).sum() for part in (*parts, change))
        size += LEAST_MOVED * np.abs(start).sum()
        missing = abs(change.sum() - np.sum(parts))
        relative.append(float(missing / size) if size > 0.0 else 0.0)
    if problem.mode == "isothermal":
        relative[1] = 0.0
    balance = Balance(
        relative[0], relative[1], float(record.drift[0, 0]), float(record.drift[1, 0]), ()
    )
    check_limits(balance)
    return balance


def _start(problem: Problem, grid: Grid, lanes: Lanes, march: March, refine: int) -> State:
    """State that the problem starts from, cell by cell; a skin starts as the cell beside it."""
    temperature, rh = np.empty(grid.n_cells), np.empty(grid.n_cells)
    content = np.full(grid.n_cells, np.nan)
    cells = layer_cells(grid)
    for name, start in problem.start.items():
        own = cells[name]

        def spread(values: Array, own: NDArray[np.int64] = own) -> Array:
            return np.repeat(values, refine) if values.size > 1 else np.full(own.size, values[0])

        temperature[own] = spread(start.temperature)
        rh[own] = 0.5 if start.rh is None else spread(start.rh)
        if start.content is not None:
            content[own] = spread(start.content)
    for name, own in cells.items():
        for cell in np.flatnonzero(grid.is_skin & (grid.part_cell == grid.part_cell[own[0]])):
            beside = own[0] if cell < own[0] else own[-1]
            temperature[cell], rh[cell] = temperature[beside], rh[beside]
            if problem.start[name].content is not None:
                rh[cell] = _humidity_of_content(grid, beside, content[beside])
    state = new_state(lanes, 0.0, march.control, rh[:, None])
    for value in np.unique(temperature):
        here = temperature == value
        same = new_state(lanes, float(value), march.control, rh[:, None])
        for old, new in (
            (state.temperature, same.temperature),
            (state.coordinate, same.coordinate),
            (state.content, same.content),
        ):
            old[here] = new[here]
    capacity = grid.cells.heat_capacity[:, 0]
    for cell in np.flatnonzero(np.isfinite(content)):
        values, m = _table(grid, int(cell))
        state.coordinate[cell, 0] = np.interp(content[cell], values, m)
        state.content[cell, 0] = content[cell]
    above = state.temperature[:, 0] - march.control.reference_temperature
    state.enthalpy[:, 0] = (capacity + WATER_HEAT_CAPACITY * state.content[:, 0]) * above
    for s, j in enumerate(grid.topology.special_face):
        for k, i in enumerate((j - 1, j)):
            if 0 <= i < grid.n_cells:
                capillary = grid.tables.capillary[grid.cells.material[i, 0]] == 1
                state.side[s, k, 0] = state.coordinate[i, 0] if capillary else min(rh[i], 1.0)
    return state


def _table(grid: Grid, cell: int) -> tuple[Array, Array]:
    """Water contents of a cell's table, and the moisture coordinate at them."""
    material = int(grid.cells.material[cell, 0])
    values = grid.tables.values[material, :, CONTENT]
    return values, np.arange(values.size) / grid.tables.per_step[material]


def _humidity_of_content(grid: Grid, cell: int, content: float) -> float:
    values, m = _table(grid, int(cell))
    return float(min(np.interp(content, values, m) - content / grid.cells.full[cell, 0], 1.0))
