"""Where the sun stands in the middle of each hour, and what a day would get without an atmosphere.

Position and air mass are pvlib's; it is imported where it is used, since it brings pandas.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.hours import HOURS

Array = NDArray[np.float64]

YEAR = 2001
"""Calendar year of the sun's path: without a leap day, midway in the leap cycle."""

SOLAR_CONSTANT = 1366.7
"""Irradiance outside the atmosphere at the mean distance of the sun: 0.0820 MJ/(m2 min) (Allen et
al. 1998, FAO Irrigation and Drainage Paper 56, eq. 21). [W/m2]"""


@dataclass(frozen=True)
class SunPosition:
    """Where the sun stands in the middle of each hour.

    Parameters
    ----------
    zenith : (8760,) ndarray
        Angle from the vertical, refraction included; above 90 it is below the horizon. [deg]
    azimuth : (8760,) ndarray
        Direction, clockwise from north. [deg]
    extraterrestrial : (8760,) ndarray
        Irradiance outside the atmosphere on a plane facing the sun. [W/m2]
    air_mass : (8760,) ndarray
        Relative air mass; NaN with the sun below the horizon. [-]
    """

    zenith: Array
    azimuth: Array
    extraterrestrial: Array
    air_mass: Array


@lru_cache(maxsize=16)
def sun_path(latitude: float, longitude: float, time_zone: float, elevation: float) -> SunPosition:
    """Position of the sun in the middle of each hour of a year without a leap day.

    Parameters
    ----------
    latitude, longitude : float
        North and east positive. [deg]
    time_zone : float
        Hours ahead of universal time. [h]
    elevation : float
        Height above the sea. [m]

    Returns
    -------
    SunPosition
        Read-only arrays; the same place is computed once.

    References
    ----------
    Reda and Andreas 2004, Solar Energy 76(5), 577-589, doi:10.1016/j.solener.2003.12.003;
    Kasten and Young 1989 for the air mass, doi:10.1364/AO.28.004735.
    """
    import pandas as pd
    import pvlib  # type: ignore[import-untyped]

    middle = np.arange(HOURS) + 0.5 - time_zone  # hours of universal time
    start = pd.Timestamp(f"{YEAR}-01-01", tz="UTC")
    times = pd.DatetimeIndex(start + pd.to_timedelta(middle * 3600.0, unit="s"))
    day = np.repeat(np.arange(1, HOURS // 24 + 1), 24)
    sun = pvlib.solarposition.get_solarposition(times, latitude, longitude, altitude=elevation)
    zenith = sun["apparent_zenith"].to_numpy(dtype=np.float64)
    position = SunPosition(
        zenith=zenith,
        azimuth=sun["azimuth"].to_numpy(dtype=np.float64),
        extraterrestrial=pvlib.irradiance.get_extra_radiation(day).astype(np.float64),
        air_mass=np.asarray(pvlib.atmosphere.get_relative_airmass(zenith), dtype=np.float64),
    )
    for array in vars(position).values():
        array.setflags(write=False)
    return position


def extraterrestrial_days(latitude: float) -> Array:
    """Energy of each day on a horizontal plane outside the atmosphere.

    Parameters
    ----------
    latitude : float
        North positive. [deg]

    Returns
    -------
    (365,) ndarray
        Energy of the day; 0 in the polar night. [kWh/m2]

    References
    ----------
    Allen, Pereira, Raes and Smith 1998, FAO Irrigation and Drainage Paper 56, eq. 21 and 23-25.
    """
    angle = 2.0 * np.pi * np.arange(1, 366) / 365.0
    distance = 1.0 + 0.033 * np.cos(angle)  # eq. 23
    declination = 0.409 * np.sin(angle - 1.39)  # eq. 24
    phi = np.radians(latitude)
    cos_sunset = np.clip(-np.tan(phi) * np.tan(declination), -1.0, 1.0)  # polar day and night
    sunset = np.arccos(cos_sunset)  # eq. 25
    mean_cosine = (  # eq. 21
        sunset * np.sin(phi) * np.sin(declination)
        + np.cos(phi) * np.cos(declination) * np.sin(sunset)
    ) / np.pi
    energy: Array = 0.024 * SOLAR_CONSTANT * distance * np.maximum(mean_cosine, 0.0)
    return energy
