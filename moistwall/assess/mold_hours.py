"""The mold index from hour to hour, compiled: the one loop of the answers that no array operation can take over."""

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
    slow: Array,
    fast: Array,
    index: Array,
    history: Array,
) -> None:
    """Follow the index of several surfaces by explicit steps of an hour.

    Parameters
    ----------
    rate, largest, decline : (n_hours, n) ndarray
        Growth at k1 = k2 = 1 [1/h], largest index [-], and decline [1/h] of each hour.
    slow, fast : (n,) ndarray
        k1 below and from index 1. [-]
    index : (n,) ndarray
        Index before the first hour; after the last one on return. [-]
    history : (n_hours, n) ndarray
        Written: index at the end of each hour. [-]
    """
    for hour in range(rate.shape[0]):
        for k in range(rate.shape[1]):
            now = index[k] - decline[hour, k]
            if rate[hour, k] > 0.0:
                k1 = slow[k] if index[k] < 1.0 else fast[k]
                k2 = max(1.0 - math.exp(2.3 * (index[k] - largest[hour, k])), 0.0)
                now += rate[hour, k] * k1 * k2
            index[k] = max(now, 0.0)
            history[hour, k] = index[k]
