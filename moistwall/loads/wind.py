"""Wind at the outer surface, and the convection that it drives."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from moistwall.climate.record import Climate
from moistwall.errors import Fault, InputError

Array = NDArray[np.float64]

SURFACE_WIND = 0.5
"""Wind past the outer surface of a low building over the wind at 10 m in open terrain (common
practice, no source). The terrain law of ASHRAE Fundamentals ch. 24 (from memory) gives 0.55 at 3 m
in a suburb and 0.85 in the open, of which a wall sees a part that depends on where it faces. [-]"""


def convection_from_surface_wind(surface_wind: ArrayLike) -> Array:
    """Convective heat transfer coefficient of an outer surface.

    Parameters
    ----------
    surface_wind : array_like
        Wind speed past the surface, 0 or more. [m/s]

    Returns
    -------
    ndarray
        Convective coefficient; 4 in still air, which is the least it can be. [W/(m2 K)]

    Raises
    ------
    InputError
        If a speed is negative or not a number.

    References
    ----------
    ISO 6946, annex on surface resistances: h_ce = 4 + 4 v (from memory).
    """
    wind = np.asarray(surface_wind, dtype=np.float64)
    if not np.all((wind >= 0.0) & np.isfinite(wind)):
        raise InputError("wind past a surface must be a finite speed of 0 m/s or more")
    coefficient: Array = 4.0 + 4.0 * wind
    return coefficient


def exterior_convection(climate: Climate, surface_wind: float = SURFACE_WIND) -> Array:
    """Convective coefficient of an outer surface of a low building, at the end of each hour.

    Parameters
    ----------
    climate : Climate
        The year, with wind at 10 m.
    surface_wind : float
        Wind past the surface over wind at 10 m, 0 to 1.5. [-]

    Returns
    -------
    (8760,) ndarray
        Convective coefficient. [W/(m2 K)]

    Raises
    ------
    InputError
        If the ratio is outside its range.
    """
    if not 0.0 <= surface_wind <= 1.5:
        raise InputError(
            Fault(
                "",
                "surface_wind",
                f"{surface_wind:g}",
                "must lie from 0 to 1.5 of the wind at 10 m",
            )
        )
    return convection_from_surface_wind(surface_wind * climate.wind_speed)
