"""Sun and clouds by the hour, from the mean sun of the months and the clearness of the days.

The clearness index is the part of the extraterrestrial sun that reaches a horizontal plane, over
an hour or over a day.

References
----------
.. [1] Bendt, Collares-Pereira and Rabl 1981, Solar Energy 27(1), 1-5,
   doi:10.1016/0038-092X(81)90013-X: the distribution of the daily clearness index.
.. [2] Hollands and Huget 1983, Solar Energy 30(3), 195-209, doi:10.1016/0038-092X(83)90149-4: its
   upper end (both as given in Duffie and Beckman, Solar Engineering of Thermal Processes,
   section 2.9; from memory).
.. [3] Aguiar and Collares-Pereira 1992, Solar Energy 49(3), 167-174,
   doi:10.1016/0038-092X(92)90068-L: the hours of a day (from memory).
.. [4] Erbs, Klein and Duffie 1982, Solar Energy 28(4), 293-302,
   doi:10.1016/0038-092X(82)90302-4: the diffuse part.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from moistwall.climate.built.days import Days
from moistwall.climate.built.draws import Draws
from moistwall.climate.built.seasons import (
    DAYS,
    MONTH_OF_DAY,
    Seasons,
    month_means,
    smooth_days,
    straight_days,
)
from moistwall.climate.hours import HOURS, MONTH_OF_HOUR
from moistwall.climate.normals import MonthlyNormals
from moistwall.climate.sun_path import SunPosition, sun_path
from moistwall.errors import ClimateError, Fault

Array = NDArray[np.float64]

DULLEST_DAY = 0.05
"""Least clearness index of a day (reference 1). [-]"""

CLEAREST_HOUR = 0.82
"""Largest clearness index of an hour at the level of the sea (common practice, no source); it
rises by 2e-5 per meter of elevation as in FAO Irrigation and Drainage Paper 56, eq. 37. [-]"""

LOWEST_SUN = 0.2
"""Cosine of the zenith angle below which the sun is too low for its clearness to tell the clouds:
there they come from the clearness of the day alone. [-]"""


@dataclass(frozen=True)
class Sunshine:
    """Sun and clouds of each hour; fields as in `Climate`."""

    sun_global: Array
    sun_direct: Array
    sun_diffuse: Array
    cloud: Array


def draw_sunshine(
    normals: MonthlyNormals, seasons: Seasons, days: Days, rain: Array, draws: Draws
) -> Sunshine:
    """Draw sun and clouds of each hour.

    Parameters
    ----------
    normals : MonthlyNormals
        The place; the mean sun of each month is held.
    seasons : Seasons
        How much of the weather comes from fronts.
    days : Days
        How clear each day is.
    rain : (8760,) ndarray
        Rain of each hour, in which the sun is dimmed and the sky covered. [mm]
    draws : Draws
        What the numbers come from.

    Returns
    -------
    Sunshine
        Sun and clouds; direct x cosine of the zenith angle + diffuse is global in every hour.

    Raises
    ------
    ClimateError
        If the sun of a month cannot be reached, since the sun hardly rises in it.
    """
    path = sun_path(normals.latitude, normals.longitude, normals.time_zone, normals.elevation)
    outside = path.extraterrestrial * np.maximum(np.cos(np.radians(path.zenith)), 0.0)
    outside_days = outside.reshape(DAYS, 24).sum(axis=1)
    outside_months = np.bincount(MONTH_OF_DAY, outside_days, 12)
    sun_months = normals.sun * 1000.0 / 24.0 * np.bincount(MONTH_OF_HOUR - 1, minlength=12)
    if np.any((sun_months > 0.0) & (outside_months <= 0.0)):
        month = int(np.argmax((sun_months > 0.0) & (outside_months <= 0.0)))
        problem = "there is no sun in this month at this latitude"
        given = f"{normals.sun[month]:g} kWh/(m2 day)"
        place = f"monthly values '{normals.name}'"
        raise ClimateError(Fault(place, f"sun, month {month + 1}", given, problem, "write 0"))
    mean = np.where(outside_months > 0.0, sun_months / np.maximum(outside_months, 1e-9), 0.5)
    of_day = _daily_clearness(mean, seasons, days.clearness)
    spread = draws.persistent(HOURS, 0.6)
    dimmed = np.where(rain > 0.0, 0.35, 1.0)
    of_hour = _hourly_clearness(of_day, path, spread) * dimmed
    weight = (
        of_day * outside_days / np.maximum((of_hour * outside).reshape(DAYS, 24).sum(axis=1), 1e-9)
    )
    of_hour *= np.repeat(weight, 24)
    highest = CLEAREST_HOUR + 2e-5 * normals.elevation
    sun_global = _to_months(normals, np.minimum(of_hour, highest) * outside, highest * outside)
    clearness = sun_global / np.maximum(outside, 1e-9)
    direct, diffuse = _split(sun_global, path)
    return Sunshine(
        sun_global=sun_global,
        sun_direct=direct,
        sun_diffuse=diffuse,
        cloud=_cloud(normals, seasons, of_day, clearness, spread, path, rain),
    )


def _daily_clearness(mean: Array, seasons: Seasons, drawn: Array) -> Array:
    """Clearness index of each day, whose distribution has the mean of the season.

    The density is exponential between the dullest and the clearest day (reference 1); its exponent
    is solved for here instead of taken from the authors' fit. Where there are few fronts, days are
    more alike than at the stations the distribution comes from: the TMY3 years of San Juan and
    Miami have 0.55 of its spread.
    """
    clearest = 0.6313 + 0.267 * mean - 11.9 * np.maximum(mean - 0.75, -0.75) ** 8  # reference 2
    clearest = np.maximum(clearest, mean + 0.04)
    exponent = _exponent(mean, clearest)
    middle, top, rate = straight_days(mean), straight_days(clearest), straight_days(exponent)
    share = ndtr(drawn)
    rate = np.where(np.abs(rate) < 1e-6, 1e-6, rate)
    # quantile of a density exp(rate x) between DULLEST_DAY and top
    span = np.expm1(rate * (top - DULLEST_DAY))
    clearness = DULLEST_DAY + np.log1p(share * span) / rate
    alike = 0.55 + 0.4 * seasons.fronts
    narrowed: Array = middle + alike * (clearness - middle)
    return narrowed


def _exponent(mean: Array, clearest: Array) -> Array:
    """Exponent with which the density of the clearness index has the wanted mean, by bisection."""
    wanted = np.maximum(mean, DULLEST_DAY + 0.02) - DULLEST_DAY
    width = clearest - DULLEST_DAY
    low, high = np.full(12, -60.0), np.full(12, 60.0)
    for _ in range(60):
        middle = 0.5 * (low + high)
        middle = np.where(np.abs(middle) < 1e-9, 1e-9, middle)
        # mean of the density, written so that it does not overflow
        reached = width / -np.expm1(-middle * width) - 1.0 / middle
        low, high = (
            np.where(reached < wanted, middle, low),
            np.where(reached < wanted, high, middle),
        )
    found: Array = 0.5 * (low + high)
    return found


def _hourly_clearness(of_day: Array, path: SunPosition, drawn: Array) -> Array:
    """Clearness index of each hour about that of its day (reference 3)."""
    k = np.repeat(of_day, 24)
    sine = np.maximum(np.cos(np.radians(path.zenith)), 0.05)
    level = -0.19 + 1.12 * k + 0.24 * np.exp(-8.0 * k)
    depth = 0.32 - 1.6 * (k - 0.5) ** 2
    rate = 0.19 + 2.27 * k**2 - 2.51 * k**3
    middle = level + depth * np.exp(-rate / sine)
    spread = 0.14 * np.exp(-20.0 * (k - 0.35) ** 2)
    spread *= np.exp((3.0 * (k - 0.45) ** 2 + 16.0 * k**5) * (1.0 - sine))
    hours: Array = np.maximum(middle + spread * drawn, 0.05 * k)
    return hours


def _to_months(normals: MonthlyNormals, sun: Array, highest: Array) -> Array:
    """Scale the hours of each month to its mean sun; no hour passes the clearest sky."""
    wanted = normals.sun * 1000.0 / 24.0
    for _ in range(200):
        reached = month_means(sun)
        if np.all(np.abs(reached - wanted) <= 1e-7 * wanted):
            return sun
        factor = wanted / np.maximum(reached, 1e-9)
        sun = np.minimum(sun * factor[MONTH_OF_HOUR - 1], highest)
    month = int(np.argmax(np.abs(month_means(sun) - wanted)))
    raise ClimateError(
        Fault(
            f"monthly values '{normals.name}'",
            f"sun, month {month + 1}",
            f"{normals.sun[month]:g} kWh/(m2 day)",
            "is more than clear hours give in this month at this latitude",
            "correct the value or its unit",
        )
    )


def _split(sun_global: Array, path: SunPosition) -> tuple[Array, Array]:
    """Direct and diffuse sun (reference 4)."""
    import pvlib  # type: ignore[import-untyped]

    day = np.repeat(np.arange(1, DAYS + 1), 24)
    parts = pvlib.irradiance.erbs(sun_global, path.zenith, day)
    direct = np.asarray(parts["dni"], dtype=np.float64)
    diffuse = np.asarray(parts["dhi"], dtype=np.float64)
    return direct, diffuse


def _cloud(
    normals: MonthlyNormals,
    seasons: Seasons,
    of_day: Array,
    clearness: Array,
    drawn: Array,
    path: SunPosition,
    rain: Array,
) -> Array:
    """Opaque sky cover: by day of day and hour, at night of the days before and after.

    Under fronts the sky is more often all clear or all covered.
    """
    smooth = smooth_days(of_day)
    high_sun = np.cos(np.radians(path.zenith)) > LOWEST_SUN
    seen = np.where(high_sun, 0.5 * (smooth + clearness), smooth + 0.08 * drawn)
    contrast = 1.1 + 0.6 * np.repeat(seasons.fronts, 24)
    cover = np.clip(0.5 + contrast * (opaque_cover(seen, normals.elevation) - 0.5), 0.0, 1.0)
    return np.where(rain > 0.0, np.maximum(cover, 0.85), cover)


def opaque_cover(clearness: Array, elevation: float) -> Array:
    """Opaque sky cover that goes with a clearness index.

    Parameters
    ----------
    clearness : ndarray
        Clearness index, of a day or of hours with the sun well up. [-]
    elevation : float
        Height above the sea. [m]

    Returns
    -------
    ndarray
        Part of the sky that is covered, 0 to 1. [-]

    Notes
    -----
    The curve goes through the daytime means of the TMY3 years of Mobile, Miami, San Juan and
    Phoenix: nearly covered at 0.2, half at 0.5, clear at 0.72 (more above the sea).
    """
    clear = 0.72 + 2e-5 * elevation
    bright = np.clip((clearness - 0.15) / (clear - 0.15), 0.0, 1.0)
    cover: Array = 1.0 - bright**1.6
    return cover
