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
from moistwall.loads.sky import longwave_on_plane
from moistwall.loads.sun import plane_irradiance
from moistwall.loads.wind import exterior_convection
from moistwall.section import Section
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


def step_columns(n_gaps: int) -> NDArray[np.int64]:
    """Which columns of the loads hold for a whole hour: rain at either end; all others are linear.

    Parameters
    ----------
    n_gaps : int
        Number of gaps.

    Returns
    -------
    (14 + n_gaps,) ndarray of int
        1 for a step column.
    """
    is_step = np.zeros(2 * N_END_COLUMNS + n_gaps, dtype=np.int64)
    is_step[[RAIN, N_END_COLUMNS + RAIN]] = 1
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
    (8761, 14 + n_gaps) ndarray
        Row k holds the instant k hours after the start of the year.
    """
    rows = np.zeros((HOURS + 1, 2 * N_END_COLUMNS + len(section.gaps)))
    convection = exterior_convection(climate)
    rows[:, AIR_TEMPERATURE] = node_readings(climate.temperature)
    rows[:, AIR_VAPOR] = node_readings(climate.vapor_pressure)
    rows[:, HEAT_FILM] = node_readings(convection)
    rows[:, VAPOR_FILM] = vapor_film_from_convection(rows[:, HEAT_FILM])
    rows[:, SUN] = node_values(plane_irradiance(climate, section.tilt, section.azimuth))
    rows[:, LONGWAVE] = node_readings(longwave_on_plane(climate, section.tilt))
    room = rows[:, N_END_COLUMNS : 2 * N_END_COLUMNS]
    temperature, rh = (_at_marks(x) for x in (section.room_temperature, section.room_rh))
    room[:, AIR_TEMPERATURE] = temperature
    room[:, AIR_VAPOR] = rh * saturation_pressure(temperature)
    room[:, HEAT_FILM] = section.room_film
    room[:, VAPOR_FILM] = section.room_vapor_film
    for k, gap in enumerate(section.gaps):
        rate = gap.air_changes
        rows[:, 2 * N_END_COLUMNS + k] = (
            node_values(rate) if isinstance(rate, np.ndarray) else float(rate)
        )
    return rows


def _at_marks(value: float | Array) -> Array:
    """A value that holds all year, or one for each hour's end, at the 8761 hour marks."""
    return node_readings(np.broadcast_to(np.asarray(value, dtype=float), (HOURS,)))


def loads_of(rows: list[Array], set_of_lane: list[int], n_gaps: int) -> Loads:
    """Loads of several lanes that share some of their series.

    Parameters
    ----------
    rows : list of (n_rows, n_columns) ndarray
        The different series; a column after those of the gaps is air through the section.
    set_of_lane : list of int
        Which of them acts on each lane.
    n_gaps : int
        Number of gaps of the sections.

    Returns
    -------
    Loads
    """
    series = np.ascontiguousarray(rows)
    is_step = np.zeros(series.shape[2], dtype=np.int64)
    known = step_columns(n_gaps)
    is_step[: known.size] = known
    return Loads(series, is_step, np.array(set_of_lane, dtype=np.int64))
