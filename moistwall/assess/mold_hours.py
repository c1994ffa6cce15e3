"""The mold index from hour to hour, compiled: each hour needs the one before, so no array operation can do it."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from moistwall.solver.kernel.compile import compiled_apart

Array = NDArray[np.float64]


@compiled_apart
def follow_index(
    rate: Array,
    largest: Array,
    decline: Array,
    slow: float,
    fast: float,
    start: float,
    history: Array,
) -> None:
    """Follow the index of a surface by explicit steps of an hour.

    Parameters
    ----------
    rate, largest, decline : (n_hours,) ndarray
        Growth at k1 = k2 = 1 [1/h], largest index [-], and decline [1/h] of each hour.
    slow, fast : float
        k1 below and from index 1. [-]
    start : float
        Index before the first hour. [-]
    history : (n_hours,) ndarray
        Written: index at the end of each hour. [-]
    """
    index = start
    for hour in range(rate.size):
        grown = 0.0
        if rate[hour] > 0.0:
            k1 = slow if index < 1.0 else fast
            k2 = max(1.0 - math.exp(2.3 * (index - largest[hour])), 0.0)
            grown = rate[hour] * k1 * k2
        index = max(index + grown - decline[hour], 0.0)
        history[hour] = index
