"""Does it close? Balances recomputed from recorded states and flows, and the limits they must keep.

Nothing here comes from the kernel but what it wrote down hour by hour.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moistwall.air import HIGHEST_TEMPERATURE, LOWEST_TEMPERATURE
from moistwall.errors import BalanceError, Fault, InputError
from moistwall.result import Balance
from moistwall.solver.grid import Grid
from moistwall.solver.kernel.layout import (
    HEAT_A,
    HEAT_B,
    MOISTURE_A,
    MOISTURE_B,
    Record,
)

Array = NDArray[np.float64]

LEAST_MOVED = 1e-3
"""Share of what is stored that counts as moved at least when a balance is made relative: a section at
rest has nothing but the round-off of what it holds. [-]"""

MOISTURE_LIMIT, HEAT_LIMIT = 1e-9, 1e-6
"""Largest relative errors of the balances that are accepted. [-]"""

DRIFT_LIMIT, DRIFT_LIMIT_TEMPERATURE = 1e-3, 0.02
"""Largest storage drifts that are accepted. [w_f], [K]"""


def refuse_temperatures(grid: Grid, temperature: Array, file: str, begin: int = 0) -> None:
    """Refuse temperatures at which the pressure of saturated air is not known.

    Parameters
    ----------
    grid : Grid
        The cells.
    temperature : (n_hours, n_cells) ndarray
        What was solved. [degC]
    file : str
        What drove it, for the message.
    begin : int
        Hours before the first.

    Raises
    ------
    InputError
        With the first hour and layer that is out of range.
    """
    wrong = ~((temperature >= LOWEST_TEMPERATURE) & (temperature <= HIGHEST_TEMPERATURE))
    if np.any(wrong):
        hour, cell = np.argwhere(wrong)[0]
        raise InputError(
            Fault(
                file,
                f"hour {begin + hour + 1}, {grid.section.parts[grid.part_cell[cell]].name}",
                f"{temperature[hour, cell]:.4g} degC",
                f"the loads drive a temperature out of {LOWEST_TEMPERATURE:g} to "
                f"{HIGHEST_TEMPERATURE:g} degC, where the pressure of saturated air is known",
                "check sun, long-wave and films",
            )
        )


def check_limits(balance: Balance) -> None:
    """Refuse a balance or a storage drift that is over its limit.

    Parameters
    ----------
    balance : Balance
        What was found.

    Raises
    ------
    BalanceError
        With the value and the limit.
    """
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


def closed_balance(
    grid: Grid,
    record: Record,
    water_start: Array,
    heat_start: Array,
    changes: tuple[float, ...],
) -> Balance:
    """Balances of one lane, from recorded states and boundary flows alone.

    Parameters
    ----------
    grid : Grid
        Cells and faces.
    record : Record
        What the march left behind, one lane.
    water_start, heat_start : (n_cells,) ndarray
        Stored at the start. [kg/m2], [J/m2]
    changes : tuple of float
        Yearly changes of stored water. [kg/m2]

    Returns
    -------
    Balance
        Relative to all flows, all changes and `LEAST_MOVED` of what is stored.

    Raises
    ------
    BalanceError
        If it does not close within its limits.
    """
    width = grid.cells.width[:, 0]
    relative = []
    for stored, start, into, out, drained in (
        (record.content, water_start, MOISTURE_B, MOISTURE_A, record.drained),
        (record.enthalpy, heat_start, HEAT_B, HEAT_A, record.drained_heat),
    ):
        total = np.concatenate(([start.sum()], (stored[:, :, 0] * width).sum(axis=1)))
        storage = np.diff(total)
        flow = record.flow[..., 0]
        parts = [flow[:, 0, into], -flow[:, -1, out], -drained[:, :, 0].sum(axis=1)]
        parts += [flow[:, s, into] - flow[:, s, out] for s in grid.open_special]
        size = sum(np.abs(part).sum() for part in parts) + np.abs(storage).sum()
        size += LEAST_MOVED * np.abs(start).sum()
        missing = np.abs(storage - np.sum(parts, axis=0)).sum()
        relative.append(float(missing / size) if size > 0 else 0.0)
    balance = Balance(
        relative[0], relative[1], float(record.drift[0, 0]), float(record.drift[1, 0]), changes
    )
    check_limits(balance)
    return balance
