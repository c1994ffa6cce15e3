"""The year's water of each layer by cause and month: through its two faces, by leaks, run off, stored."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.assess.drying import month_sums
from moistwall.result import Result

Array = NDArray[np.float64]

CAUSES = (
    "vapor_outer",
    "liquid_outer",
    "vapor_inner",
    "liquid_inner",
    "leaks",
    "air",
    "drained",
)
"""Columns of a layer's table, each counted into the layer: vapor and liquid through its outer and its
inner face (rain on the outermost face is liquid), water that leaks to it, vapor that air along a short cut
leaves, what runs off (negative)."""


@dataclass(frozen=True)
class LayerBudget:
    """Water of one layer, the surfaces in air that lie on it included.

    Parameters
    ----------
    part : str
        The layer.
    month : (12, 7) ndarray
        Into the layer by month, columns `CAUSES`. [kg/m2]
    stored : float
        What it stores more at the year's end. [kg/m2]
    missing : float
        What the causes leave unexplained of it. [kg/m2]
    """

    part: str
    month: Array
    stored: float
    missing: float


def layer_budgets(result: Result) -> list[LayerBudget]:
    """Account for the water of every layer.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    list of LayerBudget
        From outside to inside; together with what the gaps' air takes they are the budget of the section.
    """
    n_cells = result.part_cell.size
    special = _special_of_faces(result)
    waters = [one for one in result.arrivals if one.kind != "air"]
    found = []
    for k, part in enumerate(result.parts):
        own = np.flatnonzero(result.part_cell == k)
        if part.kind != "layer":
            continue
        first, last = int(special[own[0]]), int(special[own[-1] + 1])
        leaks = np.zeros(result.n_hours)
        at_face = {first: np.zeros(result.n_hours), last: np.zeros(result.n_hours)}
        for n, arrival in enumerate(waters):
            if arrival.cell in own:
                leaks += result.water_arrival[:, n]
                if arrival.special in at_face:
                    at_face[arrival.special] = at_face[arrival.special] + result.water_arrival[:, n]
        air = np.zeros(result.n_hours)
        air_at = {first: np.zeros(result.n_hours), last: np.zeros(result.n_hours)}
        for arrival in result.arrivals:
            # in a gap or at an end the leak's air cannot be told from the air that is there
            if (
                arrival.kind != "air"
                or arrival.cell not in own
                or _is_open(result, arrival.special)
            ):
                continue
            s = arrival.special
            left = result.moisture_b[:, s] - result.moisture_a[:, s]
            for n, water in enumerate(waters):
                if water.special == s:
                    left = left - result.water_arrival[:, n]
            air += left
            if s in air_at:
                air_at[s] = air_at[s] + left
        into_outer = result.moisture_b[:, first] - at_face[first] - air_at[first]
        into_inner = -result.moisture_a[:, last] - at_face[last] - air_at[last]
        vapor_outer = result.vapor_b[:, first] - air_at[first]
        vapor_inner = -result.vapor_a[:, last] - air_at[last]
        drained = -result.drained_cell[:, own].sum(axis=1)
        columns = (
            vapor_outer,
            into_outer - vapor_outer,
            vapor_inner,
            into_inner - vapor_inner,
            leaks,
            air,
            drained,
        )
        month = np.stack([month_sums(column) for column in columns], axis=1)
        stored = float((result.water_cell[1, own] - result.water_cell[0, own]).sum())
        found.append(LayerBudget(part.name, month, stored, stored - float(month.sum())))
    assert special[n_cells] == result.moisture_a.shape[1] - 1
    return found


def _special_of_faces(result: Result) -> NDArray[np.int64]:
    """Column of the flow arrays for each face, -1 within a layer."""
    skin, part = result.skin_cell == 1, result.part_cell
    inside = ~skin[1:] & ~skin[:-1] & (part[1:] == part[:-1])
    kept = np.concatenate(([True], ~inside, [True]))
    return np.where(kept, np.cumsum(kept) - 1, -1)


def _is_open(result: Result, special: int) -> bool:
    ends = (0, result.moisture_a.shape[1] - 1)
    return special in ends or special in {gap.face for gap in result.gaps}
