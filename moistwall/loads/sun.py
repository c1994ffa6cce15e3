"""Sun on a plane: hourly means of what falls on a wall or roof of any tilt and direction.

Sun position, air mass and the sky model are pvlib's; it is imported where it is used, since it
brings pandas.
"""

from __future__ import annotations

from functools import cache
from importlib.metadata import version
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

import moistwall.climate.sun_path as sun_path_module
from moistwall.climate.hours import HOURS
from moistwall.climate.record import Climate
from moistwall.climate.sun_path import SunPosition, sun_path
from moistwall.errors import Fault, InputError
from moistwall.kept import kept_array, key_of

Array = NDArray[np.float64]

GROUND_REFLECTANCE = 0.2
"""Share of the sun that bare ground and grass throw back (common practice, no source). [-]"""

LOWEST_SUN = float(np.cos(np.radians(85.0)))
"""Cosine of the zenith angle below which the diffuse sky is taken as even: with the sun within 5
degrees of the horizon the ratio of the plane to the horizontal grows without bound, and the sky
model was not fitted there. The same 85 degrees bound that ratio in Perez et al. 1990. [-]"""


def sun_position(climate: Climate) -> SunPosition:
    """Position of the sun in the middle of each hour, as `moistwall.climate.sun_path.sun_path`.

    Parameters
    ----------
    climate : Climate
        Its latitude, longitude, time zone and elevation are used.
    """
    return sun_path(climate.latitude, climate.longitude, climate.time_zone, climate.elevation)


def plane_irradiance(
    climate: Climate,
    tilt: float,
    azimuth: float,
    ground_reflectance: float = GROUND_REFLECTANCE,
) -> Array:
    """Mean irradiance of each hour on a plane: from the sun, the sky and the ground.

    Parameters
    ----------
    climate : Climate
        The year.
    tilt : float
        Angle between the plane and the ground: 0 faces the zenith, 90 is a wall, up to 180. [deg]
    azimuth : float
        Direction that the plane looks to, clockwise from north; any number of turns. [deg]
    ground_reflectance : float
        Share of the global irradiance that the ground throws back, 0 to 1. [-]

    Returns
    -------
    (8760,) ndarray
        Mean irradiance of each hour. [W/m2]

    Raises
    ------
    InputError
        If an angle or the reflectance cannot be right.

    Notes
    -----
    The sun stands where it is in the middle of the hour. An hour whose middle is before sunrise or
    after sunset gets its diffuse part only; at Miami that leaves 0.2 % of the year's direct sun
    out. The sky is that of Perez et al.; below `LOWEST_SUN` it is even. On a horizontal
    plane the result is direct x cos(zenith) + diffuse in every hour; that is the record's global
    irradiance as far as its three columns agree (Miami: 0.4 % less over the year).

    References
    ----------
    Perez, Ineichen, Seals, Michalsky and Stewart 1990, Solar Energy 44(5), 271-289,
    doi:10.1016/0038-092X(90)90055-H, with its coefficients for all sites.
    """
    _check_plane(tilt, azimuth, ground_reflectance)
    settings = np.array(
        [
            climate.latitude,
            climate.longitude,
            climate.time_zone,
            climate.elevation,
            tilt,
            azimuth,
            ground_reflectance,
        ]
    )
    readings = (climate.sun_global, climate.sun_direct, climate.sun_diffuse, settings)
    key = key_of((*(np.asarray(each, float).tobytes() for each in readings), *_makers()))
    return kept_array(
        "sun", key, (HOURS,), lambda: _irradiance(climate, tilt, azimuth, ground_reflectance)
    )


@cache
def _makers() -> tuple[bytes, ...]:
    """What the irradiance is made with: the text of these functions and the versions below them."""
    sources = (Path(__file__), Path(sun_path_module.__file__))
    versions = (version("pvlib"), version("numpy"))
    return (
        *(path.read_bytes() for path in sources),
        *(each.encode() for each in versions),
    )


def _irradiance(climate: Climate, tilt: float, azimuth: float, ground_reflectance: float) -> Array:
    """Work out the mean irradiance of each hour."""
    import pvlib  # type: ignore[import-untyped]

    sun = sun_position(climate)
    cos_zenith = np.cos(np.radians(sun.zenith))
    cos_incidence = np.asarray(
        pvlib.irradiance.aoi_projection(tilt, azimuth, sun.zenith, sun.azimuth), dtype=np.float64
    )
    from_sun = np.where(cos_zenith > 0.0, climate.sun_direct * np.maximum(cos_incidence, 0.0), 0.0)
    even = climate.sun_diffuse * 0.5 * (1.0 + np.cos(np.radians(tilt)))
    from_sky = even.copy()
    high = (cos_zenith >= LOWEST_SUN) & (climate.sun_diffuse > 0.0)
    from_sky[high] = pvlib.irradiance.perez(
        tilt,
        azimuth,
        climate.sun_diffuse[high],
        climate.sun_direct[high],
        sun.extraterrestrial[high],
        sun.zenith[high],
        sun.azimuth[high],
        sun.air_mass[high],
    )
    from_ground = climate.sun_global * ground_reflectance * 0.5 * (1.0 - np.cos(np.radians(tilt)))
    irradiance: Array = from_sun + from_sky + from_ground
    return irradiance


def _check_plane(tilt: float, azimuth: float, ground_reflectance: float) -> None:
    faults = []
    if not 0.0 <= tilt <= 180.0:
        faults.append(Fault("", "tilt", f"{tilt:g} deg", "must lie from 0 to 180 deg"))
    if not np.isfinite(azimuth):
        faults.append(Fault("", "azimuth", f"{azimuth:g} deg", "must be a finite number"))
    if not 0.0 <= ground_reflectance <= 1.0:
        faults.append(
            Fault("", "ground_reflectance", f"{ground_reflectance:g}", "must lie from 0 to 1")
        )
    if faults:
        raise InputError(faults)
