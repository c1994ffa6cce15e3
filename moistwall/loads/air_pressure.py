"""What drives air through a building: how heavy the air is, and how wind presses on planes."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from moistwall.air import GAS_CONSTANT_DRY_AIR, KELVIN, density
from moistwall.climate.record import Climate
from moistwall.errors import Fault, InputError

Array = NDArray[np.float64]

GRAVITY = 9.81
"""Acceleration of gravity. [m/s2]"""

WINDWARD, SIDE, LEEWARD = 0.6, -0.65, -0.3
"""Pressure coefficients of the walls of a low building that stands alone, wind square on one of
them (Walker and Wilson 1994, as in ASHRAE Fundamentals ch. 24; from memory). [-]"""

ROOF = -0.5
"""Pressure coefficient of a roof of little slope, whatever the direction of the wind: -0.4 to -0.6
(Liddament 1986, tables for low buildings; from memory). [-]"""


def outdoor_density(climate: Climate) -> Array:
    """Density of the moist air outside at the end of each hour, as a (8760,) ndarray of kg/m3."""
    return density(climate.temperature, climate.vapor_pressure, climate.pressure)


def outdoor_dry_density(climate: Climate) -> Array:
    """Dry air in the air outside at the end of each hour, as a (8760,) ndarray of kg/m3."""
    dry: Array = climate.pressure - climate.vapor_pressure
    return dry / (GAS_CONSTANT_DRY_AIR * (climate.temperature + KELVIN))


def dynamic_pressure(climate: Climate) -> Array:
    """Dynamic pressure of the wind at 10 m at the end of each hour, as a (8760,) ndarray of Pa."""
    return 0.5 * outdoor_density(climate) * climate.wind_speed**2


def wall_coefficient(angle: ArrayLike) -> Array:
    """Wind pressure coefficient of a wall of a low building.

    Parameters
    ----------
    angle : array_like
        Angle between where the wind comes from and where the wall looks to; any number of turns.
        [deg]

    Returns
    -------
    ndarray
        Mean coefficient of the wall, for the wind at the building. [-]

    Notes
    -----
    Joins the values square on, at the sides and behind without steps: half of
    (C1 + C2) (cos^2)^(1/4) + (C1 - C2) cos^(3/4) + 2 C3 (sin^2)^2, the second with the cosine's sign.

    References
    ----------
    Walker and Wilson 1994, Practical methods for improving estimates of natural ventilation rates,
    15th AIVC Conference (from memory).
    """
    turned = np.radians(np.asarray(angle, dtype=np.float64))
    cosine, sine = np.cos(turned), np.sin(turned)
    size = np.abs(cosine)
    facing: Array = 0.5 * (
        (WINDWARD + LEEWARD) * np.sqrt(size)
        + (WINDWARD - LEEWARD) * np.sign(cosine) * size**0.75
        + 2.0 * SIDE * sine**4
    )
    return facing


def around_coefficient(angle: ArrayLike) -> Array:
    """Mean of `wall_coefficient` over the four sides of a square building.

    Parameters
    ----------
    angle : array_like
        Angle between where the wind comes from and where one of the sides looks to. [deg]

    Returns
    -------
    ndarray
        What a crawl space or an attic with vents on all sides feels of the wind. [-]
    """
    one = np.asarray(angle, dtype=np.float64)
    sides = [wall_coefficient(one + turn) for turn in (0.0, 90.0, 180.0, 270.0)]
    mean: Array = np.mean(sides, axis=0)
    return mean


def plane_coefficient(angle: ArrayLike, tilt: float) -> Array:
    """Wind pressure coefficient of a plane of a low building: a wall, a roof or a floor.

    Parameters
    ----------
    angle : array_like
        Angle between where the wind comes from and where the plane looks to. [deg]
    tilt : float
        Angle between the plane and the ground: 0 is a flat roof, 90 a wall, 180 a floor above a
        crawl space. [deg]

    Returns
    -------
    ndarray
        Coefficient. [-]

    Raises
    ------
    InputError
        If the tilt does not lie from 0 to 180 degrees.

    Notes
    -----
    `wall_coefficient` upright, `ROOF` facing up, `around_coefficient` facing down; between them by
    the squares of the sine and the cosine of the tilt (no source).
    """
    if not 0.0 <= tilt <= 180.0:
        raise InputError(Fault("", "tilt", f"{tilt:g} deg", "must lie from 0 to 180 deg"))
    level = ROOF if tilt <= 90.0 else around_coefficient(angle)
    upright = np.sin(np.radians(tilt)) ** 2
    coefficient: Array = upright * wall_coefficient(angle) + (1.0 - upright) * level
    return coefficient
