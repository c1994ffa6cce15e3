"""Typical years in the TMY3 layout of the National Renewable Energy Laboratory.

One line with the station, one with the names of the columns, and a row for each hour, named by its
end from 01:00 to 24:00 in local standard time: sun and rain are what came in the 60 minutes before
it, the other values are read at it. Columns are found by name, and the name holds the unit, so that
a file in other units is refused.

Two things about rain are not in the manual and follow from the files: the column called
``Lprecip depth (mm)`` holds tenths of a millimeter (its values are 3, 5, 8, 10, 13 ..., hundredths
of an inch; as millimeters a year at Miami would have 14 400 mm), and a missing depth is mostly
written as 0. The codes of present weather may stay on for weeks. `moistwall.climate.rain` deals
with that.

References
----------
Wilcox and Marion 2008, Users Manual for TMY3 Data Sets, NREL/TP-581-43156, doi:10.2172/928610.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.check import (
    READING_ERROR,
    Site,
    checked_climate,
    opaque_or_total,
    pressure_where_none,
)
from moistwall.climate.depths import hourly_depths
from moistwall.climate.hours import hour_name
from moistwall.climate.kinds import depth_of_synoptic
from moistwall.climate.limits import Gathered, check_hourly
from moistwall.climate.rain import RainRead, RainRule, rain_of_year
from moistwall.climate.record import Climate
from moistwall.climate.rows import HourRows, finite_number, is_negative_code, whole_number

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Column:
    """A column by its name: the value of `Climate` is the number times multiplier / divisor."""

    name: str
    multiplier: float = 1.0
    divisor: float = 1.0
    needed: bool = True


COLUMNS: dict[str, Column] = {
    "temperature": Column("Dry-bulb (C)"),
    "dew_point": Column("Dew-point (C)"),
    "pressure": Column("Pressure (mbar)", multiplier=100.0),
    "wind_speed": Column("Wspd (m/s)"),
    "wind_direction": Column("Wdir (degrees)"),
    "sun_global": Column("GHI (W/m^2)"),
    "sun_direct": Column("DNI (W/m^2)"),
    "sun_diffuse": Column("DHI (W/m^2)"),
    "cloud": Column("OpqCld (tenths)", divisor=10.0),
    "total_cloud": Column("TotCld (tenths)", divisor=10.0, needed=False),
    "rain": Column("Lprecip depth (mm)", divisor=10.0, needed=False),  # tenths of mm, see above
    "rain_hours": Column("Lprecip quantity (hr)", needed=False),
    "weather": Column("PresWth (METAR code)", needed=False),
}
"""The columns that are read; -9900 and the like stand for a missing value."""

DATE, TIME = "Date (MM/DD/YYYY)", "Time (HH:MM)"

_DATE = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{2}|\d{4})", re.ASCII)
_TIME = re.compile(r"(\d{1,2}):00(?::00)?", re.ASCII)


def is_tmy3_header(second_line: str) -> bool:
    """Return True if a line is the second of a TMY3 file, that with the names of the columns."""
    first = [cell.strip(' "').lower() for cell in second_line.split(",")[:2]]
    return first == [DATE.lower(), TIME.lower()]


def climate_from_tmy3(text: str, file: str, rain: RainRule | None = None) -> Climate:
    """Year in the text of a TMY3 file.

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
    lines = csv.reader(text.split("\n"))
    site = _site(found, next(lines), file)
    at = _positions(found, next(lines, []))
    if at is None:
        found.refuse()
        raise AssertionError("a header without its columns is a fault")
    width = 1 + max(at.values())
    hours = HourRows(
        found,
        [name for name, column in COLUMNS.items() if column.name in at],
        stamp=f"{DATE}, {TIME}",
        remedy="MM/DD/YYYY and 01:00 to 24:00, named by their end",
    )
    count = 0
    try:
        for row in lines:
            if not any(cell.strip() for cell in row):
                continue
            count += 1
            if len(row) < width:
                found.add(
                    "row",
                    f"{len(row)} cells",
                    f"must have at least {width} cells",
                    "take the file from its source again",
                    place=f"line {lines.line_num}",
                )
                continue
            k = _place(hours, row[at[DATE]].strip(), row[at[TIME]].strip(), lines.line_num)
            if k is not None:
                _read_row(found, row, at, k, hours.values)
    except csv.Error as error:
        found.add("row", str(error), "is not comma-separated text", place=f"line {lines.line_num}")
    hours.check_count(count)
    return _checked(found, site, hours, rain or RainRule())


def _site(found: Gathered, row: list[str], file: str) -> Site | None:
    """Place and source in the first line, or None if it is not one."""
    cells = [" ".join(cell.split()) for cell in row[:7]]
    numbers = [finite_number(cell) for cell in cells[3:]]
    zone, latitude, longitude, elevation = (*numbers, *[None] * 4)[:4]
    if zone is None or latitude is None or longitude is None or elevation is None:
        found.add(
            "header",
            ",".join(row)[:70],
            "is not the first line of a TMY3 file",
            "station, name, state, time zone, latitude, longitude, elevation",
        )
        return None
    return Site(
        name=Path(file).stem.strip(),
        place=", ".join(part for part in cells[1:3] if part),
        source=f"NREL TMY3, station {cells[0]}",
        latitude=latitude,
        longitude=longitude,
        time_zone=zone,
        elevation=elevation,
    )


def _positions(found: Gathered, header: list[str]) -> dict[str, int] | None:
    """Where each column stands, by its name; None if one is not there."""
    places: dict[str, int] = {}
    for i, cell in enumerate(header):
        places.setdefault(" ".join(cell.split()).lower(), i)
    at: dict[str, int] = {}
    for name, needed in (
        (DATE, True),
        (TIME, True),
        *((column.name, column.needed) for column in COLUMNS.values()),
    ):
        if name.lower() in places:
            at[name] = places[name.lower()]
        elif needed:
            start = name.split(" (")[0].lower()
            near = [
                cell.strip() for cell in header if cell.strip().lower().startswith(f"{start} (")
            ]
            found.add(
                "header, line 2", "".join(near), f"no column '{name}'", "units are never guessed"
            )
    return None if found.names("header, line 2") else at


def _place(hours: HourRows, date: str, time: str, line: int) -> int | None:
    """Index of the hour of a row, or None if it is to be passed over."""
    day, hour = _DATE.fullmatch(date), _TIME.fullmatch(time)
    if day is None or hour is None:
        return hours.place(None, None, None, line=line, shown=f"{date}, {time}")
    month = whole_number(day[1])
    k = hours.place(
        month, whole_number(day[2]), whole_number(hour[1]), line=line, shown=f"{date}, {time}"
    )
    if k is not None and month is not None:
        hours.took_year(month, day[3])
    return k


def _read_row(
    found: Gathered, row: list[str], at: dict[str, int], k: int, values: dict[str, Array]
) -> None:
    """Read the numbers of one row; a code for a missing value and an empty cell stay missing."""
    for field, column in COLUMNS.items():
        if field not in values:
            continue
        text = row[at[column.name]].strip()
        if not text or is_negative_code(text):
            continue
        value = finite_number(text)
        if value is None:
            found.add(
                column.name,
                text,
                "is not a finite number",
                "take the file from its source again",
                place=hour_name(k),
            )
        else:
            values[field][k] = value * column.multiplier / column.divisor


def _checked(found: Gathered, site: Site | None, hours: HourRows, rule: RainRule) -> Climate:
    """Settle rain, cloud and pressure, then check and build the record."""
    values = dict(hours.values)
    labels = {field: column.name for field, column in COLUMNS.items()}
    missing = np.full(hours.absent.shape, np.nan)
    weather, depth = values.pop("weather", None), values.pop("rain", None)
    rain_hours = values.pop("rain_hours", missing)
    values["cloud"], clouds = opaque_or_total(values["cloud"], values.pop("total_cloud", missing))
    values["pressure"], pressures = pressure_where_none(values["pressure"], site)
    notes = (*hours.notes, *clouds, *pressures)
    if depth is not None:
        check_hourly(found, {"rain": depth}, labels, blanks=True)
    if site is not None and not found.count:
        kind = None
        if weather is not None and not np.isnan(weather).all():
            codes = np.nan_to_num(weather, nan=-1.0)
            kind = np.array([np.nan if c < 0.0 else depth_of_synoptic(int(c)) for c in codes])
        spread: tuple[str, ...] = ()
        if depth is not None:
            depth, spread = hourly_depths(depth, rain_hours)
        read = RainRead(depth, kind, spread)
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
