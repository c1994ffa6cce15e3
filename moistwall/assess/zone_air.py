"""What the air of a zone was like over the year, and who brought and took its water and its heat."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.air import (
    dew_point_from_vapor_pressure,
    saturation_pressure,
    vapor_pressure_from_humidity_ratio,
)
from moistwall.assess.condensation import longest_stretch
from moistwall.assess.drying import month_sums
from moistwall.climate.hours import MONTH_DAYS
from moistwall.result import Result

Array = NDArray[np.float64]

LIMITS_RH = (0.6, 0.7, 0.8)
"""Humidities whose hours are told. [-]"""

WATER_NAMES = (
    "section",
    "air leaks",
    "ventilation",
    "people and processes",
    "room and supply air",
    "ground",
    "diffusion vent",
    "air conditioner",
    "dehumidifier",
    "fog",
)
"""Accounts of water, in the order of ``zone_flow``."""

HEAT_NAMES = (*WATER_NAMES, "other enclosure", "heating", "fan")
"""Accounts of enthalpy, behind those of water in ``zone_flow``."""

AIR_CONDITIONER, DEHUMIDIFIER = (
    WATER_NAMES.index("air conditioner"),
    WATER_NAMES.index("dehumidifier"),
)

MACHINES = ("air conditioner", "dehumidifier")
"""Accounts of machines that take water."""

TEMPERATURE, RATIO, DEMAND, DRYING, APPARATUS = 0, 1, 6, 7, 8
"""Columns of ``zone_state``."""


@dataclass(frozen=True)
class ZoneAccount:
    """What one cause did to the zone.

    Parameters
    ----------
    name : str
        What it is.
    month : (12,) ndarray
        Into the zone's air: water [kg] or enthalpy [J].
    """

    name: str
    month: Array


@dataclass(frozen=True)
class ObjectDew:
    """Hours in which dew may form on something cold.

    Parameters
    ----------
    name : str
    hours : int
        Hours in which the dew point of the zone's air is above its temperature.
    hours_month : (12,) ndarray
        By month. [h]
    mean_temperature : float
        Of its surface. [degC]
    """

    name: str
    hours: int
    hours_month: Array
    mean_temperature: float


@dataclass(frozen=True)
class ZoneYear:
    """A zone over the year.

    Parameters
    ----------
    kind : str
        'room', 'attic' or 'crawl space'.
    temperature, rh, dew_point : (n_hours,) ndarray
        [degC], [-], [degC]
    temperature_month, rh_month, dew_point_month : (12,) ndarray
        Means.
    hours_over : tuple of int
        Hours above each of `LIMITS_RH`.
    hours_over_month : (12,) ndarray
        Of these, the hours above the first. [h]
    longest_over : int
        Longest stretch above the first, the year being closed. [h]
    highest_rh, lowest_rh : float
        [-]
    water, heat : tuple of ZoneAccount
        Causes that moved anything.
    water_stored, heat_stored : float
        More at the end than at the start, in air and contents. [kg], [J]
    running_month, drying_month : (12,) ndarray
        Mean demand of the air conditioner and running share of the dehumidifier. [-]
    objects : tuple of ObjectDew
    coil_freezing_hours : int
        Hours in which the coil's apparatus dew point is below freezing while it runs.
    """

    kind: str
    temperature: Array
    rh: Array
    dew_point: Array
    temperature_month: Array
    rh_month: Array
    dew_point_month: Array
    hours_over: tuple[int, ...]
    hours_over_month: Array
    longest_over: int
    highest_rh: float
    lowest_rh: float
    water: tuple[ZoneAccount, ...]
    heat: tuple[ZoneAccount, ...]
    water_stored: float
    heat_stored: float
    running_month: Array
    drying_month: Array
    objects: tuple[ObjectDew, ...]
    coil_freezing_hours: int

    def water_by(self, name: str) -> Array:
        """Water that one cause brought in each month; zeros if it did nothing. [kg]"""
        return next((one.month for one in self.water if one.name == name), np.zeros(12))


def zone_year(result: Result) -> ZoneYear | None:
    """The zone of a result over its year.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    ZoneYear or None
        None without a zone.
    """
    if result.zone is None:
        return None
    state, flow = result.zone_state, result.zone_flow
    temperature = state[:, TEMPERATURE].copy()
    vapor = np.asarray(vapor_pressure_from_humidity_ratio(state[:, RATIO]))
    rh = vapor / saturation_pressure(temperature)
    dew_point = np.asarray(dew_point_from_vapor_pressure(vapor))
    over = [rh > limit for limit in LIMITS_RH]
    n_water = len(WATER_NAMES)
    hours = month_sums(np.ones(rh.size))
    water, heat = (
        tuple(
            ZoneAccount(name, month_sums(flow[:, first + k]))
            for k, name in enumerate(names)
            if np.any(flow[:, first + k])
        )
        for names, first in ((WATER_NAMES, 0), (HEAT_NAMES, n_water))
    )
    objects = []
    for k, name in enumerate(result.zone.objects):
        wet = dew_point > result.zone_object[:, k]
        objects.append(
            ObjectDew(
                name,
                int(wet.sum()),
                month_sums(wet.astype(float)),
                float(result.zone_object[:, k].mean()),
            )
        )
    return ZoneYear(
        kind=result.zone.kind,
        temperature=temperature,
        rh=rh,
        dew_point=dew_point,
        temperature_month=month_sums(temperature) / hours,
        rh_month=month_sums(rh) / hours,
        dew_point_month=month_sums(dew_point) / hours,
        hours_over=tuple(int(one.sum()) for one in over),
        hours_over_month=month_sums(over[0].astype(float)),
        longest_over=longest_stretch(over[0]),
        highest_rh=float(rh.max()),
        lowest_rh=float(rh.min()),
        water=water,
        heat=heat,
        water_stored=float(flow[:, :n_water].sum()),
        heat_stored=float(flow[:, n_water:].sum()),
        running_month=month_sums(np.clip(state[:, DEMAND], 0.0, 1.0)) / hours
        if _ran(flow)
        else np.zeros(12),
        drying_month=month_sums(np.clip(state[:, DRYING], 0.0, 1.0)) / hours,
        objects=tuple(objects),
        coil_freezing_hours=int(
            ((state[:, APPARATUS] < 0.0) & (flow[:, n_water + AIR_CONDITIONER] < 0.0)).sum()
        ),
    )


def _ran(flow: Array) -> bool:
    """Tell whether there is an air conditioner."""
    return bool(np.any(flow[:, len(WATER_NAMES) + AIR_CONDITIONER]))


def daily_by_month(month: Array) -> Array:
    """Mean a day of sums by month.

    Parameters
    ----------
    month : (12,) ndarray
        Sums.

    Returns
    -------
    (12,) ndarray
    """
    mean: Array = month / np.array(MONTH_DAYS, dtype=float)
    return mean
