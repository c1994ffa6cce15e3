"""What the air in a gap can carry off, and what it did.

The drying potential is what the gap would take from its inner face if that face were wet all the time:

    m_air (W_sat(T of the inner face) - W_out) (1 - exp(-NTU)),   NTU = beta R_v T / V

with m_air the dry air and V the volume of air through the gap, both per area of the face, and beta
the vapor transfer coefficient of the face. It is negative where the face is below the outdoor dew
point: then a wet gap is wetted further.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.air import (
    GAS_CONSTANT_DRY_AIR,
    GAS_CONSTANT_VAPOR,
    KELVIN,
    STANDARD_PRESSURE,
    humidity_ratio_from_vapor_pressure,
    saturation_pressure,
)
from moistwall.climate.hours import MONTH_OF_HOUR
from moistwall.result import GapAir, Result

Array = NDArray[np.float64]

LEAST_LEFT = 1e-6
"""Water left behind in an hour that counts: 1 mg/m2, far above the round-off of a gap without flow
(1e-16) and a thousandth of what humid air leaves in an hour on a cold face. [kg/m2]"""


@dataclass(frozen=True)
class GapDrying:
    """Drying of one gap over the year.

    Parameters
    ----------
    name, kind : str
        Name and kind of the gap.
    potential_month : (12,) ndarray
        Drying potential of its inner face, signed. [kg/m2]
    removed_month : (12,) ndarray
        What its air carried off from both faces. [kg/m2]
    removed_from_inner_month : (12,) ndarray
        What left its inner face. [kg/m2]
    wetting_hours : int
        Hours in which the air left water behind. [h]
    air_changes_mean : float
        [1/h]
    """

    name: str
    kind: str
    potential_month: Array
    removed_month: Array
    removed_from_inner_month: Array
    wetting_hours: int
    air_changes_mean: float


def month_sums(hourly: Array) -> Array:
    """Sums of an hourly series by month.

    Parameters
    ----------
    hourly : (8760,) ndarray
        One value an hour.

    Returns
    -------
    (12,) ndarray
        January first.
    """
    return np.bincount(MONTH_OF_HOUR - 1, hourly, 12).astype(np.float64)


def drying_potential(
    gap: GapAir, surface: Array, outdoor: Array, outdoor_vapor: Array, air_changes: Array
) -> Array:
    """Drying potential of a gap's inner face in each hour.

    Parameters
    ----------
    gap : GapAir
        Its depth and vapor transfer coefficient.
    surface : (n_hours,) ndarray
        Temperature of the inner face. [degC]
    outdoor, outdoor_vapor : (n_hours,) ndarray
        Outdoor air: temperature [degC] and vapor pressure [Pa].
    air_changes : (n_hours,) ndarray
        [1/h]

    Returns
    -------
    (n_hours,) ndarray
        Signed. [kg/m2]
    """
    kelvin = outdoor + KELVIN
    volume = gap.depth * air_changes / 3600.0
    dry_air = (STANDARD_PRESSURE - outdoor_vapor) / (GAS_CONSTANT_DRY_AIR * kelvin) * volume
    flowing = volume > 0.0
    units = gap.vapor_film * GAS_CONSTANT_VAPOR * kelvin / np.where(flowing, volume, 1.0)
    saturated = humidity_ratio_from_vapor_pressure(saturation_pressure(surface))
    entering = humidity_ratio_from_vapor_pressure(outdoor_vapor)
    potential = 3600.0 * dry_air * (saturated - entering) * -np.expm1(-units)
    return np.where(flowing, potential, 0.0)


def gap_drying(result: Result) -> tuple[GapDrying, ...]:
    """Drying of every gap of a result.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    tuple of GapDrying
        One for each of ``result.gaps``, from outside to inside.
    """
    rows = []
    for k, gap in enumerate(result.gaps):
        air_changes = result.air_changes_gap[:, k]
        potential = drying_potential(
            gap,
            result.temperature_cell[:, gap.inner_cell],
            result.outdoor_temperature,
            result.outdoor_vapor,
            air_changes,
        )
        # flows count from outside to inside: out of the outer face, into the inner one
        removed = result.vapor_a[:, gap.face] - result.vapor_b[:, gap.face]
        rows.append(
            GapDrying(
                gap.name,
                gap.kind,
                month_sums(potential),
                month_sums(removed),
                month_sums(-result.vapor_b[:, gap.face]),
                int((removed < -LEAST_LEFT).sum()),
                float(air_changes.mean()),
            )
        )
    return tuple(rows)
