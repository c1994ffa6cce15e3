"""Long-wave radiation that arrives on a plane from the sky and from the ground around it.

It depends on the air and the clouds only. What the surface sends back depends on its own
temperature and belongs to the solver: the net gain is emittance x (arriving - sigma T_surface^4).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from moistwall.air import KELVIN, STEFAN_BOLTZMANN
from moistwall.climate.hours import HOURS, hour_name
from moistwall.climate.record import Climate
from moistwall.errors import ClimateError, Fault, InputError

Array = NDArray[np.float64]

LOWEST_DEW_POINT, HIGHEST_DEW_POINT = -38.0, 34.0
"""Dew points between which the clear-sky formula can be used: below the lower one it would rise
again, above the upper one a sky could be brighter than a black body at air temperature. [degC]"""

CLOUD_SHARE = 0.8
"""Share of what a clear sky lacks to a black body that full opaque cover brings back: low clouds
are black and somewhat colder than the air below (from memory; published values lie from 0.7 to
0.9 for low and middle clouds). [-]"""

GROUND_EMITTANCE = 0.95
"""Long-wave emittance of ground and surroundings (common practice, no source). [-]"""


def clear_sky_emissivity(dew_point: ArrayLike, hour: ArrayLike) -> Array:
    """Emissivity of a cloudless sky: its radiation over that of a black body at air temperature.

    Parameters
    ----------
    dew_point : array_like
        Dew point near the ground. [degC]
    hour : array_like
        Hours since midnight. [h]

    Returns
    -------
    ndarray
        Emissivity. [-]

    Raises
    ------
    InputError
        If a dew point is outside the range of the formula.

    Notes
    -----
    Fitted to monthly means of six US stations with dew points of about -20 to 30 degC (from
    memory). A correction for station pressure, 1.2e-4 per hPa from 1000 hPa (Martin and Berdahl
    1984, from memory), is left out: it is 0.002 near the sea.

    References
    ----------
    Berdahl and Martin 1984, Emissivity of clear skies, Solar Energy 32(5), 663-664,
    doi:10.1016/0038-092X(84)90144-0; Duffie and Beckman, Solar Engineering of Thermal Processes,
    give it as T_sky = T_air x emissivity^(1/4).
    """
    given = np.asarray(dew_point, dtype=np.float64)
    inside = (given >= LOWEST_DEW_POINT) & (given <= HIGHEST_DEW_POINT)
    if not inside.all():
        raise InputError(
            Fault(
                "",
                "dew point",
                f"{given[~inside].flat[0]:g} degC",
                f"the clear-sky formula holds from {LOWEST_DEW_POINT:g} to "
                f"{HIGHEST_DEW_POINT:g} degC",
            )
        )
    t = given / 100.0
    day = 2.0 * np.pi / 24.0 * np.asarray(hour, dtype=np.float64)
    emissivity: Array = 0.711 + 0.56 * t + 0.73 * t**2 + 0.013 * np.cos(day)
    return emissivity


def sky_emissivity(clear: Array, cloud: Array) -> Array:
    """Emissivity of a sky that is partly covered.

    Parameters
    ----------
    clear : ndarray
        Emissivity of the cloudless sky. [-]
    cloud : ndarray
        Opaque sky cover, 0 to 1. [-]

    Returns
    -------
    ndarray
        Emissivity. [-]

    Notes
    -----
    eps = eps_c + (1 - eps_c) x 0.8 x n: the form of Martin and Berdahl 1984, Solar Energy 33(3/4),
    321-336, with one share for all opaque clouds (from memory).
    """
    emissivity: Array = clear + (1.0 - clear) * CLOUD_SHARE * cloud
    return emissivity


def longwave_on_plane(climate: Climate, tilt: float) -> Array:
    """Long-wave radiation that arrives on a plane, at the end of each hour.

    Parameters
    ----------
    climate : Climate
        The year.
    tilt : float
        Angle between the plane and the ground: 0 faces the zenith, 90 is a wall, up to 180. [deg]

    Returns
    -------
    (8760,) ndarray
        Radiation from the sky and from the ground around. [W/m2]

    Raises
    ------
    InputError
        If the tilt is outside its range.
    ClimateError
        If a dew point is outside the range of the clear-sky formula; names the first hours.

    Notes
    -----
    The plane sees (1 + cos tilt) / 2 of the sky. The rest is ground and surroundings at air
    temperature, which also reflect the 5 % of the sky that they do not take up.
    """
    if not 0.0 <= tilt <= 180.0:
        raise InputError(Fault("", "tilt", f"{tilt:g} deg", "must lie from 0 to 180 deg"))
    _check_dew_point(climate)
    hour = np.arange(1.0, HOURS + 1.0) % 24.0
    emissivity = sky_emissivity(clear_sky_emissivity(climate.dew_point, hour), climate.cloud)
    black = STEFAN_BOLTZMANN * (climate.temperature + KELVIN) ** 4
    from_sky = emissivity * black
    from_ground = GROUND_EMITTANCE * black + (1.0 - GROUND_EMITTANCE) * from_sky
    sky_view = 0.5 * (1.0 + np.cos(np.radians(tilt)))
    arriving: Array = sky_view * from_sky + (1.0 - sky_view) * from_ground
    return arriving


def _check_dew_point(climate: Climate) -> None:
    """Refuse a year with dew points that the clear-sky formula does not reach."""
    outside = np.flatnonzero(
        (climate.dew_point < LOWEST_DEW_POINT) | (climate.dew_point > HIGHEST_DEW_POINT)
    )
    if outside.size:
        raise ClimateError(
            [
                Fault(
                    f"climate '{climate.name}'",
                    f"dew_point, {hour_name(int(k))}",
                    f"{climate.dew_point[k]:g} degC, {outside.size} h in all",
                    f"the sky's radiation is known for dew points from {LOWEST_DEW_POINT:g} to "
                    f"{HIGHEST_DEW_POINT:g} degC",
                    "choose another year of weather",
                )
                for k in outside[:3]
            ]
        )
