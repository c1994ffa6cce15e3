"""What sets one day apart from the next: fronts, local changes, clearness, rain or none."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.built.draws import Draws
from moistwall.climate.built.seasons import DAYS, MONTH_OF_DAY, Seasons, straight_days
from moistwall.climate.hours import MONTH_DAYS
from moistwall.climate.normals import MonthlyNormals

Array = NDArray[np.float64]

FRONT_MEMORY = (0.64, 0.22)
"""Correlation of the daily temperature with that of one and of two days before, as in the TMY3
years of Mobile and Miami; that the second is smaller than the square of the first makes the
week-long swing of passing fronts. [-]"""

CLEARNESS_MEMORY = 0.29
"""Correlation of the clearness of a day with the day before (Graham, Hollands and Huget 1988,
Solar Energy 40(2), 83-92, doi:10.1016/0038-092X(88)90075-8, from memory). [-]"""


@dataclass(frozen=True)
class Days:
    """The days, as departures from the mean of their season.

    Parameters
    ----------
    front : (365,) ndarray
        The air mass, warm and moist above 0; variance 1. [-]
    temperature, dew_point : (365,) ndarray
        Departure of the daily mean. [K]
    clearness : (365,) ndarray
        Normal number that stands for the clearness of the sky, clear above 0. [-]
    swing : (365,) ndarray
        Daily range of temperature as a multiple of that of the month. [-]
    wet : (365,) ndarray of bool
        True for days with rain.
    """

    front: Array
    temperature: Array
    dew_point: Array
    clearness: Array
    swing: Array
    wet: NDArray[np.bool_]


def draw_days(normals: MonthlyNormals, seasons: Seasons, draws: Draws) -> Days:
    """Draw the days of a year.

    Parameters
    ----------
    normals : MonthlyNormals
        The place; its days with rain are held exactly, each rounded to a whole number.
    seasons : Seasons
        Spread of the days.
    draws : Draws
        What the numbers come from.

    Returns
    -------
    Days
        The days.

    Notes
    -----
    A front moves temperature, dew point and clouds together; what it leaves of the variance moves
    each for itself, with clear days a little warmer and drier. Rain comes on the cloudy days and
    before the air mass turns colder, the wetter ones first until the month has its number; hardly
    ever in frost, when it would be snow. The weights give the correlations of the TMY3 years.
    """
    fronts = seasons.fronts
    front = draws.persistent(DAYS, *FRONT_MEMORY)
    memory = 0.5 + 0.2 * seasons.dryness
    own_temperature, own_dew_point = draws.persistent(DAYS, memory), draws.persistent(DAYS, memory)
    sky = draws.persistent(DAYS, CLEARNESS_MEMORY)
    by_front = -0.5 * fronts
    clearness = by_front * front + np.sqrt(1.0 - by_front**2) * sky
    local = np.sqrt(1.0 - fronts)
    warm = np.sqrt(fronts) * front + local * (0.35 * sky + np.sqrt(1.0 - 0.35**2) * own_temperature)
    moist = np.sqrt(fronts) * front + local * (-0.4 * sky + np.sqrt(1.0 - 0.4**2) * own_dew_point)
    # the air over warm water is nearly saturated already: dry departures reach further than moist
    warm, moist = (
        _skewed(warm, 0.12 - 0.11 * fronts),
        _skewed(moist, 0.3 - 0.1 * fronts + 0.15 * seasons.dryness),
    )
    spread = 0.17 + 0.23 * fronts
    swing = 1.0 + spread * (0.65 * clearness + np.sqrt(1.0 - 0.65**2) * draws.normal(DAYS))
    temperature = seasons.temperature * warm
    turning = front - np.roll(front, -1)
    score = 0.6 * fronts * turning - 0.8 * clearness + 0.4 * moist + 0.6 * draws.normal(DAYS)
    score -= np.maximum(2.0 - (straight_days(normals.mean) + temperature), 0.0)
    return Days(
        front=front,
        temperature=temperature,
        dew_point=seasons.dew_point * moist,
        clearness=clearness,
        swing=np.maximum(swing, 0.25),
        wet=_highest(score, whole_rain_days(normals)),
    )


def whole_rain_days(normals: MonthlyNormals) -> NDArray[np.int64]:
    """Days with rain of each month as whole numbers, at least one where there is rain.

    Parameters
    ----------
    normals : MonthlyNormals
        The place.

    Returns
    -------
    (12,) ndarray of int
        The days. [-]
    """
    days = np.maximum(np.floor(normals.rain_days + 0.5), normals.rain > 0.0)
    whole: NDArray[np.int64] = np.minimum(days, np.array(MONTH_DAYS)).astype(np.int64)
    return whole


def _skewed(normal: Array, skew: Array) -> Array:
    """Bend normal numbers so that those below 0 reach further; mean and variance stay 0 and 1."""
    bend = np.exp(skew**2)
    bent: Array = (np.sqrt(bend) - np.exp(-skew * normal)) / np.sqrt((bend - 1.0) * bend)
    return bent


def _highest(score: Array, counts: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Mark the days of each month with the highest scores, as many as it has to have."""
    marked = np.zeros(DAYS, dtype=np.bool_)
    for month in range(12):
        days = np.flatnonzero(month == MONTH_OF_DAY)
        by_score = days[np.argsort(-score[days], kind="stable")]
        marked[by_score[: counts[month]]] = True
    return marked
