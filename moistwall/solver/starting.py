"""The state that a march starts from."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moistwall.air import WATER_HEAT_CAPACITY
from moistwall.solver.kernel.layout import Control, State
from moistwall.solver.kernel.lookup import content_at, coordinate_of_humidity
from moistwall.solver.lanes import Lanes
from moistwall.solver.tables import coordinate_of_content

Array = NDArray[np.float64]


def new_state(
    lanes: Lanes,
    temperature: float,
    control: Control,
    start_rh: Array | None = None,
) -> State:
    """State at rest at one temperature, each layer at its own relative humidity.

    Parameters
    ----------
    lanes : Lanes
        The sections.
    temperature : float
        Temperature everywhere. [degC]
    control : Control
        Gives the reference temperature.
    start_rh : (n_cells, n_lanes) ndarray or None
        Relative humidity at the start; None takes each layer's own, or its water content where it has
        one. [-]

    Returns
    -------
    State
    """
    n_cells, n_lanes = lanes.cells.width.shape
    n_special = lanes.topology.special_face.size
    cells, tables = lanes.cells, lanes.tables
    if start_rh is None:
        rh = np.stack([grid.start_rh for grid in lanes.grids], axis=1)
        given = np.stack([grid.start_content for grid in lanes.grids], axis=1)
    else:
        rh, given = start_rh, np.full((n_cells, n_lanes), np.nan)
    coordinate = np.empty((n_cells, n_lanes))
    content = np.empty((n_cells, n_lanes))
    for i in range(n_cells):
        for lane in range(n_lanes):
            material = int(cells.material[i, lane])
            coordinate[i, lane] = coordinate_of_humidity(
                tables, material, cells.over_suction[i, lane], rh[i, lane], temperature
            )
            content[i, lane] = content_at(tables, material, coordinate[i, lane])
            if np.isfinite(given[i, lane]):
                (coordinate[i, lane],) = coordinate_of_content(tables, material, given[i, [lane]])
                content[i, lane] = content_at(tables, material, coordinate[i, lane])
    capacity = cells.heat_capacity + WATER_HEAT_CAPACITY * content
    side = np.zeros((n_special, 2, n_lanes))
    for s, j in enumerate(lanes.topology.special_face):
        for k, i in enumerate((j - 1, j)):
            if 0 <= i < n_cells:
                capillary = lanes.tables.capillary[cells.material[i]] == 1
                side[s, k] = np.where(capillary, coordinate[i], rh[i])
    return State(
        temperature=np.full((n_cells, n_lanes), float(temperature)),
        coordinate=coordinate,
        content=content,
        enthalpy=capacity * (temperature - control.reference_temperature),
        side=side,
        temperature_rate=np.zeros((n_cells, n_lanes)),
        coordinate_rate=np.zeros((n_cells, n_lanes)),
        side_rate=np.zeros((n_special, 2, n_lanes)),
        step=np.full(n_lanes, 60.0),
    )
