"""Growth of mold on every surface: the index of Hukka, Viitanen and Ojanen, hour by hour over some years.

The index M runs from 0 (nothing) by 1 (some growth under a microscope) and 3 (visible) to 6 (all covered). It
grows in hours that are warm and damp enough,

    dM/dt = k1 k2 / (168 h exp(-0.68 ln T - 13.9 ln RH + 0.14 W - 0.33 SQ + 66.02))
    k2 = 1 - exp(2.3 (M - M_max))

with T in degC and RH in percent, and declines slowly in the others. The year is repeated from M = 0. How fast
it declines in real walls is not well known: each answer stands beside the one for a decline ten times as fast.

References
----------
Hukka and Viitanen 1999, Wood Sci. Technol. 33, 475-485; Ojanen et al. 2010, Buildings XI (classes of sensitivity);
ASHRAE 160-2016 (decline factor 0.1). Equations and table from memory.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.air import saturation_pressure
from moistwall.assess.condensation import RH_ERROR
from moistwall.assess.drying import month_sums
from moistwall.material import MOLD_CLASSES
from moistwall.result import Result

Array = NDArray[np.float64]

YEARS = 3
"""Years that the index is followed."""

DECLINE_FACTORS = (0.1, 1.0)
"""Share of the decline measured on pine that holds for a surface: as in ASHRAE 160, and all of it; from
memory. [-]"""

ASSUMED_CLASS = "sensitive"
"""Class of a surface that is given none: that of planed wood, wood panels and paper."""

LEAST_RISE = 0.01
"""A peak of the last year higher than that of the year before by more than this is still rising. [-]"""

WARM_LIMIT = 50.0
"""Temperature above which nothing grows. [degC]"""

FIRST_HOURS, PAUSE_HOURS = 6, 24
"""Decline is quick in the first hours without growth, pauses until the second mark, then goes on slowly. [h]"""

FIRST_DECLINE, LATER_DECLINE = 0.00133, 0.000667
"""Decline of the index on pine in these times. [1/h]"""


@dataclass(frozen=True)
class MoldClass:
    """How mold takes to a surface.

    Parameters
    ----------
    slow, fast : float
        k1 below and from index 1: growth relative to pine sapwood. [-]
    first, second, third : float
        A, B, C of the largest index, A + B x - C x^2. [-]
    least_rh : float
        Humidity below which nothing grows at any temperature. [-]
    species : float
        W of the equation. [-]
    """

    slow: float
    fast: float
    first: float
    second: float
    third: float
    least_rh: float
    species: float


CLASSES: dict[str, MoldClass] = dict(
    zip(
        MOLD_CLASSES,
        (
            MoldClass(1.0, 2.0, 1.0, 7.0, 2.0, 0.80, 0.0),
            MoldClass(0.578, 0.386, 0.3, 6.0, 1.0, 0.80, 1.0),
            MoldClass(0.072, 0.097, 0.0, 5.0, 1.5, 0.85, 1.0),
            MoldClass(0.033, 0.014, 0.0, 3.0, 1.0, 0.85, 1.0),
        ),
        strict=True,
    )
)
"""Ojanen et al. 2010, from memory; W = 1 of the lower three as in ASHRAE 160, from memory (W = 0 would speed
growth by 15 %)."""


@dataclass(frozen=True)
class MoldGrowth:
    """Mold at one place over the years.

    Parameters
    ----------
    name, side, part : str
        As in `moistwall.assess.condensation.WetHours`; sheltered outdoor air has no part.
    outboard : bool
        Outside of the water-control layer.
    mold_of, mold_class : str
        The material that was taken and its class.
    class_assumed : bool
        True if no class is given and `ASSUMED_CLASS` was taken.
    growing_hours : int
        Hours warm and damp enough for growth. [h]
    peak_year, end_year : tuple of float
        Highest index in each year and at its end, with the slow decline. [-]
    peak_year_quick, end_year_quick : tuple of float
        The same with the quick decline. [-]
    peak_range : tuple of float
        Lowest and highest peak of the last year over both declines, were humidity 0.3 % lower or higher. [-]
    rising : bool
        Whether the peak of the last year is higher than that of the year before, with the slow decline.
    growth_month : (12,) ndarray
        What each month would add to an index of 0, as a share of the year; 0 where nothing grows. [-]
    """

    name: str
    side: str
    part: str
    outboard: bool
    mold_of: str
    mold_class: str
    class_assumed: bool
    growing_hours: int
    peak_year: tuple[float, ...]
    end_year: tuple[float, ...]
    peak_year_quick: tuple[float, ...]
    end_year_quick: tuple[float, ...]
    peak_range: tuple[float, float]
    rising: bool
    growth_month: Array


def critical_humidity(t: Array, least_rh: float) -> Array:
    """Relative humidity from which mold grows.

    Parameters
    ----------
    t : ndarray
        Temperature; the cubic holds above 0. [degC]
    least_rh : float
        Lowest of all, above 20 degC. [-]

    Returns
    -------
    ndarray
        [-]
    """
    cubic = -0.00267 * t**3 + 0.160 * t**2 - 3.13 * t + 100.0
    return np.where(t > 20.0, least_rh, np.maximum(cubic / 100.0, least_rh))


def weeks_to_first_growth(
    t: Array, rh: Array, species: float, surface_quality: float = 0.0
) -> Array:
    """Time in steady conditions until the index of pine sapwood is 1.

    Parameters
    ----------
    t, rh : ndarray
        Temperature above 0 [degC] and relative humidity above 0 [-].
    species, surface_quality : float
        W and SQ of the equation. [-]

    Returns
    -------
    ndarray
        [week]
    """
    exponent = -0.68 * np.log(t) - 13.9 * np.log(100.0 * rh) + 0.14 * species
    return np.asarray(np.exp(exponent - 0.33 * surface_quality + 66.02))


def growth_terms(t: Array, rh: Array, mold_class: MoldClass) -> tuple[Array, Array]:
    """What the growth of the index needs of each hour.

    Parameters
    ----------
    t, rh : ndarray
        Temperature [degC] and relative humidity [-].
    mold_class : MoldClass
        Of the surface.

    Returns
    -------
    rate : ndarray
        dM/dt at k1 = k2 = 1; 0 where nothing grows. [1/h]
    largest : ndarray
        M_max; 0 where nothing grows. [-]
    """
    critical = critical_humidity(t, mold_class.least_rh)
    grows = (t > 0.0) & (t <= WARM_LIMIT) & (rh >= critical)
    warm, damp = np.where(grows, t, 20.0), np.where(grows, rh, 1.0)
    rate = 1.0 / (168.0 * weeks_to_first_growth(warm, damp, mold_class.species))
    over = (critical - damp) / np.where(grows, critical - 1.0, -1.0)
    largest = mold_class.first + mold_class.second * over - mold_class.third * over**2
    return np.where(grows, rate, 0.0), np.where(grows, largest, 0.0)


def decline_rate(grows: NDArray[np.bool_]) -> Array:
    """Decline of the index on pine in each hour of a year that repeats itself.

    Parameters
    ----------
    grows : (n_hours,) ndarray of bool
        Hours of growth.

    Returns
    -------
    (n_hours,) ndarray
        0 in hours of growth and in the pause after the first hours without any. [1/h]
    """
    n_hours = grows.size
    hours = np.arange(2 * n_hours)
    latest = np.maximum.accumulate(np.where(np.tile(grows, 2), hours, -n_hours))
    without = (hours - latest)[n_hours:]
    first = (without > 0) & (without <= FIRST_HOURS)
    return np.where(
        first, FIRST_DECLINE, np.where(without > PAUSE_HOURS, LATER_DECLINE, 0.0)
    ).astype(np.float64)


def index_history(
    rate: Array, largest: Array, decline: Array, mold_class: MoldClass, start: float = 0.0
) -> Array:
    """Follow the index of a surface by explicit steps of an hour.

    Parameters
    ----------
    rate, largest, decline : (n_hours,) ndarray
        Growth at k1 = k2 = 1 [1/h], largest index [-], and decline [1/h] of each hour.
    mold_class : MoldClass
        Of the surface.
    start : float
        Index before the first hour. [-]

    Returns
    -------
    (n_hours,) ndarray
        Index at the end of each hour. [-]
    """
    # brings the compiler along: not needed by those who read only the classes
    from moistwall.assess.mold_hours import follow_index

    history = np.empty_like(rate)
    follow_index(rate, largest, decline, mold_class.slow, mold_class.fast, start, history)
    return history


@dataclass(frozen=True)
class _Air:
    """A place whose mold is followed."""

    name: str
    side: str
    part: str
    outboard: bool
    mold_of: str
    mold_class: str
    temperature: Array
    rh: Array


def mold_growth(
    result: Result,
    years: int = YEARS,
    *,
    classes: Mapping[str, MoldClass] = CLASSES,
    declines: tuple[float, float] = DECLINE_FACTORS,
) -> tuple[tuple[MoldGrowth, ...], dict[str, MoldGrowth]]:
    """Growth of mold at every place of a result, and on the same surfaces in sheltered outdoor air.

    Parameters
    ----------
    result : Result
        A computed year.
    years : int
        Years that it is repeated.
    classes : mapping of str to MoldClass
        How mold takes to the surfaces of each class.
    declines : tuple of float
        Slow and quick decline, as shares of the one on pine. [-]

    Returns
    -------
    places : tuple of MoldGrowth
        One for each of ``result.places``, in their order.
    outdoors : dict of str to MoldGrowth
        In the state of outdoor air, out of sun, sky and rain, for each class that occurs.
    """
    places = [
        _Air(
            place.name,
            place.side,
            place.part,
            place.outboard,
            place.mold_of,
            place.mold_class,
            result.temperature_place[:, k],
            result.rh_place[:, k],
        )
        for k, place in enumerate(result.places)
    ]
    present = {place.mold_class or ASSUMED_CLASS for place in places}
    names = [name for name in classes if name in present]
    temperature = result.outdoor_temperature
    rh = np.minimum(result.outdoor_vapor / saturation_pressure(temperature), 1.0)
    air = [_Air("sheltered outdoor air", "", "", True, "", one, temperature, rh) for one in names]
    found = _followed([*places, *air], years, classes, declines)
    return found[: len(places)], dict(zip(names, found[len(places) :], strict=True))


def _followed(
    places: Sequence[_Air],
    years: int,
    known: Mapping[str, MoldClass],
    factors: tuple[float, float],
) -> tuple[MoldGrowth, ...]:
    """Follow the index at all places, for both declines and the bracket of humidity."""
    found = []
    for place in places:
        one = known[place.mold_class or ASSUMED_CLASS]
        growing = [
            growth_terms(place.temperature, _shifted(place.rh, shift), one)
            for shift in (0.0, -RH_ERROR, RH_ERROR)
        ]
        lanes = [
            _yearly(rate, largest, factor * decline, one, years)
            for rate, largest in growing
            for decline in (decline_rate(rate > 0.0),)
            for factor in factors
        ]
        peak, end = np.array(lanes).transpose(1, 2, 0)
        rate = growing[0][0]
        by_month = month_sums(rate)
        found.append(
            MoldGrowth(
                place.name,
                place.side,
                place.part,
                place.outboard,
                place.mold_of,
                place.mold_class or ASSUMED_CLASS,
                not place.mold_class,
                int((rate > 0.0).sum()),
                _by_year(peak[:, 0]),
                _by_year(end[:, 0]),
                _by_year(peak[:, 1]),
                _by_year(end[:, 1]),
                (float(peak[-1].min()), float(peak[-1].max())),
                bool(years > 1 and peak[-1, 0] > peak[-2, 0] + LEAST_RISE),
                by_month / max(float(by_month.sum()), 1e-300),
            )
        )
    return tuple(found)


def _yearly(
    rate: Array, largest: Array, decline: Array, one: MoldClass, years: int
) -> tuple[list[float], list[float]]:
    """Highest index and last index of each year."""
    if not rate.any():
        return [0.0] * years, [0.0] * years
    peaks, ends = [], [0.0]
    for _ in range(years):
        history = index_history(rate, largest, decline, one, ends[-1])
        peaks.append(float(history.max()))
        ends.append(float(history[-1]))
    return peaks, ends[1:]


def _by_year(values: Array) -> tuple[float, ...]:
    return tuple(float(value) for value in values)


def _shifted(rh: Array, shift: float) -> Array:
    """Humidity of the bracket; one that would pass saturation stays there, as air can hold no more."""
    return np.minimum(rh + shift, np.maximum(rh, 1.0))
