"""Curves of a material: what it stores over humidity or suction, and how fast liquid moves in it.

Each function makes the curve of one form in which sources give it. All is SI.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.interpolate import PchipInterpolator

from moistwall import air
from moistwall.material import REFERENCE_TEMPERATURE, Array, Storage

AIR_ENTRY = 1.0e4
"""Suction at which the pores of a building board are full but for the last: estimate, a pore
radius of some 15 micrometers. [Pa]"""


def suction_from_ln_rh(ln_rh: Array, t: float = REFERENCE_TEMPERATURE) -> Array:
    """Suction of pore water in equilibrium with air, by Kelvin's equation.

    Parameters
    ----------
    ln_rh : ndarray
        Natural logarithm of relative humidity. [-]
    t : float
        Temperature. [degC]

    Returns
    -------
    ndarray
        Suction, -rho_w R_v T ln(rh). [Pa]
    """
    return -air.WATER_DENSITY * air.GAS_CONSTANT_VAPOR * (t + air.KELVIN) * ln_rh


def ln_rh_from_suction(suction: Array, t: float = REFERENCE_TEMPERATURE) -> Array:
    """Natural logarithm of the relative humidity in equilibrium with this suction [Pa]."""
    return -suction / (air.WATER_DENSITY * air.GAS_CONSTANT_VAPOR * (t + air.KELVIN))


def storage_from_table(
    rh: Array, content: Array, free: float, holds: float, *, over_suction: bool = False
) -> Storage:
    """Storage through given points.

    Parameters
    ----------
    rh : (n,) ndarray
        Relative humidities strictly between 0 and 1, rising. [-]
    content : (n,) ndarray
        Water content at them, rising. [kg/m3]
    free, holds : float
        Water content at relative humidity 1, and at which water runs off. [kg/m3]
    over_suction : bool
        See `Storage`.

    Returns
    -------
    Storage
        A monotone cubic over relative humidity from (0, 0) through the points. From the last one
        to free saturation content falls with the logarithm of suction down to `AIR_ENTRY`: tables
        of sorption end near 98 %, and most of what lies above fills pores that empty within the
        last percent (estimate; a table may give points up there as well).
    """
    rh, content = np.asarray(rh, float), np.asarray(content, float)
    curve = PchipInterpolator(np.concatenate(([0.0], rh)), np.concatenate(([0.0], content)))
    last_rh, last = float(rh[-1]), float(content[-1])
    last_suction = float(suction_from_ln_rh(np.log(rh[-1])))
    decades = np.log1p(last_suction / AIR_ENTRY)

    def content_over(ln_rh: Array) -> Array:
        humidity = np.exp(ln_rh)
        suction = np.minimum(suction_from_ln_rh(np.asarray(ln_rh, float)), last_suction)
        left = np.log1p(suction / AIR_ENTRY) / decades
        above = free - (free - last) * left
        return np.where(humidity < last_rh, curve(np.minimum(humidity, last_rh)), above)

    return Storage(content_over, free, holds, over_suction)


def storage_of_pore_air(porosity: float, holds: float) -> Storage:
    """Storage of a material that sorbs nothing: the vapor in its pores at 20 degC.

    Parameters
    ----------
    porosity : float
        Share of the volume that is air. [-]
    holds : float
        Water content at which condensate runs off. [kg/m3]

    Returns
    -------
    Storage
        Ideal gas: 0.01729 kg/m3 at saturation in pure air.
    """
    kelvin = REFERENCE_TEMPERATURE + air.KELVIN
    density = air.saturation_pressure(REFERENCE_TEMPERATURE) / (air.GAS_CONSTANT_VAPOR * kelvin)
    saturated = density * porosity
    return Storage(lambda ln_rh: saturated * np.exp(ln_rh), saturated, holds)


def storage_over_suction(
    free: float, holds: float, inverse_scale: float, exponent: float, power: float
) -> Storage:
    """Storage as the usual function of suction, w = free / (1 + (a P)^n)^m.

    Parameters
    ----------
    free, holds : float
        Water content at zero suction, and at which water runs off. [kg/m3]
    inverse_scale : float
        a. [1/Pa]
    exponent, power : float
        n and m. [-]

    Returns
    -------
    Storage
        Curve over suction.

    References
    ----------
    EN 15026:2007, annex A, with free 146 kg/m3, a 8e-8 1/Pa, n 1.6, m 0.375 (from memory);
    van Genuchten 1980, Soil Sci. Soc. Am. J. 44.
    """

    def content(ln_rh: Array) -> Array:
        suction = suction_from_ln_rh(np.minimum(ln_rh, 0.0))
        return np.asarray(free / (1.0 + (inverse_scale * suction) ** exponent) ** power)

    return Storage(content, free, holds, over_suction=True)


def storage_over_humidity(free: float, holds: float, scale: float, power: float) -> Storage:
    """Storage as a power of the logarithm of humidity, w = free / (1 - ln(rh) / A)^n.

    Parameters
    ----------
    free, holds : float
        Water content at relative humidity 1, and at which water runs off. [kg/m3]
    scale, power : float
        A and n. [-]

    Returns
    -------
    Storage
        Curve over relative humidity.

    References
    ----------
    Hansen 1986, Sorption isotherms, a catalogue, DTU TR 162/86; HAMSTAD benchmark 2 (Hagentoft
    2002, report R-02:8) has free 116 kg/m3, A 0.118, n 0.869 (from memory).
    """
    return Storage(
        lambda ln_rh: np.asarray(free / (1.0 - np.minimum(ln_rh, 0.0) / scale) ** power),
        free,
        holds,
    )


def wood_moisture_content(rh: Array, t: float) -> Array:
    """Equilibrium moisture content of wood.

    Parameters
    ----------
    rh : ndarray
        Relative humidity, 0 to 1. [-]
    t : float
        Temperature, about -1 to 70. [degC]

    Returns
    -------
    ndarray
        Mass of water in a mass of dry wood. [kg/kg]

    Notes
    -----
    A fit to the tables for practical use, good to about 1 percent of moisture content; species,
    history and sapwood move a piece of wood by more.

    References
    ----------
    Simpson 1998, FPL-RN-0268 (Hailwood-Horrobin, two hydrates), and USDA Wood Handbook ch. 4,
    eq. 4-5, coefficients for degC.
    """
    wood = 349.0 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * np.asarray(rh, float)
    dissolved = kh / (1.0 - kh)
    hydrated = (k1 * kh + 2.0 * k1 * k2 * kh**2) / (1.0 + k1 * kh + k1 * k2 * kh**2)
    return 18.0 / wood * (dissolved + hydrated)


def storage_of_wood(density: float, t: float, free: float, holds: float) -> Storage:
    """Storage of solid wood: `wood_moisture_content` up to 98 %, free water above.

    Parameters
    ----------
    density : float
        Dry density. [kg/m3]
    t : float
        Temperature at which sorption is taken. [degC]
    free, holds : float
        Water content at relative humidity 1, and at which water runs off. [kg/m3]

    Returns
    -------
    Storage
        Curve over relative humidity.
    """
    rh = np.concatenate((np.arange(1, 98) / 100.0, [0.98]))
    return storage_from_table(rh, density * wood_moisture_content(rh, t), free, holds)


def diffusivity_from_absorption(absorption: float, free: float) -> Callable[[Array], Array]:
    """Liquid diffusivity that belongs to a water absorption coefficient.

    Parameters
    ----------
    absorption : float
        Water absorption coefficient A. [kg/(m2 s^0.5)]
    free : float
        Water content at free saturation. [kg/m3]

    Returns
    -------
    callable
        Diffusivity over water content, constant above free saturation. [m2/s over kg/m3]

    Notes
    -----
    D = 3.8 (A / w_f)^2 1000^(w / w_f - 1): Kuenzel 1995, from memory.
    """
    scale = 3.8 * (absorption / free) ** 2
    return lambda content: scale * 1000.0 ** (np.minimum(content / free, 1.0) - 1.0)


def diffusivity_from_table(content: Array, diffusivity: Array) -> Callable[[Array], Array]:
    """Liquid diffusivity through given points.

    Parameters
    ----------
    content : (n,) ndarray
        Water contents, rising. [kg/m3]
    diffusivity : (n,) ndarray
        Diffusivity at them. [m2/s]

    Returns
    -------
    callable
        Its logarithm linear between the points, constant beyond. [m2/s over kg/m3]
    """
    at, logarithm = np.asarray(content, float), np.log(np.asarray(diffusivity, float))
    return lambda wanted: np.exp(np.interp(wanted, at, logarithm))
