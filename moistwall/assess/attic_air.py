"""How hot the air of attics and of the gap over a roof gets: what equipment up there would live in.

The air's temperature is the mean over its way from the inlet, as the solver takes it,

    T_m = (1 - s) (T_a + T_b)/2 + s T_out,   s = (1 - exp(-N))/N,   N = 2 h / (rho c_pa V)

with T_a and T_b the faces, h the convection at each of them and V the outdoor air per area. It is well
mixed from face to face; under the ridge it is hotter.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.air import (
    AIR_HEAT_CAPACITY,
    GAS_CONSTANT_DRY_AIR,
    KELVIN,
    STANDARD_PRESSURE,
)
from moistwall.assess.drying import month_sums
from moistwall.climate.hours import MONTH_OF_HOUR
from moistwall.result import GapAir, Result

Array = NDArray[np.float64]

HOT_LIMITS = (340.0 / 9.0, 440.0 / 9.0, 490.0 / 9.0)
"""100, 120 and 130 degF: common practice, no source; makers of equipment state their own. [degC]"""

LARGEST_ROOF_TILT = 60.0
"""Sections that lean more are walls, whose gaps hold no equipment. [deg]"""


@dataclass(frozen=True)
class AtticAir:
    """Air of one gap of a roof over the year.

    Parameters
    ----------
    name : str
        The gap.
    hours_over : tuple of int
        Hours above each of `HOT_LIMITS`. [h]
    hours_over_month : (12,) ndarray
        Of these, the hours above the first, by month. [h]
    highest, mean : float
        [degC]
    highest_month : int
        Month of the highest, from 1.
    outdoor_highest : float
        Highest temperature outdoors. [degC]
    """

    name: str
    hours_over: tuple[int, ...]
    hours_over_month: Array
    highest: float
    mean: float
    highest_month: int
    outdoor_highest: float


def gap_air_temperature(result: Result, gap: int) -> Array:
    """Temperature of the air of a gap in each hour.

    Parameters
    ----------
    result : Result
        A computed year.
    gap : int
        Place in ``result.gaps``.

    Returns
    -------
    (n_hours,) ndarray
        Faces and outdoor air are those at the hour's end, the flow that of the hour. [degC]
    """
    one: GapAir = result.gaps[gap]
    faces = 0.5 * (
        result.temperature_cell[:, one.inner_cell - 1] + result.temperature_cell[:, one.inner_cell]
    )
    outdoor = result.outdoor_temperature
    density = STANDARD_PRESSURE / (GAS_CONSTANT_DRY_AIR * (outdoor + KELVIN))
    flow = density * AIR_HEAT_CAPACITY * one.depth * result.air_changes_gap[:, gap] / 3600.0
    units = 2.0 * one.convection / np.maximum(flow, 1e-12)
    share: Array = -np.expm1(-units) / units
    return (1.0 - share) * faces + share * outdoor


def attic_air(result: Result) -> tuple[AtticAir, ...]:
    """Heat of the air in the gaps of a roof.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    tuple of AtticAir
        From outside to inside; empty for walls and floors.
    """
    if result.tilt > LARGEST_ROOF_TILT:
        return ()
    found = []
    for k, gap in enumerate(result.gaps):
        air = gap_air_temperature(result, k)
        over = [air > limit for limit in HOT_LIMITS]
        found.append(
            AtticAir(
                gap.name,
                tuple(int(one.sum()) for one in over),
                month_sums(over[0].astype(np.float64)),
                float(air.max()),
                float(air.mean()),
                int(MONTH_OF_HOUR[int(air.argmax())]),
                float(result.outdoor_temperature.max()),
            )
        )
    return tuple(found)
