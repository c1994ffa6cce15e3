"""The places of a grid by name: sides of interfaces, surfaces in air, and where leaks arrive."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.exposure import Leakage, Pour, RainLeak
from moistwall.section import Section
from moistwall.solver.kernel.layout import Topology

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Side:
    """One side of a face that is not within a layer: a place of which the assessment speaks.

    Parameters
    ----------
    name : str
        Name of the interface, 'outer part | inner part'.
    side : {'a', 'b'}
        a is its outer side, b its inner side; a surface in air has one only.
    part : str
        The layer that this side belongs to.
    special : int
        Place of the face among the special ones; for a surface, of the joint behind its skin.
    cell : int
        Cell that touches it.
    skin : int
        The skin, where the side is a surface in air; else -1.
    position : float
        Depth from the outer face. [m]
    """

    name: str
    side: str
    part: str
    special: int
    cell: int
    skin: int
    position: float


def name_sides(
    section: Section,
    topology: Topology,
    labels: list[tuple[str, list[str]]],
    x_cell: Array,
    part_cell: NDArray[np.int64],
    half: Array,
) -> tuple[Side, ...]:
    """Name the two sides of every joint between layers, and the surface at every skin.

    Parameters
    ----------
    section : Section
        The section.
    topology : Topology
        Its faces.
    labels : list of (str, list of str)
        Of every special face after the first, its kind and the names across it.
    x_cell, half : (n_cells,) ndarray
        Depth of the cells' points, and their distance to their faces. [m]
    part_cell : (n_cells,) ndarray of int
        Index into ``section.parts``.

    Returns
    -------
    tuple of Side
        From outside to inside.
    """
    found: list[Side] = []
    for s, (kind, names) in enumerate(labels, start=1):
        if kind == "gap":
            continue
        j = int(topology.special_face[s])
        i = j - 1
        shown = [
            name or "outdoor air" if n == 0 else name or "room air" for n, name in enumerate(names)
        ]
        label = " | ".join(shown)
        part = [section.parts[part_cell[cell]].name for cell in (i, j)]
        x = float(x_cell[i] + half[i])
        film = len(names) > 2
        for side, cell, other in (("a", i, j), ("b", j, i)):
            if topology.is_skin[cell] == 1:
                # a bare surface is one place; behind a coat the skin and the layer are two
                found.append(Side(label, side, part[side == "b"], s, other, cell, x))
            elif not (topology.is_skin[other] == 1 and not film):
                found.append(Side(label, side, part[side == "b"], s, cell, -1, x))
    return tuple(found)


def arrival_places(
    arrivals: Sequence[RainLeak | Pour | Leakage],
    section: Section,
    part_cell: NDArray[np.int64],
    is_skin: NDArray[np.int64],
    special: NDArray[np.int64],
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Find the cells that water or air reaches by a way of its own.

    Parameters
    ----------
    arrivals : sequence of RainLeak, Pour or Leakage
        What arrives; each has a spot.
    section : Section
        The section.
    part_cell, is_skin, special : ndarray of int
        As in `Grid` and `Topology`.

    Returns
    -------
    special, inner : (n,) ndarray of int
        Special face beside each cell, and 1 where the cell lies inside of it.
    """
    names = [part.name for part in section.parts]
    found = []
    for arrival in arrivals:
        assert arrival.spot is not None
        layer = np.flatnonzero((part_cell == names.index(arrival.spot.part)) & (is_skin == 0))
        if arrival.spot.face == "outer":
            face = int(layer[0])
            skin = 0 if arrival.spot.under_films else is_skin[face - 1]
            found.append((special[face - skin], 1))
        else:
            face = int(layer[-1]) + 1
            skin = 0 if arrival.spot.under_films else is_skin[face]
            found.append((special[face + skin], 0))
    table = np.array(found, dtype=np.int64).reshape(-1, 2)
    return np.ascontiguousarray(table[:, 0]), np.ascontiguousarray(table[:, 1])
