"""The air of a room whose state is prescribed, hour by hour: by a standard's rule, or as it is set.

The forms of ASHRAE 160 and EN 15026 are from memory; what they give at round temperatures is tested.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moistwall.air import (
    humidity_ratio_from_vapor_pressure,
    saturation_pressure,
    vapor_pressure_from_humidity_ratio,
)
from moistwall.climate.hours import HOURS
from moistwall.climate.record import Climate
from moistwall.loads.soil import YEAR_DAYS
from moistwall.room import Ashrae160, ByOutdoorMean, RoomForm, Seasonal
from moistwall.section import Section

Array = NDArray[np.float64]

DAY_HOURS = 24
"""Hours of which the forms take the mean outdoor air. [h]"""

VAPOR_PER_GENERATION = 1.36e5
"""c of the intermediate form of ASHRAE 160: p_room = p_outdoor + c generation / air_flow.
[Pa m3/kg]"""

BASE_RATIO, OUTDOOR_SHARE = 0.004, 0.4
"""W_room = BASE_RATIO + OUTDOOR_SHARE W_outdoor of the air-conditioned form of ASHRAE 160. [-]"""


def mean_before(series: Array, hours: int) -> Array:
    """Mean of an hourly series over some hours up to and with each, the year being closed.

    Parameters
    ----------
    series : (8760,) ndarray
        Hourly values.
    hours : int
        Number of hours.

    Returns
    -------
    (8760,) ndarray
    """
    total = np.cumsum(np.concatenate((series[-hours:], series)))
    mean: Array = (total[hours:] - total[:-hours])[: series.size] / hours
    return mean


def prescribed_room(section: Section, climate: Climate) -> tuple[Array, Array]:
    """Air of the room at each hour's end, by its form or as it is set.

    Parameters
    ----------
    section : Section
        The section; hours in which nothing cools the room are left out of account.
    climate : Climate
        The year that a form follows.

    Returns
    -------
    temperature, rh : (8760,) ndarray
        [degC], [-]
    """
    if section.room is not None:
        return room_by_form(section.room, climate)
    temperature, rh = (
        np.broadcast_to(np.asarray(value, dtype=float), (HOURS,)).copy()
        for value in (section.room_temperature, section.room_rh)
    )
    return temperature, rh


def room_by_form(form: RoomForm, climate: Climate) -> tuple[Array, Array]:
    """Air of a room under a year of weather.

    Parameters
    ----------
    form : RoomForm
        What sets it.
    climate : Climate
        The year.

    Returns
    -------
    temperature, rh : (8760,) ndarray
        At the end of each hour. [degC], [-]. Where a rule gives more vapor than air can hold, the room is
        saturated.
    """
    if isinstance(form, Seasonal):
        return _seasonal(form)
    outdoors = mean_before(climate.temperature, DAY_HOURS)
    if isinstance(form, ByOutdoorMean):
        # EN 15026:2007, Annex C, figure C.1, from memory
        temperature = np.interp(outdoors, (10.0, 20.0), (20.0, 25.0))
        low = 0.3 if form.load == "normal" else 0.4
        return temperature, np.interp(outdoors, (-10.0, 20.0), (low, low + 0.3))
    return _ashrae_160(form, climate, outdoors)


def _seasonal(form: Seasonal) -> tuple[Array, Array]:
    day = np.arange(1, HOURS + 1) / 24.0
    summer = 0.5 * (1.0 + np.cos(2.0 * np.pi * (day - form.warmest_day) / YEAR_DAYS))
    temperature, rh = (
        low + (high - low) * summer
        for low, high in (
            (form.winter_temperature, form.summer_temperature),
            (form.winter_rh, form.summer_rh),
        )
    )
    return temperature, rh


def _ashrae_160(form: Ashrae160, climate: Climate, outdoors: Array) -> tuple[Array, Array]:
    """ASHRAE 160, clauses on indoor design temperature and humidity, from memory."""
    warm = outdoors + 2.8
    if form.temperature is not None:
        temperature = np.full(HOURS, form.temperature)
    elif form.kind == "intermediate":  # heated only
        temperature = np.where(outdoors <= 18.3, 21.1, warm)
    else:
        temperature = np.where(
            outdoors <= 18.3, 21.1, np.where(outdoors < 21.1, np.minimum(warm, 23.9), 23.9)
        )
    if form.kind == "simplified":
        return temperature, np.interp(outdoors, (-10.0, 20.0), (0.4, 0.7))
    if form.kind == "intermediate":
        added = VAPOR_PER_GENERATION * form.generation / form.air_flow
        vapor = mean_before(climate.vapor_pressure, DAY_HOURS) + added
    else:
        ratio = humidity_ratio_from_vapor_pressure(climate.vapor_pressure, climate.pressure)
        ratio = BASE_RATIO + OUTDOOR_SHARE * mean_before(ratio, DAY_HOURS)
        vapor = vapor_pressure_from_humidity_ratio(ratio, climate.pressure)
    return temperature, np.minimum(vapor / saturation_pressure(temperature), 1.0)
