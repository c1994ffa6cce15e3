"""Moisture content of wood and wood panels: the mean of each layer and of the skins that rot and pins meet first.

The solver stores water by each material's own sorption, so its moisture content needs no second curve; the
humidity that belongs to a limit is read back from that same curve. A panel counts as wet where it is wettest:
its mean, the first 3 mm from outside and the last 3 mm are each followed.

The older rule of the running month (80 % mean humidity over 30 days between 5 and 40 degC) is counted for every
place as information: field cases were matched better by the mold index.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.air import saturation_pressure
from moistwall.assess.condensation import RH_ERROR, longest_stretch
from moistwall.climate.hours import MONTH_OF_HOUR
from moistwall.result import Result

Array = NDArray[np.float64]

SKIN_DEPTH = 0.003
"""Depth of the outer and inner slices of a layer: about 1/8 in, estimate. [m]"""

LIMITS = (0.16, 0.20, 0.28)
"""Moisture contents whose hours are told: dry below the first, caution up to the second, mold above it, decay
above the last (design practice, from memory; the 20 % rule: Smulski, University of Massachusetts; decay starts
near 29 % and spreads down to 20 %, literature on timber decay). [kg/kg]"""

FASTENER_LIMIT = 0.18
"""Moisture content below which fasteners in wood hardly corrode (Zelinka 2013, ASHRAE Trans. 119(2)). [kg/kg]"""

RUNNING_HOURS = 720
"""Hours of the older rule's running mean: 30 days. [h]"""

RUNNING_RH = 0.80
"""Its limit (ASHRAE 160-2009, before the mold index took its place; for metal, the limit of corrosion, from
memory). [-]"""

RUNNING_TEMPERATURES = (5.0, 40.0)
"""Range of the running mean temperature within which it counts (from memory). [degC]"""


@dataclass(frozen=True)
class WoodMoisture:
    """Moisture content of one slice of a layer of wood.

    Parameters
    ----------
    part, slice : str
        The layer; 'whole', 'outer face' or 'inner face'.
    outboard : bool
        Outside of the water-control layer.
    mean, highest : float
        Of the year. [kg/kg]
    highest_range : tuple of float
        The highest, were humidity 0.3 % lower and higher. [kg/kg]
    highest_month : int
        Month in which it is highest, from 1.
    limits : tuple of float
        `LIMITS`. [kg/kg]
    equivalent_rh : tuple of float
        Humidity at 20 degC with which this material holds as much. [-]
    hours_over, longest_over : tuple of int
        Hours above each limit, and the longest stretch of them, the year's end joined to its start. [h]
    fastener_hours, fastener_longest : int
        The same above `FASTENER_LIMIT`: a hint that fasteners corrode. [h]
    """

    part: str
    slice: str
    outboard: bool
    mean: float
    highest: float
    highest_range: tuple[float, float]
    highest_month: int
    limits: tuple[float, ...]
    equivalent_rh: tuple[float, ...]
    hours_over: tuple[int, ...]
    longest_over: tuple[int, ...]
    fastener_hours: int
    fastener_longest: int


@dataclass(frozen=True)
class RunningMonth:
    """The older rule of the running month at one place.

    Parameters
    ----------
    highest : float
        Highest 30-day mean humidity while the 30-day mean temperature lies in the rule's range; 0 if it
        never does. [-]
    hours : int
        Hours at whose end that mean is at or above 80 %. [h]
    hours_metal : int
        The same at any temperature: a hint that metal corrodes. [h]
    """

    highest: float
    hours: int
    hours_metal: int


def slices_of_wood(result: Result) -> list[tuple[int, str, Array]]:
    """Find the slices of wood of a result, as weights of its cells.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    list of (int, str, (n_cells,) ndarray)
        Place in ``result.parts``; 'whole', 'outer face' or 'inner face'; share of each cell in the slice, which
        sum to 1.
    """
    found = []
    for k, part in enumerate(result.parts):
        if not part.wood:
            continue
        own = (result.part_cell == k) & (result.skin_cell == 0)
        width = np.where(own, result.width_cell, 0.0)
        after = np.cumsum(width)
        depth = min(SKIN_DEPTH, part.thickness / 2.0)
        before = after - width
        total = after[-1]
        outer = np.clip(depth - before, 0.0, width)
        inner = np.clip(after - (total - depth), 0.0, width)
        for name, weight in (("whole", width), ("outer face", outer), ("inner face", inner)):
            found.append((k, name, weight / weight.sum()))
    return found


def moisture_content(result: Result, part: int, weight: Array, shift: float = 0.0) -> Array:
    """Moisture content of a slice of wood in each hour.

    Parameters
    ----------
    result : Result
        A computed year.
    part : int
        Place of its layer in ``result.parts``.
    weight : (n_cells,) ndarray
        Share of each cell in the slice.
    shift : float
        What the humidity of every cell is taken to be off by. A cell at saturation stays as it is. [-]

    Returns
    -------
    (n_hours,) ndarray
        [kg/kg]
    """
    cells = np.flatnonzero(weight)
    content = result.content_cell[:, cells]
    if shift:
        rh, curve = result.sorption_rh, result.sorption_part[:, part]
        humidity = np.minimum(result.rh_cell[:, cells], 1.0)
        moved = np.where(humidity < 1.0, np.clip(humidity + shift, rh[0], 1.0), humidity)
        content = content + np.interp(moved, rh, curve) - np.interp(humidity, rh, curve)
    found: Array = content @ weight[cells] / result.parts[part].density
    return found


def equivalent_humidity(result: Result, part: int, limit: float) -> float:
    """Humidity at 20 degC at which a layer holds so much water.

    Parameters
    ----------
    result : Result
        A computed year.
    part : int
        Place of the layer in ``result.parts``.
    limit : float
        Moisture content. [kg/kg]

    Returns
    -------
    float
        1 where only liquid water gives that much. [-]
    """
    curve = result.sorption_part[:, part] / result.parts[part].density
    return float(np.interp(limit, curve, result.sorption_rh))


def is_outboard(result: Result, part: int) -> bool:
    """Whether a part lies outside of the water-control layer.

    Parameters
    ----------
    result : Result
        A computed year.
    part : int
        Place in ``result.parts``.
    """
    names = [one.name for one in result.parts]
    return bool(result.water_control) and part < names.index(result.water_control)


def wood_moisture(result: Result, limits: Sequence[float] = LIMITS) -> tuple[WoodMoisture, ...]:
    """Moisture content of all wood of a result.

    Parameters
    ----------
    result : Result
        A computed year.
    limits : sequence of float
        Moisture contents whose hours are counted. [kg/kg]

    Returns
    -------
    tuple of WoodMoisture
        From outside to inside; each layer of wood as a whole, its outer and its inner face.
    """
    found = []
    for k, name, weight in slices_of_wood(result):
        content = moisture_content(result, k, weight)
        low, high = (
            float(moisture_content(result, k, weight, shift).max())
            for shift in (-RH_ERROR, RH_ERROR)
        )
        over = [content > limit for limit in limits]
        corrodes = content > FASTENER_LIMIT
        found.append(
            WoodMoisture(
                result.parts[k].name,
                name,
                is_outboard(result, k),
                float(content.mean()),
                float(content.max()),
                (low, high),
                int(MONTH_OF_HOUR[int(content.argmax())]),
                tuple(limits),
                tuple(equivalent_humidity(result, k, limit) for limit in limits),
                tuple(int(one.sum()) for one in over),
                tuple(longest_stretch(one) for one in over),
                int(corrodes.sum()),
                longest_stretch(corrodes),
            )
        )
    return tuple(found)


def running_mean(hourly: Array, hours: int = RUNNING_HOURS) -> Array:
    """Mean over the latest hours, in a year that repeats itself.

    Parameters
    ----------
    hourly : (n_hours, ...) ndarray
        One value an hour.
    hours : int
        Length of the mean.

    Returns
    -------
    ndarray
        Of the same shape; the first hours reach back into the year's end.
    """
    padded = np.concatenate((np.zeros_like(hourly[:1]), hourly[-hours:], hourly))
    sums = np.cumsum(padded, axis=0)
    mean: Array = (sums[hours + 1 :] - sums[1:-hours]) / hours
    return mean


def running_month(temperature: Array, rh: Array) -> RunningMonth:
    """Apply the older rule of the running month.

    Parameters
    ----------
    temperature, rh : (n_hours,) ndarray
        Of one place. [degC], [-]

    Returns
    -------
    RunningMonth
    """
    mean, warm = running_mean(rh), running_mean(temperature)
    low, high = RUNNING_TEMPERATURES
    counts = (warm >= low) & (warm <= high)
    over = mean >= RUNNING_RH
    return RunningMonth(
        float(mean[counts].max()) if counts.any() else 0.0,
        int((over & counts).sum()),
        int(over.sum()),
    )


def running_months(result: Result) -> tuple[RunningMonth, ...]:
    """Apply the older rule to every place, and to sheltered outdoor air.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    tuple of RunningMonth
        One for each of ``result.places``, in their order; then one for sheltered outdoor air.
    """
    outdoor = result.outdoor_temperature
    return (
        *(
            running_month(result.temperature_place[:, k], result.rh_place[:, k])
            for k in range(len(result.places))
        ),
        running_month(outdoor, result.outdoor_vapor / saturation_pressure(outdoor)),
    )
