"""Moist air: saturation, dew point, humidity ratio, enthalpy, density, permeability, films.

Everything is SI, and takes numbers or arrays of any shape. Outside its stated range a function
raises; nothing is clamped.

Saturation pressure is *defined* here as the eighth power of a polynomial in t/100, one over ice and
one over water, because the compiled kernel evaluates the same polynomials with the same
coefficients and the dew point is solved from them as well: all three agree to round-off.
``scripts/fit_saturation.py`` fits them to the equations of Hyland and Wexler (1983) as printed in
the ASHRAE Handbook of Fundamentals, ch. 1; the largest relative error is 3.1e-7.
"""

from __future__ import annotations

from typing import TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from moistwall.errors import InputError

Array = NDArray[np.float64]
Values = TypeVar("Values", float, Array)

KELVIN = 273.15
"""Absolute temperature of 0 degC, exact (BIPM). [K]"""

STANDARD_PRESSURE = 101_325.0
"""Standard atmosphere, exact (BIPM). [Pa]"""

GAS_CONSTANT_VAPOR = 461.5
"""Gas constant of water vapor (ISO 13788; ASHRAE has 461.524). [J/(kg K)]"""

GAS_CONSTANT_DRY_AIR = 287.042
"""Gas constant of dry air (ASHRAE Fundamentals ch. 1, eq. 1). [J/(kg K)]"""

LATENT_HEAT_0 = 2.50e6
"""Latent heat of vaporization at 0 degC (EN 15026; ASHRAE has 2.501e6). [J/kg]"""

VAPOR_HEAT_CAPACITY = 1860.0
"""Specific heat of water vapor (ASHRAE Fundamentals ch. 1, eq. 30). [J/(kg K)]"""

AIR_HEAT_CAPACITY = 1006.0
"""Specific heat of dry air (ASHRAE Fundamentals ch. 1, eq. 30). [J/(kg K)]"""

WATER_HEAT_CAPACITY = 4186.0
"""Specific heat of liquid water (ASHRAE Fundamentals ch. 1, eq. 33). [J/(kg K)]"""

WATER_DENSITY = 1000.0
"""Density of liquid water, rounded as in Kelvin's equation of EN 15026 (998.2 at 20 degC).
[kg/m3]"""

STEFAN_BOLTZMANN = 5.670374e-8
"""Stefan-Boltzmann constant (CODATA 2018, rounded). [W/(m2 K4)]"""

LEWIS = 0.87
"""Ratio of thermal to vapor diffusivity of air near 20 degC, the Lewis number (ASHRAE
Fundamentals ch. 6, from memory). [-]"""

TRIPLE_POINT = 0.01
"""Below it saturation is over ice, above it over water. The switch is here because here the two
equations give the same pressure: the curve is continuous and only its slope jumps. [degC]"""

LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE = -60.0, 110.0
"""Range in which saturation pressure is given. [degC]"""

SATURATION_POWER = 8
"""Saturation pressure is this power of a polynomial. [-]"""

SATURATION_WATER = (
    -5.196479008266e-05,
    -0.006366028865417,
    0.05086871076457,
    -0.1620797117632,
    0.08734932486285,
    2.024835218966,
    2.229841929766,
)
"""Coefficients over water, 0.01 to 110 degC, highest order first, in t/100. [Pa^(1/8)]"""

SATURATION_ICE = (
    -0.004835164982481,
    0.007533695243761,
    0.0213087308997,
    -0.1639244484693,
    0.3328572670801,
    2.295232337251,
    2.229814887599,
)
"""Coefficients over ice, -60 to 0.01 degC, highest order first, in t/100. [Pa^(1/8)]"""


def saturation_pressure(t: Values) -> Values:
    """Vapor pressure of saturated air, over ice below the triple point and over water above.

    Parameters
    ----------
    t : float or ndarray
        Temperature, -60 to 110. [degC]

    Returns
    -------
    float or ndarray
        Saturation pressure. [Pa]

    Raises
    ------
    InputError
        If a temperature is outside the range or not a number.

    References
    ----------
    Hyland and Wexler 1983, ASHRAE Trans. 89(2A); ASHRAE Fundamentals ch. 1, eq. 5 and 6.
    """
    temperature = _checked(t, LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE, "temperature", "degC")
    return _as_given(_root(temperature) ** SATURATION_POWER, t)


def saturation_pressure_slope(t: Values) -> Values:
    """Slope of `saturation_pressure`: its exact derivative, over water at the triple point.

    Parameters
    ----------
    t : float or ndarray
        Temperature, -60 to 110. [degC]

    Returns
    -------
    float or ndarray
        Slope. [Pa/K]

    Raises
    ------
    InputError
        If a temperature is outside the range or not a number.
    """
    temperature = _checked(t, LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE, "temperature", "degC")
    root = _root(temperature)
    slope = SATURATION_POWER * root ** (SATURATION_POWER - 1) * _root_slope(temperature)
    return _as_given(slope, t)


def dew_point_from_vapor_pressure(vapor_pressure: Values) -> Values:
    """Temperature at which air of this vapor pressure is saturated (frost point below 0.01 degC).

    Newton's iteration on the polynomials of `saturation_pressure`, so the two are inverses of
    each other to round-off.

    Parameters
    ----------
    vapor_pressure : float or ndarray
        Vapor pressure, from saturation at -60 degC (1.08 Pa) to that at 110 degC (143 kPa). [Pa]

    Returns
    -------
    float or ndarray
        Dew point. [degC]

    Raises
    ------
    InputError
        If a pressure is outside the range or not a number.
    """
    lowest = saturation_pressure(LOWEST_TEMPERATURE)
    highest = saturation_pressure(HIGHEST_TEMPERATURE)
    pressure = _checked(vapor_pressure, lowest, highest, "vapor pressure", "Pa")
    wanted = pressure ** (1.0 / SATURATION_POWER)
    over_water = pressure >= saturation_pressure(TRIPLE_POINT)
    # The eighth root is close to a straight line in temperature: from the chord of its branch
    # Newton's iteration needs four or five passes.
    ends = np.array([LOWEST_TEMPERATURE, TRIPLE_POINT, HIGHEST_TEMPERATURE])
    t = np.interp(wanted, _root(ends), ends)
    for _ in range(20):
        step = (_root(t, over_water) - wanted) / _root_slope(t, over_water)
        t = t - step
        if np.all(np.abs(step) < 1e-11):
            break
    return _as_given(t, vapor_pressure)


def humidity_ratio_from_vapor_pressure(
    vapor_pressure: Values, pressure: Values | float = STANDARD_PRESSURE
) -> Values:
    """Mass of vapor in a mass of dry air.

    Parameters
    ----------
    vapor_pressure : float or ndarray
        Vapor pressure, from 0 to less than ``pressure``. [Pa]
    pressure : float or ndarray
        Total pressure. [Pa]

    Returns
    -------
    float or ndarray
        Humidity ratio. [kg/kg]

    Raises
    ------
    InputError
        If a vapor pressure is negative, or not below the total pressure.

    References
    ----------
    ASHRAE Fundamentals ch. 1, eq. 20.
    """
    p_v = _checked(vapor_pressure, 0.0, np.inf, "vapor pressure", "Pa")
    dry = np.asarray(pressure, float) - p_v
    if not np.all(dry > 0.0):
        worst = float(np.max(np.broadcast_to(p_v, dry.shape)[~(dry > 0.0)]))
        raise InputError(f"vapor pressure must be below the total pressure, got {worst:g} Pa")
    ratio = GAS_CONSTANT_DRY_AIR / GAS_CONSTANT_VAPOR * p_v / dry
    return _as_given(ratio, vapor_pressure)


def vapor_pressure_from_humidity_ratio(
    humidity_ratio: Values, pressure: Values | float = STANDARD_PRESSURE
) -> Values:
    """Vapor pressure of air with this humidity ratio; inverse of the function above.

    Parameters
    ----------
    humidity_ratio : float or ndarray
        Mass of vapor in a mass of dry air, 0 or more. [kg/kg]
    pressure : float or ndarray
        Total pressure. [Pa]

    Returns
    -------
    float or ndarray
        Vapor pressure. [Pa]

    Raises
    ------
    InputError
        If a humidity ratio is negative or not a number.
    """
    ratio = _checked(humidity_ratio, 0.0, np.inf, "humidity ratio", "kg/kg")
    mass_ratio = GAS_CONSTANT_DRY_AIR / GAS_CONSTANT_VAPOR
    return _as_given(np.asarray(pressure, float) * ratio / (mass_ratio + ratio), humidity_ratio)


def standard_pressure(elevation: float) -> float:
    """Pressure of the standard atmosphere.

    Parameters
    ----------
    elevation : float
        Height above the sea, -5000 to 11000. [m]

    Returns
    -------
    float
        Pressure. [Pa]

    Raises
    ------
    InputError
        If the elevation is outside the range or not a number.

    References
    ----------
    ASHRAE Fundamentals ch. 1, eq. 3.
    """
    height = float(_checked(elevation, -5000.0, 11_000.0, "elevation", "m"))
    return float(STANDARD_PRESSURE * (1.0 - 2.25577e-5 * height) ** 5.2559)


def enthalpy(t: Values, humidity_ratio: Values | float) -> Values:
    """Enthalpy of moist air with a mass of 1 kg of dry air in it; 0 for dry air at 0 degC.

    Parameters
    ----------
    t : float or ndarray
        Temperature. [degC]
    humidity_ratio : float or ndarray
        Mass of vapor in a mass of dry air. [kg/kg]

    Returns
    -------
    float or ndarray
        Enthalpy. [J/kg of dry air]

    References
    ----------
    ASHRAE Fundamentals ch. 1, eq. 30, with the latent heat of this module.
    """
    return AIR_HEAT_CAPACITY * t + humidity_ratio * vapor_enthalpy(t)


def vapor_enthalpy(t: Values) -> Values:
    """Enthalpy of water vapor, 0 for liquid water at 0 degC.

    Parameters
    ----------
    t : float or ndarray
        Temperature. [degC]

    Returns
    -------
    float or ndarray
        Enthalpy. [J/kg]
    """
    return LATENT_HEAT_0 + VAPOR_HEAT_CAPACITY * t


def density(
    t: Values, vapor_pressure: Values | float, pressure: Values | float = STANDARD_PRESSURE
) -> Values:
    """Density of moist air, vapor included, as a mixture of ideal gases.

    Parameters
    ----------
    t : float or ndarray
        Temperature. [degC]
    vapor_pressure, pressure : float or ndarray
        Vapor pressure and total pressure. [Pa]

    Returns
    -------
    float or ndarray
        Mass of air and vapor in a cubic meter. [kg/m3]
    """
    dry = (pressure - vapor_pressure) / GAS_CONSTANT_DRY_AIR
    return (dry + vapor_pressure / GAS_CONSTANT_VAPOR) / (t + KELVIN)


def still_air_permeability(t: Values, pressure: Values | float = STANDARD_PRESSURE) -> Values:
    """Vapor permeability of still air, by Schirmer's equation.

    Parameters
    ----------
    t : float or ndarray
        Temperature. [degC]
    pressure : float or ndarray
        Total pressure. [Pa]

    Returns
    -------
    float or ndarray
        Permeability for vapor pressure. [kg/(m s Pa)]

    References
    ----------
    ISO 12572, annex on the permeability of air (from memory).
    """
    kelvin = t + KELVIN
    diffusivity = 2.306e-5 * (STANDARD_PRESSURE / pressure) * (kelvin / KELVIN) ** 1.81
    permeability: Values = diffusivity / (GAS_CONSTANT_VAPOR * kelvin)
    return permeability


def vapor_film_from_convection(
    convection: Values, *, pressure: Values | float = STANDARD_PRESSURE
) -> Values:
    """Vapor transfer coefficient of a surface from its convective one, by the Lewis relation.

    Parameters
    ----------
    convection : float or ndarray
        Convective heat transfer coefficient, radiation left out. [W/(m2 K)]
    pressure : float or ndarray
        Total pressure. [Pa]

    Returns
    -------
    float or ndarray
        Vapor transfer coefficient for vapor pressure. [kg/(m2 s Pa)]

    Notes
    -----
    h_c / (rho c_p R_v T Le^(2/3)) (ASHRAE Fundamentals ch. 6). As rho = p / (R_d T), temperature
    cancels: 6.7e-9 s/m times h_c at standard pressure, warm or cold.
    """
    density_times_kelvin = pressure / GAS_CONSTANT_DRY_AIR
    lewis_factor = float(LEWIS ** (2.0 / 3.0))
    return convection / (
        density_times_kelvin * AIR_HEAT_CAPACITY * GAS_CONSTANT_VAPOR * lewis_factor
    )


def _root(t: Array, over_water: NDArray[np.bool_] | None = None) -> Array:
    """Eighth root of saturation pressure, each element by its own branch, in Pa^(1/8)."""
    if over_water is None:
        over_water = t >= TRIPLE_POINT
    return np.where(over_water, _horner(SATURATION_WATER, t), _horner(SATURATION_ICE, t))


def _root_slope(t: Array, over_water: NDArray[np.bool_] | None = None) -> Array:
    """Slope of `_root` over temperature, in Pa^(1/8)/K."""
    if over_water is None:
        over_water = t >= TRIPLE_POINT
    water, ice = (
        _horner(tuple(c * (len(f) - 1 - k) for k, c in enumerate(f[:-1])), t)
        for f in (SATURATION_WATER, SATURATION_ICE)
    )
    return np.where(over_water, water, ice) / 100.0


def _horner(coefficients: tuple[float, ...], t: Array) -> Array:
    """Polynomial in t/100, highest order first."""
    x = t / 100.0
    value = np.full_like(x, coefficients[0])
    for coefficient in coefficients[1:]:
        value = value * x + coefficient
    return value


def _checked(values: float | Array, low: float, high: float, what: str, unit: str) -> Array:
    """Return the values as an array; raise naming the worst of those outside [low, high]."""
    array = np.asarray(values, float)
    inside = (array >= low) & (array <= high)
    if not np.all(inside):
        outside = array[~inside]
        excess = np.fmax(low - outside, outside - high)
        worst = float(outside[np.argmax(np.where(np.isnan(excess), np.inf, excess))])
        limits = f"from {low:g} to {high:g}" if np.isfinite(high) else f"{low:g} or more"
        raise InputError(f"{what} must lie {limits} {unit}, got {worst:g} {unit}")
    return array


def _as_given(result: Array, like: Values) -> Values:
    """Give a float for a number, an array for an array."""
    return cast(Values, float(result) if np.ndim(result) == 0 else result)
