"""Twelve monthly values of a place, and what they may hold: the record, checked when built."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.hours import MONTH_DAYS
from moistwall.climate.limits import SITE, Gathered, Limit, check_site
from moistwall.climate.sun_path import extraterrestrial_days

Array = NDArray[np.float64]

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
"""Names of the months, for messages."""

MONTHLY: dict[str, Limit] = {
    "high": Limit(-50.0, 55.0, "degC"),
    "low": Limit(-55.0, 45.0, "degC"),
    "dew_point": Limit(-55.0, 35.0, "degC"),
    "sun": Limit(0.0, 14.0, "kWh/(m2 day)"),
    "rain": Limit(0.0, 3000.0, "mm"),
    "rain_days": Limit(0.0, 31.0, "days"),
    "wind_speed": Limit(0.2, 30.0, "m/s"),
    "wind_direction": Limit(0.0, 360.0, "deg"),
}
"""Limits of the monthly values, wider than any place on Earth and narrower than a wrong unit."""


@dataclass(frozen=True)
class MonthlyNormals:
    """Twelve monthly values of a place, checked when built.

    Parameters
    ----------
    name, place : str
        Short name, place in words.
    latitude, longitude : float
        North and east positive. [deg]
    time_zone : float
        Hours ahead of universal time (negative in America). [h]
    elevation : float
        Height above the sea. [m]
    high, low : (12,) ndarray
        Means of the daily maxima and minima of the air temperature. [degC]
    dew_point : (12,) ndarray
        Mean dew point, below the triple point a frost point. [degC]
    sun : (12,) ndarray
        Global irradiation of a horizontal plane, mean of the days. [kWh/m2]
    rain : (12,) ndarray
        Rain of the month. [mm]
    rain_days : (12,) ndarray
        Days with rain in the month. [-]
    wind_speed : (12,) ndarray
        Mean wind speed at 10 m. [m/s]
    wind_direction : (12,) ndarray or None
        Prevailing direction, where it comes from, clockwise from north; None where no direction
        prevails. [deg]
    sources : dict of str to str
        Where each of the fields comes from.
    notes : tuple of str
        What was assumed, in words.
    seed : int
        What the hourly year is drawn from unless the caller says otherwise.

    Raises
    ------
    ClimateError
        If a value cannot be right; carries every fault found.

    Notes
    -----
    The arrays are copied and made read-only.
    """

    name: str
    place: str
    latitude: float
    longitude: float
    time_zone: float
    elevation: float
    high: Array
    low: Array
    dew_point: Array
    sun: Array
    rain: Array
    rain_days: Array
    wind_speed: Array
    wind_direction: Array | None
    sources: dict[str, str] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    seed: int = 1

    def __post_init__(self) -> None:
        found = Gathered(f"monthly values '{self.name}'")
        given = {}
        for name in MONTHLY:
            value = getattr(self, name)
            if name == "wind_direction" and value is None:
                continue
            array = np.array(value, dtype=np.float64)
            array.setflags(write=False)
            object.__setattr__(self, name, array)
            given[name] = array
        site = {name: float(getattr(self, name)) for name in SITE}
        check_monthly(found, given, site)
        if self.seed < 0:
            found.add("seed", str(self.seed), "must be 0 or a positive whole number")
        found.refuse()

    @property
    def mean(self) -> Array:
        """Mean temperature of each month: that of the mean high and the mean low. [degC]"""
        return 0.5 * (self.high + self.low)


def clear_sky_sun(latitude: float, elevation: float) -> Array:
    """Sun on a horizontal plane under a sky that is clear all month.

    Parameters
    ----------
    latitude : float
        North positive. [deg]
    elevation : float
        Height above the sea. [m]

    Returns
    -------
    (12,) ndarray
        Mean of the days. [kWh/m2]

    References
    ----------
    Allen et al. 1998, FAO Irrigation and Drainage Paper 56, eq. 37.
    """
    return (0.75 + 2e-5 * elevation) * _month_means(extraterrestrial_days(latitude))


def _month_means(days: Array) -> Array:
    """Mean of each month of a value for each day."""
    ends = np.cumsum(MONTH_DAYS)[:-1]
    return np.array([part.mean() for part in np.split(days, ends)])


def check_monthly(found: Gathered, given: Mapping[str, Array], site: Mapping[str, float]) -> None:
    """Gather what cannot be right in monthly values.

    Parameters
    ----------
    found : Gathered
        Takes the mistakes.
    given : mapping of str to (12,) ndarray
        Monthly values by the names and in the units of `MonthlyNormals`; those missing are not
        checked.
    site : mapping of str to float
        Latitude, longitude, time zone and elevation, as far as they are known.
    """
    check_site(found, site)
    usable = {}
    for name, values in given.items():
        limit = MONTHLY[name]
        if values.shape != (12,):
            found.add(name, f"{values.size} values", "must hold one value for each of 12 months")
            continue
        wrong = ~((values >= limit.lowest) & (values <= limit.highest))
        add_months(
            found,
            name,
            wrong,
            [f"{value:g} {limit.unit}" for value in values],
            f"must lie from {limit.lowest:g} to {limit.highest:g} {limit.unit}",
            "correct the value or the unit",
        )
        if not wrong.any():
            usable[name] = values
    _check_temperatures(found, usable)
    _check_rain(found, usable)
    sun = usable.get("sun")
    latitude, elevation = site.get("latitude", np.nan), site.get("elevation", np.nan)
    if sun is not None and abs(latitude) <= 90.0 and np.isfinite(elevation):
        clear = clear_sky_sun(latitude, elevation)
        shown = [f"{s:.3g} of {c:.3g} kWh/(m2 day)" for s, c in zip(sun, clear, strict=True)]
        too_much = "is more than a month of clear days gives at this latitude"
        add_months(found, "sun", sun > clear + 0.05, shown, too_much, "correct value or unit")
        too_little = "is less than a sixth of what a month of clear days gives at this latitude"
        add_months(found, "sun", sun < clear / 6.0 - 0.05, shown, too_little, "correct the unit")


def _check_temperatures(found: Gathered, usable: Mapping[str, Array]) -> None:
    """Gather highs that are not above lows, and dew points above the mean temperature."""
    high, low, dew_point = (usable.get(name) for name in ("high", "low", "dew_point"))
    if high is None or low is None:
        return
    shown = [f"high {h:.3g} degC, low {lo:.3g} degC" for h, lo in zip(high, low, strict=True)]
    problem = "the mean high must lie at least 0.5 K above the mean low"
    add_months(found, "high", high - low < 0.5, shown, problem, "correct one of the two")
    problem = "the mean high lies more than 30 K above the mean low"
    add_months(found, "high", high - low > 30.0, shown, problem, "correct one of the two")
    if dew_point is None:
        return
    mean = 0.5 * (high + low)
    add_months(
        found,
        "dew_point",
        dew_point > mean - 0.2,
        [f"{d:.4g} degC in air of {m:.4g} degC" for d, m in zip(dew_point, mean, strict=True)],
        "the mean dew point must lie at least 0.2 K below the mean temperature",
        "correct the value or the unit",
    )


def _check_rain(found: Gathered, usable: Mapping[str, Array]) -> None:
    """Gather months with more days of rain than days, or with rain but no day for it."""
    rain, days = usable.get("rain"), usable.get("rain_days")
    if days is None:
        return
    shown = [f"{value:g}" for value in days]
    too_many = days > np.array(MONTH_DAYS)
    add_months(found, "rain_days", too_many, shown, "more days than the month has", "correct it")
    if rain is not None:
        both = [f"{d:g} days, {r:g} mm" for d, r in zip(days, rain, strict=True)]
        problem = "rain and days with rain must both be 0 or both be more"
        add_months(found, "rain_days", (days > 0.0) != (rain > 0.0), both, problem, "correct one")


def add_months(
    found: Gathered,
    name: str,
    wrong: NDArray[np.bool_],
    shown: list[str],
    problem: str,
    remedy: str,
) -> None:
    """Gather a mistake for each month where ``wrong`` is True.

    Parameters
    ----------
    found : Gathered
        Takes the mistakes.
    name : str
        Name of the field.
    wrong : (12,) ndarray of bool
        Months with a mistake.
    shown : list of str
        Value of each month as text.
    problem, remedy : str
        As in `Fault`.
    """
    for month in np.flatnonzero(wrong):
        found.add(name, shown[month], problem, remedy, place=MONTHS[month])
