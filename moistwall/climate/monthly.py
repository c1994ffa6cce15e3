"""Twelve monthly values of a place: what is known of it when there is no hourly record.

A file of them is TOML. Every table of twelve numbers names its unit and its source once::

    place = "Heron Point (invented)"
    latitude_deg = 30.25
    longitude_deg = -88.1
    time_zone_h = -6
    elevation_m = 3

    [high]                       # mean of the daily maxima of air temperature
    unit = "degF"
    values = [61, 64, 71, 77, 84, 89, 91, 90, 87, 79, 70, 63]
    source = "own logger, 2011 to 2020"

Needed are ``high``, ``low``, ``sun``, ``rain`` and one of ``dew_point`` and ``humidity``;
``rain_days``, ``wind_speed`` and ``wind_direction`` may be left out, and a note then tells what
stands in for them. `moistwall.climate.built` makes an hourly year of them.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from moistwall.air import dew_point_from_vapor_pressure, saturation_pressure
from moistwall.climate.columns import SITE_KEYS
from moistwall.climate.hours import MONTH_DAYS
from moistwall.climate.limits import SITE, Gathered
from moistwall.climate.normals import MONTHS, MonthlyNormals, add_months, check_monthly
from moistwall.climate.text import read_text
from moistwall.errors import ClimateError, Fault
from moistwall.names import did_you_mean

__all__ = ["MonthlyNormals", "monthly_from_text", "read_monthly"]

Array = NDArray[np.float64]

SECTORS = (
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW",
    "NNW",
)  # fmt: skip
"""The sixteen points of the compass, 22.5 degrees apart."""

RAIN_PER_DAY = 10.0
"""Rain of a day with rain where the number of such days is not given (common practice, no
source). [mm]"""

WIND_SPEED = 3.5
"""Wind speed of every month where it is not given (common practice, no source). [m/s]"""

_F = (1.0 / 1.8, -32.0)
UNITS: dict[str, dict[str, tuple[float, float]]] = {
    "high": {"degC": (1.0, 0.0), "degF": _F},
    "low": {"degC": (1.0, 0.0), "degF": _F},
    "dew_point": {"degC": (1.0, 0.0), "degF": _F},
    "humidity": {"%": (0.01, 0.0)},
    "sun": {
        "kWh/(m2 day)": (1.0, 0.0),
        "MJ/(m2 day)": (1.0 / 3.6, 0.0),
        "W/m2": (0.024, 0.0),
        "Btu/(ft2 day)": (0.00315459075, 0.0),  # Btu of the International Table
    },
    "rain": {"mm": (1.0, 0.0), "in": (25.4, 0.0)},
    "rain_days": {"days": (1.0, 0.0)},
    "wind_speed": {
        "m/s": (1.0, 0.0),
        "km/h": (1.0 / 3.6, 0.0),
        "mph": (0.44704, 0.0),
        "kn": (1852.0 / 3600.0, 0.0),
    },
    "wind_direction": {"deg": (1.0, 0.0), "compass": (22.5, 0.0)},
}
"""Units of each table: the value is (number + shift) * multiplier, written (multiplier, shift)."""

NEEDED = ("high", "low", "sun", "rain")
"""Tables that every file must have, besides dew_point or humidity."""

_TEXTS = ("name", "place", "note")
_TABLE_KEYS = ("unit", "values", "source")


def read_monthly(path: Path) -> MonthlyNormals:
    """Read a file of monthly values.

    Parameters
    ----------
    path : Path
        The file, in TOML.

    Returns
    -------
    MonthlyNormals
        The values; named after the file unless it names itself.

    Raises
    ------
    ClimateError
        With every mistake found.
    """
    return monthly_from_text(read_text(path), str(path))


def monthly_from_text(text: str, file: str) -> MonthlyNormals:
    """Monthly values in the text of a TOML file.

    Parameters
    ----------
    text : str
        The text, with line feeds.
    file : str
        Name of the file, for messages.

    Returns
    -------
    MonthlyNormals
        The values.

    Raises
    ------
    ClimateError
        With every mistake found.
    """
    try:
        content = tomllib.loads(text)
    except (ValueError, RecursionError) as problem:
        remedy = "see docs/climates.md for a whole example"
        raise ClimateError(Fault(file, "", "", f"is not valid TOML: {problem}", remedy)) from None
    found = Gathered(file)
    _refuse_unknown(found, content)
    site = _site(found, content)
    texts = _texts(found, content)
    given: dict[str, Array] = {}
    sources: dict[str, str] = {}
    for name in UNITS:
        if name in content:
            _read_months(found, name, content[name], given, sources)
        elif name in NEEDED:
            found.add(name, "", "is missing", f"write a table [{name}] with {_keys()}")
    notes: tuple[str, ...] = (texts["note"],) if texts["note"] else ()
    notes += _take_humidity(found, content, given, sources)
    notes += _take_defaults(content, given, sources)
    seed = content.get("seed", 1)
    if not isinstance(seed, int) or isinstance(seed, bool) or seed < 0:
        found.add("seed", repr(seed), "must be 0 or a positive whole number", "such as seed = 7")
    check_monthly(found, given, site)
    found.refuse()
    return MonthlyNormals(
        name=texts["name"] or Path(file).stem,
        place=texts["place"],
        latitude=site["latitude"],
        longitude=site["longitude"],
        time_zone=site["time_zone"],
        elevation=site["elevation"],
        high=given["high"],
        low=given["low"],
        dew_point=given["dew_point"],
        sun=given["sun"],
        rain=given["rain"],
        rain_days=given["rain_days"],
        wind_speed=given["wind_speed"],
        wind_direction=given.get("wind_direction"),
        sources=sources,
        notes=notes,
        seed=seed,
    )


def _keys() -> str:
    return ", ".join(_TABLE_KEYS)


def _refuse_unknown(found: Gathered, content: Mapping[str, Any]) -> None:
    """Gather keys that mean nothing, and those of the site that lack their unit."""
    known = [*_TEXTS, "seed", *UNITS, *(key.name for key in SITE_KEYS)]
    for key, value in content.items():
        with_unit = [one.name for one in SITE_KEYS if one.field == key]
        if with_unit:
            found.add(key, _short(value), "has no unit", f"name it {' or '.join(with_unit)}")
        elif key not in known:
            remedy = did_you_mean(key, known)
            found.add(key, _short(value), "is not a known key", remedy)


def _site(found: Gathered, content: Mapping[str, Any]) -> dict[str, float]:
    """Latitude, longitude, time zone and elevation."""
    site: dict[str, float] = {}
    for key in SITE_KEYS:
        if key.name not in content:
            continue
        value = content[key.name]
        if key.field in site:
            found.add(key.name, _short(value), "given twice", "give it once")
        elif not _is_number(value):
            found.add(key.name, _short(value), "is not a finite number", "write it like 30.25")
        else:
            site[key.field] = float(key.from_table(float(value)))
    for name in SITE:
        names = [key.name for key in SITE_KEYS if key.field == name]
        if not any(one in content for one in names):
            found.add(names[0], "", "is missing", f"write {' or '.join(names)}")
    return site


def _texts(found: Gathered, content: Mapping[str, Any]) -> dict[str, str]:
    """Name, place and note; empty where the file has none."""
    texts = {}
    for key in _TEXTS:
        value = content.get(key, "")
        texts[key] = _line(found, key, value) if key in content else ""
    if "place" not in content:
        found.add("place", "", "is missing", 'such as place = "Mobile, Alabama"')
    return texts


def _line(found: Gathered, key: str, value: Any) -> str:
    """Text of one line; a mistake if the value is none."""
    if isinstance(value, str) and value.strip() and value.isprintable():
        return value.strip()
    found.add(key, _short(value), "must be a text of one line")
    return ""


def _read_months(
    found: Gathered,
    name: str,
    table: Any,
    given: dict[str, Array],
    sources: dict[str, str],
) -> None:
    """Read one table of twelve values."""
    units = UNITS[name]
    accepted = " or ".join(f'"{unit}"' for unit in units)
    if not isinstance(table, dict):
        remedy = f"write a table [{name}] with {_keys()}; its unit is {accepted}"
        found.add(name, _short(table), "has no unit", remedy)
        return
    for key in table:
        if key not in _TABLE_KEYS:
            remedy = did_you_mean(key, list(_TABLE_KEYS))
            found.add(f"{name}.{key}", _short(table[key]), "is not a known key", remedy)
    remedies = {
        "unit": f"its unit is {accepted}",
        "values": "twelve numbers, January to December",
        "source": "say where the values are from",
    }
    for key in _TABLE_KEYS:
        if key not in table:
            found.add(f"{name}.{key}", "", "is missing", remedies[key])
    if "source" in table:
        sources[name] = _line(found, f"{name}.source", table["source"])
    if "unit" not in table or "values" not in table:
        return
    unit, values = table["unit"], table["values"]
    if not isinstance(unit, str) or unit not in units:
        found.add(f"{name}.unit", _short(unit), "is not a unit of this table", f"use {accepted}")
        return
    if not isinstance(values, list) or len(values) != 12:
        count = f"{len(values)} values" if isinstance(values, list) else _short(values)
        found.add(f"{name}.values", count, "must be twelve values", "January to December")
        return
    numbers = np.full(12, np.nan)
    for month, value in enumerate(values):
        if unit == "compass" and value in SECTORS:
            numbers[month] = SECTORS.index(value)
        elif unit != "compass" and _is_number(value):
            numbers[month] = value
        else:
            of_compass = "is not a point of the compass", "use " + ", ".join(SECTORS)
            of_number = "is not a finite number", "write it like 24.3"
            problem, remedy_ = of_compass if unit == "compass" else of_number
            place = MONTHS[month]
            found.add(f"{name}.values", _short(value), problem, remedy_, place=place)
    if np.all(np.isfinite(numbers)):
        multiplier, shift = units[unit]
        given[name] = (numbers + shift) * multiplier


def _take_humidity(
    found: Gathered,
    content: Mapping[str, Any],
    given: dict[str, Array],
    sources: dict[str, str],
) -> tuple[str, ...]:
    """Turn mean relative humidity into a mean dew point where the file gives that."""
    if ("humidity" in content) == ("dew_point" in content):
        both = "dew_point and humidity" if "humidity" in content else ""
        problem = "must have exactly one table of humidity"
        found.add("dew_point", both, problem, 'keep [dew_point] in "degC" or [humidity] in "%"')
    humidity = given.pop("humidity", None)
    if humidity is None or "dew_point" in content:
        return ()
    outside = ~((humidity >= 0.02) & (humidity <= 0.99))
    shown = [f"{100.0 * value:g} %" for value in humidity]
    problem = "mean relative humidity must lie from 2 to 99 %"
    add_months(found, "humidity", outside, shown, problem, "correct the value")
    high, low = given.get("high"), given.get("low")
    if outside.any() or high is None or low is None:
        return ()
    mean = 0.5 * (high + low)
    if np.all((mean >= -50.0) & (mean <= 55.0)):
        given["dew_point"] = dew_point_from_vapor_pressure(humidity * saturation_pressure(mean))
        sources["dew_point"] = "from the relative humidity: " + sources.get("humidity", "")
        sources.pop("humidity", None)
    return ("mean dew point from the mean relative humidity at the mean temperature of the month",)


def _take_defaults(
    content: Mapping[str, Any], given: dict[str, Array], sources: dict[str, str]
) -> tuple[str, ...]:
    """Fill in for the tables that may be left out, with a note on each."""
    notes = []
    default = "default (common practice, no source)"
    if "rain_days" not in content and "rain" in given:
        days = np.ceil(given["rain"] / RAIN_PER_DAY)
        given["rain_days"] = np.minimum(days, np.array(MONTH_DAYS) - 5.0)
        sources["rain_days"] = default
        notes.append(f"days with rain not given: one for each {RAIN_PER_DAY:g} mm of the month")
    if "wind_speed" not in content:
        given["wind_speed"] = np.full(12, WIND_SPEED)
        sources["wind_speed"] = default
        notes.append(f"wind speed not given: a mean of {WIND_SPEED:g} m/s in every month")
    if "wind_direction" not in content:
        sources["wind_direction"] = "none"
        notes.append("wind direction not given: no direction prevails")
    return tuple(notes)


def _is_number(value: Any) -> bool:
    """Return True for a finite int or float; a bool is none."""
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e12


def _short(value: Any) -> str:
    """Give a value as short text, for messages."""
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."
