"""Wind and pressure by the hour: a daily course, gusts of days and hours, turns behind fronts."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from moistwall.air import STANDARD_PRESSURE, standard_pressure
from moistwall.climate.built.days import Days
from moistwall.climate.built.draws import Draws
from moistwall.climate.built.seasons import DAYS, Seasons, month_means, smooth_days, smooth_hours
from moistwall.climate.hours import HOURS, MONTH_OF_HOUR
from moistwall.climate.normals import MonthlyNormals

Array = NDArray[np.float64]


def draw_wind(
    normals: MonthlyNormals, seasons: Seasons, days: Days, rain: Array, draws: Draws
) -> tuple[Array, Array]:
    """Draw wind speed and direction of each hour.

    Parameters
    ----------
    normals : MonthlyNormals
        The place; the mean speed of each month is held.
    seasons : Seasons
        How steady the prevailing wind is.
    days : Days
        The fronts.
    rain : (8760,) ndarray
        Rain of each hour, in which it blows a little more. [mm]
    draws : Draws
        What the numbers come from.

    Returns
    -------
    speed : (8760,) ndarray
        Wind at 10 m. [m/s]
    direction : (8760,) ndarray
        Where it comes from, clockwise from north. [deg]

    Notes
    -----
    Speeds are distributed as by Weibull with an exponent of 2 (Justus et al. 1978, J. Appl.
    Meteorol. 17(3), 350-353, from memory), times a daily course that is stronger where there are
    few fronts. The direction is that of a sum of three vectors: the prevailing wind, the changing
    wind, and that of the fronts, which blows from the pole with cold air and as it arrives, and
    toward it with warm air.
    """
    hour = (np.arange(1.0, HOURS + 1.0) + normals.longitude / 15.0 - normals.time_zone) % 24.0
    fronts = np.repeat(seasons.fronts, 24)
    day_gusts = smooth_days(draws.persistent(DAYS, 0.45))
    gusts = 0.6 * day_gusts + 0.8 * draws.persistent(HOURS, 0.65) + 0.4 * (rain > 0.0)
    course = 1.0 + (0.45 - 0.25 * fronts) * np.cos(2.0 * np.pi * (hour - 14.0) / 24.0)
    speed = np.sqrt(-np.log1p(-ndtr(gusts))) * course
    least = 0.3 * np.min(normals.wind_speed)
    speed *= np.maximum(smooth_hours(normals.wind_speed), least)
    speed = np.round(speed * (normals.wind_speed / month_means(speed))[MONTH_OF_HOUR - 1], 2)

    colder = smooth_days(np.roll(days.front, 1) - days.front)  # than the day before
    from_pole = fronts * (0.5 * colder - 0.7 * smooth_days(days.front))
    from_pole *= 1.0 if normals.latitude >= 0.0 else -1.0
    north = from_pole + 0.6 * smooth_days(draws.persistent(DAYS, 0.5))
    east = 0.6 * smooth_days(draws.persistent(DAYS, 0.5))
    north += 0.35 * draws.persistent(HOURS, 0.7)
    east += 0.35 * draws.persistent(HOURS, 0.7)
    if normals.wind_direction is not None:
        prevailing = np.radians(normals.wind_direction)[MONTH_OF_HOUR - 1]
        north += seasons.steadiness * np.cos(prevailing)
        east += seasons.steadiness * np.sin(prevailing)
    degrees = np.degrees(np.arctan2(east, north)).astype(np.float64)
    direction: Array = np.round(degrees) % 360.0
    return speed, direction


def draw_pressure(normals: MonthlyNormals, seasons: Seasons, days: Days, draws: Draws) -> Array:
    """Draw the pressure of each hour.

    Parameters
    ----------
    normals : MonthlyNormals
        The place; its elevation sets the mean.
    seasons : Seasons
        How much the days differ: the pressure moves with them.
    days : Days
        The fronts; cold air is heavy.
    draws : Draws
        What the numbers come from.

    Returns
    -------
    (8760,) ndarray
        Station pressure. [Pa]

    Notes
    -----
    The mean is that of the standard atmosphere at the elevation. The spread of the days, 140 Pa
    and 95 Pa for each kelvin of that of the temperature, is fitted to the TMY3 years of Mobile,
    Miami, San Juan and Greensboro.

    References
    ----------
    ASHRAE Fundamentals ch. 1, eq. 3: the standard atmosphere.
    """
    mean = standard_pressure(normals.elevation)
    spread = (140.0 + 95.0 * seasons.temperature) * mean / STANDARD_PRESSURE
    own = draws.persistent(DAYS, 0.7)
    share = 0.5 * seasons.fronts
    days_departure = spread * (-share * days.front + np.sqrt(1.0 - share**2) * own)
    return np.round(mean + smooth_days(days_departure))
