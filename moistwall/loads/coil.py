"""A cooling coil from its rating: apparatus dew point and transfer units that give the rated split of heat.

The air that leaves the coil is a mixture of air as it came and of air saturated at the apparatus dew point
(Carrier's bypass factor; ASHRAE Fundamentals, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from moistwall.air import (
    enthalpy,
    humidity_ratio_from_vapor_pressure,
    saturation_pressure,
    vapor_enthalpy,
)
from moistwall.errors import Fault, InputError
from moistwall.zone import AirConditioner

RATED_TEMPERATURE, RATED_RATIO = 80.0 / 3.0, 0.01116
"""Air into the coil at rating: 80 degF dry and 67 degF wet bulb (AHRI 210/240, from memory).
[degC], [-]"""

FREEZING = 0.0
"""Apparatus dew point below which a coil ices over. [degC]"""


@dataclass(frozen=True)
class RatedCoil:
    """A coil at its rating.

    Parameters
    ----------
    apparatus : float
        Apparatus dew point. [degC]
    units : float
        Transfer units. [-]
    removal : float
        Water that it takes from the air. [kg/s]
    """

    apparatus: float
    units: float
    removal: float


def rated_coil(machine: AirConditioner) -> RatedCoil:
    """Find the coil that gives the rated heat in the rated split.

    Parameters
    ----------
    machine : AirConditioner
        Its rating.

    Returns
    -------
    RatedCoil

    Raises
    ------
    InputError
        If no coil does that, or if it would be colder than freezing.
    """
    per_air = machine.capacity / machine.air_flow
    inlet = float(enthalpy(RATED_TEMPERATURE, RATED_RATIO))
    latent = float(vapor_enthalpy(RATED_TEMPERATURE))
    drop = (1.0 - machine.sensible_share) * per_air / latent
    temperature = np.arange(-40.0, 26.0, 0.001)
    ratio = np.asarray(humidity_ratio_from_vapor_pressure(saturation_pressure(temperature)))
    fall = inlet - np.asarray(enthalpy(temperature, ratio))
    # on the line from inlet through outlet, as much lower in W as that line is
    above = ratio - (RATED_RATIO - drop / per_air * fall)
    crossing = np.flatnonzero((above[:-1] <= 0.0) & (above[1:] > 0.0) & (fall[:-1] > per_air))
    given = f"{100.0 * machine.sensible_share:.4g} % sensible, {per_air / 1000.0:.4g} kJ/kg of air"
    frozen = int(np.searchsorted(temperature, FREEZING))
    coldest = 1.0 - latent * (RATED_RATIO - float(ratio[frozen])) / float(fall[frozen])
    if machine.sensible_share < coldest:
        problem = "asks for a coil colder than freezing"
        remedy = f"give a sensible share of {100.0 * coldest:.0f} % or more: 65 to 80 % are usual"
        raise InputError(Fault("", "cooling", given, problem, remedy))
    if crossing.size == 0 or machine.sensible_share >= 1.0:
        remedy = (
            "give capacity, sensible share and air flow of one rating: 65 to 80 % sensible and "
        )
        remedy += "350 to 450 cfm a ton are usual"
        raise InputError(Fault("", "cooling", given, "is what no coil does", remedy))
    apparatus = float(temperature[crossing[-1]])
    bypass = 1.0 - per_air / float(fall[crossing[-1]])
    return RatedCoil(apparatus, float(-np.log(bypass)), machine.air_flow * drop)
