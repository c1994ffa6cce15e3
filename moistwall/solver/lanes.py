"""Sections of one topology, side by side: the lanes of a march."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from moistwall.section import Section
from moistwall.solver.grid import Grid
from moistwall.solver.kernel.layout import N_END_COLUMNS, Cells, Faces, Tables, Topology


@dataclass(frozen=True)
class Lanes:
    """Sections of one topology, side by side.

    Parameters
    ----------
    grids : tuple of Grid
        One a lane.
    topology, cells, tables, faces
        Arrays of the kernel, last axis the lane.
    """

    grids: tuple[Grid, ...]
    topology: Topology
    cells: Cells
    tables: Tables
    faces: Faces


def join_lanes(grids: Sequence[Grid]) -> Lanes:
    """Put sections of the same topology side by side.

    Parameters
    ----------
    grids : sequence of Grid
        One a lane.

    Returns
    -------
    Lanes

    Raises
    ------
    ValueError
        If their sequences of cells and faces differ.
    """
    first = grids[0]
    for grid in grids[1:]:
        same = all(np.array_equal(a, b) for a, b in zip(first.topology, grid.topology, strict=True))
        if not same:
            raise ValueError("sections side by side must have the same sequence of cells and faces")
    offsets = np.cumsum([0] + [grid.tables.per_step.size for grid in grids[:-1]])
    cells = Cells(
        *(
            np.concatenate([grid.cells[k] for grid in grids], axis=-1)
            for k in range(len(Cells._fields))
        )
    )
    cells = cells._replace(material=np.ascontiguousarray(cells.material + offsets[None, :]))
    tables = Tables(
        *(np.concatenate([grid.tables[k] for grid in grids]) for k in range(len(Tables._fields)))
    )
    faces = Faces(
        *(
            np.concatenate([grid.faces[k] for grid in grids], axis=-1)
            for k in range(len(Faces._fields))
        )
    )
    return Lanes(tuple(grids), first.topology, cells, tables, faces)


def n_prescribed(section: Section) -> int:
    """Columns of the loads of a section, without air through the whole of it."""
    exposure = section.exposure
    return 2 * N_END_COLUMNS + len(section.gaps) + len(exposure.waters) + len(exposure.short_cuts)
