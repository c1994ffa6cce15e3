"""From year to year: when a section repeats itself, and how it gets there sooner.

A section that dries slowly comes nearer to its repeated year by the same share each year. Two changes of
stored water in a row tell that share, and with it where the years lead; the state is put there, and the
years go on. What ends them is as without: a whole year after which stored water is back to where it was.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moistwall.air import WATER_HEAT_CAPACITY
from moistwall.solver.grid import Grid
from moistwall.solver.march import March
from moistwall.solver.tables import coordinate_of_content

Array = NDArray[np.float64]

LEAST_SHARE, LARGEST_SHARE = 0.2, 0.95
"""Shares of a year's change that remain the year after, between which the state is moved on. [-]"""

LARGEST_LOSS = 0.8
"""Share of its water that a cell is moved to lose at once, at most. [-]"""


class SpinUp:
    """Changes of stored water, and what they lead to.

    Parameters
    ----------
    grid : Grid
        The section's grid.
    """

    def __init__(self, grid: Grid) -> None:
        self.grid = grid
        self.changes: list[float] = []
        self._before: Array | None = None

    def year_ended(self, start: Array, end: Array) -> float:
        """Note a year.

        Parameters
        ----------
        start, end : (n_cells,) ndarray
            Stored water at its start and end. [kg/m2]

        Returns
        -------
        float
            Change over the year, summed over the parts without sign. [kg/m2]
        """
        grid = self.grid
        self._last, self._end = end - start, end
        by_part = np.bincount(grid.part_cell, self._last, len(grid.section.parts))
        self.changes.append(float(np.abs(by_part).sum()))
        return self.changes[-1]

    def move_on(self, march: March) -> bool:
        """Move the state to where the last two years lead, if they tell; True if it was moved.

        With d1 and d2 the changes of two years in a row and r = d1.d2 / d1.d1 the share that remains, the
        years lead to the last state plus r / (1 - r) d2 (Aitken 1926, for the slowest mode).
        """
        before, self._before = self._before, self._last
        if before is None:
            return False
        share = float(before @ self._last) / max(float(before @ before), 1e-300)
        if not LEAST_SHARE < share < LARGEST_SHARE:
            return False
        self._before = None  # the next change starts from another state
        cells = self.grid.cells
        content = march.state.content[:, 0]
        wanted = content + share / (1.0 - share) * self._last / cells.width[:, 0]
        wanted = np.clip(
            wanted, (1.0 - LARGEST_LOSS) * content, np.maximum(content, cells.holds[:, 0])
        )
        for cell in np.flatnonzero(~self.grid.is_skin):
            _put_content(self.grid, march, int(cell), float(wanted[cell]))
        return True


def _put_content(grid: Grid, march: March, cell: int, content: float) -> None:
    """Give a cell another water content, at its temperature."""
    state, cells, tables = march.state, grid.cells, grid.tables
    material = int(cells.material[cell, 0])
    (m,) = coordinate_of_content(tables, material, np.array([content]))
    above = state.temperature[cell, 0] - march.control.reference_temperature
    state.coordinate[cell, 0] = m
    state.content[cell, 0] = content
    capacity = cells.heat_capacity[cell, 0] + WATER_HEAT_CAPACITY * content
    state.enthalpy[cell, 0] = capacity * above
