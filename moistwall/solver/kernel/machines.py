"""A cooling coil at full and at part load, and a dehumidifier, in compiled form.

Coil: the air that leaves it is a mixture of air as it came and of air saturated at the coil's apparatus
dew point. The share that passes by is exp(-N), N transfer units at the flow (Carrier's bypass factor).

Part load: the latent model of Henderson and Rengarajan (1996, ASHRAE Trans. 102(1), A model to predict the
latent capacity of air conditioners and heat pumps at part-load conditions with constant fan operation),
from memory and derived anew. In each stop the fan dries the coil, at a rate that falls in a straight line
and has an initial value of gamma times the steady removal; in each run nothing drips until that much has
come back. With X the share of the time that the compressor runs, N_max starts an hour at most, and a
capacity that grows as 1 - exp(-t/tau) after a start:

    t_on = 1 h / (4 N_max (1 - X)),   t_off = 1 h / (4 N_max X)
    back = gamma t_e - gamma^2 t_e^2 / (4 t_wet),   t_e = min(time that the fan blows, 2 t_wet/gamma)
    removal = steady removal * X * (t_on + tau (exp(-t_on/tau) - 1) - back)/t_on, or nothing below 0

(The paper solves for the time t_o at which dripping begins, and counts full capacity from then on; water that
drips is what condenses less what evaporates, which is the same for runs longer than a few tau.)

Dehumidifier: water and water per energy over temperature and humidity, quadratic curves of measured
machines (Winkler, Christensen, Tomerlin 2011, NREL/TP-5500-52791), from memory; they give 0.99 at rating.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from moistwall.air import (
    AIR_HEAT_CAPACITY,
    GAS_CONSTANT_DRY_AIR,
    GAS_CONSTANT_VAPOR,
    LATENT_HEAT_0,
    VAPOR_HEAT_CAPACITY,
    WATER_HEAT_CAPACITY,
)
from moistwall.solver.kernel.compile import compiled_apart
from moistwall.solver.kernel.moist import saturation

RATIO = GAS_CONSTANT_DRY_AIR / GAS_CONSTANT_VAPOR
"""W = RATIO p / (P - p). [-]"""

CAPACITY_PER_WET_BULB, CAPACITY_PER_OUTDOOR = 0.024, -0.009
"""Relative change of a coil's capacity per kelvin of the wet bulb into it and of the outdoor air: middle
of makers' tables of split systems, from memory. [1/K]"""

RATED_WET_BULB, RATED_OUTDOOR = 175.0 / 9.0, 35.0
"""67 and 95 degF, of the rating (AHRI 210/240, from memory). [degC]"""

LEAST_RUNNING = 1e-6
"""Share of the time below which a machine is followed in a straight line to nothing. [-]"""

HOUR = 3600.0
"""[s]"""


class Coil(NamedTuple):
    """Numbers of a cooling coil; see `moistwall.zone.AirConditioner`."""

    present: int
    """1 if there is one."""
    capacity: float
    """[W]"""
    air_flow: float
    """[kg/s]"""
    units: float
    """Transfer units at full speed. [-]"""
    holds: float
    """Water on a coil from which it begins to drip. [kg]"""
    drying: float
    """Initial evaporation from that coil per kelvin of wet-bulb depression. [kg/(s K)]"""
    fan_on: int
    """1 if the fan runs on while the compressor rests."""
    fan_power: float
    """[W]"""
    lowest_speed: float
    """[-]"""
    start_time: float
    """[s]"""
    cycles: float
    """[1/h]"""
    fan_delay: float
    """[s]"""


class Drier(NamedTuple):
    """Numbers of a dehumidifier; see `moistwall.zone.Dehumidifier`."""

    present: int
    """1 if there is one."""
    setpoint: float
    """[-]"""
    capacity: float
    """[kg/s]"""
    power: float
    """[W]"""


@compiled_apart
def saturated_ratio(temperature: float, pressure: float) -> tuple[float, float]:
    """Humidity ratio of saturated air [-] and its slope [1/K]."""
    p, p_t = saturation(temperature)
    rest = pressure - p
    return RATIO * p / rest, RATIO * pressure * p_t / (rest * rest)


@compiled_apart
def air_enthalpy(temperature: float, ratio: float) -> float:
    """Enthalpy of moist air per dry air. [J/kg]"""
    return AIR_HEAT_CAPACITY * temperature + ratio * (
        LATENT_HEAT_0 + VAPOR_HEAT_CAPACITY * temperature
    )


@compiled_apart
def saturated_at(enthalpy: float, pressure: float) -> float:
    """Temperature at which saturated air has this enthalpy, by Newton's method. [degC]"""
    t = 10.0
    for _ in range(50):
        w, w_t = saturated_ratio(t, pressure)
        slope = (
            AIR_HEAT_CAPACITY
            + w * VAPOR_HEAT_CAPACITY
            + w_t * (LATENT_HEAT_0 + VAPOR_HEAT_CAPACITY * t)
        )
        change = (air_enthalpy(t, w) - enthalpy) / slope
        t = min(max(t - change, -50.0), 90.0)
        if abs(change) < 1e-10:
            break
    return t


@compiled_apart
def wet_bulb(temperature: float, ratio: float, pressure: float) -> float:
    """Thermodynamic wet bulb, by Newton's method. [degC]"""
    enthalpy = air_enthalpy(temperature, ratio)
    t = temperature - 5.0
    for _ in range(50):
        w, w_t = saturated_ratio(t, pressure)
        left = air_enthalpy(t, w) - enthalpy - (w - ratio) * WATER_HEAT_CAPACITY * t
        slope = (
            AIR_HEAT_CAPACITY
            + w * VAPOR_HEAT_CAPACITY
            + w_t * (LATENT_HEAT_0 + (VAPOR_HEAT_CAPACITY - WATER_HEAT_CAPACITY) * t)
            - (w - ratio) * WATER_HEAT_CAPACITY
        )
        change = left / slope
        t = min(max(t - change, -50.0), 90.0)
        if abs(change) < 1e-10:
            break
    return t


@compiled_apart
def full_load(
    coil: Coil, temperature: float, ratio: float, outdoor: float, speed: float, pressure: float
) -> tuple[float, float, float, float]:
    """A coil that runs steadily.

    Parameters
    ----------
    coil : Coil
    temperature, ratio : float
        Air into it. [degC], [-]
    outdoor : float
        Outdoor air. [degC]
    speed : float
        Over its full one. [-]
    pressure : float
        [Pa]

    Returns
    -------
    total, removal, apparatus, depression : float
        Heat taken from the air, latent part included [W]; water [kg/s]; apparatus dew point [degC]; wet-bulb
        depression of the air into it [K].
    """
    wet = wet_bulb(temperature, ratio, pressure)
    total = (
        coil.capacity
        * speed
        * (
            1.0
            + CAPACITY_PER_WET_BULB * (wet - RATED_WET_BULB)
            + CAPACITY_PER_OUTDOOR * (outdoor - RATED_OUTDOOR)
        )
    )
    total = max(total, 0.0)
    touched = coil.air_flow * speed * (1.0 - math.exp(-coil.units / speed))
    saturated = saturated_at(air_enthalpy(temperature, ratio) - total / touched, pressure)
    least, _ = saturated_ratio(saturated, pressure)
    return total, max(touched * (ratio - least), 0.0), saturated, temperature - wet


@compiled_apart
def run_share(running: float, coil: Coil) -> float:
    """Share of the steady capacity that is left of a running share, after the losses of starts. [-]"""
    if running >= 1.0:
        return 1.0
    on = HOUR / (4.0 * coil.cycles * (1.0 - running))
    return 1.0 - coil.start_time / on * (1.0 - math.exp(-on / coil.start_time))


@compiled_apart
def latent_share(running: float, coil: Coil, removal: float, depression: float) -> float:
    """Share of the steady removal of water that is left, per running time.

    Parameters
    ----------
    running : float
        Share of the time that the compressor runs, above 0. [-]
    coil : Coil
    removal : float
        Steady removal. [kg/s]
    depression : float
        Wet-bulb depression of the air into the coil. [K]

    Returns
    -------
    float
        [-]
    """
    if running >= 1.0:
        return 1.0
    if removal <= 0.0:
        return 0.0
    on = HOUR / (4.0 * coil.cycles * (1.0 - running))
    off = HOUR / (4.0 * coil.cycles * running)
    blown = off if coil.fan_on == 1 else min(off, coil.fan_delay)
    gamma = coil.drying * max(depression, 0.0) / removal
    wet = coil.holds / removal
    back = 0.0
    if gamma > 0.0:
        blown = min(blown, 2.0 * wet / gamma)
        back = gamma * blown - gamma * gamma * blown * blown / (4.0 * wet)
    return max(run_share(running, coil) - back / on, 0.0)


@compiled_apart
def part_load(
    coil: Coil, demand: float, temperature: float, ratio: float, outdoor: float, pressure: float
) -> tuple[float, float, float, float]:
    """A coil that is asked for a share of its full running.

    Parameters
    ----------
    coil : Coil
    demand : float
        0 to 1: the share of the time of one speed; of more, their speed down to the lowest, then the
        share of the time of that. Outside of 0 to 1 all flows go on in proportion, for Newton's method. [-]
    temperature, ratio, outdoor, pressure : float
        As `full_load`.

    Returns
    -------
    total, removal, fan, apparatus : float
        Mean heat taken [W], water [kg/s], power of the fan [W]; apparatus dew point [degC].
    """
    within = min(max(demand, LEAST_RUNNING), 1.0)
    speed = max(within, coil.lowest_speed)
    running = min(within / speed, 1.0)
    total, removal, apparatus, depression = full_load(
        coil, temperature, ratio, outdoor, speed, pressure
    )
    total *= running * run_share(running, coil)
    removal *= running * latent_share(running, coil, removal, depression)
    moving = 1.0 if coil.fan_on == 1 else running
    fan = coil.fan_power * speed * moving
    beyond = demand / within
    if demand < within or demand > 1.0:
        total *= beyond
        removal *= beyond
    return total, removal, fan, apparatus


@compiled_apart
def drier_shares(temperature: float, rh: float) -> tuple[float, float]:
    """Water of a dehumidifier, and its water per energy, over those at rating.

    Parameters
    ----------
    temperature : float
        [degC]
    rh : float
        [-]

    Returns
    -------
    water, per_energy : float
        [-]; no less than 0 and than 0.1.
    """
    h = 100.0 * min(rh, 1.0)
    t = temperature
    water = (
        -1.162525707
        + 0.02271469 * t
        - 0.000113208 * t * t
        + 0.021110538 * h
        - 6.93034e-5 * h * h
        + 3.78843e-4 * t * h
    )
    per_energy = (
        -1.902154518
        + 0.063466565 * t
        - 0.000622839 * t * t
        + 0.039540407 * h
        - 1.25637e-4 * h * h
        - 1.76722e-4 * t * h
    )
    return max(water, 0.0), max(per_energy, 0.1)
