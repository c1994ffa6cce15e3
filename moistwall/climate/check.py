"""From the values of a weather file to a checked `Climate`: the part that all readers share.

Short gaps are filled and noted; whatever cannot be right is gathered and refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.air import dew_point_from_vapor_pressure, saturation_pressure, standard_pressure
from moistwall.climate.hours import hour_name
from moistwall.climate.limits import HOURLY, SITE, Gathered, check_hourly, check_site
from moistwall.climate.record import Climate
from moistwall.errors import ClimateError

Array = NDArray[np.float64]

LONGEST_GAP = 6
"""Longest gap of readings that is filled. [h]"""

LONGEST_SUN_GAP = 2
"""Longest gap of sun that is filled: a straight line across more would cut off a noon. [h]"""

MOST_MISSING = 438
"""Most hours of a column that are filled in all, 5 % of the year. [h]"""

ROUNDING = 0.05
"""Dew points above the air temperature by no more than this come from rounding both to 0.1 K.
They are lowered to the air temperature, and noted. [K]"""

READING_ERROR = 0.5
"""The same for the typical years of others, made of two instruments or of values filled apart
(common practice, no source). [K]"""

_LONGEST_GAP = {
    "temperature": LONGEST_GAP,
    "dew_point": LONGEST_GAP,
    "pressure": LONGEST_GAP,
    "wind_speed": LONGEST_GAP,
    "wind_direction": LONGEST_GAP,
    "cloud": LONGEST_GAP,
    "sun_global": LONGEST_SUN_GAP,
    "sun_direct": LONGEST_SUN_GAP,
    "sun_diffuse": LONGEST_SUN_GAP,
    "rain": 0,
}


@dataclass(frozen=True)
class Site:
    """What a weather file says about itself; fields as in `Climate`."""

    name: str
    place: str
    source: str
    latitude: float
    longitude: float
    time_zone: float
    elevation: float


def checked_climate(
    found: Gathered,
    site: Site | None,
    values: Mapping[str, Array],
    *,
    absent: NDArray[np.bool_],
    notes: tuple[str, ...] = (),
    labels: Mapping[str, str] | None = None,
    dew_point_above: float = ROUNDING,
) -> Climate:
    """Fill short gaps, check everything, and build the record.

    Parameters
    ----------
    found : Gathered
        Mistakes that the reader has already found; the others join them.
    site : Site or None
        What the file says about itself; None if the reader has found a mistake there.
    values : mapping of str to (8760,) ndarray
        Hourly values by the names and in the units of `Climate`, NaN where the file has none.
    absent : (8760,) ndarray of bool
        True for hours that the file does not hold at all; each of them is a mistake.
    notes : tuple of str
        What the reader assumed.
    labels : mapping of str to str, optional
        What the file calls the values and the fields of the site.
    dew_point_above : float
        How far above the air temperature a dew point may stand before it is a mistake; up to that
        it is lowered to it. [K]

    Returns
    -------
    Climate
        The record, with a note on everything that was filled or lowered.

    Raises
    ------
    ClimateError
        With every mistake found.

    Notes
    -----
    Gaps up to 6 h are filled by straight lines, those of sun up to 2 h only, as long as no column
    misses more than 5 % of the year; a gap of wind
    direction keeps the last reading; rain is not filled. The dew point is filled by way of its
    distance below the air temperature, so that it never rises above it, and a filled temperature
    is no lower than the dew point of its hour. The year is closed: a gap
    at its end reaches into its start.
    """
    labels = labels or {}
    for k in np.flatnonzero(absent):
        found.add("hours", "", "hour missing", "each hour must stand once", place=hour_name(int(k)))
    for name, series in values.items():
        label = labels.get(name, name)
        if not found.names(label):  # an hour that could not be read is no gap
            _check_gaps(found, label, np.isnan(series) & ~absent, _LONGEST_GAP[name])
    given, lowering = _rounding_taken_off(values, dew_point_above)
    check_hourly(found, given, labels, blanks=True)
    if site is not None:
        where = ("latitude", "longitude", "time_zone", "elevation")
        check_site(found, {name: getattr(site, name) for name in where}, labels)
    if site is None or found.faults:
        raise ClimateError(found.faults)
    filled, filling = _filled(given)
    return Climate(
        name=site.name,
        place=site.place,
        source=site.source,
        latitude=site.latitude,
        longitude=site.longitude,
        time_zone=site.time_zone,
        elevation=site.elevation,
        notes=(*notes, *lowering, *filling),
        **filled,
    )


def gaps(missing: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Start and length of each run of missing hours, in a year that is closed.

    Parameters
    ----------
    missing : (n,) ndarray of bool
        True where there is no value.

    Returns
    -------
    list of (int, int)
        Index of the first hour and number of hours of each gap, in order of the year; a gap
        across the end of the year is one gap.
    """
    n = missing.size
    if missing.all():
        return [(0, n)]
    start = np.flatnonzero(missing & ~np.roll(missing, 1))
    end = np.flatnonzero(missing & ~np.roll(missing, -1))
    if start.size and end[0] < start[0]:
        end = np.roll(end, -1)
    return [(int(a), int((b - a) % n) + 1) for a, b in zip(start, end, strict=True)]


def dew_point_from_humidity(temperature: Array, humidity: Array) -> Array:
    """Dew point of air of a relative humidity, taken over ice in frost.

    Parameters
    ----------
    temperature : (n,) ndarray
        Air temperature. [degC]
    humidity : (n,) ndarray
        Relative humidity, 0 to 1. [-]

    Returns
    -------
    (n,) ndarray
        Dew point, no higher than the temperature; NaN where one of the two is missing or cannot be
        right, and where the air would be drier than a year may be. [degC]
    """
    limit = HOURLY["temperature"]
    usable = (humidity > 0.0) & (humidity <= 1.0)
    usable &= (temperature >= limit.lowest) & (temperature <= limit.highest)
    vapor_pressure = humidity[usable] * saturation_pressure(temperature[usable])
    dew_point = np.full(temperature.shape, np.nan)
    wet = vapor_pressure >= saturation_pressure(HOURLY["dew_point"].lowest)
    hours = np.flatnonzero(usable)[wet]
    # The dew point of saturated air is its temperature to round-off; the minimum takes that off.
    dew_point[hours] = np.minimum(
        dew_point_from_vapor_pressure(vapor_pressure[wet]), temperature[hours]
    )
    return dew_point


def pressure_where_none(pressure: Array, site: Site | None) -> tuple[Array, tuple[str, ...]]:
    """Pressure of the standard atmosphere for a file that has none at all.

    Parameters
    ----------
    pressure : (8760,) ndarray
        Station pressure, NaN where the file has none. [Pa]
    site : Site or None
        Where it was measured, if that is known.

    Returns
    -------
    pressure : (8760,) ndarray
        As given, unless every hour is missing. [Pa]
    notes : tuple of str
        What was done.

    References
    ----------
    ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 3.
    """
    if site is None or not np.isnan(pressure).all():
        return pressure, ()
    limit = SITE["elevation"]
    if not limit.lowest <= site.elevation <= limit.highest:
        return pressure, ()  # refused together with the rest
    standard = standard_pressure(site.elevation)
    return np.full(pressure.shape, standard), (
        f"pressure: none in the file; {standard:.0f} Pa of the standard atmosphere at "
        f"{site.elevation:g} m in every hour",
    )


def opaque_or_total(opaque: Array, total: Array) -> tuple[Array, tuple[str, ...]]:
    """Sky cover that is opaque, or all of it in hours where only that is known.

    Parameters
    ----------
    opaque, total : (8760,) ndarray
        Opaque and total sky cover, NaN where missing. [-]

    Returns
    -------
    cover : (8760,) ndarray
        Sky cover. [-]
    notes : tuple of str
        What was done.
    """
    instead = np.isnan(opaque) & ~np.isnan(total)
    if not instead.any():
        return opaque, ()
    return np.where(instead, total, opaque), (
        f"cloud: total sky cover taken for the opaque in {np.count_nonzero(instead)} h",
    )


def _check_gaps(found: Gathered, label: str, missing: NDArray[np.bool_], longest: int) -> None:
    """Gather the gaps that are too long to be filled."""
    if missing.all():
        found.add(label, "", "holds no value at all", "give the column its values")
        return
    if missing.sum() > MOST_MISSING:
        found.add(
            label,
            f"{missing.sum()} h without a value",
            "too many hours are missing",
            f"up to {MOST_MISSING} h of a year are filled",
            place=f"from {hour_name(int(missing.argmax()))}",
        )
    remedy = f"up to {longest} h in a row are filled" if longest else "write 0 for a dry hour"
    for first, hours in gaps(missing):
        if hours > longest:
            found.add(
                label,
                f"{hours} h without a value",
                "gap too long to be filled" if longest else "value missing",
                remedy,
                place=f"from {hour_name(first)}",
            )


def _rounding_taken_off(
    values: Mapping[str, Array], most: float
) -> tuple[dict[str, Array], tuple[str, ...]]:
    """Lower the dew points that no more than an error of reading has put above the air's."""
    given = dict(values)
    if not {"temperature", "dew_point"} <= given.keys():
        return given, ()
    temperature, dew_point = given["temperature"], given["dew_point"]
    if temperature.shape != dew_point.shape:
        return given, ()
    # Two numbers of one decimal differ by 0.05 only up to round-off: hence the last digit.
    rounded = (dew_point > temperature) & (dew_point - temperature <= most + 1e-9)
    if not rounded.any():
        return given, ()
    given["dew_point"] = np.where(rounded, temperature, dew_point)
    lowered = float((dew_point - temperature)[rounded].max())
    reason = "rounding" if lowered <= ROUNDING + 1e-9 else "error of reading"
    return given, (
        f"dew point lowered by up to {lowered:.2g} K to the air temperature in "
        f"{np.count_nonzero(rounded)} h ({reason})",
    )


def _filled(values: Mapping[str, Array]) -> tuple[dict[str, Array], tuple[str, ...]]:
    """Values without gaps, and a note for each column that had one."""
    filled: dict[str, Array] = {}
    notes: list[str] = []
    for name, series in values.items():
        missing = np.isnan(series)
        if not missing.any():
            filled[name] = series
            continue
        runs = gaps(missing)
        how = "the last reading" if name == "wind_direction" else "straight lines"
        filled[name] = _last_known(series) if name == "wind_direction" else _straight(series)
        notes.append(
            f"{name.replace('_', ' ')}: {np.count_nonzero(missing)} h in {len(runs)} gaps "
            f"filled by {how}, the first from {hour_name(runs[0][0])}"
        )
    temperature, dew_point = values["temperature"], values["dew_point"]
    # Filled air is never colder than its dew point: where that is known, it is the least...
    filled["temperature"] = np.where(
        np.isnan(temperature) & ~np.isnan(dew_point),
        np.maximum(filled["temperature"], filled["dew_point"]),
        filled["temperature"],
    )
    # ... and where it is not, its distance below the air temperature is what is filled.
    filled["dew_point"] = np.where(
        np.isnan(dew_point),
        filled["temperature"] - _straight(temperature - dew_point),
        filled["dew_point"],
    )
    return filled, tuple(notes)


def _straight(series: Array) -> Array:
    """Fill gaps by straight lines, across the end of the year too."""
    known = np.flatnonzero(~np.isnan(series))
    hours = np.arange(series.size, dtype=float)
    filled: Array = np.interp(hours, known.astype(float), series[known], period=series.size)
    return filled


def _last_known(series: Array) -> Array:
    """Fill gaps with the value before them, across the end of the year too."""
    known = np.flatnonzero(~np.isnan(series))
    before = np.searchsorted(known, np.arange(series.size), side="right") - 1
    filled: Array = series[known[before]]  # -1 is the last one of the year
    return filled
