"""Evaluates the quantities that criteria limit: a number, its bracket and its months, at every place.

The bracket of humidity is an error of 0.3 % RH; the mold index has that of its two declines besides.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from moistwall.air import saturation_pressure
from moistwall.assess.condensation import LEAST_LIQUID, RH_ERROR, ROUND_OFF, longest_stretch
from moistwall.assess.criteria import QUANTITIES, Criterion
from moistwall.assess.drying import month_sums
from moistwall.assess.mold import MoldGrowth, mold_growth
from moistwall.assess.wood import (
    RUNNING_TEMPERATURES,
    is_outboard,
    moisture_content,
    running_mean,
    slices_of_wood,
)
from moistwall.climate.hours import MONTH_OF_HOUR
from moistwall.result import Result

Array = NDArray[np.float64]
Truth = NDArray[np.bool_]


@dataclass(frozen=True)
class Measured:
    """A quantity at one place.

    Parameters
    ----------
    place : int or None
        Place in ``result.places``; None for a slice of wood and for the whole section.
    part, slice : str
        The layer that it belongs to, and which slice of it; empty for the whole section.
    outboard : bool
        Outside of the water-control layer.
    value, low, high : float
        The number, and its bracket.
    outdoor : float or None
        The same number for sheltered outdoor air; None where it has none.
    month : (12,) ndarray
        Share of each month in it; all 0 where there is nothing to share.
    rising : bool
        Whether it would be higher if the year were repeated once more.
    """

    place: int | None
    part: str
    slice: str
    outboard: bool
    value: float
    low: float
    high: float
    outdoor: float | None
    month: Array
    rising: bool = False


class Answers:
    """What several criteria need of a result, found once and when it is first asked for.

    Parameters
    ----------
    result : Result
        A computed year.
    """

    def __init__(self, result: Result) -> None:
        self.result = result

    @cached_property
    def _mold(self) -> tuple[tuple[MoldGrowth, ...], dict[str, MoldGrowth]]:
        return mold_growth(self.result)

    @property
    def mold(self) -> tuple[MoldGrowth, ...]:
        """Growth of mold at every place."""
        return self._mold[0]

    @property
    def mold_outdoors(self) -> dict[str, MoldGrowth]:
        """The same for sheltered outdoor air, for each class that occurs."""
        return self._mold[1]

    @cached_property
    def outdoor_rh(self) -> Array:
        """Humidity of outdoor air. [-]"""
        outdoor = self.result.outdoor_temperature
        return np.asarray(self.result.outdoor_vapor / saturation_pressure(outdoor))

    @cached_property
    def wood(self) -> list[tuple[int, str, tuple[Array, Array, Array]]]:
        """Layer, slice, and moisture content as it is, and were humidity lower and higher. [kg/kg]"""
        return [
            (
                k,
                name,
                (
                    moisture_content(self.result, k, weight),
                    moisture_content(self.result, k, weight, -RH_ERROR),
                    moisture_content(self.result, k, weight, RH_ERROR),
                ),
            )
            for k, name, weight in slices_of_wood(self.result)
        ]


def measure(criterion: Criterion, answers: Answers) -> list[Measured]:
    """Evaluate the quantity of a criterion wherever it has one.

    Parameters
    ----------
    criterion : Criterion
        Names the quantity.
    answers : Answers
        Of the result.

    Returns
    -------
    list of Measured
        From outside to inside, those outside of the water-control layer included; empty where nothing is of
        the kinds of material that the criterion asks for.
    """
    of = QUANTITIES[criterion.quantity].of
    if of == "section":
        return [_section(criterion.quantity, answers.result)]
    found = _wood(criterion, answers) if of == "wood" else _places(criterion, answers)
    kind_of = {part.name: part.material for part in answers.result.parts}
    if not criterion.kinds:
        return found
    return [one for one in found if kind_of[one.part] in criterion.kinds]


def _stretch_or_sum(quantity: str, hours: Truth) -> float:
    return float(longest_stretch(hours) if quantity.startswith("longest") else hours.sum())


def _months_of(hours: Truth) -> Array:
    """Share of each month in some hours."""
    by_month = month_sums(hours.astype(np.float64))
    return by_month / max(float(by_month.sum()), 1.0)


def _month_of(hour: int) -> Array:
    """All of it in the month of one hour."""
    month = np.zeros(12)
    month[MONTH_OF_HOUR[hour] - 1] = 1.0
    return month


def _places(criterion: Criterion, answers: Answers) -> list[Measured]:
    result, quantity = answers.result, criterion.quantity
    if quantity == "mold index":
        return [_mold(k, growth, answers) for k, growth in enumerate(answers.mold)]
    of_liquid = quantity.endswith("with liquid")
    air = None
    if not of_liquid:
        air = _humidity(criterion, result.outdoor_temperature, answers.outdoor_rh)[0]
    found = []
    for k, place in enumerate(result.places):
        if of_liquid:
            hours = result.liquid_place[:, k] > LEAST_LIQUID
            value = _stretch_or_sum(quantity, hours)
            one = (value, value, value, _months_of(hours))
        else:
            one = _humidity(criterion, result.temperature_place[:, k], result.rh_place[:, k])
        value, low, high, month = one
        found.append(Measured(k, place.part, "", place.outboard, value, low, high, air, month))
    return found


def _mold(k: int, growth: MoldGrowth, answers: Answers) -> Measured:
    low, high = growth.peak_range
    return Measured(
        k,
        growth.part,
        "",
        growth.outboard,
        growth.peak_year[-1],
        low,
        high,
        answers.mold_outdoors[growth.mold_class].peak_year[-1],
        growth.growth_month,
        growth.rising,
    )


def _humidity(
    criterion: Criterion, temperature: Array, rh: Array
) -> tuple[float, float, float, Array]:
    """A quantity of humidity, its bracket and its months."""
    if criterion.quantity == "highest 30-day humidity":
        mean, warm = running_mean(rh), running_mean(temperature)
        counted = np.where(
            (warm >= RUNNING_TEMPERATURES[0]) & (warm <= RUNNING_TEMPERATURES[1]), mean, 0.0
        )
        highest = float(counted.max())
        month = _month_of(int(counted.argmax()))
        return highest, max(highest - RH_ERROR, 0.0), min(highest + RH_ERROR, 1.0), month
    assert criterion.threshold is not None, f"nothing evaluates '{criterion.quantity}'"
    at, drier, damper = (
        rh >= criterion.threshold + shift - ROUND_OFF for shift in (0.0, RH_ERROR, -RH_ERROR)
    )
    value, low, high = (_stretch_or_sum(criterion.quantity, hours) for hours in (at, drier, damper))
    return value, low, high, _months_of(at if at.any() else damper)


def _wood(criterion: Criterion, answers: Answers) -> list[Measured]:
    result, quantity = answers.result, criterion.quantity
    found = []
    for k, name, series in answers.wood:
        if quantity == "highest moisture content":
            value, low, high = (float(one.max()) for one in series)
            month = _month_of(int(series[0].argmax()))
        else:
            assert criterion.threshold is not None
            over = [one > criterion.threshold for one in series]
            value, low, high = (_stretch_or_sum(quantity, hours) for hours in over)
            month = _months_of(over[0] if over[0].any() else over[2])
        part = result.parts[k].name
        found.append(
            Measured(None, part, name, is_outboard(result, k), value, low, high, None, month)
        )
    return found


def inboard_cells(result: Result) -> Truth:
    """Which cells lie inside of the water-control layer, that layer itself among them.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    (n_cells,) ndarray of bool
        The skin on the outer side of the water-control layer is outside of it.
    """
    n_cells = result.part_cell.size
    if not result.water_control:
        return np.ones(n_cells, dtype=bool)
    names = [part.name for part in result.parts]
    control = names.index(result.water_control)
    inboard: Truth = result.part_cell >= control
    for cell in np.flatnonzero(inboard & (result.skin_cell == 1)):
        part = int(result.part_cell[cell])
        between = {one.kind for one in result.parts[control:part]}
        before = cell + 1 < n_cells and result.part_cell[cell + 1] == part
        if before and between <= {"film", "facer"}:
            inboard[cell] = False
    return inboard


def _section(quantity: str, result: Result) -> Measured:
    inboard = inboard_cells(result)
    if quantity == "water run off":
        hourly = result.drained_cell[:, inboard].sum(axis=1)
        value = float(hourly.sum())
        month = month_sums(hourly) / max(value, 1e-300)
        # where it runs off most
        where = np.where(inboard, result.drained_cell.sum(axis=0), 0.0)
        part = result.parts[int(result.part_cell[int(where.argmax())])].name if value else ""
    else:
        gained = result.water_cell[1] - result.water_cell[0]
        value = float(gained[inboard].sum()) + 0.0  # no minus before a zero
        month = np.zeros(12)
        by_part = np.bincount(
            result.part_cell[inboard], gained[inboard], minlength=len(result.parts)
        )
        part = result.parts[int(by_part.argmax())].name if value > 0.0 else ""
    return Measured(None, part, "", False, value, value, value, None, month)
