"""Vapor pressure pulled taut below saturation, and the water that gathers where it touches."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

AIR_PERMEABILITY = 2.0e-10
"""Permeability of still air that turns vapor resistances into thicknesses of air s_d (ISO 13788, from
memory). [kg/(m s Pa)]"""

BELOW = 1e-9
"""A corner of the line lies below its neighbors by more than this share of its pressure. [-]"""


def taut_line(x: Array, ceiling: Array, first: float, last: float) -> tuple[Array, list[int]]:
    """Line from one end to the other that is pulled tight below a ceiling.

    Parameters
    ----------
    x : (n,) ndarray
        Where the ceiling is given, strictly rising; at least two points.
    ceiling : (n,) ndarray
        Highest value at each point; those at the ends do not count.
    first, last : float
        Values at the ends.

    Returns
    -------
    line : (n,) ndarray
        Lower convex hull of the ends and the ceiling between them.
    corners : list of int
        Points between the ends at which it touches the ceiling and bends.
    """
    y = ceiling.copy()
    y[0], y[-1] = first, last
    hull: list[int] = []
    for k in range(x.size):
        while len(hull) > 1:
            a, b = hull[-2], hull[-1]
            chord = y[a] + (y[k] - y[a]) * (x[b] - x[a]) / (x[k] - x[a])
            if y[b] < chord - BELOW * abs(chord):
                break
            hull.pop()
        hull.append(k)
    line: Array = np.interp(x, x[hull], y[hull])
    return line, hull[1:-1]


@dataclass(frozen=True)
class MonthOfWater:
    """What one month has done.

    Parameters
    ----------
    vapor : (n,) ndarray
        Mean vapor pressure. [Pa]
    stored : (n,) ndarray
        Water at its end. [kg/m2]
    entered, left : float
        Vapor in at the first point and out at the last one. [kg/m2]
    """

    vapor: Array
    stored: Array
    entered: float
    left: float


def follow_month(
    x: Array, saturation: Array, ends: tuple[float, float], stored: Array, time: float
) -> MonthOfWater:
    """Follow one month of steady air from what is stored at its start.

    Parameters
    ----------
    x : (n,) ndarray
        Cumulative thickness of air s_d, strictly rising. [m]
    saturation : (n,) ndarray
        Saturation pressure. [Pa]
    ends : pair of float
        Vapor pressure at both ends, not above saturation. [Pa]
    stored : (n,) ndarray
        Water at the start; none at the ends. [kg/m2]
    time : float
        Length of the month. [s]

    Returns
    -------
    MonthOfWater

    Notes
    -----
    What dries lowers the pressure around it, so that no place that has dried turns wet again: there are
    at most as many stages as points.
    """
    stored, vapor = stored.copy(), np.zeros(x.size)
    entered = left = 0.0
    rest = time
    for _ in range(x.size + 1):
        wet = [0, *np.flatnonzero(stored > 0.0).tolist(), x.size - 1]
        held = saturation.copy()
        held[0], held[-1] = ends
        line, bends = np.empty(x.size), np.zeros(x.size, dtype=bool)
        for a, b in pairwise(wet):
            part = slice(a, b + 1)
            line[part], corners = taut_line(x[part], saturation[part], held[a], held[b])
            bends[[a + corner for corner in corners]] = True
        bends[wet[1:-1]] = True
        flow = -AIR_PERMEABILITY * np.diff(line) / np.diff(x)
        gain = np.zeros(x.size)
        gain[1:-1] = np.where(bends[1:-1], flow[:-1] - flow[1:], 0.0)
        drying = np.flatnonzero((gain < 0.0) & (stored > 0.0))
        lasts = stored[drying] / -gain[drying]
        dt = min(rest, float(lasts.min())) if drying.size else rest
        stored = np.maximum(stored + gain * dt, 0.0)  # round-off of the one that dries
        stored[drying[lasts <= dt]] = 0.0
        vapor += line * dt
        entered += float(flow[0]) * dt
        left += float(flow[-1]) * dt
        rest -= dt
        if rest <= 0.0:
            break
    assert rest <= 0.0, "a place that had dried turned wet again"
    return MonthOfWater(vapor / time, stored, entered, left)
