"""Reading what a problem asks for from the record of a march."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from moistwall.air import KELVIN, saturation_pressure
from moistwall.material import REFERENCE_TEMPERATURE, Material
from moistwall.solver.grid import Grid
from moistwall.solver.kernel.layout import (
    AIR_TEMPERATURE,
    AIR_VAPOR,
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
    Record,
)
from moistwall.verify.outputs import Wanted
from moistwall.verify.stated import Problem

Array = NDArray[np.float64]

FLOWS = {
    "heat": (HEAT_A, HEAT_B),
    "moisture": (MOISTURE_A, MOISTURE_B),
    "vapor": (VAPOR_A, VAPOR_B),
}


def layer_cells(grid: Grid) -> dict[str, NDArray[np.int64]]:
    """Cells of each layer, skins left out."""
    parts = grid.section.parts
    return {
        layer.name: np.flatnonzero((grid.part_cell == parts.index(layer)) & ~grid.is_skin)
        for layer in grid.section.layers
    }


class Reader:
    """Reads what is wanted from the record of each chunk."""

    def __init__(self, problem: Problem, grid: Grid, refine: int) -> None:
        self.problem, self.grid, self.refine = problem, grid, refine
        self.cells = layer_cells(grid)
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
