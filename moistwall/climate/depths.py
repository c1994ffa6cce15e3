"""Depths of rain moved between hours and scaled, without losing any water."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.hours import HOURS

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

HOURLY_CAP = 30.0
"""Depth of an hour above which it is taken for a total of several hours (common practice, no
source: at Mobile 21 such hours would hold 45 % of the rain of a year). [mm]"""


def hourly_depths(depth: Array, hours: Array) -> tuple[Array, tuple[str, ...]]:
    """Put totals of several hours, which the file names as such, into the hours they fell in.

    Parameters
    ----------
    depth : (8760,) ndarray
        Depths, NaN where there is none. [mm]
    hours : (8760,) ndarray
        Hours that each of them is the total of, with its own hour the last; NaN or 1 for a plain
        hour. [h]

    Returns
    -------
    (8760,) ndarray
        Depths of single hours. What the hours before a total have of their own is taken off it;
        the rest goes in equal parts to those without rain of their own and to its own hour. [mm]
    notes : tuple of str
        How many totals there were.
    """
    spread = depth.copy()
    totals = [k for k in range(HOURS) if 1.0 < hours[k] <= 24.0 and depth[k] >= 0.0]
    for k in sorted(totals, key=lambda k: hours[k]):
        before = np.arange(k - int(hours[k]) + 1, k) % HOURS
        rest = max(depth[k] - float(np.nansum(spread[before])), 0.0)
        empty = np.append(before[~(spread[before] > 0.0)], k)
        spread[empty] = rest / empty.size
    if not totals:
        return spread, ()
    return spread, (f"rain: {len(totals)} totals of 2 to 24 h put into the hours they fell in",)


def fitted_to_total(depth: Array, total: float, cap: float = HOURLY_CAP) -> Array:
    """Multiply depths by one factor, but none beyond a cap, so that they add up to a total.

    Parameters
    ----------
    depth : (n,) ndarray
        Depths, some above 0, none above the cap. [mm]
    total : float
        What they shall add up to, to round-off. [mm]
    cap : float
        Greatest depth of an hour. [mm]

    Returns
    -------
    (n,) ndarray
        The depths. [mm]

    Raises
    ------
    ValueError
        If the hours with rain cannot hold the total below the cap.
    """
    wet = depth > 0.0
    if total > cap * np.count_nonzero(wet):
        raise ValueError(
            f"{np.count_nonzero(wet)} h of at most {cap:g} mm cannot hold {total:g} mm"
        )
    full = np.zeros(depth.shape, dtype=bool)
    while True:
        open_ = wet & ~full
        if not open_.any():
            return np.where(full, cap, 0.0)
        factor = (total - cap * np.count_nonzero(full)) / depth[open_].sum()
        over = open_ & (factor * depth > cap)
        if not over.any():
            return np.where(full, cap, np.where(open_, factor * depth, 0.0))
        full |= over


def spread_over_spells(depth: Array, wet: Flags, cap: float = HOURLY_CAP) -> Array:
    """Put what an hour has above a cap into the hours around it; the sum stays.

    Parameters
    ----------
    depth : (n,) ndarray
        Depths of a month. [mm]
    wet : (n,) ndarray of bool
        Hours with a code of rain.
    cap : float
        Greatest depth of an hour. [mm]

    Returns
    -------
    (n,) ndarray
        The depths. Water goes in equal parts into the hours of the same spell, an unbroken run of
        hours with a depth or a code of rain; a spell that cannot take it all is made longer by the
        hours before it, since totals are written at their end. [mm]
    """
    out = depth.copy()
    for k in np.flatnonzero(depth > cap):
        first = last = int(k)
        while first > 0 and (depth[first - 1] > 0.0 or wet[first - 1]):
            first -= 1
        while last < depth.size - 1 and (depth[last + 1] > 0.0 or wet[last + 1]):
            last += 1
        excess = float(out[k]) - cap
        if excess <= 0.0:
            continue
        out[k] = cap
        while excess > 1e-12:
            spell = slice(first, last + 1)
            room = np.maximum(cap - out[spell], 0.0)
            if room.sum() >= excess:
                out[spell] += _filling(room, excess)
                excess = 0.0
            elif first > 0:
                first -= 1
            elif last < depth.size - 1:
                last += 1
            else:  # a month that is full: what is left stands where it was read
                out[k] += excess
                excess = 0.0
    return out


def _filling(room: Array, water: float) -> Array:
    """Water for each hour: the same for all of them, but for those that are full with less."""
    low, high = 0.0, float(room.max())
    for _ in range(60):
        level = 0.5 * (low + high)
        low, high = (level, high) if np.minimum(room, level).sum() < water else (low, level)
    filled: Array = np.minimum(room, high)
    scaled: Array = filled * (water / filled.sum())
    return scaled
