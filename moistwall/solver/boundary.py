"""The prescribed series of a run: what the weather and the room do to a section, hour by hour.

Readings are at the hour marks and are joined by straight lines. Sunshine is known as the mean of an
hour; its values at the hour marks are chosen so that straight lines keep the year's total. Only what
does not depend on the section's state is prescribed here; emission to the sky, the state of the air in a
gap and everything else that does is worked out in the kernel.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moistwall.air import saturation_pressure, vapor_film_from_convection
from moistwall.climate.hours import HOURS, node_readings, node_values
from moistwall.climate.record import Climate
from moistwall.exposure import Pour, RainLeak
from moistwall.loads.driving_rain import driving_rain
from moistwall.loads.gap_air import wind_pressure
from moistwall.loads.leakage import section_air
from moistwall.loads.rooms import mean_before, prescribed_room
from moistwall.loads.sky import longwave_on_plane
from moistwall.loads.sun import plane_irradiance
from moistwall.loads.wind import exterior_convection
from moistwall.section import Gap, Section
from moistwall.solver.kernel.layout import (
    AIR_TEMPERATURE,
    AIR_VAPOR,
    HEAT_FILM,
    LONGWAVE,
    N_END_COLUMNS,
    RAIN,
    SUN,
    VAPOR_FILM,
    Loads,
)

Array = NDArray[np.float64]


def step_columns(n_gaps: int, n_waters: int = 0) -> NDArray[np.int64]:
    """Which columns of the loads hold for a whole hour: rain, and water that leaks in.

    Parameters
    ----------
    n_gaps, n_waters : int
        Number of gaps, and of places that water leaks to.

    Returns
    -------
    (14 + n_gaps + n_waters,) ndarray of int
        1 for a step column, 0 for a linear one; all columns after these are linear.
    """
    is_step = np.zeros(2 * N_END_COLUMNS + n_gaps + n_waters, dtype=np.int64)
    is_step[[RAIN, N_END_COLUMNS + RAIN]] = 1
    is_step[2 * N_END_COLUMNS + n_gaps :] = 1
    return is_step


def boundary_rows(section: Section, climate: Climate) -> Array:
    """Prescribed series of one section under one year of weather.

    Parameters
    ----------
    section : Section
        The section.
    climate : Climate
        The year.

    Returns
    -------
    (8761, 14 + n_gaps + n_waters + n_cuts or 1 more) ndarray
        Row k holds the instant k hours after the start of the year; of a step column, the hour before
        it. The last column is air through the whole section, if there is any.
    """
    exposure = section.exposure
    n_gaps, n_waters = len(section.gaps), len(exposure.waters)
    whole = exposure.leakage is not None and exposure.leakage.spot is None
    rows = np.zeros(
        (HOURS + 1, 2 * N_END_COLUMNS + n_gaps + n_waters + len(exposure.short_cuts) + whole)
    )
    convection = exterior_convection(climate)
    rows[:, AIR_TEMPERATURE] = node_readings(climate.temperature)
    rows[:, AIR_VAPOR] = node_readings(climate.vapor_pressure)
    rows[:, HEAT_FILM] = node_readings(convection)
    rows[:, VAPOR_FILM] = vapor_film_from_convection(rows[:, HEAT_FILM])
    rows[:, SUN] = node_values(plane_irradiance(climate, section.tilt, section.azimuth))
    rows[:, LONGWAVE] = node_readings(longwave_on_plane(climate, section.tilt))
    room = rows[:, N_END_COLUMNS : 2 * N_END_COLUMNS]
    room_temperature, room_rh = room_air(section, climate)
    room[:, AIR_TEMPERATURE] = node_readings(room_temperature)
    room[:, AIR_VAPOR] = node_readings(room_rh * saturation_pressure(room_temperature))
    room[:, HEAT_FILM] = section.room_film
    room[:, VAPOR_FILM] = section.room_vapor_film
    for k, gap in enumerate(section.gaps):
        rows[:, 2 * N_END_COLUMNS + k] = _gap_column(gap, climate)
    rain = rain_on(section, climate)
    rows[1:, RAIN] = rain
    for k, water in enumerate(exposure.waters, start=2 * N_END_COLUMNS + n_gaps):
        rows[1:, k] = water_at(water, rain)
    if exposure.leakage is not None:
        rows[:, -1] = section_air(
            exposure.leakage, climate, section.azimuth, section.tilt, room_temperature, room_rh
        )
    return rows


def _gap_column(gap: Gap, climate: Climate) -> Array | float:
    """What drives the air of a gap: its air changes, or the wind's pressure between its openings."""
    if gap.openings is not None:
        return wind_pressure(climate, gap.openings.wind_coefficient)
    rate = gap.air_changes
    return node_values(rate) if isinstance(rate, np.ndarray) else float(rate)


def rain_on(section: Section, climate: Climate) -> Array:
    """Driving rain on the outer face of a section, as a step column.

    Parameters
    ----------
    section : Section
        The section; without a rain load there is none.
    climate : Climate
        The year; where it knows no rain there is none either, which the result says.

    Returns
    -------
    (8760,) ndarray
        [kg/(m2 s)]
    """
    load = section.exposure.rain
    if load is None or climate.rain is None:
        return np.zeros(HOURS)
    hourly = driving_rain(
        climate,
        section.tilt,
        section.azimuth,
        exposure_factor=load.exposure_factor,
        deposition_factor=load.deposition_factor,
    )
    rate: Array = hourly / 3600.0
    return rate


def water_at(water: RainLeak | Pour, rain: Array) -> Array:
    """Water that arrives at a spot, as a step column.

    Parameters
    ----------
    water : RainLeak or Pour
        What arrives.
    rain : (8760,) ndarray
        Driving rain on the section. [kg/(m2 s)]

    Returns
    -------
    (8760,) ndarray
        [kg/(m2 s)]
    """
    if isinstance(water, RainLeak):
        return water.share * rain
    rate = np.zeros(rain.size)
    rate[water.first_hour : water.first_hour + water.hours] = water.amount / (3600.0 * water.hours)
    return rate


def room_air(section: Section, climate: Climate) -> tuple[Array, Array]:
    """Air inside at each hour's end: as it is set, but for the hours in which nothing cools it.

    Parameters
    ----------
    section : Section
        The section.
    climate : Climate
        The year, which the room follows while it is not cooled.

    Returns
    -------
    temperature, rh : (8760,) ndarray
        [degC], [-]. Where the means of an uncooled room would be above saturation, it is saturated.
    """
    temperature, rh = prescribed_room(section, climate)
    for off in section.exposure.cooling_off:
        here = slice(off.first_hour, off.first_hour + off.hours)
        warmth = mean_before(climate.temperature, off.mean_hours)[here] + off.warmer
        vapor = mean_before(climate.vapor_pressure, off.mean_hours)[here]
        temperature[here] = warmth
        rh[here] = np.minimum(vapor / saturation_pressure(warmth), 1.0)
    return temperature, rh


def loads_of(rows: list[Array], set_of_lane: list[int], n_gaps: int, n_waters: int = 0) -> Loads:
    """Loads of several lanes that share some of their series.

    Parameters
    ----------
    rows : list of (n_rows, n_columns) ndarray
        The different series, columns as in `boundary_rows`.
    set_of_lane : list of int
        Which of them acts on each lane.
    n_gaps, n_waters : int
        Number of gaps of the sections, and of places that water leaks to.

    Returns
    -------
    Loads
    """
    series = np.ascontiguousarray(rows)
    is_step = np.zeros(series.shape[2], dtype=np.int64)
    known = step_columns(n_gaps, n_waters)
    is_step[: known.size] = known
    return Loads(series, is_step, np.array(set_of_lane, dtype=np.int64))
