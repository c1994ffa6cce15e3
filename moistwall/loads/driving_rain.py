"""Driving rain: what wind and rain together bring onto a plane, hour by hour and as yearly indices.

Rain falls on the horizontal with r_h and is carried sideways by the wind. Through an upright plane
that faces the wind come F_L U r_h; a tilted plane takes its share of both.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from moistwall.climate.record import Climate
from moistwall.errors import ClimateError, Fault, InputError

Array = NDArray[np.float64]
Exposure = Literal["sheltered", "medium", "severe"]
Deposition = Literal["below steep roof", "below low-slope roof", "subject to runoff"]

RAIN_PER_WIND = 0.2
"""F_L: driving rain through an upright plane per wind speed and rain depth (ASHRAE 160, from
memory). Drops fall at about 1 / 0.2 = 5 m/s; published means lie from 0.20 to 0.25 s/m (Straube and
Lacy, from memory). [kg s/(m3 mm)]"""

EXPOSURE_FACTORS: tuple[tuple[float, dict[Exposure, float]], ...] = (
    (10.0, {"sheltered": 0.7, "medium": 1.0, "severe": 1.3}),
    (15.0, {"sheltered": 0.8, "medium": 1.1, "severe": 1.3}),
    (20.0, {"sheltered": 0.9, "medium": 1.2, "severe": 1.4}),
    (30.0, {"sheltered": 1.1, "medium": 1.3, "severe": 1.5}),
    (40.0, {"sheltered": 1.2, "medium": 1.4, "severe": 1.5}),
    (50.0, {"sheltered": 1.3, "medium": 1.5, "severe": 1.5}),
    (np.inf, {"sheltered": 1.5, "medium": 1.5, "severe": 1.5}),
)
"""F_E: up to which height of the building [m], and the factor by exposure [-] (ASHRAE 160, table of
rain exposure factors, from memory)."""

DEPOSITION_FACTORS: dict[Deposition, float] = {
    "below steep roof": 0.35,
    "below low-slope roof": 0.5,
    "subject to runoff": 1.0,
}
"""F_D: share of the driving rain that reaches the wall, by what is above it (ASHRAE 160, from
memory). [-]"""

NO_RAIN_KNOWN = "no rain known"
"""What stands where a rain depth would, in a year that has none: not the same as a dry year."""

INDEX_LIMIT = (
    "ISO 15927-3 does not hold where more than a quarter of the rain comes from severe convective "
    "storms, as on the Gulf coast and in Florida: there the index orders directions, no more."
)
"""The limit of the indices, to be said wherever one is shown."""


def exposure_factor(height: float, exposure: Exposure) -> float:
    """Rain exposure factor of a wall, F_E.

    Parameters
    ----------
    height : float
        Height of the building, above 0. [m]
    exposure : {'sheltered', 'medium', 'severe'}
        Sheltered by trees or buildings; between; open to the wind, as on a hill or a shore.

    Returns
    -------
    float
        Factor on the driving rain. [-]

    Raises
    ------
    InputError
        If the height cannot be right or the exposure is unknown.
    """
    faults = []
    if not 0.0 < height < np.inf:
        faults.append(Fault("", "height", f"{height:g} m", "must be above 0 m and finite"))
    known = EXPOSURE_FACTORS[0][1]
    if exposure not in known:
        faults.append(
            Fault("", "exposure", exposure, "is unknown", f"give one of: {', '.join(known)}")
        )
    if faults:
        raise InputError(faults)
    return next(factors[exposure] for top, factors in EXPOSURE_FACTORS if height <= top)


def known_rain(climate: Climate) -> Array:
    """Rain of a year.

    Parameters
    ----------
    climate : Climate
        The year.

    Returns
    -------
    (8760,) ndarray
        Depth of each hour. [mm]

    Raises
    ------
    ClimateError
        If no rain is known: that is not the same as none.
    """
    if climate.rain is None:
        raise ClimateError(
            Fault(
                f"climate '{climate.name}'",
                "rain",
                "",
                f"{NO_RAIN_KNOWN}, which does not mean that none fell",
                "choose a year with rain depths",
            )
        )
    return climate.rain


def driving_rain(
    climate: Climate,
    tilt: float,
    azimuth: float,
    *,
    exposure_factor: float = 1.0,
    deposition_factor: float = 1.0,
) -> Array:
    """Rain that reaches a plane of any tilt and direction.

    Parameters
    ----------
    climate : Climate
        The year, with rain, and wind at 10 m.
    tilt : float
        Angle between the plane and the ground: 0 faces the zenith, 90 is a wall, up to 180. [deg]
    azimuth : float
        Direction that the plane looks to, clockwise from north; any number of turns. [deg]
    exposure_factor : float
        F_E on what the wind carries, 0 to 2; `exposure_factor` has the standard's. [-]
    deposition_factor : float
        F_D on what the wind carries, 0 to 1, as in `DEPOSITION_FACTORS`. [-]

    Returns
    -------
    (8760,) ndarray
        Rain of each hour, a depth of 1 mm being 1 kg/m2. [kg/(m2 h)]

    Raises
    ------
    ClimateError
        If no rain is known.
    InputError
        If an angle or factor cannot be right.

    Notes
    -----
    On a wall it is the form of ASHRAE 160 (from memory), r_bv = F_E F_D F_L U cos(theta) r_h, where
    theta is the angle between the wind and the wall's normal, and nothing comes from behind.

    On a plane at tilt b it is what the same rain brings through it, r_h cos(b) + F_E F_D F_L U
    cos(theta) r_h sin(b): the normal component of the falling and of the carried part, none where
    that points away. Slopes to leeward get less than the level, overhanging planes only what wind
    drives under them. The wind of an hour is the reading at its end.
    """
    faults = []
    if not 0.0 <= tilt <= 180.0:
        faults.append(Fault("", "tilt", f"{tilt:g} deg", "must lie from 0 to 180 deg"))
    if not np.isfinite(azimuth):
        faults.append(Fault("", "azimuth", f"{azimuth:g} deg", "must be a finite number"))
    for name, value, most in (
        ("exposure_factor", exposure_factor, 2.0),
        ("deposition_factor", deposition_factor, 1.0),
    ):
        if not 0.0 <= value <= most:
            faults.append(Fault("", name, f"{value:g}", f"must lie from 0 to {most:g}"))
    if faults:
        raise InputError(faults)
    rain = known_rain(climate)
    head_on = climate.wind_speed * np.cos(np.radians(climate.wind_direction - azimuth))
    carried = exposure_factor * deposition_factor * RAIN_PER_WIND * head_on * rain
    angle = np.radians(tilt)
    falling = 0.0 if tilt == 90.0 else np.cos(angle)  # the cosine of 90 degrees is not quite 0
    through: Array = np.maximum(rain * falling + carried * np.sin(angle), 0.0)
    return through


def airfield_index(
    wind_speed: ArrayLike,
    wind_direction: ArrayLike,
    rain: ArrayLike,
    azimuth: float,
    *,
    years: float = 1.0,
) -> float:
    """Annual airfield index of one direction: rain driven through an upright plane in the open.

    Parameters
    ----------
    wind_speed, wind_direction : (n_hours,) array_like
        Hourly means at 10 m [m/s] and where the wind comes from [deg].
    rain : (n_hours,) array_like
        Depth of each hour. [mm]
    azimuth : float
        Direction that the plane looks to, clockwise from north. [deg]
    years : float
        Years that the hours stand for.

    Returns
    -------
    float
        A year's amount. [mm, which is kg/m2]

    Raises
    ------
    InputError
        If the number of years is not above 0.

    Notes
    -----
    I_A = 2/9 sum(v r^(8/9) cos(D - theta)) / N over the hours with a positive cosine (from memory).
    The standard asks for ten years or more; a typical year stands for one. It does not hold where
    more than a quarter of the rain comes from severe convective storms, which is so on the Gulf
    coast and in Florida: see `INDEX_LIMIT`.

    References
    ----------
    ISO 15927-3, calculation of a driving rain index from hourly wind and rain data.
    """
    if not years > 0.0:
        raise InputError(Fault("", "years", f"{years:g}", "must be above 0"))
    head_on = np.cos(np.radians(np.asarray(wind_direction, dtype=np.float64) - azimuth))
    driven = np.asarray(wind_speed) * np.asarray(rain, dtype=np.float64) ** (8.0 / 9.0)
    return float(2.0 / 9.0 * np.sum(driven * np.maximum(head_on, 0.0)) / years)


def wall_index(
    airfield: float, *, roughness: float, topography: float, obstruction: float, wall: float
) -> float:
    """Annual wall index: driving rain on a real wall instead of through the open.

    Parameters
    ----------
    airfield : float
        `airfield_index` of the wall's direction. [mm]
    roughness, topography, obstruction, wall : float
        C_R of the terrain, C_T of hills, O of what stands near, W of the wall's shape and place;
        the last is about 0.2 to 0.5 (from memory). [-]

    Returns
    -------
    float
        A year's amount, I_WA = I_A C_R C_T O W. [mm, which is kg/m2]

    Raises
    ------
    InputError
        If a factor is negative or not finite.

    Notes
    -----
    It holds no further than the airfield index does: see `INDEX_LIMIT`.

    References
    ----------
    ISO 15927-3 (from memory).
    """
    factors = {
        "roughness": roughness,
        "topography": topography,
        "obstruction": obstruction,
        "wall": wall,
    }
    faults = [
        Fault("", name, f"{value:g}", "must be finite and not negative")
        for name, value in factors.items()
        if not 0.0 <= value < np.inf
    ]
    if faults:
        raise InputError(faults)
    return airfield * roughness * topography * obstruction * wall
