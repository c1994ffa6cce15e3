"""March a section through a year together with the zone of air at one of its ends."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from moistwall.air import humidity_ratio_from_vapor_pressure, saturation_pressure
from moistwall.climate.record import Climate
from moistwall.solver.boundary import boundary_rows, loads_of
from moistwall.solver.grid import Grid
from moistwall.solver.kernel.layout import (
    AIR_TEMPERATURE,
    AIR_VAPOR,
    N_END_COLUMNS,
    Loads,
    Record,
    State,
)
from moistwall.solver.kernel.zone import march_zone
from moistwall.solver.kernel.zone_balance import contents_of
from moistwall.solver.kernel.zone_layout import MOIST, N_ACCOUNTS, N_STATES, ZoneState
from moistwall.solver.lanes import join_lanes
from moistwall.solver.march import Accuracy, March, new_record, of_lane, put_back
from moistwall.solver.zone_series import (
    first_slope,
    machines_of,
    zone_end,
    zone_numbers,
    zone_of,
    zone_series,
)

Array = NDArray[np.float64]

START_RH = 0.6
"""Relative humidity of a zone at the start, forgotten within days. [-]"""


def march_of(grid: Grid, climate: Climate, accuracy: Accuracy | None = None) -> tuple[March, Array]:
    """A march of one section under a year, with its zone if it has one.

    Parameters
    ----------
    grid : Grid
        Cells and faces of the section.
    climate : Climate
        The year.
    accuracy : Accuracy or None
        How closely to solve.

    Returns
    -------
    march : March
    rows : (8761, n_columns) ndarray
        Its series; the air of a zone is written into them as the march goes on.
    """
    section = grid.section
    rows = boundary_rows(section, climate)
    start = float(np.mean(section.room_temperature))
    if section.zone is not None:
        zoned = ZoneMarch(grid, climate, rows, accuracy, start)
        return zoned, zoned.loads.rows[0]
    loads = loads_of([rows], [0], len(section.gaps), len(section.exposure.waters))
    return March(join_lanes([grid]), loads, accuracy, start_temperature=start), rows


class ZoneMarch(March):
    """A march of one section whose air at one end is a zone.

    Parameters
    ----------
    grid : Grid
        Cells and faces of a section with a zone.
    climate : Climate
        The year.
    rows : (8761, n_columns) ndarray
        Prescribed series of the section.
    accuracy : Accuracy or None
        How closely to solve the section in time.
    start_temperature : float
        Temperature everywhere at the start. [degC]
    """

    def __init__(
        self,
        grid: Grid,
        climate: Climate,
        rows: Array,
        accuracy: Accuracy | None = None,
        start_temperature: float = 20.0,
    ) -> None:
        section = grid.section
        zone = zone_of(section)
        vapor = START_RH * float(saturation_pressure(start_temperature))
        self.series = zone_series(section, climate, rows)
        zone_end(zone, rows, start_temperature, vapor)
        loads = _step_loads(
            loads_of([rows], [0], len(section.gaps), len(section.exposure.waters)),
            0 if zone.kind == "crawl space" else N_END_COLUMNS,
        )
        self.numbers = zone_numbers(zone)
        self._coil, self._drier = machines_of(zone)
        self._heated = int(zone.heating_setpoint is not None)
        outer = zone.kind == "crawl space"
        slope = first_slope(
            zone,
            zone.film if outer else section.room_film,
            zone.vapor_film if outer else section.room_vapor_film,
        )
        self._own = ZoneState(
            np.array([0.0, 0.0, start_temperature, vapor]),
            np.zeros(2),
            slope.copy(),
            slope,
            np.array([0.0, float(MOIST)]),
            np.array([0.5, 0.0, 0.0, 0.0]),
        )
        self._found = np.zeros(6)
        self._accounts = np.zeros(N_ACCOUNTS)
        self._kept: State | None = None
        self._pieces: list[Array] = []
        super().__init__(join_lanes([grid]), loads, accuracy, start_temperature=start_temperature)
        ratio = float(humidity_ratio_from_vapor_pressure(vapor, self.control.pressure))
        self._own.values[:2] = contents_of(
            self.numbers, start_temperature, ratio, self.control.pressure
        )
        self._found[:3] = start_temperature, ratio, 0.5

    def zone_contents(self) -> tuple[float, float]:
        """Water [kg] and enthalpy [J] that the zone carries now."""
        return float(self._own.values[0]), float(self._own.values[1])

    def zone_record(self) -> Array:
        """What was recorded of the zone since this was last asked, an hour a row."""
        found = (
            np.concatenate(self._pieces) if self._pieces else np.zeros((0, N_STATES + N_ACCOUNTS))
        )
        self._pieces = []
        return found

    def _march(self, lane: int, record: Record, first: int, n_hours: int) -> int:
        cells, faces = self._constants[lane]
        own_state, own_record = of_lane(self.state, lane), of_lane(record, lane)
        if self._kept is None:
            arrays: dict[str, Any] = own_state._asdict()
            self._kept = State(**{name: value.copy() for name, value in arrays.items()})
            self._hour = of_lane(new_record(1, *self._shape), 0)
        piece = np.zeros((n_hours, N_STATES + N_ACCOUNTS))
        failed = march_zone(
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
            self.numbers,
            self._coil,
            self._drier,
            self._heated,
            self.series,
            self._own,
            self._kept,
            self._hour,
            piece,
            self._found,
            self._accounts,
        )
        put_back(lane, own_state, self.state)
        put_back(lane, own_record, record)
        self._pieces.append(piece)
        return failed


def _step_loads(loads: Loads, column: int) -> Loads:
    """Loads whose air at one end holds for whole hours."""
    is_step = loads.is_step.copy()
    is_step[[column + AIR_TEMPERATURE, column + AIR_VAPOR]] = 1
    return loads._replace(rows=loads.rows.copy(), is_step=is_step)
