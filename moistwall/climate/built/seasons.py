"""From twelve values to every hour, and how strong the fronts are in each season.

The year is closed in everything here: December leads into January.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from moistwall.climate.hours import HOURS, MONTH_DAYS, MONTH_OF_HOUR
from moistwall.climate.normals import MonthlyNormals

Array = NDArray[np.float64]

DAYS = HOURS // 24
MONTH_OF_DAY: NDArray[np.int64] = MONTH_OF_HOUR[::24] - 1
"""Month, 0 to 11, of each day."""

_MONTH_HOURS = 24.0 * np.array(MONTH_DAYS)
_MONTH_ENDS = np.concatenate(([0.0], np.cumsum(_MONTH_HOURS)))


def smooth_hours(months: Array) -> Array:
    """Hourly values, without steps at the month borders, whose monthly means are those given.

    Parameters
    ----------
    months : (12,) ndarray
        Means of the months.

    Returns
    -------
    (8760,) ndarray
        Values of the hours, in the same unit.

    Notes
    -----
    The slope of the periodic cubic spline through the running sum of the values (a "histospline",
    Boneva, Kendall and Stefanov 1971, J. R. Stat. Soc. B 33(1), 1-70): a smooth curve with the
    same area as the steps in every month. Between months that differ much it passes beyond both.
    """
    mean = np.sum(months * _MONTH_HOURS) / HOURS
    excess = np.concatenate(([0.0], np.cumsum((months - mean) * _MONTH_HOURS)))
    excess[-1] = 0.0  # round-off
    running = CubicSpline(_MONTH_ENDS, excess, bc_type="periodic")
    hours: Array = mean + np.diff(running(np.arange(HOURS + 1)))
    return hours


def straight_days(months: Array) -> Array:
    """Values of the days on straight lines between the middles of the months.

    Parameters
    ----------
    months : (12,) ndarray
        Values of the months.

    Returns
    -------
    (365,) ndarray
        Values of the days, never beyond those of the two months, in the same unit.
    """
    middle = 0.5 * (_MONTH_ENDS[1:] + _MONTH_ENDS[:-1]) / 24.0
    days: Array = np.interp(np.arange(DAYS) + 0.5, middle, months, period=DAYS)
    return days


def smooth_days(days: Array, hour: float = 12.0) -> Array:
    """Hourly values on a smooth curve through one value a day.

    Parameters
    ----------
    days : (365,) ndarray
        Values of the days.
    hour : float
        Hour of the day at which the curve passes through them. [h]

    Returns
    -------
    (8760,) ndarray
        Values at the ends of the hours, in the same unit.
    """
    marks = 24.0 * np.arange(DAYS + 1)
    curve = CubicSpline(marks, np.append(days, days[0]), bc_type="periodic")
    hours: Array = curve((np.arange(1.0, HOURS + 1.0) - hour) % HOURS)
    return hours


def month_means(hours: Array) -> Array:
    """Mean of each month.

    Parameters
    ----------
    hours : (8760,) ndarray
        Values of the hours.

    Returns
    -------
    (12,) ndarray
        The means, in the same unit.
    """
    return np.bincount(MONTH_OF_HOUR - 1, hours, 12) / _MONTH_HOURS


@dataclass(frozen=True)
class Seasons:
    """How the days differ from the mean of their season.

    Parameters
    ----------
    temperature : (365,) ndarray
        Standard deviation of the daily mean temperature. [K]
    dew_point : (365,) ndarray
        Standard deviation of the daily mean dew point. [K]
    fronts : (365,) ndarray
        Share of that variance which comes from fronts: changes of air mass that move temperature
        and dew point together. [-]
    dryness : float
        0 for a humid place, 1 for a desert. [-]
    steadiness : float
        How much the prevailing wind weighs against the changing one. [-]
    """

    temperature: Array
    dew_point: Array
    fronts: Array
    dryness: float
    steadiness: float


def seasons_of(normals: MonthlyNormals) -> Seasons:
    """Spread of the days through the year, estimated from monthly means alone.

    Parameters
    ----------
    normals : MonthlyNormals
        The place.

    Returns
    -------
    Seasons
        Its spreads.

    Notes
    -----
    A place whose months differ much lies where air masses of different origin meet. With R the
    range of the monthly means of temperature and u the part of it by which a month is below the
    warmest, the standard deviation of the daily means is

        0.5 + 0.055 R                       in the warmest month,
        0.5 + 7.3 (1 - exp(-(R/11)^2.5))    in the coldest,

    and in between on a straight line in u. A dry place has about half the latter. The rule is
    fitted by eye to the TMY3 years of San Juan, Miami, Mobile, Greensboro and Phoenix and
    stands in no publication; docs/climates.md compares.
    """
    mean = normals.mean
    span = float(np.ptp(mean))
    cold = (mean.max() - mean) / span if span > 0.0 else np.zeros(12)
    depression = float(np.mean(mean - normals.dew_point))
    dryness = float(np.clip((depression - 9.0) / 9.0, 0.0, 1.0))
    summer = 0.5 + 0.055 * span
    winter = 0.5 + 7.3 * (1.0 - np.exp(-((span / 11.0) ** 2.5))) * (1.0 - 0.5 * dryness)
    temperature = summer + cold * np.maximum(winter - summer, 0.0)
    fronts = (1.0 - (summer / temperature) ** 2) * (1.0 - 0.9 * dryness)
    # moisture of mild air differs more from day to day than its temperature, that of cold air less
    more = np.interp(mean, (-5.0, 12.0), (0.3, 0.75))
    humid = temperature * (0.8 + more * np.minimum(2.0 * cold, 1.0))
    dew_point = humid + dryness * np.maximum(4.8 - humid, 0.0)
    # trades blow nearly always from one side, the winds of higher latitudes do not
    steadiness = float(np.interp(abs(normals.latitude), (18.0, 30.0), (1.3, 0.55)))
    return Seasons(
        temperature=straight_days(temperature),
        dew_point=straight_days(dew_point),
        fronts=straight_days(fronts),
        dryness=dryness,
        steadiness=steadiness,
    )
