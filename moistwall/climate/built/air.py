"""Temperature and dew point by the hour, held to the twelve values of the place."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.built.days import Days
from moistwall.climate.built.draws import Draws
from moistwall.climate.built.seasons import (
    DAYS,
    MONTH_OF_DAY,
    Seasons,
    month_means,
    smooth_days,
    smooth_hours,
    straight_days,
)
from moistwall.climate.hours import HOURS, MONTH_DAYS
from moistwall.climate.normals import MonthlyNormals
from moistwall.climate.sun_path import sun_path

Array = NDArray[np.float64]

WARMEST = 14.5
"""Solar time of the warmest hour (common practice, no source). [h]"""

RAIN_LASTS = (1.0, 0.6, 0.3)
"""How much of the cool and moist air of a rainy hour is there in it and in the next two (common
practice, no source). [-]"""

CLOSEST = 0.8
"""Distance below the air temperature at which the dew point stays where it would just reach it:
air beside the ground loses its dew before it is saturated at the height of the instruments. Fitted
to the hours of high humidity in TMY3 years. [K]"""

PASSES = 40
"""Passes in which the months are brought to their values. [-]"""


def draw_air(
    normals: MonthlyNormals, seasons: Seasons, days: Days, rain: Array, draws: Draws
) -> tuple[Array, Array]:
    """Draw temperature and dew point of each hour.

    Parameters
    ----------
    normals : MonthlyNormals
        The place; mean high, low and dew point of each month are held.
    seasons : Seasons
        How dry the place is.
    days : Days
        Departures of the days.
    rain : (8760,) ndarray
        Rain of each hour, which cools and moistens the air. [mm]
    draws : Draws
        What the numbers come from.

    Returns
    -------
    temperature, dew_point : (8760,) ndarray
        Readings at the ends of the hours; the dew point is nowhere above the temperature. [degC]

    Notes
    -----
    The day's curve rises as a sine from sunrise to `WARMEST` and falls as a cosine to the power
    1.5 to the next sunrise; its mean is midway between low and high to 0.02 of the range, so that
    mean high, low and temperature of a month fit together. The dew point moves little within a
    day: by some tenths of a kelvin, twice, and where it is dry also down in the afternoon as dry
    air is mixed in from above.

    A dew point that nears the temperature is bent away from it and never passes it. That and the
    rain move the means, so the levels, the ranges and the shape of the day of the months are
    corrected until the year has its values again, smoothly over the month borders.
    """
    solar = _solar_hours(normals)
    curve = day_curve(normals, solar)
    wet = np.minimum(sum(w * np.roll(rain > 0.0, k) for k, w in enumerate(RAIN_LASTS)), 1.0)
    swing = smooth_days(days.swing, WARMEST)
    weather = smooth_days(days.temperature) + 0.3 * draws.persistent(HOURS, 0.7)
    twice = np.cos(2.0 * np.pi * (solar - 8.0) / 12.0)
    once = np.cos(2.0 * np.pi * (solar - 5.0) / 24.0)
    moisture = smooth_days(days.dew_point) + 0.3 * draws.persistent(HOURS, 0.7)
    moisture += 0.35 * twice + 1.4 * seasons.dryness * once

    mean, wide, dew = normals.mean.copy(), normals.high - normals.low, normals.dew_point.copy()
    span, power = wide.copy(), np.ones(12)
    for _ in range(PASSES):
        shape = curve ** np.repeat(straight_days(power), 24) - 0.5
        dry_bulb = smooth_hours(mean) + weather + smooth_hours(span) * swing * shape
        gap = dry_bulb - smooth_hours(dew) - moisture
        depression = 0.5 * (gap + np.sqrt(gap**2 + 4.0 * CLOSEST**2))
        temperature = dry_bulb - 0.45 * wet * depression
        dew_point = dry_bulb - depression + 0.15 * wet * depression
        high, low = daily_extremes(temperature)
        reached = month_means(temperature)
        # a higher power makes the day's mean lower between its low and its high
        power *= np.exp(np.clip((reached - 0.5 * (high + low)) / wide, -0.1, 0.1) * 2.0)
        span += np.maximum(wide - (high - low), -0.5 * span)
        mean += normals.mean - reached
        dew += normals.dew_point - month_means(dew_point)
    rounded: Array = np.round(temperature, 2).astype(np.float64)
    return rounded, np.minimum(np.round(dew_point, 2), rounded)


def day_curve(normals: MonthlyNormals, solar: Array) -> Array:
    """Course of a clear day's temperature, 0 at its lowest and 1 at its highest.

    Parameters
    ----------
    normals : MonthlyNormals
        The place.
    solar : (8760,) ndarray
        Solar time of each hour's end. [h]

    Returns
    -------
    (8760,) ndarray
        The course. [-]
    """
    path = sun_path(normals.latitude, normals.longitude, normals.time_zone, normals.elevation)
    daylight = np.repeat((path.zenith < 90.0).reshape(DAYS, 24).sum(axis=1), 24)
    rising = np.clip(WARMEST - 12.0 + 0.5 * daylight, 6.0, 11.0)  # from sunrise to the warmest
    since_lowest = (solar - (WARMEST - rising)) % 24.0
    up = np.sin(0.5 * np.pi * np.minimum(since_lowest / rising, 1.0))
    falling = np.clip((since_lowest - rising) / (24.0 - rising), 0.0, 1.0)
    down = np.cos(0.5 * np.pi * falling) ** 3  # (1/2 + 1/2 cos(pi x))^1.5
    return np.where(since_lowest < rising, up, down)


def _solar_hours(normals: MonthlyNormals) -> Array:
    """Mean solar time of each hour's end. [h]"""
    ahead = normals.longitude / 15.0 - normals.time_zone
    return (np.arange(1.0, HOURS + 1.0) + ahead) % 24.0


def daily_extremes(temperature: Array) -> tuple[Array, Array]:
    """Means of the daily maxima and minima of each month.

    Parameters
    ----------
    temperature : (8760,) ndarray
        Readings. [degC]

    Returns
    -------
    high, low : (12,) ndarray
        The means. [degC]
    """
    by_day = temperature.reshape(DAYS, 24)
    days = np.array(MONTH_DAYS)
    high = np.bincount(MONTH_OF_DAY, by_day.max(axis=1), 12) / days
    low = np.bincount(MONTH_OF_DAY, by_day.min(axis=1), 12) / days
    return high, low
