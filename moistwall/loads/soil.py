"""Temperature of the soil at any depth: the yearly wave of the air, damped and late.

A half-space under a surface whose temperature is a cosine over the year. Rain, snow, the building
and what grows on the ground are left out; a shaded or paved surface can differ by some kelvins.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from moistwall.climate.hours import HOURS
from moistwall.climate.record import Climate
from moistwall.errors import Fault, InputError

Array = NDArray[np.float64]

YEAR_DAYS = 365.0

SOIL_DIFFUSIVITY = 0.05
"""Thermal diffusivity of moist soil (common practice, no source; dry sand has about half of it, wet
clay and rock more). [m2/day]"""


@dataclass(frozen=True)
class SurfaceWave:
    """The yearly course of temperature at the surface of the ground, as one cosine.

    Parameters
    ----------
    mean : float
        Mean of the year. [degC]
    amplitude : float
        Half of the swing over the year, 0 or more. [K]
    coldest_day : float
        Days from the start of the year to the lowest temperature, 0 to 365. [day]

    Raises
    ------
    InputError
        If a value cannot be right.
    """

    mean: float
    amplitude: float
    coldest_day: float

    def __post_init__(self) -> None:
        faults = []
        if not -60.0 <= self.mean <= 60.0:
            faults.append(Fault("", "mean", f"{self.mean:g} degC", "must lie from -60 to 60 degC"))
        if not 0.0 <= self.amplitude <= 60.0:
            given = f"{self.amplitude:g} K"
            faults.append(Fault("", "amplitude", given, "must lie from 0 to 60 K"))
        if not 0.0 <= self.coldest_day <= YEAR_DAYS:
            given = f"{self.coldest_day:g}"
            faults.append(Fault("", "coldest_day", given, "must lie from 0 to 365 days"))
        if faults:
            raise InputError(faults)


def surface_wave(climate: Climate) -> SurfaceWave:
    """The yearly wave of air temperature, which the surface of open ground is taken to follow.

    Parameters
    ----------
    climate : Climate
        The year.

    Returns
    -------
    SurfaceWave
        The cosine with a period of a year that is nearest to the hourly temperatures; north and
        south of the equator alike.

    Notes
    -----
    Open ground is on average 1 or 2 K warmer than the air where the sun is strong (common practice,
    no source). That is left out.
    """
    angle = 2.0 * np.pi * np.arange(1, HOURS + 1) / HOURS
    # the first harmonic: mean - amplitude cos(angle - phase) with the least squared error
    cosine = -2.0 * np.mean(climate.temperature * np.cos(angle))
    sine = -2.0 * np.mean(climate.temperature * np.sin(angle))
    phase = np.arctan2(sine, cosine) % (2.0 * np.pi)
    return SurfaceWave(
        mean=float(climate.temperature.mean()),
        amplitude=float(np.hypot(cosine, sine)),
        coldest_day=float(phase * YEAR_DAYS / (2.0 * np.pi)),
    )


def soil_temperature(
    wave: SurfaceWave,
    depth: ArrayLike,
    day: ArrayLike,
    *,
    diffusivity: float = SOIL_DIFFUSIVITY,
) -> Array:
    """Temperature of undisturbed soil.

    Parameters
    ----------
    wave : SurfaceWave
        Course of the surface.
    depth : array_like
        Depth below the surface, 0 or more. [m]
    day : array_like
        Days since the start of the year; same shape as ``depth``, or one that fits it. [day]
    diffusivity : float
        Thermal diffusivity of the soil, above 0. [m2/day]

    Returns
    -------
    ndarray
        Temperature. [degC]

    Raises
    ------
    InputError
        If a depth is negative or the diffusivity cannot be right.

    References
    ----------
    Kusuda and Achenbach 1965, Earth temperature and thermal diffusivity at selected stations in the
    United States, ASHRAE Trans. 71(1): T = T_m - A exp(-z sqrt(pi/(365 a))) cos(2 pi/365 (d - d_0 -
    z/2 sqrt(365/(pi a)))).
    """
    depths = np.asarray(depth, dtype=np.float64)
    if not np.all((depths >= 0.0) & np.isfinite(depths)):
        raise InputError(Fault("", "depth", "", "must be finite and not negative, in m"))
    if not 0.0 < diffusivity < np.inf:
        given = f"{diffusivity:g} m2/day"
        raise InputError(Fault("", "diffusivity", given, "must be above 0 m2/day and finite"))
    damping_depth = np.sqrt(YEAR_DAYS * diffusivity / np.pi)
    late = 0.5 * depths * YEAR_DAYS / (np.pi * damping_depth)  # z/2 sqrt(365/(pi a))
    angle = 2.0 * np.pi / YEAR_DAYS * (np.asarray(day, dtype=np.float64) - wave.coldest_day - late)
    temperature: Array = wave.mean - wave.amplitude * np.exp(-depths / damping_depth) * np.cos(
        angle
    )
    return temperature


def hourly_soil_temperature(
    climate: Climate, depth: float, *, diffusivity: float = SOIL_DIFFUSIVITY
) -> Array:
    """Temperature of undisturbed soil under a year of weather, at the end of each hour.

    Parameters
    ----------
    climate : Climate
        The year; `surface_wave` is taken from it.
    depth : float
        Depth below the surface, 0 or more. [m]
    diffusivity : float
        Thermal diffusivity of the soil, above 0. [m2/day]

    Returns
    -------
    (8760,) ndarray
        Temperature. [degC]

    Raises
    ------
    InputError
        If the depth or the diffusivity cannot be right.
    """
    day = np.arange(1, HOURS + 1) / 24.0
    return soil_temperature(surface_wave(climate), depth, day, diffusivity=diffusivity)
