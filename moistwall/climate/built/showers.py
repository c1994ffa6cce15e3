"""Rain by the hour: showers of a summer afternoon, the longer rain of fronts."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.built.days import Days, whole_rain_days
from moistwall.climate.built.draws import Draws
from moistwall.climate.built.seasons import DAYS, MONTH_OF_DAY, Seasons
from moistwall.climate.hours import HOURS
from moistwall.climate.normals import MonthlyNormals

Array = NDArray[np.float64]

LEAST_RAIN = 0.254
"""Rain of a day from which it counts as one with rain: 0.01 in (National Weather Service, from
memory). [mm]"""

MOST_IN_AN_HOUR = 35.0
"""Rain of a day is spread over so many hours that their mean stays below this (common practice,
no source). [mm]"""


def draw_rain(normals: MonthlyNormals, seasons: Seasons, days: Days, draws: Draws) -> Array:
    """Draw the rain of each hour.

    Parameters
    ----------
    normals : MonthlyNormals
        The place; the rain of each month is held.
    seasons : Seasons
        How much of the weather comes from fronts.
    days : Days
        Which days have rain.
    draws : Draws
        What the numbers come from.

    Returns
    -------
    (8760,) ndarray
        Rain of the hours. [mm]

    Notes
    -----
    Depths of the days are exponential (Richardson 1981, Water Resources Research 17(1), 182-190,
    doi:10.1029/WR017i001p00182, from memory), scaled to the month. A shower lasts 1 to 5 hours and
    mostly starts in the afternoon, most of its rain comes first; rain of a front lasts 3 to 12
    hours at any time of the day. A spell ends at midnight, so that it belongs to one day.
    """
    of_front, lasting, starting, depth = (draws.uniform(DAYS) for _ in range(4))
    at_random = draws.uniform(DAYS)
    uneven = -np.log(draws.uniform(24 * DAYS)).reshape(DAYS, 24)
    amount = _depths(normals, days, -np.log(depth))
    rain = np.zeros((DAYS, 24))
    for day in np.flatnonzero(days.wet):
        frontal = of_front[day] < seasons.fronts[day]
        shortest, mean = (3, 3.0) if frontal else (1, 1.5)
        hours = shortest + int(-np.log(lasting[day]) * mean)
        hours = max(min(hours, 12 if frontal else 5), int(np.ceil(amount[day] / MOST_IN_AN_HOUR)))
        hours = min(hours, 24)
        afternoon = 11.0 + 8.0 * 0.5 * (starting[day] + at_random[day])  # 11 to 19, most at 15
        anytime = starting[day] * 24.0
        start = anytime if frontal or at_random[day] < 0.3 else afternoon
        first = min(int(start), 24 - hours)
        share = 0.3 + uneven[day, :hours]
        if not frontal:
            share *= 0.6 ** np.arange(hours)
        rain[day, first : first + hours] = amount[day] * share / share.sum()
    return _to_months(normals, rain).reshape(HOURS)


def _depths(normals: MonthlyNormals, days: Days, drawn: Array) -> Array:
    """Rain of each day; those of a month add up to its rain. [mm]"""
    counts = whole_rain_days(normals)
    amount = np.zeros(DAYS)
    for month in range(12):
        here = np.flatnonzero(days.wet & (month == MONTH_OF_DAY))
        if here.size:
            mean = normals.rain[month] / counts[month]
            least = min(LEAST_RAIN, 0.5 * mean)
            amount[here] = least + (mean - least) * drawn[here] / drawn[here].mean()
    return amount


def _to_months(normals: MonthlyNormals, rain: Array) -> Array:
    """Take the round-off out of the sums of the months."""
    for month in range(12):
        here = month == MONTH_OF_DAY
        total = rain[here].sum()
        if total > 0.0:
            rain[here] *= normals.rain[month] / total
    return rain
