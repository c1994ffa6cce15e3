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
from scipy.interpolate import PchipInterpolator

from moistwall.air import KELVIN, WATER_HEAT_CAPACITY, saturation_pressure
from moistwall.errors import BalanceError
from moistwall.material import REFERENCE_TEMPERATURE, Material
from moistwall.result import Balance
from moistwall.simulate import (
    DRIFT_LIMIT,
    DRIFT_LIMIT_TEMPERATURE,
    HEAT_LIMIT,
    MOISTURE_LIMIT,
)
from moistwall.solver.grid import Grid, build_grid
from moistwall.solver.kernel.layout import (
    AIR_TEMPERATURE,
    AIR_VAPOR,
    CONTENT,
    HEAT_A,
    HEAT_B,
    HEAT_FILM,
    JOINT,
    MOISTURE_A,
    MOISTURE_B,
    N_END_COLUMNS,
    VAPOR_A,
    VAPOR_B,
    VAPOR_FILM,
    Loads,
    Record,
    State,
)
from moistwall.solver.march import Accuracy, Lanes, March, join_lanes, new_state
from moistwall.verify.outputs import Wanted
from moistwall.verify.problem import Problem

Array = NDArray[np.float64]

HOURS_AT_ONCE = 2000
"""Hours marched before the record is read and dropped."""

LEAST_MOVED = 1e-3
"""Share of what is stored that a balance is measured against where less moves. [-]"""

FLOWS = {
    "heat": (HEAT_A, HEAT_B),
    "moisture": (MOISTURE_A, MOISTURE_B),
    "vapor": (VAPOR_A, VAPOR_B),
}


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
    """
    grid = _grid(problem, refine)
    lanes = join_lanes([grid])
    # without air through the section its column is left out, and with it the work that it makes
    used = slice(None) if np.any(problem.loads[:, -1]) else slice(-1)
    rows = np.ascontiguousarray(problem.loads[None, :, used])
    loads = Loads(rows, problem.is_step[used], np.zeros(1, dtype=np.int64))
    march = March(lanes, loads, accuracy, pressure=problem.pressure)
    march.state = _start(problem, grid, lanes, march, refine)
    reader = _Reader(problem, grid, refine)
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
    for what, value, limit in (
        ("the moisture balance", balance.moisture_relative, MOISTURE_LIMIT),
        ("the heat balance", balance.heat_relative, HEAT_LIMIT),
        ("the storage drift of moisture", balance.storage_drift, DRIFT_LIMIT),
        (
            "the storage drift of heat [K]",
            balance.storage_drift_temperature,
            DRIFT_LIMIT_TEMPERATURE,
        ),
    ):
        if not value <= limit:
            raise BalanceError(f"{what} is {value:.3g}, over its limit of {limit:g}")
    return balance


def _layer_cells(grid: Grid) -> dict[str, NDArray[np.int64]]:
    """Cells of each layer, skins left out."""
    parts = grid.section.parts
    return {
        layer.name: np.flatnonzero((grid.part_cell == parts.index(layer)) & ~grid.is_skin)
        for layer in grid.section.layers
    }


def _start(problem: Problem, grid: Grid, lanes: Lanes, march: March, refine: int) -> State:
    """State that the problem starts from, cell by cell; a skin starts as the cell beside it."""
    temperature, rh = np.empty(grid.n_cells), np.empty(grid.n_cells)
    content = np.full(grid.n_cells, np.nan)
    cells = _layer_cells(grid)
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


class _Reader:
    """Reads what is wanted from the record of each chunk."""

    def __init__(self, problem: Problem, grid: Grid, refine: int) -> None:
        self.problem, self.grid, self.refine = problem, grid, refine
        self.cells = _layer_cells(grid)
        n_times = problem.output_hours.size
        self.series = {wanted.name: np.full(n_times, np.nan) for wanted in problem.outputs}
        self.passed: dict[str, float] = dict.fromkeys(self.series, 0.0)
        special = grid.topology.special
        self.outer = {name: int(special[own[0]]) for name, own in self.cells.items()}
        self.inner = {name: int(special[own[-1] + 1]) for name, own in self.cells.items()}

    def take(self, record: Record, begin: int, count: int) -> None:
        """Read hours ``begin`` to ``begin + count`` of the problem."""
        hours = self.problem.output_hours
        here = (hours > begin) & (hours <= begin + count)
        at = hours[here] - begin - 1
        for wanted in self.problem.outputs:
            quantity = wanted.quantity
            if quantity.endswith("passed") or quantity == "drained water":
                every = self.passed[wanted.name] + np.cumsum(self._hourly(wanted, record))
                self.passed[wanted.name] = float(every[-1])
                values = every[at]
            elif quantity in ("heat flow", "moisture flow", "vapor flow"):
                values = self._hourly(wanted, record)[at] / 3600.0
            elif quantity == "stored water":
                content = record.content[at, :, 0] * self.grid.cells.width[:, 0]
                own = slice(None) if wanted.at == "section" else self.cells[wanted.layer]
                values = content[:, own].sum(axis=1)
            elif quantity.startswith("film"):
                values = self._film_flow(wanted, record, at, begin)
            else:
                values = self._state(wanted, record, at)
            self.series[wanted.name][here] = values

    def _hourly(self, wanted: Wanted, record: Record) -> Array:
        """Sums over each hour of a flow or of what drained."""
        if wanted.quantity == "drained water":
            own = slice(None) if wanted.at == "section" else self.cells[wanted.layer]
            return np.asarray(record.drained[:, own, 0].sum(axis=1))
        out_of, into = FLOWS[wanted.quantity.split()[0]]
        place, column = {
            "outer surface": (0, into),
            "inner surface": (-1, out_of),
            "outer side": (self.outer.get(wanted.layer, 0), into),
            "inner side": (self.inner.get(wanted.layer, 0), out_of),
        }[wanted.at]
        return np.asarray(record.flow[:, place, column, 0])

    def _film_flow(
        self, wanted: Wanted, record: Record, at: NDArray[np.int64], begin: int
    ) -> Array:
        """Film times difference at the hour's end; positive from outside to inside."""
        outer = wanted.at == "outer surface"
        rows = self.problem.loads[begin + at + 1]
        first = 0 if outer else N_END_COLUMNS
        temperature, rh = self._surface(record, at, 0 if outer else -1)
        if wanted.quantity == "film heat flow":
            into = rows[:, first + HEAT_FILM] * (rows[:, first + AIR_TEMPERATURE] - temperature)
        else:
            vapor = rh * saturation_pressure(temperature)
            into = rows[:, first + VAPOR_FILM] * (rows[:, first + AIR_VAPOR] - vapor)
        return into if outer else -into

    def _surface(self, record: Record, at: NDArray[np.int64], skin: int) -> tuple[Array, Array]:
        return record.temperature[at, skin, 0], np.minimum(record.humidity[at, skin, 0], 1.0)

    def _state(self, wanted: Wanted, record: Record, at: NDArray[np.int64]) -> Array:
        if wanted.at in ("outer surface", "inner surface"):
            skin = 0 if wanted.at == "outer surface" else -1
            temperature, rh = self._surface(record, at, skin)
            return _chosen(wanted.quantity, temperature, rh, rh)
        own = self.cells[wanted.layer]
        if wanted.at in ("outer side", "inner side"):
            temperature, rh, content = self._side(wanted.layer, wanted.at, record, at)
            return _chosen(wanted.quantity, temperature, rh, content)
        temperature = record.temperature[at][:, own, 0]
        rh = np.minimum(record.humidity[at][:, own, 0], 1.0)
        values = _chosen(wanted.quantity, temperature, rh, record.content[at][:, own, 0])
        width = self.grid.cells.width[own, 0]
        if wanted.at == "layer":
            return np.asarray(values @ width / width.sum())
        if wanted.at == "cell":
            pieces = slice((wanted.cell - 1) * self.refine, wanted.cell * self.refine)
            return np.asarray(values[:, pieces].mean(axis=1))
        return self._at_depth(wanted, values, record, at)

    def _at_depth(
        self, wanted: Wanted, values: Array, record: Record, at: NDArray[np.int64]
    ) -> Array:
        """Monotone cubic through the two faces of the layer and the points of its cells."""
        own = self.cells[wanted.layer]
        x = self.grid.x_cell[own]
        half = 0.5 * self.grid.cells.width[own, 0]
        ends = []
        capillary = self._material(wanted.layer).capillary
        for side, cell in (("outer side", 0), ("inner side", -1)):
            temperature, rh, content = self._side(wanted.layer, side, record, at)
            # condensate stands in the cells of a layer that draws up nothing, not on its faces
            content = content if capillary else values[:, cell]
            ends.append(_chosen(wanted.quantity, temperature, rh, content))
        x = np.concatenate(([x[0] - half[0]], x, [x[-1] + half[-1]]))
        y = np.concatenate((ends[0][:, None], values, ends[1][:, None]), axis=1)
        if at.size == 0:
            return np.zeros(0)
        return np.asarray(PchipInterpolator(x, y, axis=1)(wanted.depth))

    def _material(self, layer: str) -> Material:
        return self.problem.materials[layer]

    def _side(
        self, layer: str, side: str, record: Record, at: NDArray[np.int64]
    ) -> tuple[Array, Array, Array]:
        """Temperature, humidity and content on a face of a layer, on its own side."""
        s = self.outer[layer] if side == "outer side" else self.inner[layer]
        assert self.grid.topology.face_kind[self.grid.topology.special_face[s]] == JOINT
        temperature = record.side_temperature[at, s, 0]
        rh = record.side_humidity[at, s, 1 if side == "outer side" else 0, 0]
        storage = self._material(layer).storage
        ln_rh = np.log(np.clip(rh, 1e-6, 1.0))
        if storage.over_suction:
            ln_rh = ln_rh * (temperature + KELVIN) / (REFERENCE_TEMPERATURE + KELVIN)
        return temperature, rh, storage.content(ln_rh)


def _chosen(quantity: str, temperature: Array, rh: Array, content: Array) -> Array:
    """Pick or derive one quantity of a state."""
    if quantity == "temperature":
        return temperature
    if quantity == "relative humidity":
        return rh
    if quantity == "vapor pressure":
        return rh * saturation_pressure(temperature)
    return content
