"""March one or many sections through a year: allocate, call the compiled kernel in chunks, collect.

Returns plain arrays. All sections of a march have the same topology; each is a lane of its own, and
its numbers do not depend on its neighbors, on the number of lanes or on how the hours are cut into chunks.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from time import perf_counter
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from moistwall.air import STANDARD_PRESSURE
from moistwall.errors import ConvergenceError
from moistwall.solver.kernel.compile import CACHE_FOLDER
from moistwall.solver.kernel.joint import N_SIDE
from moistwall.solver.kernel.layout import (
    N_COUNTS,
    N_FLOWS,
    N_PROPERTIES,
    N_ROW,
    N_TERMS,
    N_THROUGH,
    REJECTED,
    STEPS,
    Cells,
    Control,
    Faces,
    Loads,
    Record,
    State,
    Work,
)
from moistwall.solver.kernel.lookup import Properties
from moistwall.solver.kernel.march import march_hours
from moistwall.solver.kernel.within import N_PIECES
from moistwall.solver.lanes import Lanes, n_prescribed
from moistwall.solver.starting import new_state

Array = NDArray[np.float64]

HOURS_OF_YEAR = 8760

MOST_TRIES = 2**15
"""Steps and cuts in an hour after which it is given up: eight times as many as steps that are accepted whatever
their error. [-]"""

MOST_WORK = 10_000_000
"""Steps and cuts in a march, a year at most, after which it is given up: some minutes, where an ordinary year
takes seconds. [-]"""


@dataclass(frozen=True)
class Accuracy:
    """How closely the equations are solved in time.

    Parameters
    ----------
    tolerance : float
        Scales the error allowed in a step and the correction that ends a pass; 1 is the default,
        smaller is closer. [-]
    fixed : int
        Steps an hour; 0 lets the error estimate choose them. [-]
    reference_temperature : float
        Temperature at which dry material and liquid water have no enthalpy; a free choice that must
        not change any answer. [degC]
    """

    tolerance: float = 1.0
    fixed: int = 0
    reference_temperature: float = 0.0

    def control(self) -> Control:
        """Numbers for the kernel."""
        scale = self.tolerance
        return Control(
            reference_temperature=self.reference_temperature,
            pass_temperature=0.4 * scale,
            pass_coordinate=0.008 * scale,
            pass_drift=3e-4 * scale,
            step_temperature=0.36 * scale,
            step_coordinate=0.006 * scale,
            shortest=3600.0 / 4096,
            tiniest=3600.0 / 2**22,
            fixed=self.fixed,
            most_passes=25,
            most_tries=MOST_TRIES,
            most_work=MOST_WORK,
            pressure=STANDARD_PRESSURE,
            air_column=-1,
        )


def _new_work(n_cells: int, n_special: int, n_columns: int) -> Work:
    shapes: dict[str, tuple[int, ...]] = {
        "pieces": (N_PIECES, n_cells - 1),
        "out": (N_THROUGH, n_cells + 1),
        "into": (N_THROUGH, n_cells + 1),
        "rows": (N_ROW, n_cells),
        "linear": (n_special, N_FLOWS, N_TERMS),
        "sides": (n_special, 2, N_SIDE),
        "start_side": (n_special, 2),
        "first_side": (n_special, 2),
        "new_side": (n_special, 2),
        "first_flow": (n_special, N_FLOWS),
        "last_flow": (n_special, N_FLOWS),
        "weather": (n_columns,),
        "outer_share": (n_special,),
    }
    arrays: dict[str, Any] = {
        name: np.zeros(shapes.get(name, (n_cells,))) for name in Work._fields if name != "bits"
    }
    return Work(**arrays, bits=arrays["size"].view(np.int64))


def _new_properties(n_cells: int) -> Properties:
    arrays: dict[str, Any] = {name: np.zeros(n_cells) for name in Properties._fields}
    return Properties(**arrays | {"read": np.zeros((2 * N_PROPERTIES, n_cells))})


def new_record(n_hours: int, n_cells: int, n_special: int, n_lanes: int) -> Record:
    """An empty record of so many hours.

    Parameters
    ----------
    n_hours, n_cells, n_special, n_lanes : int
        Its lengths.

    Returns
    -------
    Record
        Of zeros.
    """

    def each_hour(*shape: int) -> Array:
        """Zeros, (n_hours, ..., n_lanes), in which a lane lies in one piece."""
        return np.moveaxis(np.zeros((n_lanes, n_hours, *shape)), 0, -1)

    return Record(
        temperature=each_hour(n_cells),
        humidity=each_hour(n_cells),
        content=each_hour(n_cells),
        enthalpy=each_hour(n_cells),
        side_temperature=each_hour(n_special),
        side_humidity=each_hour(n_special, 2),
        gap_air=each_hour(n_special),
        flow=each_hour(n_special, N_FLOWS),
        drained=each_hour(n_cells),
        drained_heat=each_hour(n_cells),
        counts=np.zeros((N_COUNTS, n_lanes), dtype=np.int64),
        drift=np.zeros((2, n_lanes)),
    )


Arrays = TypeVar("Arrays", Cells, Faces, State, Record)


def of_lane(arrays: Arrays, lane: int) -> Arrays:
    """Arrays of one lane: each in one piece; copies of those in which lanes lie side by side.

    Parameters
    ----------
    arrays : named tuple of arrays
        Of all lanes, the last axis the lane.
    lane : int
        Which one.

    Returns
    -------
    named tuple of arrays
    """
    pieces: list[Any] = [np.ascontiguousarray(array[..., lane]) for array in arrays]
    return type(arrays)(*pieces)


def put_back(lane: int, own: Arrays, arrays: Arrays) -> None:
    """Write arrays of one lane into those of all.

    Parameters
    ----------
    lane : int
        Which one.
    own, arrays : named tuple of arrays
        Of that lane, and of all.
    """
    for one, whole in zip(own, arrays, strict=True):
        if not np.may_share_memory(one, whole):
            whole[..., lane] = one


class March:
    """A march in progress: the sections, what acts on them, and the state they have reached.

    ``seconds`` is the time spent in the compiled kernel, ``compile_seconds`` what it took to compile
    it or to load it from its cache.

    Parameters
    ----------
    lanes : Lanes
        The sections.
    loads : Loads
        Prescribed series; a column after those of the gaps is the air through the section, from
        outside to inside. [kg/(m2 s)]
    accuracy : Accuracy
        How closely to solve.
    start_temperature : float
        Temperature everywhere at the start. [degC]
    start_rh : (n_cells, n_lanes) ndarray or None
        Relative humidity at the start; None takes what the sections say. [-]
    pressure : float
        Air pressure. [Pa]
    """

    def __init__(
        self,
        lanes: Lanes,
        loads: Loads,
        accuracy: Accuracy | None = None,
        start_temperature: float = 20.0,
        start_rh: Array | None = None,
        pressure: float = STANDARD_PRESSURE,
    ) -> None:
        self.lanes, self.loads = lanes, loads
        section = lanes.grids[0].section
        columns = n_prescribed(section)
        has_air = loads.rows.shape[2] > columns
        self.control = (
            (accuracy or Accuracy())
            .control()
            ._replace(pressure=pressure, air_column=columns if has_air else -1)
        )
        self.state = new_state(lanes, start_temperature, self.control, start_rh)
        n_cells, n_lanes = lanes.cells.width.shape
        self._shape = (n_cells, int(lanes.topology.special_face.size), n_lanes)
        self._work = _new_work(n_cells, self._shape[1], loads.rows.shape[2])
        self._properties = _new_properties(n_cells)
        self._constants = [
            (of_lane(lanes.cells, lane), of_lane(lanes.faces, lane)) for lane in range(n_lanes)
        ]
        self.seconds = 0.0
        started = perf_counter()
        self._march(0, new_record(0, n_cells, self._shape[1], n_lanes), 0, 0)
        self.compile_seconds = perf_counter() - started

    def stored(self) -> tuple[Array, Array]:
        """Water [kg/m2] and enthalpy [J/m2] that each cell carries now, (n_cells, n_lanes) each."""
        width = self.lanes.cells.width
        return self.state.content * width, self.state.enthalpy * width

    def hours(
        self, first: int, count: int, tell: Callable[[int], None] | None = None, chunk: int = 730
    ) -> Record:
        """March on through ``count`` hours of the loads, from row ``first``.

        Parameters
        ----------
        first, count : int
            Row of the loads where the first hour starts, and number of hours.
        tell : callable or None
            Called after each chunk with the number of hours done since the last call.
        chunk : int
            Hours a call of the kernel; changes nothing but how often ``tell`` is called.

        Returns
        -------
        Record

        Raises
        ------
        ConvergenceError
            If a step could not be solved at the shortest length, or an hour or the whole march takes more steps
            than `MOST_TRIES` and `MOST_WORK`.
        """
        n_cells, n_special, n_lanes = self._shape
        record = new_record(count, n_cells, n_special, n_lanes)
        for begin in range(0, count, chunk):
            n_hours = min(chunk, count - begin)
            rows = slice(begin, begin + n_hours)
            arrays: dict[str, Any] = record._asdict()
            hourly = arrays.keys() - {"counts", "drift"}
            part = Record(**arrays | {name: arrays[name][rows] for name in hourly})
            for lane in range(n_lanes):
                started = perf_counter()
                failed = self._march(lane, part, first + begin, n_hours)
                self.seconds += perf_counter() - started
                if failed >= 0:
                    self._raise(first + begin + failed, lane, part.counts[:, lane])
            if tell is not None:
                tell(n_hours)
        return record

    def _march(self, lane: int, record: Record, first: int, n_hours: int) -> int:
        """Call the kernel for one lane; with 0 hours it is only compiled, or loaded from its cache."""
        cells, faces = self._constants[lane]
        own_state, own_record = of_lane(self.state, lane), of_lane(record, lane)
        failed = march_hours(
            self.lanes.topology,
            cells,
            self.lanes.tables,
            faces,
            self.loads.rows[self.loads.set_of_lane[lane]],
            self.loads.is_step,
            own_state,
            self._properties,
            self.control,
            own_record,
            self._work,
            first,
            n_hours,
        )
        put_back(lane, own_state, self.state)
        put_back(lane, own_record, record)
        return failed

    def _raise(self, hour: int, lane: int, counts: NDArray[np.int64]) -> None:
        grid, work, control = self.lanes.grids[lane], self._work, self.control
        tried = 0
        if self.state.step[lane] > 0.0:
            whole = counts[STEPS] + counts[REJECTED] >= control.most_work
            tried = control.most_work if whole else control.most_tries
        size = np.maximum(
            np.abs(work.change_t) / control.pass_temperature,
            np.abs(work.change_m) / control.pass_coordinate,
        )
        # the sides of a joint may move on although the cells beside it have come to rest
        moved = np.abs(work.new_side - self.state.side[..., lane]) / (4.0 * control.pass_coordinate)
        size, moved = (np.where(np.isfinite(one), one, np.inf) for one in (size, moved))
        for side, face in enumerate((-1, 0)):
            cells = self.lanes.topology.special_face + face
            inside = (cells >= 0) & (cells < size.size)
            np.maximum.at(size, cells[inside], moved[inside, side])
        cell = int(np.argmax(size))
        name = grid.section.parts[grid.part_cell[cell]].name
        raise ConvergenceError(hour, cell, name, float(size[cell]), tried)


def is_cached() -> bool:
    """Whether a compiled kernel of this very copy waits in the cache, so that a run starts at once."""
    if CACHE_FOLDER is None:
        return False
    kept: Any = march_hours
    # numba's index holds nothing if the file it was made of lies elsewhere or has another time
    return bool(kept._cache._cache_file._load_index())
