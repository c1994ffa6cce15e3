"""What a year of weather asks of walls: its fingerprint; sun, rain and vapor drive by month.

Vapor drive here compares outdoor air with the air of one room, at 75 degF and 50 %: it is inward in
hours with the higher vapor pressure outside. It says nothing about a section; sun on a wet cladding
drives vapor inward far harder.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.air import dew_point_from_vapor_pressure, saturation_pressure
from moistwall.assess.drying import month_sums
from moistwall.climate.hours import HOURS
from moistwall.climate.record import Climate
from moistwall.loads.driving_rain import airfield_index, driving_rain
from moistwall.loads.sun import plane_irradiance

Array = NDArray[np.float64]

FACINGS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
"""Directions that walls look to, 45 degrees apart from north."""

ROOM_TEMPERATURE = (75.0 - 32.0) / 1.8
"""Room that the weather is compared with: 75 degF, the cooling setpoint of many classrooms (common
practice, no source). [degC]"""

ROOM_RH = 0.5
"""Humidity of that room (common practice, no source). [-]"""

HUMID_DEW_POINT = 24.0
"""The round limit in degC beside that of 75 degF. [degC]"""

LEAST_RAIN = 1e-9
"""Rain that counts as an hour with rain: any depth but the round-off of scaling. [mm]"""


@dataclass(frozen=True)
class Fingerprint:
    """A year of weather in a few numbers.

    Parameters
    ----------
    temperature_mean, dew_point_mean : float
        Means of the hourly values. [degC]
    hours_dew_point_over_75_degF, hours_dew_point_over_24_degC : int
        Hours with a dew point above that: air that would leave water on a surface as cold as an
        air-conditioned room. [h]
    sun_per_day : float
        Global sunshine on the horizontal, mean of the days. [kWh/m2]
    rain_depth : float or None
        Rain of the year; None where none is known. [mm]
    rain_hours : int or None
        Hours with rain; None where none is known. [h]
    wettest_facing : str or None
        Which of `FACINGS` gets the most driving rain; None where no rain is known or none drives.
    wettest_rain : float or None
        Driving rain of the year on that wall, without factors for exposure or overhang; None where
        no rain is known. [kg/m2]
    """

    temperature_mean: float
    dew_point_mean: float
    hours_dew_point_over_75_degF: int  # noqa: N815
    hours_dew_point_over_24_degC: int  # noqa: N815
    sun_per_day: float
    rain_depth: float | None
    rain_hours: int | None
    wettest_facing: str | None
    wettest_rain: float | None


@dataclass(frozen=True)
class WallWeather:
    """A year of weather by month, and by the direction that a wall looks to.

    Parameters
    ----------
    sun_month : (12, 8) ndarray
        Sunshine on walls by month and facing, from the sun, the sky and the ground. [kWh/m2]
    rain_month : (12, 8) ndarray or None
        Driving rain on walls, without factors for exposure or overhang; None where no rain is
        known. [kg/m2]
    airfield_index_facing : (8,) ndarray or None
        Annual airfield index by facing, which has a limit that is to be said beside it:
        `moistwall.loads.driving_rain.INDEX_LIMIT`; None where no rain is known. [mm]
    inward_hours_month, outward_hours_month : (12,) ndarray of int
        Hours with vapor pressure outside above, and below, that of the room. [h]
    dew_point_low, dew_point_mean, dew_point_high : (365,) ndarray
        Lowest, mean and highest dew point of each day. [degC]
    """

    sun_month: Array
    rain_month: Array | None
    airfield_index_facing: Array | None
    inward_hours_month: NDArray[np.int64]
    outward_hours_month: NDArray[np.int64]
    dew_point_low: Array
    dew_point_mean: Array
    dew_point_high: Array


def room_vapor_pressure() -> float:
    """Vapor pressure of the room that the weather is compared with. [Pa]"""
    return ROOM_RH * saturation_pressure(ROOM_TEMPERATURE)


def room_dew_point() -> float:
    """Dew point of the room that the weather is compared with. [degC]"""
    return dew_point_from_vapor_pressure(room_vapor_pressure())


def azimuth_of(facing: str) -> float:
    """Direction of a facing, clockwise from north. [deg]

    Parameters
    ----------
    facing : str
        One of `FACINGS`.
    """
    return 360.0 / len(FACINGS) * FACINGS.index(facing)


def fingerprint(climate: Climate) -> Fingerprint:
    """Fingerprint of a year of weather.

    Parameters
    ----------
    climate : Climate
        The year.

    Returns
    -------
    Fingerprint
    """
    dew_point = climate.dew_point
    depth = hours = facing = wettest = None
    if climate.rain is not None:
        depth = float(climate.rain.sum())
        hours = int((climate.rain > LEAST_RAIN).sum())
        on_wall = [driving_rain(climate, 90.0, azimuth_of(one)).sum() for one in FACINGS]
        wettest = float(max(on_wall))
        facing = FACINGS[int(np.argmax(on_wall))] if wettest > 0.0 else None
    return Fingerprint(
        temperature_mean=float(climate.temperature.mean()),
        dew_point_mean=float(dew_point.mean()),
        hours_dew_point_over_75_degF=int((dew_point > ROOM_TEMPERATURE).sum()),
        hours_dew_point_over_24_degC=int((dew_point > HUMID_DEW_POINT).sum()),
        sun_per_day=float(climate.sun_global.mean() * 24.0 / 1000.0),
        rain_depth=depth,
        rain_hours=hours,
        wettest_facing=facing,
        wettest_rain=wettest,
    )


def wall_weather(climate: Climate) -> WallWeather:
    """Sun, driving rain and vapor drive of a year by month, and dew points by day.

    Parameters
    ----------
    climate : Climate
        The year.

    Returns
    -------
    WallWeather
    """
    azimuths = [azimuth_of(one) for one in FACINGS]
    sun = [month_sums(plane_irradiance(climate, 90.0, azimuth)) / 1000.0 for azimuth in azimuths]
    rain = index = None
    if climate.rain is not None:
        rain = np.transpose(
            [month_sums(driving_rain(climate, 90.0, azimuth)) for azimuth in azimuths]
        )
        index = np.array(
            [
                airfield_index(climate.wind_speed, climate.wind_direction, climate.rain, azimuth)
                for azimuth in azimuths
            ]
        )
    room, outdoor = room_vapor_pressure(), climate.vapor_pressure
    days = climate.dew_point.reshape(HOURS // 24, 24)
    return WallWeather(
        sun_month=np.transpose(sun),
        rain_month=rain,
        airfield_index_facing=index,
        inward_hours_month=month_sums((outdoor > room).astype(np.float64)).astype(np.int64),
        outward_hours_month=month_sums((outdoor < room).astype(np.float64)).astype(np.int64),
        dew_point_low=days.min(axis=1),
        dew_point_mean=days.mean(axis=1),
        dew_point_high=days.max(axis=1),
    )
