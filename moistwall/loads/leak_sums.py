"""What the air that leaks comes to: how much of it, which way, and the water that it carries."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from moistwall.air import humidity_ratio_from_vapor_pressure, saturation_pressure
from moistwall.climate.hours import HOURS, MONTH_OF_HOUR, node_readings
from moistwall.climate.record import Climate
from moistwall.errors import Fault, InputError
from moistwall.exposure import Leakage
from moistwall.loads.air_pressure import outdoor_dry_density
from moistwall.loads.leakage import HouseAir

Array = NDArray[np.float64]


@dataclass(frozen=True)
class LeakageSummary:
    """A year of leakage in a few numbers.

    Parameters
    ----------
    stage : str
        Label of the test, such as 'before sealing'.
    pressure_mean : float
        Mean pressure of the house over outdoors, at the middle of its height. [Pa]
    natural_share : float
        Mean of the air that enters through leaks over the flow at 50 Pa; its inverse is the number
        that air changes at 50 Pa are divided by. [-]
    air_changes_natural : float or None
        Mean of the air that enters through leaks, fans left out; None if the air changes at 50 Pa
        are not known. [1/h]
    inward_mean, outward_mean : float
        Dry air through the section each way, mean of all hours. [kg/(m2 s)]
    inward_hours : float
        Time in which air flows inwards through the section. [h]
    """

    stage: str
    pressure_mean: float
    natural_share: float
    air_changes_natural: float | None
    inward_mean: float
    outward_mean: float
    inward_hours: float


@dataclass(frozen=True)
class CarriedWater:
    """Water that leaking air carries through a section, by month.

    Parameters
    ----------
    inward_month : (12,) ndarray
        All vapor that comes in with outdoor air. [kg/m2]
    outward_month : (12,) ndarray
        All vapor that goes out with room air. [kg/m2]
    surplus_month : (12,) ndarray
        What the air that comes in has more than room air, which is what must be taken out of the
        building again or stays in the section; negative where it dries the building. [kg/m2]
    """

    inward_month: Array
    outward_month: Array
    surplus_month: Array


def summary(
    leakage: Leakage, climate: Climate, house: HouseAir, flow: Array, *, ach50: float | None = None
) -> LeakageSummary:
    """Sum up a year of leakage.

    Parameters
    ----------
    leakage : Leakage
        Leaks and fans.
    climate : Climate
        The year.
    house : HouseAir
        What `house_air` gave for them.
    flow : (8761,) ndarray
        What `section_air` gave for them. [kg/(m2 s)]
    ach50 : float or None
        Air changes at 50 Pa, if the volume of the building is known. [1/h]

    Returns
    -------
    LeakageSummary

    Raises
    ------
    InputError
        If the flow is not given at the hour marks.
    """
    inward, outward = by_direction(flow)
    entering = house.infiltration / outdoor_dry_density(climate)
    share = float(np.mean(entering)) / leakage.flow_50
    before, after = flow[:-1], flow[1:]
    rising = np.maximum(before, 0.0) + np.maximum(after, 0.0)
    size = np.abs(before) + np.abs(after)
    inward_part = np.divide(rising, size, out=np.zeros(HOURS), where=size > 0.0)
    return LeakageSummary(
        stage=leakage.stage,
        pressure_mean=float(np.mean(house.pressure)),
        natural_share=share,
        air_changes_natural=None if ach50 is None else ach50 * share,
        inward_mean=float(np.mean(inward)),
        outward_mean=float(np.mean(outward)),
        inward_hours=float(np.sum(inward_part)),
    )


def by_direction(flow: Array) -> tuple[Array, Array]:
    """Mean flow of each hour inwards and outwards.

    Parameters
    ----------
    flow : (8761,) ndarray
        Flow at the hour marks, a straight line between them. [kg/(m2 s)]

    Returns
    -------
    inward, outward : (8760,) ndarray
        Both positive; in an hour in which the flow turns, both are above 0. [kg/(m2 s)]

    Raises
    ------
    InputError
        If the flow is not given at the hour marks.
    """
    if np.shape(flow) != (HOURS + 1,):
        given = f"shape {np.shape(flow)}"
        raise InputError(Fault("", "flow", given, f"must be given at the {HOURS + 1} hour marks"))

    def positive(marks: Array) -> Array:
        """Mean over each hour of what of a straight line lies above 0."""
        above = np.maximum(marks, 0.0)
        ends, turns = above[:-1] + above[1:], marks[:-1] * marks[1:] < 0.0
        triangle = np.divide(
            ends**2, 2.0 * np.abs(np.diff(marks)), out=np.zeros(HOURS), where=turns
        )
        return np.where(turns, triangle, 0.5 * ends)

    return positive(flow), positive(-flow)


def carried(
    flow: Array, climate: Climate, room_temperature: float | Array, room_rh: float | Array
) -> CarriedWater:
    """Water that leaking air carries through a section.

    Parameters
    ----------
    flow : (8761,) ndarray
        Dry air at the hour marks, positive inwards, as `section_air` gives it. [kg/(m2 s)]
    climate : Climate
        The year.
    room_temperature : float or (8760,) ndarray
        Air temperature inside. [degC]
    room_rh : float or (8760,) ndarray
        Relative humidity inside. [-]

    Returns
    -------
    CarriedWater

    Raises
    ------
    InputError
        If the flow is not given at the hour marks.

    Notes
    -----
    Mean flow of the hour times the mean of the humidity ratios at its ends, at standard pressure as
    in the solver.
    """
    inward, outward = by_direction(flow)
    temperature = np.broadcast_to(np.asarray(room_temperature, dtype=np.float64), (HOURS,))
    room = _hour_mean(
        humidity_ratio_from_vapor_pressure(room_rh * saturation_pressure(temperature))
    )
    outdoors = _hour_mean(humidity_ratio_from_vapor_pressure(climate.vapor_pressure))
    return CarriedWater(
        inward_month=_by_month(inward * outdoors),
        outward_month=_by_month(outward * room),
        surplus_month=_by_month(inward * (outdoors - room)),
    )


def greatest_deposit(
    flow: ArrayLike, vapor_pressure: ArrayLike, surface_temperature: ArrayLike
) -> Array:
    """Water that air can leave at most on a surface that it leaks past.

    Parameters
    ----------
    flow : array_like
        Dry air, 0 or more. [kg/(m2 s)]
    vapor_pressure : array_like
        Vapor pressure of the air that arrives. [Pa]
    surface_temperature : array_like
        Temperature of the surface. [degC]

    Returns
    -------
    ndarray
        Deposit if the air leaves saturated at the surface's temperature; 0 where it is too warm for
        any. [kg/(m2 s)]

    Raises
    ------
    InputError
        If a flow is negative or not finite.
    """
    air = np.asarray(flow, dtype=np.float64)
    if not np.all((air >= 0.0) & np.isfinite(air)):
        raise InputError(Fault("", "flow", "", "must be finite and not negative"))
    arrives = humidity_ratio_from_vapor_pressure(np.asarray(vapor_pressure, dtype=np.float64))
    leaves = humidity_ratio_from_vapor_pressure(
        saturation_pressure(np.asarray(surface_temperature, dtype=np.float64))
    )
    deposit: Array = air * np.maximum(arrives - leaves, 0.0)
    return deposit


def _hour_mean(reading: Array) -> Array:
    """Mean of the readings at both ends of each hour."""
    marks = node_readings(reading)
    return 0.5 * (marks[:-1] + marks[1:])


def _by_month(rate: Array) -> Array:
    """Sums of the months of a rate per second, one value for each hour."""
    sums: Array = np.bincount(MONTH_OF_HOUR - 1, weights=3600.0 * rate).astype(np.float64)
    return sums
