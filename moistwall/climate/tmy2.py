"""Typical years in the TMY2 layout of the National Renewable Energy Laboratory.

One header line and 8760 lines of 142 characters, read by their fixed columns. Each hour is named by
its end, in local standard time: sun is what came in the 60 minutes before it, the other values are
read at it.

References
----------
Marion and Urban 1995, User's Manual for TMY2s, NREL/SP-463-7668, tables 3-1 and 3-2,
doi:10.2172/87130.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.check import Site, checked_climate
from moistwall.climate.hours import HOURS, hour_name
from moistwall.climate.kinds import depth_of_digits
from moistwall.climate.limits import Gathered
from moistwall.climate.rain import RainRead, RainRule, rain_of_year
from moistwall.climate.record import Climate
from moistwall.climate.rows import HourRows, whole_number

Array = NDArray[np.float64]

LINE_LENGTH = 142
"""Characters in the line of an hour."""


@dataclass(frozen=True)
class Field:
    """Where a value stands in the line of an hour.

    Parameters
    ----------
    first, last : int
        Its columns, counted from 1 as in the manual.
    multiplier, divisor : float
        The value of `Climate` is the number times the one, divided by the other.
    """

    first: int
    last: int
    multiplier: float = 1.0
    divisor: float = 1.0

    @property
    def label(self) -> str:
        """What a message calls it."""
        return f"columns {self.first}-{self.last}"

    def of(self, line: str) -> str:
        """Its characters."""
        return line[self.first - 1 : self.last]


FIELDS: dict[str, Field] = {
    "sun_global": Field(18, 21),  # Wh/m2 in the hour = mean W/m2
    "sun_direct": Field(24, 27),
    "sun_diffuse": Field(30, 33),
    "cloud": Field(64, 65, divisor=10.0),  # opaque sky cover in tenths
    "temperature": Field(68, 71, divisor=10.0),  # 0.1 degC
    "dew_point": Field(74, 77, divisor=10.0),
    "pressure": Field(85, 88, multiplier=100.0),  # mbar
    "wind_direction": Field(91, 93),  # 360 = north, 0 = calm
    "wind_speed": Field(96, 98, divisor=10.0),  # 0.1 m/s
}
"""The fields that are read; a field of nines is a missing value."""

WEATHER = Field(114, 123)
"""Present weather, ten digits: the first is 0 where it was observed, nine are its kinds."""

_HEADER = re.compile(
    r" (?P<station>\d{5}) (?P<city>.{22}) (?P<state>.{2}) (?P<zone>(?= ?[ +-]\d{1,2} ).{3})"
    r" (?P<ns>[NS]) (?P<north>[ \d]\d) (?P<north_min>[ \d]\d)"
    r" (?P<ew>[EW]) (?P<east>[ \d]{2}\d) (?P<east_min>[ \d]\d)"
    r"  (?P<elevation>(?= *-?\d+ *$).{4}) *",
    re.ASCII,
)
_WHOLE_NUMBER = re.compile(r" *-?\d+", re.ASCII)


def is_tmy2_header(line: str) -> bool:
    """Return True if the line is the header of a TMY2 file."""
    return _HEADER.fullmatch(line) is not None


def climate_from_tmy2(text: str, file: str, rain: RainRule | None = None) -> Climate:
    """Year in the text of a TMY2 file.

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
    hours = HourRows(
        found,
        FIELDS,
        stamp="stamp, columns 2-9",
        remedy="year, month, day and hour 01 to 24 of a year without a leap day",
        leap_day=False,
    )
    kind = np.full(HOURS, np.nan)
    for number, line in enumerate(lines[1:], start=2):
        if len(line.rstrip()) != LINE_LENGTH or not line.isascii():
            found.add(
                "line",
                f"{len(line.rstrip())} characters",
                f"must have {LINE_LENGTH} plain characters",
                "take the file from its source again; its blanks count",
                place=str(number),
            )
            continue
        month, day, hour = (whole_number(line[i : i + 2].lstrip(" ")) for i in (3, 5, 7))
        k = hours.place(month, day, hour, line=number, shown=line[1:9])
        if k is not None:
            hours.took_year(int(line[3:5]), f"19{line[1:3]}")
            _read_hour(found, line, k, hours.values)
            kind[k] = _kind(WEATHER.of(line))
    hours.check_count(len(lines) - 1)
    values, notes = dict(hours.values), hours.notes
    if site is not None and not found.count:
        read = RainRead(None, kind)
        depth, said = rain_of_year(read, rain or RainRule(), site.latitude, site.longitude)
        notes = (*notes, *said)
        if depth is not None:
            values["rain"] = depth
    labels = {name: f"{name}, {field.label}" for name, field in FIELDS.items()}
    return checked_climate(found, site, values, absent=hours.absent, notes=notes, labels=labels)


def _site(found: Gathered, header: str, file: str) -> Site | None:
    """Place and source in the header line, or None if it is not one."""
    match = _HEADER.fullmatch(header)
    if match is None:
        found.add(
            "header",
            repr(header[:70]),
            "is not the first line of a TMY2 file",
            "station, city, state, time zone, latitude, longitude, elevation in fixed columns",
        )
        return None
    part = match.groupdict()
    north = int(part["north"]) + int(part["north_min"]) / 60.0
    east = int(part["east"]) + int(part["east_min"]) / 60.0
    place = ", ".join(p for p in (part["city"].strip(), part["state"].strip()) if p)
    return Site(
        name=Path(file).stem,
        place=place,
        source=f"NREL TMY2, station {part['station']}",
        latitude=north if part["ns"] == "N" else -north,
        longitude=east if part["ew"] == "E" else -east,
        time_zone=float(part["zone"]),
        elevation=float(part["elevation"]),
    )


def _read_hour(found: Gathered, line: str, k: int, values: dict[str, Array]) -> None:
    """Read the fields of one hour."""
    for name, field in FIELDS.items():
        text = field.of(line)
        if not text.strip("9"):
            continue  # all nines: missing
        if _WHOLE_NUMBER.fullmatch(text):
            values[name][k] = int(text) * field.multiplier / field.divisor
            continue
        found.add(
            f"{name}, {field.label}",
            repr(text),
            "is not a whole number",
            "take the file from its source again",
            place=hour_name(k),
        )


def _kind(digits: str) -> float:
    """Typical depth of the kind of rain of an hour; NaN where nobody observed. [mm]"""
    return depth_of_digits(digits[1:]) if digits[0] == "0" else np.nan
