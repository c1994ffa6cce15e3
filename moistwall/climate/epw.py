"""Hourly years in the open EPW format.

Some header lines, then a row of 32 to 35 values for each hour. Hours are named by their end, 1 to
24, in local standard time, whatever the field for minutes says, which is 0 in some files and 60 in
others. Each field has a number of its own that stands for a missing value, such as 9999 for sun.
Header lines are not needed but for the first; the first line that begins with a date is the first
hour.

References
----------
Crawley, Hand and Lawrie 1999, Improving the weather information available to simulation programs,
Proceedings of Building Simulation 1999.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.check import (
    READING_ERROR,
    Site,
    checked_climate,
    dew_point_from_humidity,
    opaque_or_total,
    pressure_where_none,
)
from moistwall.climate.depths import hourly_depths
from moistwall.climate.hours import HOURS, hour_name
from moistwall.climate.kinds import depth_of_digits
from moistwall.climate.limits import Gathered, check_hourly
from moistwall.climate.rain import RainRead, RainRule, rain_of_year
from moistwall.climate.record import Climate
from moistwall.climate.rows import HourRows, finite_number, is_negative_code, whole_number

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Field:
    """A field by its number.

    Parameters
    ----------
    number : int
        Its number, counted from 1 as in the description of the format.
    missing : float
        A number all of nines from which on it stands for a missing value.
    divisor : float
        The value of `Climate` is the number divided by this.
    name : str
        What a message calls it.
    """

    number: int
    missing: float
    name: str
    divisor: float = 1.0

    @property
    def label(self) -> str:
        """Its number and name, for messages."""
        return f"field {self.number} ({self.name})"


FIELDS: dict[str, Field] = {
    "temperature": Field(7, 99.0, "dry bulb, degC"),
    "dew_point": Field(8, 99.0, "dew point, degC"),
    "humidity": Field(9, 999.0, "relative humidity, %", divisor=100.0),
    "pressure": Field(10, 999_999.0, "pressure, Pa"),
    "sun_global": Field(14, 9999.0, "global horizontal sun, Wh/m2"),
    "sun_direct": Field(15, 9999.0, "direct normal sun, Wh/m2"),
    "sun_diffuse": Field(16, 9999.0, "diffuse horizontal sun, Wh/m2"),
    "wind_direction": Field(21, 999.0, "wind direction, deg"),
    "wind_speed": Field(22, 99.0, "wind speed, m/s"),
    "total_cloud": Field(23, 99.0, "total sky cover, tenths", divisor=10.0),
    "cloud": Field(24, 99.0, "opaque sky cover, tenths", divisor=10.0),
    "rain": Field(34, 999.0, "liquid precipitation depth, mm"),
    "rain_hours": Field(35, 99.0, "liquid precipitation quantity, h"),
}
"""The fields that are read as numbers."""

OBSERVED, WEATHER = 27, 28
"""Numbers of the fields that say if present weather was observed, and what it was."""

FEWEST_FIELDS = 24
"""Fields that every row must have; present weather and rain may be left out."""

_NINES = re.compile(r"\+?9+0*(?:\.9*0*)?", re.ASCII)


def is_epw_header(first_line: str) -> bool:
    """Return True if a line is the first of an EPW file."""
    return first_line.lstrip().upper().startswith("LOCATION,")


def climate_from_epw(text: str, file: str, rain: RainRule | None = None) -> Climate:
    """Year in the text of an EPW file.

    Parameters
    ----------
    text : str
        The text, with line feeds.
    file : str
        Name of the file, for messages.
    rain : RainRule, optional
        What to do with its rain.

    Returns
    -------
    Climate
        The year.

    Raises
    ------
    ClimateError
        With every mistake found.
    """
    found = Gathered(file)
    lines = text.rstrip("\n").split("\n")
    site = _site(found, lines[0], file)
    first = next((i for i, line in enumerate(lines) if _is_data(line)), len(lines))
    _refuse_parts_of_hours(found, lines[:first], len(lines) - first)
    hours = HourRows(
        found,
        FIELDS,
        stamp="fields 1-5 (year, month, day, hour, minute)",
        remedy="months 1 to 12, hours 1 to 24 named by their end, minute 0 or 60",
    )
    kind = np.full(HOURS, np.nan)
    count = 0
    for number, line in enumerate(lines[first:], start=first + 1):
        cells = [cell.strip() for cell in line.split(",")]
        if not any(cells):
            continue
        count += 1
        if len(cells) < FEWEST_FIELDS:
            found.add(
                "row",
                f"{len(cells)} fields",
                f"must have at least {FEWEST_FIELDS} fields, with commas between them",
                "take the file from its source again",
                place=f"line {number}",
            )
            continue
        month, day, hour = (whole_number(cell) for cell in cells[1:4])
        if finite_number(cells[4]) not in (0.0, 60.0):
            month = None
        k = hours.place(month, day, hour, line=number, shown=",".join(cells[:5]))
        if k is None or month is None:
            continue
        hours.took_year(month, cells[0])
        _read_row(found, cells, k, hours.values)
        kind[k] = _kind(cells)
    hours.check_count(count)
    return _checked(found, site, hours, kind, rain or RainRule())


def _is_data(line: str) -> bool:
    """Return True for the row of an hour: five whole numbers, and many more values."""
    cells = line.split(",", FEWEST_FIELDS)
    return len(cells) >= 6 and all(whole_number(cell.strip()) is not None for cell in cells[:4])


def _refuse_parts_of_hours(found: Gathered, header: list[str], rows: int) -> None:
    """Refuse a file with several records an hour, or without any."""
    for line in header:
        cells = [cell.strip() for cell in line.split(",")]
        if cells[0].upper() == "DATA PERIODS" and len(cells) > 2:
            records = finite_number(cells[2])
            if records is not None and records > 1.0:
                found.add(
                    "DATA PERIODS",
                    f"{cells[2]} records an hour",
                    "must be one record an hour",
                    "take means of the hours: one row for each of them",
                )
                found.refuse()
    if rows > HOURS + 48:
        found.add(
            "rows",
            str(rows),
            f"must be {HOURS}, or {HOURS + 24} with February 29",
            "one year, and one record an hour",
        )
        found.refuse()
    if not rows:
        found.add("rows", "0", "no row of an hour", "each begins with year,month,day,hour,minute")
        found.refuse()


def _site(found: Gathered, line: str, file: str) -> Site | None:
    """Place and source in the first line, or None if it is not one."""
    cells = [" ".join(cell.split()) for cell in line.split(",")]
    numbers = [finite_number(cell) for cell in cells[6:10]]
    latitude, longitude, zone, elevation = (*numbers, *[None] * 4)[:4]
    if (
        not is_epw_header(line)
        or latitude is None
        or longitude is None
        or zone is None
        or elevation is None
    ):
        found.add(
            "header",
            line[:70],
            "is not the first line of an EPW file",
            "LOCATION, city, region, country, source, station, latitude, longitude, time zone, "
            "elevation",
        )
        return None
    of = f"{cells[4]}, " if cells[4].strip("-") else ""
    return Site(
        name=Path(file).stem.strip(),
        place=", ".join(part for part in cells[1:4] if part.strip("-")),
        source=f"EPW, {of}station {cells[5]}",
        latitude=latitude,
        longitude=longitude,
        time_zone=zone,
        elevation=elevation,
    )


def _read_row(found: Gathered, cells: list[str], k: int, values: dict[str, Array]) -> None:
    """Read the numbers of one row; codes for missing values and empty fields stay missing."""
    for name, field in FIELDS.items():
        text = cells[field.number - 1] if field.number <= len(cells) else ""
        if not text or is_negative_code(text):
            continue
        value = finite_number(text)
        if value is None:
            found.add(
                field.label,
                text,
                "is not a finite number",
                "take the file from its source again",
                place=hour_name(k),
            )
        elif value < field.missing or not _NINES.fullmatch(text):
            values[name][k] = value / field.divisor


def _kind(cells: list[str]) -> float:
    """Typical depth of the kind of rain of an hour; NaN where nobody observed. [mm]

    The code has nine digits. Where a file has seven or eight, a program has taken it for a number
    and lost the zeros at its left, which are thunder and light rain.
    """
    if len(cells) < WEATHER or finite_number(cells[OBSERVED - 1]) != 0.0:
        return np.nan
    code = cells[WEATHER - 1].strip("'\"")
    if not (code.isascii() and code.isdecimal() and 7 <= len(code) <= 9 and code.strip("0")):
        return np.nan
    return depth_of_digits(code.rjust(9, "0"))


def _checked(
    found: Gathered, site: Site | None, hours: HourRows, kind: Array, rule: RainRule
) -> Climate:
    """Settle humidity, cloud, pressure and rain, then check and build the record."""
    values = dict(hours.values)
    labels = {name: field.label for name, field in FIELDS.items()}
    humidity, depth = values.pop("humidity"), values.pop("rain")
    rain_hours = values.pop("rain_hours")
    values["cloud"], clouds = opaque_or_total(values["cloud"], values.pop("total_cloud"))
    values["pressure"], pressures = pressure_where_none(values["pressure"], site)
    notes = (*hours.notes, *clouds, *pressures)
    calm = np.isnan(values["wind_direction"]) & (values["wind_speed"] == 0.0)
    values["wind_direction"] = np.where(calm, 0.0, values["wind_direction"])  # calm has none
    from_humidity = dew_point_from_humidity(values["temperature"], humidity)
    instead = np.isnan(values["dew_point"]) & ~np.isnan(from_humidity)
    if instead.any():
        values["dew_point"] = np.where(instead, from_humidity, values["dew_point"])
        n = np.count_nonzero(instead)
        notes = (*notes, f"dew point: from relative humidity in {n} h")
    check_hourly(found, {"rain": depth}, labels, blanks=True)
    if site is not None and not found.count:
        observed = None if np.nan_to_num(kind).max() == 0.0 else kind
        column = None if np.isnan(depth).all() else depth
        spread: tuple[str, ...] = ()
        if column is not None:
            column, spread = hourly_depths(column, rain_hours)
        read = RainRead(column, observed, spread)
        rain, said = rain_of_year(read, rule, site.latitude, site.longitude)
        notes = (*notes, *said)
        if rain is not None:
            values["rain"] = rain
    return checked_climate(
        found,
        site,
        values,
        absent=hours.absent,
        notes=notes,
        labels=labels,
        dew_point_above=READING_ERROR,
    )
