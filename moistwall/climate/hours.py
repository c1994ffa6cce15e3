"""The hours of a year without a leap day: their stamps, their months, and values at hour marks.

Element k of an hourly array is hour k + 1 of the year, the 60 minutes (k, k + 1]. Its stamp has
the month and day that the hour lies in and an hour from 1 to 24, the end of the hour, so hour 24
is midnight at the end of the day. There is no daylight saving time.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

HOURS = 8760
"""Hours in a year without a leap day."""

MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
"""Days in each month."""

_FIRST_DAY = tuple(sum(MONTH_DAYS[:m]) for m in range(12))

MONTH_OF_HOUR: NDArray[np.int64] = np.repeat(np.arange(1, 13), np.array(MONTH_DAYS) * 24)
"""Month, 1 to 12, of each of the 8760 hours."""
MONTH_OF_HOUR.setflags(write=False)


def hour_index(month: int, day: int, hour: int) -> int | None:
    """Index of the hour with this stamp, or None if there is no such hour in the year.

    Parameters
    ----------
    month, day : int
        Date, from 1.
    hour : int
        Hour of the day, 1 to 24, named by its end.
    """
    if not (1 <= month <= 12 and 1 <= day <= MONTH_DAYS[month - 1] and 1 <= hour <= 24):
        return None
    return (_FIRST_DAY[month - 1] + day - 1) * 24 + hour - 1


def hour_stamp(index: int) -> tuple[int, int, int]:
    """Month, day and hour (1 to 24) of an element of an hourly array; inverse of `hour_index`."""
    day, hour = divmod(index, 24)
    month = int(MONTH_OF_HOUR[index])
    return month, day - _FIRST_DAY[month - 1] + 1, hour + 1


def hour_name(index: int) -> str:
    """Stamp of an element of an hourly array in words, such as 'month 3, day 14, hour 5'."""
    return "month {}, day {}, hour {}".format(*hour_stamp(index))


def node_values(hourly_mean: Array) -> Array:
    """Values at the hour marks whose straight lines carry the energy of the hourly means.

    Parameters
    ----------
    hourly_mean : (n,) ndarray
        Mean of each hour, such as irradiance.

    Returns
    -------
    (n + 1,) ndarray
        Values at the marks 0, 1, ... n, in the same unit. Mark k is the mean of the hours before
        and after it; the year is closed, so the first and the last mark are the same.

    Notes
    -----
    The lines between the marks enclose the sum of all hours exactly: each hour gives half of its
    energy to the mark at its start and half to that at its end. A single hour is spread,
    (I[k-1] + 2 I[k] + I[k+1]) / 4 falls in hour k, which moves energy by up to an hour and a
    trace of it past sunset; nothing becomes negative, and no corner rises above the highest hour.
    """
    mark = 0.5 * (np.roll(hourly_mean, 1) + hourly_mean)
    return np.append(mark, mark[0])


def node_readings(reading: Array) -> Array:
    """Values at the hour marks from readings at the end of each hour.

    Parameters
    ----------
    reading : (n,) ndarray
        Reading at the end of each hour, such as air temperature.

    Returns
    -------
    (n + 1,) ndarray
        Values at the marks 0, 1, ... n; mark k + 1 is element k, and as the year is closed mark 0
        is the last reading.
    """
    return np.concatenate((reading[-1:], reading))
